"""One stretch of hours, filled in several ways after one beginning: backtracking over who is served next.

The first way is the natural one, the earliest start first and then the order. Another one is gone on with only while
no more is idle than in the best so far. Who was served up to a moment is looked at once, in whatever order.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from scheduler.planning.leftover import Leftover
from scheduler.planning.network import LONG_AGO, Ready
from scheduler.planning.schedule import Schedule

GOOD = 3
"""With how many ways without coming later than before no more are tried."""

TRIES = 100
"""How many are served at most once the first way has come to an end, or to where it is stuck."""

WIDE = 8
"""How many may be served next at one moment at most."""

Windows = Mapping[int, Sequence[tuple[int, Ready]]]
"""Whose window ends how long after the end of each activity."""


class Way(NamedTuple):
    """A schedule up to the end of a stretch: how late what is left comes, what was idle before that end, a bit for
    everybody placed.
    """

    late: int
    idle: int
    placed: int
    schedule: Schedule


class _Moment(NamedTuple):
    """A moment at which it is open who comes next: who was served, a bit each; who could be, the first of them last;
    and what stays idle before that one whoever it is.
    """

    schedule: Schedule
    served: int
    able: list[tuple[int, float, int]]
    idle: int


class Stretch:
    """The ways to go on from one beginning to the end of the hours in [begin, end)."""

    def __init__(
        self, before: Way, begin: int, end: int, left: Leftover, windows: Windows, field: tuple[int, int]
    ) -> None:
        self.before = before
        self.begin = begin
        self.end = end
        self.left = left
        self.windows = windows
        self.field = field
        self.best: Way | None = None
        self.good = 0
        self.tried = 0
        self.turned = False
        self.seen: set[tuple[int, int]] = set()

    def ways(self) -> Iterator[Way]:
        """The natural one, then others, until enough are good or enough were tried. None if all get stuck."""
        first = self._moment(self.before.schedule, 0)
        if not first.able:
            yield self._way(first)
        moments = [first]
        while moments and self.good < GOOD and self.tried < TRIES:
            moment = moments[-1]
            more_idle = self.best is not None and self.before.idle + moment.idle > self.best.idle
            after = None if more_idle else self._next(moment)
            if after is None:
                moments.pop()
            elif after.able:
                moments.append(after)
            else:
                yield self._way(after)

    def _moment(self, schedule: Schedule, served: int) -> _Moment:
        able = schedule.able(self.end)[WIDE - 1 :: -1]
        return _Moment(schedule, served, able, self._idle(schedule, able[-1][0]) if able else 0)

    def _next(self, moment: _Moment) -> _Moment | None:
        """The moment after the next one who can be served; None if there is none."""
        able = moment.able
        while able:
            start, _, i = able.pop()
            served = moment.served | 1 << i
            if (served, start) in self.seen:
                continue
            self.seen.add((served, start))
            self.tried += self.turned
            schedule = moment.schedule.copy()
            schedule.call(i)
            if schedule.serve(i) is not None:
                self.turned = True
                continue
            spans = schedule.pieces[i]
            if not spans or start == LONG_AGO or not schedule.network.minutes[i]:  # nothing to choose
                able.clear()
            for j, until in self.windows.get(i, ()) if spans else ():
                schedule.hurry(j, until[schedule.ends[i]])
            return self._moment(schedule, served)
        return None

    def _way(self, moment: _Moment) -> Way:
        schedule = moment.schedule
        self.turned = True
        late = self.left.lateness(schedule, self.end)
        idle = self.before.idle + self._idle(schedule, self.end)
        way = Way(late, idle, self.before.placed | moment.served, schedule)
        self.good += late <= self.before.late
        if self.best is None or way[:2] < self.best[:2]:
            self.best = way
        return way

    def _idle(self, schedule: Schedule, until: int) -> int:
        return schedule.line.idle(self.begin, until, self.field)
