"""One schedule that fills the hours well: each stretch of them is filled in several ways, and the best are kept.

What is lost at the end of an evening, because nothing that is left is short enough for it, is lost for good; so is
what a remedy takes because its window was missed. So a finish is aimed at, and of the ways to fill a stretch those
are gone on from after which what is left comes least late for it. The ways are near to one order: they differ from
it in who is served next at one moment, the latest moments first.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import islice
from typing import NamedTuple

from scheduler.planning.known import State
from scheduler.planning.leftover import Leftover
from scheduler.planning.network import LONG_AGO, Ready
from scheduler.planning.orders import scarcest
from scheduler.planning.placing import AT_ONCE, Placer
from scheduler.planning.problem import Placement
from scheduler.planning.schedule import Schedule
from scheduler.planning.stuck import Mends, Stuck

KEPT = 3
"""How many beginnings are kept at the end of each stretch."""

GOOD = 3
"""With how many ways to fill a stretch without coming later than before no more are tried."""

TRIES = 60
"""How many other ways are tried at most."""

Windows = Mapping[int, Sequence[tuple[int, Ready]]]
"""Whose window ends how long after the end of each activity."""


class _Way(NamedTuple):
    """A schedule up to the end of a stretch: how late what is left comes, and how much was not done by that end."""

    late: int
    undone: int
    schedule: Schedule


class Filling:
    """Fills the hours of one problem. `ways` counts the ways in which stretches were filled so far."""

    def __init__(self, placer: Placer) -> None:
        self.placer = placer
        self.ends = [end for _, end in placer.open.spans]
        self.resource = scarcest(placer.problem)
        self.takes = [activity.demand[self.resource] for activity in placer.problem.activities]
        self.ways = 0

    @property
    def has_stretches(self) -> bool:
        """Whether the hours are in more than one stretch."""
        return len(self.ends) > 1

    def filled(self, rank: Sequence[float], options: tuple[int, ...], state: State) -> Placement | Stuck:
        """The best schedule of those near to `rank`, which is in minutes, for the finish that a look granted.

        Whatever has a window is served no later than that ends.
        """
        left = Leftover(state, self.resource)
        first = Schedule(self.placer, options, Mends({}), LONG_AGO)
        windows = _windows(first)
        first.begin(rank, AT_ONCE)
        kept = [_Way(0, 0, first)]
        for end in self.ends:
            if any(not way.schedule.turn for way in kept):
                break
            ahead = {
                tuple(way.schedule.ends): way for before in kept for way in self._ways(before, end, left, windows)
            }
            if not ahead:
                return kept[0].schedule.go_on() or kept[0].schedule.outcome()
            kept = sorted(ahead.values(), key=lambda way: way[:2])[:KEPT]
        outcomes = [way.schedule.go_on() or way.schedule.outcome() for way in kept]
        placements = [outcome for outcome in outcomes if isinstance(outcome, Placement)]
        return min(placements, key=lambda placement: placement.finish) if placements else outcomes[0]

    def _ways(self, before: _Way, end: int, left: Leftover, windows: Windows) -> Iterator[_Way]:
        """How one schedule may go on to the end of the next stretch: in its order, or with another served next."""
        moments: list[tuple[Schedule, int]] = []
        first = before.schedule.copy()
        if not _serve(first, end, windows, moments):
            return
        way = self._way(first, end, left)
        yield way
        good = int(way.late <= before.late)
        for moment, i in islice(_others(moments, end), TRIES) if first.turn else ():
            if good >= GOOD:
                return
            trial = moment.copy()
            trial.call(i)
            if _serve(trial, end, windows, first=i):
                way = self._way(trial, end, left)
                yield way
                good += way.late <= before.late

    def _way(self, schedule: Schedule, end: int, left: Leftover) -> _Way:
        self.ways += 1
        return _Way(left.lateness(schedule, end), -self._done(schedule, end), schedule)

    def _done(self, schedule: Schedule, end: int) -> int:
        """How much of the scarcest resource is taken before an end."""
        return sum(
            takes * (min(until, end) - begin)
            for takes, spans in zip(self.takes, schedule.pieces, strict=True)
            if takes
            for begin, until in spans or ()
            if begin < end
        )


def _windows(schedule: Schedule) -> Windows:
    windows: dict[int, list[tuple[int, Ready]]] = {}
    for i, limited in enumerate(schedule.network.limited):
        for wait, until in limited:
            windows.setdefault(wait.before, []).append((i, until))
    return windows


def _others(moments: Sequence[tuple[Schedule, int]], end: int) -> Iterator[tuple[Schedule, int]]:
    """Who could be served next instead at each of these moments, the latest of them first."""
    for moment, served in reversed(moments):
        for i in moment.could_start(end):
            if i != served:
                yield moment, i


def _serve(
    schedule: Schedule,
    end: int,
    windows: Windows,
    moments: list[tuple[Schedule, int]] | None = None,
    first: int | None = None,
) -> bool:
    """Serve all who start before an end, one `first` that was called; False if it gets stuck.

    Every moment at which it was open who comes next is written down, with who was served then.
    """
    served = first
    while True:
        if served is None:
            before = schedule.copy() if moments is not None else schedule
            if (served := schedule.upcoming(end)) is None:
                return True
            if moments is not None:
                moments.append((before, served))
        if schedule.serve(served) is not None:
            return False
        for i, until in windows.get(served, ()) if schedule.pieces[served] else ():
            schedule.hurry(i, until[schedule.ends[served]])
        served = None
