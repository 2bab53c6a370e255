"""How things stand in the file: names, and lines with a note behind them."""

from __future__ import annotations

import re

from scheduler.model.names import slug

_COLUMN = 28
"""Where the notes beside the values begin."""
_NO_NAMES = ("yes", "no", "on", "off", "true", "false", "null", "y", "n")


def quoted(name: str) -> str:
    """A name as it stands in the file: in quotes if it could be taken for something else."""
    plain = re.fullmatch(r"[^\W\d_][^\W_]*(?:[ -][^\W_]+)*", name) and slug(name) not in _NO_NAMES
    return name if plain else f'"{name}"'


def noted(text: str, note: str) -> str:
    """A line with its note behind it, in the column of the others if it is short."""
    return f"{text:<{_COLUMN}} # {note}" if len(text) <= _COLUMN else f"{text}   # {note}"
