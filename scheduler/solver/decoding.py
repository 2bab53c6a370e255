"""Schedules of one problem, one after the other. One that gets stuck is begun anew with what would have helped."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from scheduler.solver.conflicts import Mends, Stuck
from scheduler.solver.generation import Schedule
from scheduler.solver.instance import LaidOut
from scheduler.solver.network import LONG_AGO
from scheduler.solver.problem import Placement, Problem
from scheduler.wallclock import NEVER

MENDS = 40
"""How often one schedule is begun anew because it got stuck, or once for every twenty activities if that is more; and
once more for every window that has no remedy."""

AT_ONCE = 1e6
"""Pull enough that the order decides only among those who could start at the same minute."""


class Placer(LaidOut):
    """Places schedules of one problem."""

    def __init__(self, problem: Problem) -> None:
        super().__init__(problem)
        waits = (*problem.waits, *(wait for pair in problem.choices for option in pair for wait in option.waits))
        strict = sum(wait.until is not None and wait.remedy is None for wait in waits)
        self.mends = max(MENDS, len(problem.activities) // 20) + strict

    def place(
        self,
        rank: Sequence[float],
        *,
        options: tuple[int, ...] | None = None,
        not_before: Mapping[int, int] | None = None,
        not_ended: Mapping[int, int] | None = None,
        floor: int = LONG_AGO,
        pull: float = 0.0,
        effort: int = NEVER,
        by: int = NEVER,
    ) -> Placement | Stuck:
        """One schedule in the order of `rank`, lowest first; nothing before `floor` nor its own `not_before`, and at
        an end no earlier than its own `not_ended`.

        After a rank for every activity there may be one for each that is long enough to be cut in two: when its turn
        comes for the smallest piece to begin with, if that is before its own. The rest is placed around whatever is
        served in between.

        Each open minute that one could start earlier counts as `pull` in the rank: with none the order alone says who
        is next, with much of it only among those who could start at once. The schedule is not begun anew once as many
        activities have been placed in all as `effort` says, and is given up where one ends after `by`.
        """
        taken = self.settle(rank) if options is None else options
        mends = Mends(dict(not_before or {}), dict(not_ended or {}))
        outcome = Schedule(self, taken, mends, floor).through(rank, pull, by)
        for _ in range(self.mends):
            if isinstance(outcome, Placement) or outcome.rule == "late" or self.placements >= effort:
                break
            if not mends.learn(outcome, self.network(taken)):
                break
            outcome = Schedule(self, taken, mends, floor).through(rank, pull, by)
        return outcome
