"""Files that a kill, a full disk or a power cut leaves whole: all of the old bytes or all of the new ones."""

from __future__ import annotations

import os
import tempfile
from pathlib import Path

PART = ".part"
"""The end of the name of a temporary file, which begins with a dot and the name of the file it is for."""


def write_whole(path: Path, content: bytes, *, lasting: bool = True) -> None:
    """Write a file whole or not at all: into a temporary file beside it, which then takes its name.

    The bytes are on the disk before the name is, unless a power cut may take them (`lasting` is false). A link stays
    one: the file that it names is written. Raises OSError; the file is then as it was.
    """
    path = Path(os.path.realpath(path))
    handle, name = tempfile.mkstemp(dir=path.parent, prefix=f".{path.name}.", suffix=PART)
    part = Path(name)
    try:
        with os.fdopen(handle, "wb") as file:
            file.write(content)
            if lasting:
                file.flush()
                os.fsync(file.fileno())
        part.chmod(path.stat().st_mode & 0o777 if path.exists() else 0o644)
        part.replace(path)
    except BaseException:
        part.unlink(missing_ok=True)
        raise
    if lasting:
        sync_folder(path.parent)


def append_whole(path: Path, content: bytes) -> None:
    """Put bytes at the end of a file, all of them or none. Raises OSError; the file is then as it was."""
    created = not path.exists()
    # No buffer: closing it would try once more to write what could not be written.
    with path.open("ab", buffering=0) as file:
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
    """Take away what a killed `write_whole` left beside a file. Only for who is known to be its one writer."""
    for part in path.parent.glob(f".{_literal(path.name)}.*{PART}"):
        part.unlink(missing_ok=True)


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


def _literal(name: str) -> str:
    """A name without the signs that stand for other signs in a pattern."""
    return "".join(f"[{sign}]" if sign in "*?[" else sign for sign in name)
