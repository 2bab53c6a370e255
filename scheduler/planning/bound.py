"""No plan ends before this: a lower bound on the finish, from chains, hours and workload.

Every step here relaxes the problem (what it leaves out could only make a plan later), so the bound is valid
whatever the search finds. It is destructive: it takes a finish for granted, passes backwards to the latest end of
every activity, and asks whether the work between heads and tails fits into the hours at all; the last finish
refuted is the bound.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product

from scheduler.planning.network import Network, Readiness, mirrored, next_fit
from scheduler.planning.problem import Problem
from scheduler.planning.timeline import Packing, Timeline
from scheduler.wallclock import NEVER

MOST_ORDERS = 64
"""With more combinations of options than this the bound leaves the choices open."""


def lower_bound(problem: Problem, known_finish: int) -> int:
    """The latest minute of which it is certain that no placement finishes before it (at most `known_finish`)."""
    cases = list(_cases(problem))
    best = known_finish
    for case in cases:
        best = min(best, _Case(case).bound(best))
    return best


def latest_starts(problem: Problem, finish: int) -> list[float]:
    """For every activity how late it may start, with nothing else running, to be done by a finish: who is urgent."""
    alone = _alone(replace(mirrored(problem), choices=()), -finish)
    if alone is None:  # not even alone: any order shows where it is stuck
        return [float(i) for i in range(len(problem.activities))]
    return [-float(end) for end in alone.ends]


def _cases(problem: Problem) -> list[Problem]:
    """The problem under each combination of options, without choices; or with the choices left open."""
    if not problem.choices:
        return [problem]
    if 1 << len(problem.choices) > MOST_ORDERS:
        return [replace(problem, choices=())]
    cases = []
    for taken in product((0, 1), repeat=len(problem.choices)):
        options = [pair[i] for pair, i in zip(problem.choices, taken, strict=True)]
        extra: dict[int, int] = {}
        for option in options:
            for activity, minutes in option.extra:
                extra[activity] = extra.get(activity, 0) + minutes
        case = replace(
            problem,
            choices=(),
            waits=(*problem.waits, *(wait for option in options for wait in option.waits)),
            activities=tuple(
                replace(activity, minutes=activity.minutes + extra[i]) if i in extra else activity
                for i, activity in enumerate(problem.activities)
            ),
        )
        network = Network(case, (), Readiness(case.clocks))
        if len(network.ordered([0] * len(case.activities))) == len(case.activities):
            cases.append(case)
    return cases or [replace(problem, choices=())]


@dataclass(frozen=True, slots=True)
class _Ends:
    """For every activity the earliest (or, mirrored, latest) start and end on an empty timeline; None: no place."""

    starts: list[int]
    ends: list[int]


class _Case:
    """The bound of one problem without choices."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.heads = _alone(problem, -NEVER)
        self.mirror = mirrored(problem)
        self.resources = range(len(problem.activities[0].demand) if problem.activities else 0)
        self.capacity = [_Capacity(problem, r) for r in self.resources]

    def bound(self, known_finish: int) -> int:
        """The least finish that is not refuted, at most `known_finish`."""
        if self.heads is None:
            return known_finish
        placed = zip(self.heads.ends, self.problem.activities, strict=True)
        low = max((end for end, activity in placed if activity.minutes or activity.fixed), default=0)
        if low >= known_finish:
            return known_finish
        high = known_finish
        while low < high:
            middle = (low + high) // 2
            if self._refuted(middle):
                low = middle + 1
            else:
                high = middle
        return low

    def _refuted(self, finish: int) -> bool:
        """Whether no placement can be done by `finish`."""
        tails = _alone(self.mirror, -finish)
        if tails is None or self.heads is None:
            return tails is None
        jobs = []
        for i, activity in enumerate(self.problem.activities):
            if activity.optional or not activity.minutes:
                continue
            start, end = self.heads.starts[i], -tails.starts[i]
            if end - start < activity.minutes or self.heads.ends[i] > end:
                return True
            jobs.append((start, end, activity.minutes, activity.demand))
        return any(_overfull(jobs, self.capacity[r], r) for r in self.resources)


def _alone(problem: Problem, floor: int) -> _Ends | None:
    """Every activity as early as it can be with nothing else on the timeline. None if one has no place at all.

    Work that may pause is taken to pause wherever it likes, which can only make it earlier.
    """
    activities = problem.activities
    size = len(activities)
    packing = Packing.of(
        [
            max([*(slot.capacity[r] for slot in problem.slots), *(a.demand[r] for a in activities), 1])
            for r in range(len(activities[0].demand) if activities else 0)
        ]
    )
    line = Timeline.of(problem.slots, packing)
    ready = Readiness(problem.clocks)
    network = Network(problem, (), ready)
    starts, ends = [0] * size, [0] * size
    for i in network.ordered([0] * size):
        activity = activities[i]
        if activity.optional:
            continue
        at = max(activity.release, floor)
        for before, lag in network.lags[i]:
            if not activities[before].optional:
                at = max(at, ends[before] + lag)
        for before, table in network.clocked[i]:
            if not activities[before].optional:
                at = max(at, table[ends[before]])
        if not activity.minutes:
            end = max(at, activity.fixed[-1].end) if activity.fixed else at
            starts[i], ends[i] = (activity.fixed[0].start, activity.fixed[-1].end) if activity.fixed else (end, end)
            continue
        while True:
            smallest = None if activity.smallest is None else 1
            pieces = line.pieces(at, activity.minutes, smallest, packing.pack(activity.demand))
            if pieces is None:
                return None
            if activity.fit is None or activity.fixed:
                break
            later = next_fit(activity.fit, pieces[0].start, ready.of(activity.hold)[pieces[-1].end])
            if later is None:
                break
            if later >= NEVER:
                return None
            at = later
        starts[i], ends[i] = pieces[0].start, pieces[-1].end
    return _Ends(starts, ends)


class _Capacity:
    """How much of one resource there is before a minute, in resource minutes."""

    def __init__(self, problem: Problem, resource: int) -> None:
        self.starts = [slot.start for slot in problem.slots]
        self.ends = [slot.end for slot in problem.slots]
        self.amounts = [slot.capacity[resource] for slot in problem.slots]
        self.sums = [0]
        for slot in problem.slots:
            self.sums.append(self.sums[-1] + (slot.end - slot.start) * slot.capacity[resource])

    def before(self, minute: int) -> int:
        """Resource minutes in all slots before `minute`."""
        i = bisect_right(self.starts, minute) - 1
        if i < 0:
            return 0
        return self.sums[i] + (min(minute, self.ends[i]) - self.starts[i]) * self.amounts[i]


def _overfull(jobs: Sequence[tuple[int, int, int, tuple[int, ...]]], capacity: _Capacity, resource: int) -> bool:
    """Whether between some head and some tail there is more work of this resource than it can give.

    Jobs are (earliest start, latest end, minutes, demand).
    """
    wanting = sorted(
        (end, start, minutes * demand[resource]) for start, end, minutes, demand in jobs if demand[resource]
    )
    given = [capacity.before(end) for end, _, _ in wanting]
    for head in sorted({start for _, start, _ in wanting}):
        before = capacity.before(head)
        work = 0
        for (_, start, amount), until in zip(wanting, given, strict=True):
            if start >= head:
                work += amount
                if work > until - before:
                    return True
    return False
