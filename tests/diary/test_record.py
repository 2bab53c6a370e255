"""What was said to be recorded is there, whatever ended a command; what is half is set aside, not lost."""

from __future__ import annotations

import errno
import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest
from filelock import FileLock

from scheduler.diary.record import Files, add, locked, read_record, set_aside
from scheduler.errors import InputError, UnwrittenError
from scheduler.files import write_whole
from scheduler.model.basics import Span
from scheduler.model.diary import Entry, Left, Note
from tests.support.lives import ZONE, moment

AT = moment("2027-01-09 14:00")


def note(line: int) -> Entry:
    return Entry(line=line, at=AT, event=Note(text=f"number {line}"))


@pytest.fixture
def files(tmp_path: Path) -> Files:
    return Files(tmp_path / "job.yaml")


def test_entries_are_only_ever_added(files: Files) -> None:
    """What stood in the file before still begins it."""
    add(files, [note(1)], ZONE)
    first = files.diary.read_bytes()
    add(files, [note(2), note(3)], ZONE)
    assert files.diary.read_bytes().startswith(first)
    assert read_record(files).entries == (note(1), note(2), note(3))


@pytest.mark.parametrize("kept", [1, 20, 60])
def test_a_half_written_line_is_recognised_and_set_aside(files: Files, kept: int) -> None:
    """Of the last line only some bytes were written: they go to the file for such, and the next one stands alone."""
    add(files, [note(1)], ZONE)
    whole = files.diary.read_bytes()
    torn = whole[:kept]
    files.diary.write_bytes(whole + torn)
    record = read_record(files)
    assert record.entries == (note(1),)
    assert record.torn == torn
    set_aside(files, record)
    add(files, [note(2)], ZONE)
    assert read_record(files).entries == (note(1), note(2))
    assert files.broken.read_bytes() == torn + b"\n"


def test_a_whole_last_line_needs_no_line_end(files: Files) -> None:
    """An editor may have left it out; the entry counts, and the next one begins on its own line."""
    add(files, [note(1)], ZONE)
    files.diary.write_bytes(files.diary.read_bytes().rstrip(b"\n"))
    record = read_record(files)
    assert (record.entries, record.torn, record.lines) == ((note(1),), b"", 1)
    add(files, [note(2)], ZONE)
    assert read_record(files).entries == (note(1), note(2))


def test_blank_lines_count_as_lines(files: Files) -> None:
    """The number of an entry is the number that an editor shows."""
    add(files, [note(1)], ZONE)
    files.diary.write_bytes(files.diary.read_bytes() + b"\n\n")
    record = read_record(files)
    assert record.lines == 3
    add(files, [note(4)], ZONE)
    assert [entry.line for entry in read_record(files).entries] == [1, 4]


def test_every_wrong_line_is_named_at_once(files: Files) -> None:
    """Lines 2 and 4 are wrong, and both are said; line 5 takes back what is no entry."""
    undone = b'{"at": "2027-01-09T14:00Z", "what": "undone", "line": 9}'
    add(files, [note(1), note(2), note(3), note(4)], ZONE)
    lines = files.diary.read_bytes().splitlines()
    lines[1], lines[3] = b"{", b"\xff\xfe"
    files.diary.write_bytes(b"\n".join([*lines, undone]) + b"\n")
    with pytest.raises(InputError) as caught:
        read_record(files)
    assert [(fault.place.line, fault.place.column) for fault in caught.value.faults] == [(2, 2), (4, 1), (5, 1)]


def test_an_entry_is_written_with_entries_that_are_there(files: Files) -> None:
    """The line of the first entry of its command is an entry ahead of it, or its own."""
    files.diary.write_bytes(b'{"at": "2027-01-09T14:00Z", "what": "note", "text": "one", "with": 2}\n')
    with pytest.raises(InputError) as caught:
        read_record(files)
    assert [(fault.place.line, fault.hint) for fault in caught.value.faults] == [(1, "leave `with` out")]


def test_what_could_not_be_read_again_is_not_written(files: Files) -> None:
    """It would lock every later command out: 2.4 million minutes left were written once, and no command went on."""
    add(files, [note(1)], ZONE)
    before = files.diary.read_bytes()
    left = Left(step="sand", pieces=(Span(moment("2027-01-09"), moment("2027-01-09 1:00")),), left=2_400_000)
    with pytest.raises(InputError):
        add(files, [note(2), Entry(line=3, at=moment("2027-01-09"), event=left)], ZONE)
    assert files.diary.read_bytes() == before


def test_two_commands_do_not_write_at_once(files: Files) -> None:
    """While one holds the lock another waits, and then says who may hold it and what to do."""
    files.job.touch()
    with locked(files):
        code = (
            "import sys; from pathlib import Path; from scheduler.diary.record import Files, locked\n"
            "with locked(Files(Path(sys.argv[1])), 0.2): pass"
        )
        other = subprocess.run(
            [sys.executable, "-c", code, str(files.job)], capture_output=True, text=True, check=False
        )
    assert "another tackfree command has been at work on this job" in other.stderr
    assert "wait until it has ended" in other.stderr
    with locked(files, 0.2):
        pass


def test_a_slip_of_the_pen_leaves_no_lock(files: Files) -> None:
    """Where there is no such job there is nothing to hold."""
    with locked(files):
        assert not files.lock.exists()


def test_a_folder_that_takes_no_lock_is_said_with_what_it_means(
    files: Files, monkeypatch: pytest.MonkeyPatch
) -> None:
    """On a file system that is read only nothing is recorded, and that is said (open(2), EROFS)."""

    def refuse(*_: object, **__: object) -> None:
        raise OSError(errno.EROFS, os.strerror(errno.EROFS), str(files.lock))

    files.job.touch()
    monkeypatch.setattr(FileLock, "acquire", refuse)
    with pytest.raises(UnwrittenError) as caught, locked(files):
        pass
    assert str(caught.value).startswith(f"{files.lock}: Read-only file system; nothing is recorded; see to the")


def test_a_full_disk_leaves_the_record_as_it_was(files: Files) -> None:
    """A write that the system cuts short (file size limit, setrlimit(2)) is taken back: all of a line or none."""
    add(files, [note(1)], ZONE)
    before = files.diary.read_bytes()
    files.plan.write_bytes(b"old")
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (len(before) + 10, hard))
    try:
        with pytest.raises(OSError, match="too large"):
            add(files, [note(2)], ZONE)
        with pytest.raises(OSError, match="too large"):
            write_whole(files.plan, b"x" * (len(before) + 100))
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert files.diary.read_bytes() == before
    assert files.plan.read_bytes() == b"old"
    assert sorted(path.name for path in files.job.parent.iterdir()) == ["job.diary.jsonl", "job.plan.json"]


def test_a_diary_of_another_size_is_refused(tmp_path: Path) -> None:
    """Fifty megabytes are no record of a job; they stay where they are."""
    files = Files(tmp_path / "job.yaml")
    files.diary.write_bytes(b"x" * (50 << 20))
    with pytest.raises(InputError) as caught:
        read_record(files)
    said = "the diary is larger than 16 MiB; move what is no record of this job out of it"
    assert str(caught.value) == f"{files.diary}: {said}"
    assert files.diary.stat().st_size == 50 << 20
