"""What a step keeps of a shared thing beyond the work itself, and until when."""

from __future__ import annotations

from dataclasses import dataclass, field

from scheduler.errors import Place


@dataclass(frozen=True, slots=True, kw_only=True)
class Keep:
    """So many places of a shared thing, taken from the start of a step until they are given back.

    That is when its own film is at `stage`, when another `step` ends or (`at_start`) starts, or `minutes` after its
    own start; but never before its own end. In the file `step` is what a person calls it, in the task graph its id.
    """

    thing: str
    count: int
    stage: str | None = None
    step: str | None = None
    at_start: bool = False
    minutes: int = 0
    place: Place | None = field(default=None, compare=False)
