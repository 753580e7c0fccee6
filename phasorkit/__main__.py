"""``python -m phasorkit``: the same as the command ``phasorkit``."""

import sys

from phasorkit.cli import main

if __name__ == "__main__":
    sys.exit(main())
