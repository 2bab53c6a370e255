"""One schedule that fills the hours well: each stretch of them is filled in several ways, and the best are kept.

What is lost at the end of an evening, because nothing that is left is short enough for it, is lost for good; so is
what a remedy takes because its window was missed. So a finish is aimed at, and of the ways to fill a stretch those
are gone on from after which what is left comes least late for it.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from random import Random

from scheduler.solver.activity_lists import by_latest_starts, scarcest
from scheduler.solver.beam.branching import Manner, Stretch, Way, Windows
from scheduler.solver.beam.remaining import Leftover
from scheduler.solver.conflicts import Mends, Stuck
from scheduler.solver.decoding import AT_ONCE, Placer
from scheduler.solver.generation import Schedule
from scheduler.solver.network import LONG_AGO, ReadyTimes
from scheduler.solver.problem import Placement
from scheduler.solver.proof.state import BACK, FORE, State
from scheduler.wallclock import DAY

KEPT = 16
"""How many ways are kept and gone on from at the end of each stretch."""

MOST_KEPT = 1_600
"""How many activities all of these have at most, unless there are two ways, so that effort is left for more."""

SAVING = 0.25
"""In how many schedules who cleans is saved until somebody wants it, and what soils may begin with a piece."""

BY_ORDER = 0.5
"""In how many stretches the most urgent come first."""

STRAYS = 0.7
"""In how many schedules each stretch is filled in an order near to that of the latest starts, instead of that."""

STRAYING = 0.3
"""Share of the activities that stray in such an order."""

SPREADS = (0.1, 0.3, 1.0, 3.0)
"""How far they stray at most, in days: one of these."""


class Filling:
    """Fills the hours of one problem. `ways` counts the ways in which stretches were filled so far.

    Once `spent` says so, what is left is served in its order.
    """

    def __init__(self, placer: Placer, spent: Callable[[], bool] = lambda: False) -> None:
        self.placer = placer
        self.spent = spent
        self.resource = scarcest(placer.problem)
        self.ways = 0

    @property
    def has_stretches(self) -> bool:
        """Whether the hours are in more than one stretch."""
        return len(self.placer.open.spans) > 1

    def cleaners(self, state: State) -> list[int]:
        """Who cleans and could do so more than a day later than at the earliest, as far as a state says."""
        problem = self.placer.problem
        cleaning = sorted({i for soil in problem.soils for i in soil.cleans})
        named = [(i, problem.activities[i]) for i in cleaning]
        open_ones = [i for i, activity in named if activity.minutes and not activity.optional and not activity.fixed]
        return [i for i in open_ones if -state.end[BACK][i] - state.start[FORE][i] > DAY]

    def by_chance(self, state: State, known_finish: int, random: Random) -> Placement | Stuck | None:
        """What `filled` leads to in the order of the latest starts that a state allows, or near to that, if each way
        is gone on from in a manner of its own.
        """
        rank = by_latest_starts(state)
        saving = random.random() < SAVING
        manner = partial(_manner, len(rank), random, in_pieces=saving, straying=random.random() < STRAYS)
        return self.filled(
            rank,
            self.placer.settle(rank),
            state,
            known_finish,
            manner,
            keep=min(KEPT, max(MOST_KEPT // len(rank), 2)),
            saved=self.cleaners(state) if saving else (),
        )

    def filled(
        self,
        rank: Sequence[float],
        options: tuple[int, ...],
        state: State,
        known_finish: int,
        manner: Callable[[], Manner],
        *,
        keep: int,
        saved: Iterable[int] = (),
    ) -> Placement | Stuck | None:
        """The best schedule for the finish that a look granted, served in the order of `rank`, which is in minutes,
        unless others serve it better. Whatever has a window is served no later than that ends.

        So many ways are kept and gone on from at the end of each stretch, each with others placed; `manner` is asked
        anew for how to go on from each. Who cleans can be saved until somebody urgent wants it. None if it came to
        nothing earlier than a known finish.
        """
        first = Schedule(self.placer, options, Mends({}), LONG_AGO)
        left = Leftover(state, self.resource, first.network)
        most = left.allowed(known_finish)
        windows, field = _windows(first), self.placer.packing.field(self.resource)
        first.begin(rank, AT_ONCE)
        for i in saved:
            first.save(i, int(rank[i]))
        kept = [Way(0, 0, 0, first)]
        for begin, end in self.placer.open.spans:
            if self.spent() or any(not way.schedule.turn for way in kept):
                break
            ahead: dict[int, Way] = {}
            for before in kept:
                for way in Stretch(before, begin, end, left, windows, field, manner()).ways():
                    self.ways += 1
                    if way.placed not in ahead or way[:2] < ahead[way.placed][:2]:
                        ahead[way.placed] = way
            if not ahead:
                return kept[0].schedule.go_on() or kept[0].schedule.outcome()
            kept = sorted((way for way in ahead.values() if way.late <= most), key=lambda way: way[:3])[:keep]
            if not kept:
                return None
        outcomes = [way.schedule.go_on() or way.schedule.outcome() for way in kept]
        placements = [outcome for outcome in outcomes if isinstance(outcome, Placement)]
        return min(placements, key=lambda placement: placement.finish) if placements else outcomes[0]


def _manner(size: int, random: Random, *, in_pieces: bool, straying: bool) -> Manner:
    """How to fill one stretch, by chance."""
    spread = random.choice(SPREADS) * DAY
    far = (random.uniform(-spread, spread) if random.random() < STRAYING else 0.0 for _ in range(size))
    return Manner(by_order=random.random() < BY_ORDER, in_pieces=in_pieces, strays=list(far) if straying else ())


def _windows(schedule: Schedule) -> Windows:
    windows: dict[int, list[tuple[int, ReadyTimes]]] = {}
    for i, limited in enumerate(schedule.network.limited):
        for wait, until in limited:
            windows.setdefault(wait.before, []).append((i, until))
    return windows
