"""One direction of time for the bound: how early everything can be, given what is known to come before what.

The same code serves both directions. Backwards it works on the mirrored problem (minute t is -t), where the earliest
start of an activity is the latest end of the real one, so every rule that raises heads lowers latest ends too.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import replace
from itertools import accumulate

from scheduler.solver.network import Readiness, ReadyTimes, next_fit
from scheduler.solver.problem import Activity, Lag, Problem
from scheduler.solver.profile import split
from scheduler.wallclock import NEVER


class Runs:
    """The longest stretches in which one demand finds its capacity on an empty timeline, ascending."""

    __slots__ = ("_ends", "_sums", "spans")

    def __init__(self, problem: Problem, demand: Sequence[int]) -> None:
        self.spans: list[tuple[int, int]] = []
        enough = {
            capacity: all(want <= have for want, have in zip(demand, capacity, strict=True))
            for capacity in {slot.capacity for slot in problem.slots}
        }
        for slot in problem.slots:
            if not enough[slot.capacity]:
                continue
            if self.spans and self.spans[-1][1] == slot.start:
                self.spans[-1] = self.spans[-1][0], slot.end
            else:
                self.spans.append((slot.start, slot.end))
        self._ends = [end for _, end in self.spans]
        self._sums = [0, *accumulate(end - start for start, end in self.spans)]

    def index(self, minute: int) -> int:
        """The first run that ends after a minute."""
        return bisect_right(self._ends, minute)

    def before(self, minute: int) -> int:
        """Minutes in all stretches before `minute`."""
        i = self.index(minute)
        return self._sums[i] + (max(minute - self.spans[i][0], 0) if i < len(self.spans) else 0)

    def first(self, at: int, minutes: int, smallest: int | None) -> tuple[int, int] | None:
        """The earliest start from `at` on of work that long, and its earliest end; None: there is no room.

        The two may belong to different ways of cutting it.
        """
        spans = self.spans
        least = minutes if smallest is None or minutes < 2 * smallest else smallest
        for i in range(self.index(at), len(spans)):
            begin, until = spans[i]
            begin = max(begin, at)
            if until - begin < least:
                continue
            if least == minutes or until - begin >= minutes:
                return begin, begin + minutes
            pieces = split(((max(a, at), b) for a, b in spans[i:]), minutes, least)
            return None if pieces is None else (begin, pieces[-1].end)
        return None


class _Turned(dict[int, int]):
    """A lag backwards in time: what goes by on the wall after the stage comes first, then the share of the clock."""

    __slots__ = ("_ready", "_then")

    def __init__(self, ready: ReadyTimes, then: int) -> None:
        super().__init__()
        self._ready = ready
        self._then = then

    def __missing__(self, end: int) -> int:
        ready = self[end] = self._ready[end + self._then]
        return ready


class Direction:
    """What does not change while one problem is looked at: places on an empty timeline, and when lags have passed.

    Backwards in time `fits` is the problem as it is, whose spans that fit are not turned round.
    """

    def __init__(self, problem: Problem, smallest: Sequence[int | None], fits: Problem | None = None) -> None:
        self.problem = problem
        self.smallest = smallest
        self.fits = fits
        self.ready = Readiness(problem.clocks)
        runs = {demand: Runs(problem, demand) for demand in {a.demand for a in problem.activities}}
        self.runs = [runs[a.demand] for a in problem.activities]
        self.known: list[dict[tuple[int, int], tuple[int, int] | None]] = [{} for _ in problem.activities]

    def passed(self, lag: Lag) -> dict[int, int]:
        """The table of when a lag has passed after an end; backwards, how early the end is before a start."""
        if self.fits is not None and lag.then:
            return _Turned(self.ready.of(replace(lag, then=0)), lag.then)
        return self.ready.of(lag)

    def place(self, i: int, at: int, minutes: int) -> tuple[int, int] | None:
        """The earliest start and the earliest end of an activity that starts at `at` or later, alone."""
        known = self.known[i]
        key = at, minutes
        if key not in known:
            known[key] = self._place(self.problem.activities[i], i, at, minutes)
        return known[key]

    def ending(self, i: int, at: int, minutes: int) -> int | None:
        """The earliest end from `at` on of an activity that may pause: its last piece is no shorter than its smallest
        one, and lies in one stretch of hours. None if there is none.
        """
        if not minutes:
            return at
        least = min(self.smallest[i] or minutes, minutes)
        spans = self.runs[i].spans
        for k in range(self.runs[i].index(at - 1), len(spans)):
            begin, until = spans[k]
            end = max(at, begin + least)
            if end <= until:
                return end
        return None

    def _place(self, activity: Activity, i: int, at: int, minutes: int) -> tuple[int, int] | None:
        if not minutes:
            if activity.fixed:
                late = activity.booked and at > activity.fixed[0].start  # an appointment never moves
                return None if late else (activity.fixed[0].start, activity.fixed[-1].end)
            return at, at
        if self.fits is not None:
            return self._place_back(self.fits.activities[i], i, at, minutes)
        while True:
            found = self.runs[i].first(at, minutes, self.smallest[i])
            if found is None or activity.fit is None or activity.fixed:
                return found
            later = next_fit(activity.fit, found[0], self.ready.of(activity.hold)[found[1]])
            if later is None:
                return found
            if later >= NEVER:
                return None
            at = later

    def _place_back(self, activity: Activity, i: int, at: int, minutes: int) -> tuple[int, int] | None:
        """The same backwards: the end is early enough for what must hold in the last span begun by the latest start.

        In a span before that one the end would have to be earlier still.
        """
        while True:
            found = self.runs[i].first(at, minutes, self.smallest[i])
            if found is None or activity.fit is None or activity.fixed:
                return found
            place = bisect_right(activity.fit, (-found[1], NEVER)) - 1
            if place < 0:
                return None
            at = self.passed(activity.hold)[-activity.fit[place].end]
            if at <= found[0]:
                return found
