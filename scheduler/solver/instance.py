"""What a problem says once, laid out for schedules to look up: networks, who is barred alike, who is in which set."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from scheduler.solver.heads import Runs
from scheduler.solver.network import Network, Readiness, Ready
from scheduler.solver.problem import Problem
from scheduler.solver.profile import Timeline, packing_of
from scheduler.wallclock import NEVER


class LaidOut:
    """What every schedule of one problem looks up, and the count of the schedules and of the activities placed."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.ready = Readiness(problem.clocks)
        self.schedules = 0
        self.placements = 0
        activities = problem.activities
        size = range(len(activities))
        packing = self.packing = packing_of(problem)
        self.demand = [packing.pack(activity.demand) for activity in activities]
        self.empty = Timeline.of(problem.slots, packing, packing.pack(_least_demand(problem)))
        self.barred, self.groups, self.closing = _barred_alike(problem, self.ready)
        self.soiling = _numbers(size, (soil.soils for soil in problem.soils))
        self.cleaning = _numbers(size, (soil.cleans for soil in problem.soils))
        self.wanting = _numbers(size, (soil.wants_clean for soil in problem.soils))
        self.rules = [
            bool(self.closing[i] or self.soiling[i] or self.wanting[i] or activities[i].fit is not None) for i in size
        ]
        self.touching = [
            bool(self.closing[i] or self.barred[i] or self.soiling[i] or self.cleaning[i] or self.wanting[i])
            for i in size
        ]
        self.open = Runs(problem, [0] * len(packing.widths))
        self.facts = [i for i in size if activities[i].fixed]
        self.releases = [max([a.release, *(span.end for span in a.fixed)]) for a in activities]
        # What is barred by something begun waits until the rest of that is placed: it lasts from the first piece.
        self.begun = [
            (barrier.by, j)
            for barrier in problem.barriers
            if activities[barrier.by].fixed and activities[barrier.by].minutes
            for j in sorted(barrier.bars - {barrier.by})
        ]
        self._networks: dict[tuple[int, ...], Network] = {}
        self._bare: Network | None = None

    def network(self, options: tuple[int, ...]) -> Network:
        """The waits in force under these options."""
        known = self._networks.get(options)
        if known is None:
            known = self._networks[options] = Network(self.problem, options, self.ready)
        return known

    @property
    def bare_network(self) -> Network:
        """The waits that hold whatever is chosen."""
        if self._bare is None:
            self._bare = Network(self.problem, (), self.ready)
        return self._bare

    def settle(self, rank: Sequence[float]) -> tuple[int, ...]:
        """The options that this order takes: in each choice the one whose leader comes first."""
        if not self.problem.choices:
            return ()
        position = {i: place for place, i in enumerate(self.bare_network.ordered(rank))}
        return tuple(
            0 if position.get(a.leader, NEVER) <= position.get(b.leader, NEVER) else 1
            for a, b in self.problem.choices
        )


def _least_demand(problem: Problem) -> tuple[int, ...]:
    """Of each resource the least that anything with work takes."""
    longer = {i for pair in problem.choices for option in pair for i, _ in option.extra}
    activities = problem.activities
    working = {a.demand for i, a in enumerate(activities) if a.minutes or i in longer}
    return tuple(min(amounts) for amounts in zip(*(working or {a.demand for a in activities}), strict=True))


def _numbers(size: range, sets: Iterable[frozenset[int]]) -> list[list[int]]:
    """For every activity the numbers of the sets that it is in."""
    found: list[list[int]] = [[] for _ in size]
    for number, members in enumerate(sets):
        for i in members:
            found[i].append(number)
    return found


Closing = list[list[tuple[Ready, list[int]]]]


def _barred_alike(problem: Problem, ready: Readiness) -> tuple[list[int], int, Closing]:
    """Activities that the same barriers bar share what is closed to them, and are looked at together.

    The answer says for every activity which group it is in (0: nothing bars it), how many groups there are, and
    what it closes itself: the table of when that opens again, and the groups that are kept out meanwhile.
    """
    size = range(len(problem.activities))
    bars = _numbers(size, (barrier.bars - {barrier.by} for barrier in problem.barriers))
    groups: dict[tuple[int, ...], int] = {(): 0}
    barred = [groups.setdefault(tuple(bars[i]), len(groups)) for i in size]
    kept_out: list[list[int]] = [[] for _ in problem.barriers]
    for by, group in groups.items():
        for number in by:
            kept_out[number].append(group)
    closing: Closing = [[] for _ in size]
    for barrier, out in zip(problem.barriers, kept_out, strict=True):
        closing[barrier.by].append((ready.of(barrier.until), out))
    return barred, len(groups), closing
