"""One schedule that fills the hours well: each stretch of them is tried in several orders, and the best are kept.

What is lost at the end of an evening, because nothing that is left is short enough for it, is lost for good. So it
is looked for what gets most done by the end of one stretch before the next one is begun.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from random import Random

from scheduler.planning.network import LONG_AGO
from scheduler.planning.orders import scarcest
from scheduler.planning.placing import AT_ONCE, Placer
from scheduler.planning.problem import Placement
from scheduler.planning.schedule import Schedule
from scheduler.planning.stuck import Mends, Stuck

KEPT = 6
"""How many beginnings are kept at the end of each stretch: those by which most is done."""

TRIES = 4
"""In how many orders each of them is carried on to the end of the next one."""

ASTRAY = 4 * 24 * 60
"""How far all but the first of these orders stray at most, in minutes."""


class Filling:
    """Fills the hours of one problem."""

    def __init__(self, placer: Placer, random: Random) -> None:
        self.placer = placer
        self.random = random
        self.ends = [end for _, end in placer.open.spans]
        resource = scarcest(placer.problem)
        self.takes = [activity.demand[resource] for activity in placer.problem.activities]

    @property
    def has_stretches(self) -> bool:
        """Whether the hours are in more than one stretch."""
        return len(self.ends) > 1

    def filled(self, rank: Sequence[float], options: tuple[int, ...] | None) -> Placement | Stuck:
        """The best schedule of those that come of orders near to `rank`, which is in minutes."""
        taken = self.placer.settle(rank) if options is None else options
        first = Schedule(self.placer, taken, Mends({}), LONG_AGO)
        first.begin(rank, AT_ONCE)
        kept = [first]
        for end in self.ends:
            if any(not schedule.turn for schedule in kept):
                break
            ahead = {tuple(trial.ends): trial for trial in self._carried_on(kept, end, rank)}
            if not ahead:
                return kept[0].go_on() or kept[0].outcome()
            kept = sorted(ahead.values(), key=lambda trial: -self._done(trial, end))[:KEPT]
        outcomes = [schedule.go_on() or schedule.outcome() for schedule in kept]
        placements = [outcome for outcome in outcomes if isinstance(outcome, Placement)]
        return min(placements, key=lambda placement: placement.finish) if placements else outcomes[0]

    def _carried_on(self, kept: Sequence[Schedule], end: int, rank: Sequence[float]) -> Iterator[Schedule]:
        """What comes of the schedules by an end, in several orders each."""
        for schedule in kept:
            for attempt in range(TRIES):
                trial = schedule.copy()
                if attempt:
                    trial.reorder([value + self.random.uniform(-ASTRAY, ASTRAY) for value in rank])
                if trial.go_on(until=end) is None:
                    yield trial

    def _done(self, schedule: Schedule, end: int) -> int:
        """How much of the scarcest resource is taken before an end."""
        return sum(
            takes * (min(until, end) - begin)
            for takes, spans in zip(self.takes, schedule.pieces, strict=True)
            if takes
            for begin, until in spans or ()
            if begin < end
        )
