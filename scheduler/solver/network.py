"""What follows what once every choice is settled, laid out for quick use; and the same backwards in time."""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from heapq import heapify, heappop, heappush

from scheduler.model.basics import Span
from scheduler.model.clock import Derived, DryClock
from scheduler.solver.problem import Activity, Closure, Hold, Lag, Option, Problem, Slot, Soil, Thing, Wait
from scheduler.wallclock import NEVER

LONG_AGO = -(1 << 60)


class ReadyTimes(dict[int, int]):
    """For one lag: end -> the first minute at which it has passed. Worked out once an end; a search asks again."""

    __slots__ = ("_also", "_amount", "_clock", "_then")

    def __init__(
        self, clock: DryClock | None, amount: float, then: int, also: Sequence[tuple[float, DryClock]] = ()
    ) -> None:
        super().__init__()
        self._clock = clock
        self._amount = amount
        self._then = then
        self._also = also

    def __missing__(self, end: int) -> int:
        if self._clock is None or end <= LONG_AGO:
            ready = end + int(self._amount)
        else:
            ready = self._clock.ready(end, self._amount)
            for amount, clock in self._also:
                ready = max(ready, clock.ready(end, amount))
        if self._then and ready < NEVER:
            ready += self._then
        self[end] = ready
        return ready


class Readiness:
    """The table of every lag, made when it is first asked for."""

    __slots__ = ("_clocks", "_known")

    def __init__(self, clocks: Sequence[DryClock]) -> None:
        self._clocks = clocks
        self._known: dict[Lag, ReadyTimes] = {}

    def of(self, lag: Lag) -> ReadyTimes:
        """The table of this lag."""
        known = self._known.get(lag)
        if known is None:
            clock = None if lag.clock is None else self._clocks[lag.clock]
            also = [(amount, self._clocks[number]) for amount, number in lag.also]
            known = self._known[lag] = ReadyTimes(clock, lag.amount, lag.then, also)
        return known

    def __call__(self, lag: Lag, end: int) -> int:
        """First minute at which `lag` has passed after `end`."""
        return self.of(lag)[end]


class Network:
    """The waits in force under one set of options, by the activity that waits.

    `lags` holds the plain ones as (before, minutes), `clocked` those on a clock as (before, table), `limited` those
    with an end to their window as (wait, table of that end). `needs` counts what must be placed first, and
    `followers` says for whom one is counted.
    """

    __slots__ = ("_before", "clocked", "followers", "lags", "limited", "minutes", "needs")

    def __init__(self, problem: Problem, options: Sequence[int], ready: Readiness) -> None:
        activities = problem.activities
        size = len(activities)
        self.minutes = [activity.minutes for activity in activities]
        self.lags: list[list[tuple[int, int]]] = [[] for _ in range(size)]
        self.clocked: list[list[tuple[int, ReadyTimes]]] = [[] for _ in range(size)]
        self.limited: list[list[tuple[Wait, ReadyTimes]]] = [[] for _ in range(size)]
        self.followers: list[list[int]] = [[] for _ in range(size)]
        chosen = [pair[taken] for pair, taken in zip(problem.choices, options, strict=False)]
        calls: dict[int, list[int]] = {}
        waits = (*problem.waits, *(wait for option in chosen for wait in option.waits))
        for wait in waits:
            if wait.lag.clock is None:
                self.lags[wait.after].append((wait.before, int(wait.lag.amount)))
            else:
                self.clocked[wait.after].append((wait.before, ready.of(wait.lag)))
            if wait.until is not None:
                self.limited[wait.after].append((wait, ready.of(wait.until)))
                if wait.remedy is not None:
                    calls.setdefault(wait.remedy, []).append(wait.after)
                    if activities[wait.remedy].fixed and activities[wait.remedy].minutes:
                        self.lags[wait.after].append((wait.remedy, 0))
                        self.followers[wait.remedy].append(wait.after)
            if activities[wait.before].called_for:
                self.followers[wait.before].append(wait.after)
        for wait in waits:  # what a remedy waits for must be placed before the one that may call for it
            for caller in calls.get(wait.after, ()):
                if wait.before != caller and activities[wait.before].called_for:
                    self.followers[wait.before].append(caller)
        for taker, giver in _given_back(problem):
            self.followers[taker].append(giver)
        for activity, minutes in (extra for option in chosen for extra in option.extra):
            self.minutes[activity] += minutes
        counts = Counter(i for followers in self.followers for i in followers)
        self.needs = [counts[i] for i in range(size)]
        self._before: list[list[int]] | None = None

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

    def ahead_of(self, ends: Iterable[int]) -> set[int]:
        """The given activities and all that one of them waits for, directly or not."""
        before = self._before
        if before is None:
            before = self._before = [[] for _ in self.followers]
            for i, followers in enumerate(self.followers):
                for j in followers:
                    before[j].append(i)
        seen = set(ends)
        left = list(seen)
        while left:
            for i in before[left.pop()]:
                if i not in seen:
                    seen.add(i)
                    left.append(i)
        return seen


