"""What the writer may have meant."""

from __future__ import annotations

from collections.abc import Sequence
from difflib import get_close_matches


def said_nearest(name: str, known: Sequence[str]) -> str:
    """A hint that names the nearest known name, or all of them where none is near."""
    near = get_close_matches(name, known, n=1, cutoff=0.5)
    if near:
        return f"did you mean '{near[0]}'?"
    return "known are: " + ", ".join(sorted(known)) if known else "there is none"
