"""What the shipped profiles come to, kept from one command to the next: to read them takes longer than to plan.

Each record lies in a small file of its own in the user's cache folder, or in a folder of this program's own inside
the one that TACKFREE_CACHE names (if that is empty, nothing is kept): what else lies there is never touched. Its
first line holds its name and the mark of all that went into it (shipped profiles and the program that reads them).
What follows has to have the sum that this program lists for it in `records.json`: whoever damages a file there, or
puts one of their own in its place, changes no number. A file that differs in either counts as none and is written
anew; a record that is not listed is read each time; a folder that can't be read or written is passed over. A person's
own files are always read.
"""

from __future__ import annotations

import hashlib
import json
import os
from collections.abc import Callable, Mapping
from functools import cache
from pathlib import Path

from scheduler.files import write_whole
from scheduler.model.plainform import Record, plain, rich
from scheduler.reading.shipped import shipped_profiles

VARIABLE = "TACKFREE_CACHE"
OWN_FOLDER = "tackfree-cache"
"""In a folder that somebody names: whatever else lies there belongs to somebody else."""
_PACKAGE = Path(__file__).resolve().parents[1]
_READERS = (_PACKAGE / "reading", _PACKAGE / "model", _PACKAGE)
"""Folders whose modules turn a profile into a record."""
_MOST_BYTES = 1 << 20
LISTED = Path(__file__).with_name("records.json")
"""The SHA-256 of each shipped record by its name. `python -m tests.support.records` writes it anew."""


def remembered(name: str, kind: type[Record], read: Callable[[], Record]) -> Record:
    """What the shipped profile `name` comes to: as it is kept; else as `read` has it, and then kept.

    Raises what `read` does.
    """
    folder = cache_folder()
    if folder is None:
        return read()
    path = folder / f"{name}.jsonl"
    try:
        mark = _mark(shipped_profiles())
    except OSError:
        return read()
    found = _kept(path, mark, kind)
    if found is None:
        found = read()
        body = body_of(found)
        if is_listed(name, body):
            _keep(path, _head(path, mark) + body)
    return found


def body_of(record: object) -> bytes:
    """A record as it stands in its file."""
    return json.dumps(plain(record)).encode("ascii")


def sum_of(body: bytes) -> str:
    """What a record is known by."""
    return hashlib.sha256(body).hexdigest()


def is_listed(name: str, body: bytes) -> bool:
    """Whether these bytes are what the shipped profile of that name comes to."""
    return _sums().get(name) == sum_of(body)


def cache_folder() -> Path | None:
    """Where records are kept; None if they are not."""
    said = os.environ.get(VARIABLE)
    if said is not None:
        return Path(said) / OWN_FOLDER if said else None
    from platformdirs import user_cache_path

    folder = user_cache_path("tackfree", appauthor=False) / "profiles"
    return folder if folder.is_absolute() else None  # a user without a home: `~` would be a folder of the job's


def _kept(path: Path, mark: str, kind: type[Record]) -> Record | None:
    """The record of a file; None if it is not whole, or made from something else."""
    try:
        if not path.is_file():
            return None
        with path.open("rb") as file:
            head, body = file.readline(_MOST_BYTES), file.read(_MOST_BYTES)
        sound = head == _head(path, mark) and is_listed(path.stem, body)
        return rich(kind, json.loads(body)) if sound else None
    except (OSError, ValueError, TypeError, RecursionError):
        return None


def _keep(path: Path, content: bytes) -> None:
    try:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        write_whole(path, content, lasting=False)
    except OSError:
        return  # a full disk, a home that is read only: the next command reads the profile again


def _head(path: Path, mark: str) -> bytes:
    return json.dumps({"record": path.stem, "from": mark}).encode("ascii") + b"\n"


@cache
def _sums() -> Mapping[str, str]:
    found: dict[str, str] = json.loads(LISTED.read_bytes())
    return found


@cache
def _mark(profiles: Path) -> str:
    """The same as long as the shipped profiles hold the same, and are read by the same program."""
    mark = hashlib.sha256(str(_PACKAGE).encode("utf-8", "surrogatepass"))
    program = [path for folder in _READERS for path in sorted(folder.iterdir()) if path.suffix == ".py"]
    for path in (*program, *sorted(profiles.rglob("*.y*ml"))):
        content = path.read_bytes()  # times tell nothing: some installers give one moment to all files
        name = path.relative_to(profiles) if path.is_relative_to(profiles) else path.name
        mark.update(f"{name} {len(content)}\n".encode("utf-8", "surrogatepass"))
        mark.update(content)
    return mark.hexdigest()
