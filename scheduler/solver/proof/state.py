"""What is known of all placements that are done by a finish, and how one thing that is known leads to the next.

A `ProofInstance` is a problem and what never changes about it. A `State` takes a finish for granted and holds, for
both directions of time, how early every activity can start and end, and what is known to come before what.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Iterator, Sequence
from functools import cached_property
from typing import NamedTuple

from scheduler.solver.energy import Supply
from scheduler.solver.heads import Direction
from scheduler.solver.network import LONG_AGO, first_reaching, mirrored
from scheduler.solver.problem import Hold, Lag, Problem, Wait
from scheduler.solver.proof.disjunctions import (
    Alternative,
    Order,
    Pausing,
    between_closures,
    choices,
    gains,
    lasting,
    pairs,
    smallest_pieces,
    soils,
    whole,
    windows,
    with_work,
)
from scheduler.solver.proof.repeating import Repeats, Stand, dateless
from scheduler.wallclock import NEVER

PASSED = 100
"""After so many that were passed on, it is looked whether conclusions only creep from week to week."""

FORE, BACK = 0, 1


class Refuted(Exception):  # noqa: N818 - not a fault: what is asked for
    """The finish taken for granted cannot be met."""


class ProofInstance:
    """A problem, both directions of its time, what each resource gives, and who uses it.

    `pausing` is what may pause, where the problem has it taken apart.
    """

    def __init__(self, problem: Problem, pausing: Sequence[Pausing] | None = None) -> None:
        self.problem = problem = with_work(between_closures(problem))
        back = mirrored(problem)
        smallest = smallest_pieces(problem)
        self.directions = Direction(problem, smallest), Direction(back, smallest, problem)
        self.waits = lasting(problem, problem.waits)
        self.kept, self.windows = windows(problem)
        activities = problem.activities
        self.size = len(activities)
        self.counted = [i for i, a in enumerate(activities) if a.minutes and not a.optional]
        self.whole = whole(problem)
        self.most = [a.minutes + more for a, more in zip(activities, gains(problem), strict=True)]
        resources = range(len(activities[0].demand) if activities else 0)
        self.supplies = [[Supply(p, r) for r in resources] for p in (problem, back)]
        self.using = [
            [(i, activities[i].demand[r]) for i in self.counted if activities[i].demand[r]] for r in resources
        ]
        self.alone = [self._alone(r) for r in resources]
        self.soils = soils(problem)
        self.peaks = [max((slot.capacity[r] for slot in problem.slots), default=0) for r in resources]
        self.scarce = [r for r in resources if sum(demand for _, demand in self.using[r]) > self.peaks[r]]
        self.pausing = [Pausing((i,), smallest[i] or 1) for i in self.counted if not self.whole[i]]
        if pausing is not None:
            self.pausing = list(pausing)
        self.holds = self._certain_holds()

    def _alone(self, resource: int) -> set[int]:
        """Those that leave nothing of a resource for any other that needs it."""
        peak = max((slot.capacity[resource] for slot in self.problem.slots), default=0)
        least = min((demand for _, demand in self.using[resource]), default=0)
        return {i for i, demand in self.using[resource] if demand + least > peak}

    def _certain_holds(self) -> list[list[Hold]]:
        """For every thing what takes of it in one go in every placement."""
        found: list[list[Hold]] = [[] for _ in self.problem.things]
        for hold in self.problem.holds:
            taker = self.problem.activities[hold.taker]
            if not taker.optional and (not hold.at_work or (self.whole[hold.taker] and not taker.fixed)):
                found[hold.thing].append(hold)
        return found

    @cached_property
    def pairs(self) -> list[Alternative]:
        """Two orders each for all that exclude each other."""
        return pairs(self.problem, self.whole)

    @cached_property
    def apart(self) -> set[tuple[int, int]]:
        """All that exclude each other, both ways round."""
        return {order.arcs[0][:2] for pair in self.pairs for order in (pair.either, pair.other)}

    @cached_property
    def choices(self) -> list[Alternative]:
        """The choices of the problem."""
        return choices(self.problem)

    @cached_property
    def calling(self) -> list[tuple[int, list[tuple[int, dict[int, int]]]]]:
        """For each activity its release, and what it waits for in every placement with the table of that wait."""
        fore, activities = self.directions[FORE], self.problem.activities
        waits: list[list[tuple[int, dict[int, int]]]] = [[] for _ in activities]
        for wait in self.problem.waits:
            if not activities[wait.before].optional:
                waits[wait.after].append((wait.before, fore.passed(wait.lag)))
        return [(activity.release, before) for activity, before in zip(activities, waits, strict=True)]

    @cached_property
    def repeats(self) -> tuple[Repeats, Repeats] | None:
        """In which weeks the hours are the same, in both directions; None if something else knows the date."""
        fore, back = (Repeats(direction.problem.slots) for direction in self.directions)
        return (fore, back) if dateless(self.problem) else None


class Worked(NamedTuple):
    """What was reckoned last of the work before each activity on one resource, in resource minutes: head and amount
    of all that use it, and by activity the bits of those before it and when these are done at the earliest."""

    heads: list[tuple[int, int]]
    done: dict[int, tuple[int, int]]


class State:
    """What is known of all placements that are done by a finish and keep the orders decided so far.

    The bits of `changed` are the activities of which more is known since alternatives were last gone through. With a
    `grace` these placements break these `promises` by no more minutes than that all together. `missed` are the
    windows of which it is decided that they are over.
    """

    def __init__(self, question: ProofInstance) -> None:
        size = question.size
        self.question = question
        self.start = [[LONG_AGO] * size, [LONG_AGO] * size]
        self.end = [[LONG_AGO] * size, [LONG_AGO] * size]
        self.arcs: list[list[list[tuple[int, dict[int, int]]]]] = [[[] for _ in range(size)] for _ in (FORE, BACK)]
        self.kept: list[list[list[tuple[int, dict[int, int]]]]] = [[[] for _ in range(size)] for _ in (FORE, BACK)]
        self.since: list[list[list[tuple[int, dict[int, int]]]]] = [[[] for _ in range(size)] for _ in (FORE, BACK)]
        for i, j, lag in question.waits:
            self._link(i, j, lag)
        for i, j, lag in question.kept:
            self._keep(i, j, lag)
        self.before = [[0] * size, [0] * size]
        self.minutes = [activity.minutes for activity in question.problem.activities]
        self.choices = question.choices
        self.pairs: list[Alternative] = []
        self.windows: list[Alternative] = []
        self.queue: deque[tuple[int, int]] = deque()
        self.changed = -1
        self.grace: int | None = None
        self.promises = question.problem.promises
        self.missed: frozenset[Wait] = frozenset()
        self.worked: dict[tuple[int, int], Worked] = {}

    def copy(self) -> State:
        """A state of its own that knows the same."""
        other = State.__new__(State)
        other.question = self.question
        other.start = [side[:] for side in self.start]
        other.end = [side[:] for side in self.end]
        other.arcs = [side[:] for side in self.arcs]
        other.kept = [side[:] for side in self.kept]
        other.since = [side[:] for side in self.since]
        other.before = [side[:] for side in self.before]
        other.minutes = self.minutes[:]
        other.pairs, other.choices, other.windows = self.pairs, self.choices, self.windows
        other.queue = deque(self.queue)
        other.changed, other.missed = self.changed, self.missed
        other.grace, other.promises = self.grace, self.promises
        other.worked = dict(self.worked)
        return other

    def begin(self) -> None:
        """Set out from the releases. Raises Refuted if something has no place at all."""
        for i, activity in enumerate(self.question.problem.activities):
            if activity.booked:
                self.raise_start(FORE, i, activity.fixed[0].start)
            elif not activity.optional:
                self.raise_start(FORE, i, max([activity.release, *(span.end for span in activity.fixed)]))
        self.flow()

    def done_by(self, finish: int) -> None:
        """Take for granted that all work is done by then. Raises Refuted.

        Whoever asks mostly counts what comes first first: from the end on, everything is passed on once.
        """
        for i in reversed(range(self.question.size)):
            activity = self.question.problem.activities[i]
            if not activity.optional:
                self.raise_start(BACK, i, -finish if activity.minutes else LONG_AGO + 1)
        self.flow()

    def look_closer(self) -> None:
        """From now on count what is known to come before what, all that excludes each other, and windows."""
        question = self.question
        for i, j, _ in question.waits:
            self.know(i, j)
        self.pairs = question.pairs
        self.windows = question.windows

    def raise_start(self, side: int, i: int, at: int) -> None:
        """It starts no earlier than `at` in that direction. Raises Refuted."""
        start, end = self.start[side], self.end[side]
        if at <= start[i]:
            return
        found = self.question.directions[side].place(i, at, self.minutes[i])
        if found is None:
            raise Refuted
        start[i] = found[0]
        end[i] = max(end[i], found[1])
        if start[i] > -self.end[1 - side][i] or end[i] > -self.start[1 - side][i]:
            raise Refuted
        self.queue.append((side, i))
        self.changed |= 1 << i

    def raise_end(self, side: int, i: int, at: int) -> None:
        """It ends no earlier than `at` in that direction. Raises Refuted.

        What runs in one piece then starts no earlier than the most minutes it may get before that.
        """
        if at <= self.end[side][i]:
            return
        if self.question.whole[i]:
            most = self.question.most[i] if self.choices else self.minutes[i]
            self.raise_start(side, i, at - most)
            if at <= self.end[side][i]:
                return
        ending = self.question.directions[side].ending(i, at, self.minutes[i])
        if ending is None or ending > -self.start[1 - side][i]:
            raise Refuted
        self.end[side][i] = ending
        self.queue.append((side, i))
        self.changed |= 1 << i

    def know(self, i: int, j: int) -> None:
        """Write down that i ends before j starts, and all that follows from it. Raises Refuted on a circle."""
        fore, back = self.before
        if fore[j] >> i & 1:
            return
        ahead, behind = fore[i] | 1 << i, back[j] | 1 << j
        if ahead & behind:
            raise Refuted
        for k in _bits(behind):
            if ahead & ~fore[k]:
                fore[k] |= ahead
                self.changed |= 1 << k
        for k in _bits(ahead):
            back[k] |= behind

    def decide(self, order: Order) -> None:
        """Hold to an order from now on. Raises Refuted."""
        if order.missed is not None:
            self.missed |= {order.missed}
        for i, minutes in order.extra:
            self.minutes[i] += minutes
            for side in (FORE, BACK):
                at, self.start[side][i] = self.start[side][i], LONG_AGO
                self.raise_start(side, i, at)
        for i, j, lag in order.arcs:
            self.know(i, j)
            self._link(i, j, lag)
            self.queue += ((FORE, i), (BACK, j))
        for i, j, lag in order.kept:
            self._keep(i, j, lag)
            self.queue += ((FORE, j), (BACK, i))
        for i, j, lag in order.since:
            fore, back = self.question.directions
            self.since[FORE][i] = [*self.since[FORE][i], (j, fore.passed(lag))]
            self.since[BACK][j] = [*self.since[BACK][j], (i, back.passed(lag))]
            self.queue += ((FORE, i), (BACK, j))

    def _link(self, i: int, j: int, lag: Lag) -> None:
        """From now on j starts after the end of i and the lag. The lists may be those of other states too."""
        fore, back = self.question.directions
        self.arcs[FORE][i] = [*self.arcs[FORE][i], (j, fore.passed(lag))]
        self.arcs[BACK][j] = [*self.arcs[BACK][j], (i, back.passed(lag))]

    def _keep(self, i: int, j: int, lag: Lag) -> None:
        """From now on j starts before the lag after the end of i is over."""
        ready = self.question.directions[FORE].passed(lag)
        self.kept[FORE][j] = [*self.kept[FORE][j], (i, ready)]
        self.kept[BACK][i] = [*self.kept[BACK][i], (j, ready)]

    def _keep_to(self, side: int, i: int) -> None:
        """Nothing ends so early that who must follow soon comes too late; nor starts so late. Raises Refuted."""
        for j, until in self.kept[side][i]:
            if side == FORE:
                self.raise_end(FORE, j, first_reaching(until, self.end[FORE][j], self.start[FORE][i]))
            elif self.start[BACK][i] > -NEVER:
                self.raise_end(BACK, j, -until[-self.start[BACK][i]])

    def flow(self) -> None:
        """Pass on what was raised along all waits and orders. Raises Refuted."""
        queue = self.queue
        stands: list[Stand | None] = [None, None]
        passed = 0
        while queue:
            passed += 1
            if not passed % PASSED:
                stands = [self._leap(side, stands[side]) for side in (FORE, BACK)]
            side, i = queue.popleft()
            end, start = self.end[side][i], self.start[side]
            for j, ready in self.arcs[side][i]:
                at = ready[end]
                if at > start[j]:
                    self.raise_start(side, j, at)
            for j, ready in self.since[side][i]:  # from a start to a start, which backwards are ends
                if side == FORE:
                    self.raise_start(FORE, j, ready[self.start[FORE][i]])
                else:
                    self.raise_end(BACK, j, ready[self.end[BACK][i]])
            if self.kept[side][i]:
                self._keep_to(side, i)

    def _leap(self, side: int, stand: Stand | None) -> Stand | None:
        """Put off at once what has only been put off from week to week since a stand; the stand to compare with next.
        Raises Refuted."""
        repeats = self.question.repeats
        if repeats is None:
            return None
        start, end = self.start[side], self.end[side]
        if stand is not None:
            moved = stand.moved_since(start, end)
            minutes = stand.leap(start, end, moved, repeats[side])
            if minutes is None:
                return stand
            for i in moved if minutes else ():
                start[i] += minutes
                end[i] += minutes
                if start[i] > -self.end[1 - side][i] or end[i] > -self.start[1 - side][i]:
                    raise Refuted
                self.queue.append((side, i))
        return self._stand(side)

    def _stand(self, side: int) -> Stand:
        waiting = frozenset(i for where, i in self.queue if where == side)
        return Stand(tuple(self.start[side]), tuple(self.end[side]), waiting)

    def possible(self, order: Order) -> bool:
        """Whether nothing speaks against an order at first sight."""
        start, end, latest = self.start[FORE], self.end[FORE], self.end[BACK]
        masks, direction = self.before[FORE], self.question.directions[FORE]
        for i, j, lag in order.arcs:
            if masks[i] >> j & 1:
                return False
            at = direction.passed(lag)[end[i]]
            if at > start[j]:
                if at > -latest[j]:
                    return False
                found = direction.place(j, at, self.minutes[j])
                if found is None or found[0] > -latest[j] or found[1] > -self.start[BACK][j]:
                    return False
        if any(direction.passed(lag)[self.start[FORE][i]] > -latest[j] for i, j, lag in order.since):
            return False
        return all(direction.passed(lag)[-self.start[BACK][i]] >= start[j] for i, j, lag in order.kept)


def _bits(mask: int) -> Iterator[int]:
    while mask:
        low = mask & -mask
        yield low.bit_length() - 1
        mask ^= low
