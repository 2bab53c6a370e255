"""What a problem says once, laid out for schedules to look up: networks, who is barred alike, who is in which set."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from scheduler.solver.deadlock import Claims
from scheduler.solver.heads import Runs
from scheduler.solver.holds import Holding
from scheduler.solver.network import Network, Readiness, ReadyTimes
from scheduler.solver.problem import Lag, Problem
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
        self.holding = Holding(problem, self.ready)
        holding = self.holding
        self.held = [bool(holding.takes[i] or holding.gives[i] or holding.works[i]) for i in size]
        self.due = _due(problem, self.ready)
        self.rules = [rules or self.held[i] or bool(self.due[i]) for i, rules in enumerate(self.rules)]
        self.touching = [touching or held for touching, held in zip(self.touching, self.held, strict=True)]
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
        self._claims: dict[int, Claims] = {}

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

    def claims(self, network: Network) -> Claims:
        """Who needs what of all that is taken for longer, with the waits of a network."""
        known = self._claims.get(id(network))
        if known is None:
            known = self._claims[id(network)] = Claims(self.holding, network)
        return known

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


def _due(problem: Problem, ready: Readiness) -> list[list[tuple[ReadyTimes, int]]]:
    """What ends each activity must be no later than, for an appointment that waits for it or gives back what it
    takes: a table, and the minute that its answer must not pass.
    """
    due: list[list[tuple[ReadyTimes, int]]] = [[] for _ in problem.activities]
    booked = {i: activity.fixed for i, activity in enumerate(problem.activities) if activity.booked}
    for wait in problem.waits if booked else ():
        if wait.after in booked:
            due[wait.before].append((ready.of(wait.lag), booked[wait.after][0].start))
    for hold in problem.holds if booked else ():
        if hold.giver in booked:
            spans = booked[hold.giver]
            due[hold.taker].append((ready.of(Lag()), spans[0].start if hold.at_start else spans[-1].end))
    return due


def _numbers(size: range, sets: Iterable[frozenset[int]]) -> list[list[int]]:
    """For every activity the numbers of the sets that it is in."""
    found: list[list[int]] = [[] for _ in size]
    for number, members in enumerate(sets):
        for i in members:
            found[i].append(number)
    return found


Closing = list[list[tuple[ReadyTimes, list[int]]]]


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
