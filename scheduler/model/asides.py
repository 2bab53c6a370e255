"""What the first screen tells beside the plan itself: the chances of its end, what to get, what was promised."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from scheduler.model.basics import Span
from scheduler.model.diary import Event
from scheduler.model.foresight import Fit, Odds
from scheduler.model.moves import StepMove
from scheduler.model.shopping import Shopping


@dataclass(frozen=True, slots=True, kw_only=True)
class Since:
    """What has become of the plan that somebody last looked at, as of `looked`: its finish then, the steps that are
    still to be done and begin on another day now, how many moved less than that, which are new, and what was recorded
    since. Moments are minutes."""

    looked: int
    finish_before: int
    moved: tuple[StepMove, ...] = ()
    small: int = 0
    new: tuple[str, ...] = ()
    causes: tuple[Event, ...] = ()


@dataclass(frozen=True, slots=True)
class Unheard:
    """A session of the plan handed out that is over, and of which nobody has said whether it took place: when it was,
    and its steps of which nothing is known, by id."""

    span: Span
    steps: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Asides:
    """All that the first screen tells beside the plan. Everything may be missing: nothing is said of it then.

    `promised` is the day by which the job was to be done; `unrecorded` are sessions of the plan handed out of
    which nobody has said whether they took place. `since` is what became of the plan that was last
    looked at. `fits` are changes with which a job that ends too late ends in time; None where that was not looked
    for.
    """

    odds: Odds | None = None
    shopping: Shopping | None = None
    promised: date | None = None
    unrecorded: tuple[Unheard, ...] = ()
    since: Since | None = None
    fits: tuple[Fit, ...] | None = None
