"""Nothing moves that need not move: a good placement is drawn back towards the one handed out before.

Finish and days are settled by the search; here only what they leave open is asked, and nobody waits for it in work
hours, nor has a window to be mended. Activities are held at their
former starts, all up to some day or all from some day on, and then one by one, and whatever is better by the aims of
the search is kept.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Mapping
from dataclasses import replace

from scheduler.solver.activity_lists import served
from scheduler.solver.conflicts import Stuck
from scheduler.solver.decoding import Placer
from scheduler.solver.objective import Aim, aim_of, days_used, only_on, waited
from scheduler.solver.problem import Placement, Problem, Result
from scheduler.wallclock import NEVER

MOST_PLACED = 200_000
"""Activities placed before what has moved till then may stay moved: jobs of some hundred steps are done before."""


def stay_close(problem: Problem, result: Result) -> Result:
    """The same result, or one better by the aims (promises, finish, days, moved, starts) that is closer to
    `problem.stay`."""
    if problem.stay is None:
        return result
    close = _Close(problem, result.placement)
    close.hold()
    if close.aim.moved and problem.has_days:  # what took fewer days may have moved more than it need on those
        close.keep_to(only_on(problem, days_used(problem, close.placement).keys()))
        close.hold()
    return replace(result, placement=close.placement, placements_tried=result.placements_tried + close.tried)


def may_wait(problem: Problem, placement: Placement) -> int:
    """The minutes for which hands may be idle so that things stay as they were: as many as in a placement that knows
    of no other, or as were handed out before."""
    return max(waited(problem, placement.pieces), waited(problem, problem.stay or ()))


class _Close:
    """The best placement so far, and what else has been tried."""

    def __init__(self, problem: Problem, placement: Placement) -> None:
        self.problem = problem
        self.placer = Placer(problem)
        self.tried = 0
        self.placement = placement
        self.waits = may_wait(problem, placement)
        self.aim: Aim = aim_of(problem, placement)
        stay = problem.stay or ()
        self.former = {
            i: spans[0].start
            for i, spans in enumerate(stay)
            if spans and not problem.activities[i].fixed and spans[0].start >= problem.activities[i].release
        }

    def keep_to(self, problem: Problem) -> None:
        """Try on in the hours of another problem, which differs in nothing else."""
        self.placer = Placer(problem)

    def hold(self) -> None:
        """Hold in all ways, and count what was tried; where nothing moved there is nothing to hold."""
        if not any(self._moved(i) for i in self.former):
            return
        self._hold_to_some_day()
        self._hold_one_by_one()
        self.tried += self.placer.placements

    def _hold_to_some_day(self) -> None:
        """Hold all that began before a day, or all that did not, for each day on which something began; at last hold
        everything. Where the first days are full, the search knows best what goes on them, and the rest stays put."""
        slots = self.problem.slots
        first: dict[int, int] = {}
        for start in sorted(self.former.values()):
            at = bisect_right(slots, start, key=lambda slot: slot.start) - 1
            first.setdefault(slots[at].day if at >= 0 else -1, start)
        for moment in (*list(first.values())[1:], NEVER) if first else ():
            self._try({i: start for i, start in self.former.items() if start < moment})
            self._try({i: start for i, start in self.former.items() if start >= moment})

    def _hold_one_by_one(self) -> None:
        """Hold all that has not moved, and one of those that have, the earliest first."""
        for i in sorted(self.former, key=lambda i: (self.former[i], i)):
            if self.placer.placements >= MOST_PLACED:
                return
            if self._moved(i):
                self._try({j: start for j, start in self.former.items() if j == i or not self._moved(j)})

    def _moved(self, i: int) -> bool:
        return self.problem.stay is not None and tuple(self.placement.pieces[i]) != tuple(self.problem.stay[i] or ())

    def _try(self, held: Mapping[int, int]) -> None:
        """Place anew with these held, served in the order of their starts, or of their ends: work that pauses for
        another one begins before it and ends after it."""
        stay = self.problem.stay or ()
        now = [tuple((stay[i] or ()) if i in held else spans) for i, spans in enumerate(self.placement.pieces)]
        far = float(self.placement.finish + 1)
        starts = [float(spans[0].start) if spans else far for spans in now]
        ends = [float(spans[-1].end) if spans else far for spans in now]
        for rank in (starts, ends, served(self.problem, now)):
            for options in sorted({self.placement.options, self.placer.settle(rank)}):
                outcome = self.placer.place(
                    rank, options=options, not_before=held, effort=MOST_PLACED, by=self.aim.finish
                )
                if isinstance(outcome, Stuck):
                    continue
                aim = aim_of(self.problem, outcome)
                if aim < self.aim and waited(self.problem, outcome.pieces) <= self.waits:
                    self.placement, self.aim = outcome, aim
