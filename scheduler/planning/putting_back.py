"""A step that has moved goes back to where it was told to be, if it can go there by itself.

A schedule that is made anew serves one activity after the other at its earliest place, so that work in several pieces
may take an hour that it had left alone before. Here one step at a time takes its former pieces as they were, all the
others staying where they are, and whoever asks says what is wrong with that plan.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Set
from dataclasses import replace

from scheduler.solver.objective import aim_of
from scheduler.solver.problem import Placement, Problem, Result

MOST_ASKED = 40
"""Of so many plans it is asked at most what is wrong: each time costs as much as to tell it."""


def put_back(problem: Problem, found: Result, wrong: Callable[[Result], Set[Hashable]]) -> Result:
    """The result with every step back where `problem.stay` has it that can go back alone, makes no aim worse, and
    breaks no rule (`wrong`) that is not broken as it is."""
    asked, known, again = 0, None, True
    former = sorted((spans, i) for i, spans in enumerate(problem.stay or ()) if spans)
    while again:  # one that has gone back makes room for another: for those after it, or for those before it
        again = False
        former.reverse()
        for spans, i in former:
            now = found.placement.pieces[i]
            if not now or tuple(now) == tuple(spans) or problem.activities[i].fixed or asked >= MOST_ASKED:
                continue
            pieces = (*found.placement.pieces[:i], tuple(spans), *found.placement.pieces[i + 1 :])
            back = replace(found.placement, pieces=pieces)
            if not _in_order(problem, back, i) or aim_of(problem, back) >= aim_of(problem, found.placement):
                continue
            asked += 1
            known = wrong(found) if known is None else known
            if wrong(replace(found, placement=back)) <= known:
                found, again = replace(found, placement=back), True
    return found


def _in_order(problem: Problem, placement: Placement, i: int) -> bool:
    """Whether one begins no earlier than it may, after all that it follows and before all that follows it, and in the
    hours: what can be seen at once of whether a plan is sound."""
    pieces = placement.pieces
    if pieces[i][0].start < problem.activities[i].release:
        return False
    for wait in problem.waits:
        before, after = pieces[wait.before], pieces[wait.after]
        if i in (wait.before, wait.after) and before and after and before[-1].end > after[0].start:
            return False
    return all(any(slot.start <= span.start < slot.end for slot in problem.slots) for span in pieces[i])
