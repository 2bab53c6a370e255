"""Files that a kill, a full disk or a power cut leaves whole: all of the old bytes or all of the new ones."""

from __future__ import annotations

import os
import re
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

PART = ".part"
"""The end of the name of a temporary file, which begins with a dot and the name of the file it is for."""
_TRIES = 100
"""So often a file is written that others take for what a killed command left, each once for every file it writes."""


def is_address(name: str) -> bool:
    """Whether somebody names an address on the network, and no file."""
    return name.startswith(("http://", "https://"))


def write_whole(path: Path, content: bytes, *, lasting: bool = True) -> None:
    """Write a file whole or not at all: into a temporary file beside it, which then takes its name.

    What a killed command left there is taken away first. A file keeps its rights, a new one gets those of the
    umask. The bytes are on the disk before the name is, unless a power cut may take them (`lasting` is false). A
    link stays one: the file that it names is written. Raises OSError with the file's name; it is then as it was.
    """
    path = Path(os.path.realpath(path))
    sweep(path)
    with _named(path):
        for tried in range(1, _TRIES + 1):
            try:
                _write_beside(path, content, lasting)
                break
            except FileNotFoundError:
                if tried == _TRIES:
                    raise  # it was no other command: the folder is gone
    if lasting:
        sync_folder(path.parent)


def _write_beside(path: Path, content: bytes, lasting: bool) -> None:
    part = path.with_name(f".{path.name}.{os.urandom(4).hex()}{PART}")
    mode = path.stat().st_mode & 0o777 if path.exists() else None
    flags = os.O_WRONLY | os.O_CREAT | os.O_EXCL | getattr(os, "O_BINARY", 0)
    handle = os.open(part, flags, 0o666 if mode is None else 0o600)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            if lasting:
                file.flush()
                os.fsync(file.fileno())
        if mode is not None:
            part.chmod(mode)
        part.replace(path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise


def append_whole(path: Path, content: bytes) -> None:
    """Put bytes at the end of a file, all of them or none. Raises OSError with its name; it is then as it was."""
    created = not path.exists()
    # No buffer: closing it would try once more to write what could not be written.
    with _named(path), path.open("ab", buffering=0) as file:
        before = file.tell()
        try:
            while content:
                content = content[file.write(content) or 0 :]
            os.fsync(file.fileno())
        except OSError:
            _cut(path, before)
            raise
    if created:
        sync_folder(path.parent)


def cut_off(path: Path, length: int) -> None:
    """Shorten a file to its first `length` bytes."""
    with path.open("r+b") as file:
        file.truncate(length)
        file.flush()
        os.fsync(file.fileno())


def sweep(path: Path) -> None:
    """Take away what a killed `write_whole` left beside a file, as far as that can be done.

    Whoever is writing it at this very moment writes it once more.
    """
    path = Path(os.path.realpath(path))
    left = re.compile(rf"\.{re.escape(path.name)}\.[a-z0-9_]{{8}}{re.escape(PART)}")
    with suppress(OSError):
        for part in path.parent.iterdir():
            if left.fullmatch(part.name):
                part.unlink(missing_ok=True)


def is_one(one: Path, other: Path) -> bool:
    """Whether two names are those of one file, be it there or not: also in a folder that takes k for K."""
    first, second = (Path(os.path.realpath(path)) for path in (one, other))
    if first.name.casefold() != second.name.casefold():
        return False
    folders = first.parent, second.parent
    return folders[0] == folders[1] or (all(each.exists() for each in folders) and folders[0].samefile(folders[1]))


def sync_folder(folder: Path) -> None:
    """See to it that the names in a folder are on the disk, where the system has a way to do that."""
    if os.name != "posix":
        return
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    except OSError:
        pass  # some file systems know no such thing for a folder; the bytes of the file are safe all the same
    finally:
        os.close(handle)


def _cut(path: Path, length: int) -> None:
    """As `cut_off`, when there may be no help for it: what stays is found by the next reader."""
    try:
        cut_off(path, length)
    except OSError:
        return


@contextmanager
def _named(path: Path) -> Iterator[None]:
    """Whatever the system refuses in here, it refuses for this file."""
    try:
        yield
    except OSError as error:
        error.filename, error.filename2 = str(path), None
        raise
