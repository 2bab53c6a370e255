"""Files that the person wants written: looked at before anything is planned, so that nothing of theirs is lost."""

from __future__ import annotations

import os
from collections.abc import Iterator
from pathlib import Path

from scheduler.errors import Fault, InputError, Place

_BEGINNING = 4096
"""Bytes of a file in which what made it is looked for."""
_OURS = b"-//tackfree//"


def check_outputs(*, ics: Path | None = None, page: Path | None = None) -> None:
    """Refuse what can't be written, or what would write over a file that is something else.

    A file that is there is written over only if it is an earlier one of the same kind. Raises InputError.
    """
    faults = [*_faults("--ics", ics, "plan.ics"), *_faults("--page", page, "plan.html")]
    if not faults and ics is not None and page is not None and os.path.realpath(ics) == os.path.realpath(page):
        faults = [Fault(Place("--page"), "this is the file of --ics as well", "give each its own name")]
    if faults:
        raise InputError(faults)


def _faults(option: str, path: Path | None, example: str) -> Iterator[Fault]:
    if path is None:
        return
    from scheduler.reading.textfile import shown

    place = Place(f"{option} {shown(path)}")
    if path.is_dir():
        yield Fault(place, "this is a folder", f"name a file in it, such as {shown(path / example)}")
    elif not path.parent.is_dir():
        yield Fault(place, f"there is no folder {shown(path.parent)}", "make it first, or name another")
    elif not os.access(path.parent, os.W_OK):
        yield Fault(place, f"the folder {shown(path.parent)} can't be written to", "name a file in another folder")
    elif path.exists() and not (path.is_file() and _is_earlier(option, path)):
        kind = "calendar file" if option == "--ics" else "page"
        yield Fault(place, f"this is there already, and no {kind} of tackfree; it is left as it is", "name another")


def _is_earlier(option: str, path: Path) -> bool:
    """Whether the file is empty, or one that this option has written before."""
    with path.open("rb") as file:
        head = file.read(_BEGINNING)
    if option == "--ics":
        return not head or (head.startswith(b"BEGIN:VCALENDAR") and _OURS in head)
    return not head or head.lower().startswith(b"<!doctype html>")
