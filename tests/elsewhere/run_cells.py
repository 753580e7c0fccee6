"""Run the code cells of notebooks as a notebook does, each notebook with names of its own; one line of JSON for each.

    python run_cells.py lessons/05-null-bridges.ipynb ...

A line holds the notebook's name, the errors of its cells, and the numbers that were a cell's last value.
"""

import json
import os
import sys
from pathlib import Path

from IPython.core.interactiveshell import InteractiveShell

shell = InteractiveShell.instance()
for file in map(Path, sys.argv[1:]):
    os.chdir(file.parent)
    shell.reset()
    errors, numbers = [], []
    for cell in json.loads(file.read_text(encoding="utf-8"))["cells"]:
        if cell["cell_type"] == "code":
            done = shell.run_cell("".join(cell["source"]).replace('learner=""', 'learner="me"'))
            error = done.error_before_exec or done.error_in_exec
            errors += [repr(error)] if error else []
            numbers += [done.result] if isinstance(done.result, float) else []
    print("\n" + json.dumps({"name": file.stem, "errors": errors, "numbers": numbers}), flush=True)
