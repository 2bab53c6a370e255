"""Starter jobs to edit, shipped with the package. Nothing is written here."""

from __future__ import annotations

import re
from datetime import date
from importlib.resources import files

from scheduler.errors import Fault, InputError, Place
from scheduler.model.names import meant, slug

KINDS = ("repaint a room",)
"""The kinds of starter job; each is the file of that name in starters/."""


def starter_text(kind: str, start: date | None = None) -> str:
    """A commented job of that kind, beginning on `start` if one is given. Raises InputError for an unknown kind."""
    known = {slug(name): name for name in KINDS}
    if slug(kind) not in known:
        raise InputError([Fault(Place("starter"), f"no starter job is called `{kind}`", meant(kind, KINDS))])
    text = (files("scheduler.reading") / "starters" / f"{slug(kind)}.yaml").read_text("utf-8")
    if start is None:
        return text
    return re.sub(r"(?m)^start: [0-9-]{10}", f"start: {start.isoformat()}", text, count=1)