def _given_back(problem: Problem) -> Iterator[tuple[int, int]]:
    """Who takes, and who gives back and is placed after that."""
    for hold in problem.holds:
        giver, activities = hold.giver, problem.activities
        if giver is not None and activities[hold.taker].called_for and not activities[giver].fixed:
            yield hold.taker, giver


def mirrored(problem: Problem) -> Problem:
    """The problem with time running backwards: what must be ready first is then placed last.

    Only what shapes an order is kept: work, capacities, waits, things and appointments, and no facts. It is used for
    priorities, and what does not hold on to things for bounds, of which it is a relaxation.
    """
    activities = problem.activities
    done = {i for i, each in enumerate(activities) if each.fixed and not each.minutes and not each.booked}
    return Problem(
        activities=tuple(
            Activity(
                minutes=activity.minutes,
                smallest=activity.smallest,
                demand=activity.demand,
                release=LONG_AGO,
                optional=activity.optional,
                fixed=tuple(Span(-end, -start) for start, end in reversed(activity.fixed)) if activity.booked else (),
                booked=activity.booked,
            )
            for activity in problem.activities
        ),
        waits=_turned(problem.waits, done),
        slots=tuple(Slot(-slot.end, -slot.start, slot.capacity, slot.day) for slot in reversed(problem.slots)),
        clocks=tuple(_backwards(clock) for clock in problem.clocks),
        choices=tuple((_turned_option(a, done), _turned_option(b, done)) for a, b in problem.choices),
        barriers=tuple(replace(barrier, until=Lag()) for barrier in problem.barriers),
        soils=tuple(
            Soil(soils=soil.wants_clean, cleans=soil.cleans, wants_clean=soil.soils - soil.cleans)
            for soil in problem.soils
        ),
        things=tuple(
            Thing(thing.places, tuple(Closure(-end, -start, places) for start, end, places in thing.closed))
            for thing in problem.things
        ),
        holds=_holds_back(problem),
    )


def _holds_back(problem: Problem) -> tuple[Hold, ...]:
    """The holds the other way round: who gives back takes, and who takes gives back.

    A stage of a film would have to be waited for ahead of its step then. It is put after it: between two that take
    the same thing in turn as much time goes by.
    """
    return tuple(
        Hold(
            thing=hold.thing,
            places=hold.places,
            taker=hold.taker if hold.giver is None else hold.giver,
            giver=None if hold.giver is None else hold.taker,
            at_start=hold.at_start and hold.giver is None,
            lag=replace(hold.lag, then=0),
            at_work=hold.at_work,
        )
        for hold in problem.holds
        if not any(problem.activities[i].fixed for i in (hold.taker, hold.giver) if i is not None)
    )


def _turned(waits: Iterable[Wait], done: set[int]) -> tuple[Wait, ...]:
    """The waits the other way round; what is done already was not kept waiting.

    What goes by on the wall after a stage is left out: turned round it would come before the clock's share.
    """
    return tuple(
        Wait(before=wait.after, after=wait.before, lag=replace(wait.lag, then=0))
        for wait in waits
        if wait.after not in done
    )


def _turned_option(option: Option, done: set[int]) -> Option:
    return replace(option, waits=_turned(option.waits, done))


def _backwards(clock: DryClock) -> DryClock:
    total = clock.progress[-1]
    return Derived(
        tuple(-knot for knot in reversed(clock.knots)),
        tuple(total - done for done in reversed(clock.progress)),
    )


def first_reaching(until: Mapping[int, int], low: int, start: int) -> int:
    """The first end from `low` on whose window lasts to `start`; `low` if that is later.

    `until` says when the window of an end is over. One that opens at the start itself lasts to it, so no end after
    that is looked at.
    """
    high = start
    while low < high:
        middle = (low + high) // 2
        if until[middle] >= start:
            high = middle
        else:
            low = middle + 1
    return low


def next_fit(fit: Sequence[Span], start: int, hold: int) -> int | None:
    """None if one of the ascending spans holds both moments, else the start of the next span, or NEVER."""
    at = bisect_right(fit, (start, NEVER)) - 1
    if at >= 0 and start < fit[at].end and hold <= fit[at].end:
        return None
    return fit[at + 1].start if at + 1 < len(fit) else NEVER
