"""The diary's file: a line is added under a lock and is on the disk before anybody is told that it is recorded.

job.yaml            the person's file, never touched here
job.diary.jsonl     the record, one line an event, only ever added to
job.plan.json       the plan handed out last, see `kept`
.job.lock           held by the command that is at work on the job
job.diary.jsonl.broken   half-written lines that were found and set aside
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo

from filelock import FileLock, Timeout

from scheduler.diary.lines import entry_line, read_line
from scheduler.errors import Fault, InputError, Place, UnwrittenError, wrong_input
from scheduler.files import PART, append_whole, cut_off, sweep
from scheduler.model.diary import Entry, Undone
from scheduler.told import told

MOST_BYTES = 16 << 20
"""Of a diary: a hundred thousand entries."""
AGAIN = 0.01
"""Seconds after which it is tried again to get the lock."""
PATIENCE = 10.0
"""Seconds that a command waits for another one to let go of the job."""


@dataclass(frozen=True, slots=True)
class Files:
    """What lies beside one job file."""

    job: Path

    @property
    def diary(self) -> Path:
        """The record."""
        return self.job.with_name(f"{self.job.stem}.diary.jsonl")

    @property
    def broken(self) -> Path:
        """Where half-written lines of the record are set aside."""
        return self.job.with_name(f"{self.job.stem}.diary.jsonl.broken")

    @property
    def plan(self) -> Path:
        """The plan handed out last."""
        return self.job.with_name(f"{self.job.stem}.plan.json")

    @property
    def lock(self) -> Path:
        """Held by the command that is at work."""
        return self.job.with_name(f".{self.job.stem}.lock")


def is_kept_for_a_job(name: str) -> bool:
    """Whether a file of this name is what lies beside some job, or will (in a folder that takes k for K as well)."""
    name = name.casefold()
    hidden = name.startswith(".") and name.endswith((".lock", PART))
    return hidden or name.endswith((".diary.jsonl", ".diary.jsonl.broken", ".plan.json"))


@dataclass(frozen=True, slots=True)
class Record:
    """The entries of a diary in the order of their lines, a half-written last line (empty if there is none), and the
    number of whole lines."""

    entries: tuple[Entry, ...] = ()
    torn: bytes = b""
    lines: int = 0


@contextmanager
def locked(files: Files, patience: float = PATIENCE) -> Iterator[None]:
    """While this lasts no other command writes beside the job. Raises InputError if another one doesn't let go,
    UnwrittenError where nothing can be written.

    Where there is no such job file nothing is held: whoever reads it says so, and a slip of the pen leaves no lock.
    """
    if not files.job.is_file():
        yield
        return
    lock = FileLock(files.lock, timeout=patience)
    try:
        lock.acquire(poll_interval=AGAIN)
    except Timeout:
        said = told(
            "another tackfree command has been at work on this job for {seconds} s", seconds=f"{patience:.0f}"
        )
        hint = "wait until it has ended (it may stand in another window and search, or ask), then try again"
        raise wrong_input(str(files.job), told("{said}; nothing was recorded", said=said), hint) from None
    except OSError as error:
        raise UnwrittenError(error, "nothing is recorded", "see to the rights of the folder, or make room") from None
    try:
        sweep(files.plan)
        yield
    finally:
        lock.release()


def read_record(files: Files) -> Record:
    """The diary; empty if there is none yet. Raises InputError with every wrong line.

    A last line that does not end was cut short by a kill, unless it is a whole entry: then only its end is missing.
    """
    try:
        with files.diary.open("rb") as file:
            data = file.read(MOST_BYTES + 1)
    except FileNotFoundError:
        return Record()
    if len(data) > MOST_BYTES:
        said = told("the diary is larger than {most_bytes} MiB", most_bytes=MOST_BYTES >> 20)
        raise wrong_input(str(files.diary), said, "move what is no record of this job out of it")
    *lines, last = data.split(b"\n")
    name = str(files.diary)
    entries: list[Entry] = []
    faults: list[Fault] = []
    for number, line in enumerate(lines, 1):
        try:
            entries += _entry(line, name, number)
        except InputError as error:
            faults += error.faults
    torn, count = b"", len(lines)
    try:
        entries += _entry(last, name, count + 1)
        count += bool(last.strip())
    except InputError:
        torn = last
    faults += _pointing_nowhere(entries, name)
    if faults:
        raise InputError(faults)
    return Record(tuple(entries), torn, count)


def set_aside(files: Files, record: Record) -> None:
    """Move a half-written last line to the file for such, so that the next entry begins on a line of its own."""
    if record.torn:
        append_whole(files.broken, record.torn + b"\n")
        cut_off(files.diary, files.diary.stat().st_size - len(record.torn))


def add(files: Files, entries: Sequence[Entry], zone: ZoneInfo) -> None:
    """Put entries at the end of the diary, all or none, each on the line that it names. Raises OSError.

    Only under the lock, and after a half-written line has been set aside. Raises InputError, and writes nothing, if
    there is one that could not be read again: it would lock every later command out.
    """
    lines = [entry_line(entry, zone) for entry in entries]
    for entry, line in zip(entries, lines, strict=True):
        read_line(line, str(files.diary), entry.line)
    text = "".join(line + "\n" for line in lines)
    open_end = files.diary.exists() and files.diary.stat().st_size and not _ends(files.diary)
    append_whole(files.diary, (("\n" if open_end else "") + text).encode("utf-8"))


def _ends(path: Path) -> bool:
    with path.open("rb") as file:
        file.seek(-1, 2)
        return file.read() == b"\n"


def _entry(line: bytes, file: str, number: int) -> list[Entry]:
    """The entry of a line; none of a blank one."""
    try:
        text = line.decode("utf-8")
    except UnicodeDecodeError as error:
        column = len(line[: error.start].decode("utf-8", "replace")) + 1
        said = told("the byte {line} is no UTF-8", line=f"{line[error.start]:#04x}")
        raise wrong_input(Place(file, number, column), said, "save the file as UTF-8") from None
    return [read_line(text, file, number)] if text.strip() else []


def _pointing_nowhere(entries: Sequence[Entry], file: str) -> Iterator[Fault]:
    """Faults of entries that take back, or belong to, what is not an entry ahead of them (or the entry itself)."""
    lines = {entry.line for entry in entries}
    for entry in entries:
        undone = entry.event.line if isinstance(entry.event, Undone) else None
        place = Place(file, entry.line, 1)
        if undone is not None and (undone not in lines or undone >= entry.line):
            yield Fault(
                place, told("line {undone} is no entry ahead of this one", undone=undone), "name the line of an entry"
            )
        if entry.command is not None and (entry.command not in lines or entry.command > entry.line):
            said = told(
                "line {command}, with which it was written, is no entry ahead of this one", command=entry.command
            )
            yield Fault(place, said, "leave `with` out")
