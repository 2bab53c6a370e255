"""What the files of a job say, remembered as long as they stay the same: for whoever opens it many times a minute."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path
from typing import Generic, TypeVar

from scheduler.diary.kept import Kept, read_kept
from scheduler.diary.record import Files, Record, read_record
from scheduler.model.job import Job
from scheduler.model.material import Trade
from scheduler.pipeline import read
from scheduler.reading.profiles import OWN_FOLDER

Value = TypeVar("Value")

Stand = tuple[int, int, int]
"""How a file stands: its number, size and time. One that is not there is all 0."""
Mark = tuple[tuple[Stand, ...], Stand, Stand]
"""How all files of a job stand: the job file with the person's own profiles, the diary, the plan handed out."""


def mark_of(files: Files) -> Mark:
    """How the files of a job stand."""
    own = files.job.parent / OWN_FOLDER
    profiles = sorted(own.rglob("*.y*ml")) if own.is_dir() else []
    return tuple(_stand(path) for path in (files.job, *profiles)), _stand(files.diary), _stand(files.plan)


def _stand(path: Path) -> Stand:
    try:
        stat = path.stat()
    except OSError:
        return 0, 0, 0
    return stat.st_ino, stat.st_size, stat.st_mtime_ns


class _Remembered(Generic[Value]):
    """The last thing that was read, and how its files stood."""

    def __init__(self) -> None:
        self._last: tuple[object, Value] | None = None

    def get(self, stand: object, read: Callable[[], Value]) -> Value:
        if self._last is None or self._last[0] != stand:
            self._last = (stand, read())
        return self._last[1]


class Memory:
    """Reads the files of one job, each only when it has changed. Raises what its readers raise."""

    def __init__(self) -> None:
        self._job, self._record, self._kept = (
            _Remembered[tuple[Job, Trade]](),
            _Remembered[Record](),
            _Remembered[Kept](),
        )

    def job(self, files: Files) -> tuple[Job, Trade]:
        """As `pipeline.read`: to read a job takes longer than to record what happened in it."""
        return self._job.get((files.job, mark_of(files)[0]), lambda: read(files.job))

    def record(self, files: Files) -> Record:
        """As `read_record`."""
        return self._record.get(_stand(files.diary), lambda: read_record(files))

    def wrote(self, files: Files, record: Record) -> None:
        """That the diary holds this now. Only under the lock under which it was written."""
        self._record.get(_stand(files.diary), lambda: record)

    def kept(self, files: Files) -> Kept:
        """As `read_kept`."""
        return self._kept.get(_stand(files.plan), lambda: read_kept(files))
