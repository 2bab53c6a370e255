"""The dry clock as data: how far a film has come by when. Built in `drying`, asked when planning."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from math import floor

from scheduler.model.basics import Span
from scheduler.model.message import Message
from scheduler.wallclock import NEVER


@dataclass(frozen=True, slots=True)
class DryClock:
    """Cumulative progress of one rate law in one room's air.

    `knots` are minutes (UTC, ascending); `progress[i]` is ∫ rate du from knots[0] to knots[i], in reference
    minutes. Between two knots the rate is constant, so that splitting an interval anywhere gives the same
    total. Outside the knots the clock knows nothing: before the first it stands still, past the last
    nothing gets ready (NEVER).
    """

    knots: tuple[int, ...]
    progress: tuple[float, ...]

    def __post_init__(self) -> None:
        if len(self.knots) != len(self.progress) or len(self.knots) < 2:
            raise ValueError("a dry clock needs as many progress values as knots, and at least two")
        if any(b <= a for a, b in pairwise(self.knots)) or any(b < a for a, b in pairwise(self.progress)):
            raise ValueError("knots must rise and progress must not fall")

    def at(self, minute: int) -> float:
        """Progress at a minute, in reference minutes since the first knot."""
        knots, progress = self.knots, self.progress
        if minute <= knots[0]:
            return progress[0]
        if minute >= knots[-1]:
            return progress[-1]
        i = bisect_right(knots, minute)
        share = (minute - knots[i - 1]) / (knots[i] - knots[i - 1])
        return progress[i - 1] + share * (progress[i] - progress[i - 1])

    def ready(self, end: int, amount: float) -> int:
        """First whole minute at which a film laid by `end` has made `amount` reference minutes, or NEVER."""
        if amount <= 0:
            return end
        goal = self.at(end) + amount
        knots, progress = self.knots, self.progress
        i = bisect_left(progress, goal - 1e-6)
        if i >= len(progress):
            return NEVER
        if i == 0:
            return max(end, knots[0])
        gain = progress[i] - progress[i - 1]
        exact = knots[i - 1] + (goal - progress[i - 1]) / gain * (knots[i] - knots[i - 1])
        whole = floor(exact)  # minutes are below nothing where time runs backwards
        if exact - whole > 1e-6:
            whole += 1
        return max(end, whole)


@dataclass(frozen=True, slots=True)
class Derived(DryClock):
    """A clock that is made of one that was checked: another pace, or time running backwards."""

    def __post_init__(self) -> None:
        """Nothing to check: what rose rises still."""


@dataclass(frozen=True, slots=True)
class StageClock:
    """When one stage of one film is reached: `amount` reference minutes on `clock` (thickness already in it), and no
    earlier than each stage that it stands on (`after`, with their names; they hold nothing further)."""

    clock: DryClock
    amount: float
    law: str
    source: str
    after: tuple[tuple[str, StageClock], ...] = ()

    def ready(self, end: int) -> int:
        """First whole minute at which a film laid by `end` is at this stage, or NEVER."""
        own = self.clock.ready(end, self.amount)
        return max(own, *(before.ready(end) for _, before in self.after)) if self.after else own


@dataclass(frozen=True, slots=True)
class FilmClocks:
    """All that the planner may know of one task's film.

    `fit` are the spans in which the air is inside the material's limits (None: no limits); a task starts
    inside one of them, and that span must also hold the moment at which stage `hold_until` is reached (or,
    if None, the end of the task). `limits_said` puts the limits in words, for the sentence that explains a
    wait, `air` as a record. `factor` is the thickness factor of the recoat stage: how
    many times as long it takes as at the profile's thickness.

    In a room that is warmed only while somebody is there, `unheated` are the spans whose air is fit without that, and
    `watched` the spans of hours in which it is not for as long as a film needs it: whoever lays one then stays.
    """

    stages: Mapping[str, StageClock]
    fit: tuple[Span, ...] | None
    hold_until: str | None
    limits_said: str
    factor: float
    warnings: tuple[Message, ...] = ()
    air: Message | None = None
    unheated: tuple[Span, ...] | None = None
    watched: tuple[Span, ...] = ()

    def stay(self, end: int) -> int:
        """Until when somebody stays with a film laid by `end`, so that its room is warm until it is far enough; `end`
        where nobody has to."""
        at = bisect_left(self.watched, end, key=lambda span: span.end)
        if self.hold_until is None or at >= len(self.watched) or self.watched[at].start >= end:
            return end
        return min(self.stages[self.hold_until].ready(end), self.watched[at].end)
