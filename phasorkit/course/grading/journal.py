"""Results that are not in the gradebook yet: written the moment a worker is done, so that no mark is worked out twice.

A run that was killed leaves them; the next one enters them into the gradebook instead of grading again.
"""

from __future__ import annotations

import json
from contextlib import suppress
from dataclasses import dataclass
from pathlib import Path

from phasorkit.course.grading.folder import replace_file
from phasorkit.course.grading.records import parse
from phasorkit.course.grading.worker import Graded


@dataclass(frozen=True)
class Journal:
    """The folder of such results in a class folder."""

    path: Path

    def _file(self, learner: str, exercise: str) -> Path:
        return self.path / learner / f"{exercise}.json"

    def put(self, graded: Graded) -> None:
        """Keep a result, whole or not at all."""
        record = graded.record
        text = json.dumps({"record": record.to_json().decode("utf-8"), "notebook": graded.notebook.decode("utf-8")})
        replace_file(self._file(record.learner, record.exercise), text.encode("ascii"))

    def get(self, learner: str, exercise: str, source: str) -> Graded | None:
        """The result that is waiting for this very work, if there is one."""
        try:
            found = json.loads(self._file(learner, exercise).read_bytes())
            record, notebook = parse(found["record"].encode("utf-8")), found["notebook"].encode("utf-8")
        except (OSError, ValueError, TypeError, KeyError, AttributeError):
            return None
        return Graded(notebook, record) if record is not None and record.source == source else None

    def drop(self, learner: str, exercise: str) -> None:
        """Forget a result: it is in the gradebook."""
        file = self._file(learner, exercise)
        file.unlink(missing_ok=True)
        with suppress(OSError):  # others may wait there
            file.parent.rmdir()
            self.path.rmdir()
