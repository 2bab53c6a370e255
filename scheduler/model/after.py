"""What a step follows, in the words of the job file; methods and steps written by hand say it alike."""

from __future__ import annotations

from dataclasses import dataclass, field

from scheduler.errors import Place
from scheduler.model.material import Remedy


@dataclass(frozen=True, slots=True, kw_only=True)
class After:
    """What a step follows: another step, at a stage of its film or so many minutes after its end.

    `on` are the kinds of surface that count where a method follows all that came earlier (none: any).
    `within` (minutes): the latest start after the end of the other step, if there is one; later than that only after
    the `remedy`, where a method knows one. `limit_place` is where that time stands. `at_end` tells `end` from nothing
    said. `first`: in the first round of a cycle alone. `windowless`: its recoat window is of no account, as the film
    is rubbed down in between, or the step lays nothing on it.
    """

    step: str
    stage: str | None = None
    on: tuple[str, ...] = ()
    wait: int = 0
    within: int | None = None
    remedy: Remedy | None = None
    first: bool = False
    windowless: bool = False
    at_end: bool = field(default=False, compare=False)
    place: Place | None = None
    limit_place: Place | None = field(default=None, compare=False)
