"""What follows what once every choice is settled, laid out for quick use; and the same backwards in time."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import replace
from heapq import heapify, heappop, heappush

from scheduler.model.basics import Span
from scheduler.model.clock import DryClock
from scheduler.planning.problem import Activity, Lag, Option, Problem, Slot, Wait
from scheduler.wallclock import NEVER

LONG_AGO = -(1 << 60)


class Network:
    """The waits in force under one set of options, by activity."""

    __slots__ = ("followers", "minutes", "needs", "waits")

    def __init__(self, problem: Problem, options: Sequence[int]) -> None:
        self.minutes = [activity.minutes for activity in problem.activities]
        self.waits: list[list[Wait]] = [[] for _ in problem.activities]
        self.followers: list[list[int]] = [[] for _ in problem.activities]
        chosen = [pair[taken] for pair, taken in zip(problem.choices, options, strict=True)]
        for wait in (*problem.waits, *(wait for option in chosen for wait in option.waits)):
            self.waits[wait.after].append(wait)
            self.followers[wait.before].append(wait.after)
        for option in chosen:
            for activity, minutes in option.extra:
                self.minutes[activity] += minutes
        self.needs = [len(waits) for waits in self.waits]

    def ordered(self, rank: Sequence[float]) -> list[int]:
        """All activities such that none comes before what it waits for, the lowest rank first.

        Activities on a circle are left out.
        """
        needs = self.needs[:]
        ready = [(rank[i], i) for i, need in enumerate(needs) if not need]
        heapify(ready)
        order = []
        while ready:
            _, i = heappop(ready)
            order.append(i)
            for j in self.followers[i]:
                needs[j] -= 1
                if not needs[j]:
                    heappush(ready, (rank[j], j))
        return order


def mirrored(problem: Problem) -> Problem:
    """The problem with time running backwards: what must be ready first is then placed last.

    Only what shapes an order is kept: work, capacities and waits. It is a relaxation, used for priorities and
    bounds.
    """
    return Problem(
        activities=tuple(
            Activity(
                minutes=activity.minutes,
                smallest=activity.smallest,
                demand=activity.demand,
                release=LONG_AGO,
                fixed=tuple(Span(-span.end, -span.start) for span in reversed(activity.fixed)),
                optional=activity.optional,
            )
            for activity in problem.activities
        ),
        waits=tuple(_turned(wait) for wait in problem.waits),
        slots=tuple(Slot(-slot.end, -slot.start, slot.capacity, slot.day) for slot in reversed(problem.slots)),
        clocks=tuple(_backwards(clock) for clock in problem.clocks),
        choices=tuple((_turned_option(a), _turned_option(b)) for a, b in problem.choices),
    )


def _turned(wait: Wait) -> Wait:
    return Wait(before=wait.after, after=wait.before, lag=wait.lag)


def _turned_option(option: Option) -> Option:
    return replace(option, waits=tuple(_turned(wait) for wait in option.waits))


def _backwards(clock: DryClock) -> DryClock:
    total = clock.progress[-1]
    return DryClock(
        tuple(-knot for knot in reversed(clock.knots)),
        tuple(total - done for done in reversed(clock.progress)),
    )


class Readiness:
    """Answers "when is it ready if it ends at t?", and remembers the answers: a search asks the same ones again."""

    __slots__ = ("_clocks", "_known")

    def __init__(self, clocks: Sequence[DryClock]) -> None:
        self._clocks = clocks
        self._known: dict[tuple[Lag, int], int] = {}

    def __call__(self, lag: Lag, end: int) -> int:
        """First minute at which `lag` has passed after `end`."""
        if lag.clock is None:
            return end + int(lag.amount)
        key = (lag, end)
        known = self._known.get(key)
        if known is None:
            known = self._known[key] = self._clocks[lag.clock].ready(end, lag.amount)
        return known


def next_fit(fit: Sequence[Span], start: int, hold: int) -> int | None:
    """None if one of the ascending spans holds both moments, else the start of the next span, or NEVER."""
    at = bisect_right(fit, (start, NEVER)) - 1
    if at >= 0 and start < fit[at].end and hold <= fit[at].end:
        return None
    return fit[at + 1].start if at + 1 < len(fit) else NEVER
