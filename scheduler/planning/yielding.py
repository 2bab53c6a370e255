"""What gives way where what was recorded leaves no plan that keeps every rule.

One rule after the other, each for the step that got stuck; and where the hours of the job have run out, it is planned
as if they went on. A plan tells what it breaks by that.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from scheduler.model.broken import Broken
from scheduler.model.message import message
from scheduler.model.plan import Plan
from scheduler.planning.encode import Lowered
from scheduler.planning.ground import Ground
from scheduler.solver.concessions import concession
from scheduler.solver.conflicts import Stuck
from scheduler.solver.problem import Result
from scheduler.wallclock import DAY

TIMELESS = frozenset({"circle", "window", "clean", "closed", "taken"})
"""What gets stuck by one of these rules gets stuck as well with more weeks ahead."""

DRY = 20 * 7
"""Days from now on. Hours that end before that have run out."""

SHARED = frozenset({"enough people", "things shared", "things kept"})
"""Rules of the verifier that are broken by two steps together."""


def yielding(
    ground: Ground,
    lowered: Lowered,
    stuck: Stuck,
    going_on: Callable[[Ground, int], Ground],
    answered: Callable[[Ground, Lowered], Result | Stuck],
) -> tuple[Ground, Lowered, Result | Stuck]:
    """What is left of a question that got stuck, and its answer; what got stuck if nothing can give way any more,
    which is a fault of this program.

    `going_on` is the ground as if the hours, which end at a minute, went on; `answered` is the answer to a question.
    """
    while True:
        if stuck.rule in TIMELESS or ground.going_on or not _run_out(ground, lowered):
            given = concession(lowered.problem, stuck)
            if given is None:
                return ground, lowered, stuck
            lowered = lowered.giving_up(given)
        else:
            ground = going_on(ground, max((window.end for window in ground.windows), default=ground.facts.now))
            lowered = ground.question().giving_up(*lowered.given)
        outcome = answered(ground, lowered)
        if not isinstance(outcome, Stuck):
            return ground, lowered, outcome
        stuck = outcome


def _run_out(ground: Ground, lowered: Lowered) -> bool:
    """Whether there are no more hours, a good while before as far as a plan may reach."""
    last = max((slot.end for slot in lowered.problem.slots), default=0)
    return last < max(ground.facts.now, ground.job.start) + DRY * DAY


def sorted_out(broken: tuple[Broken, ...], lowered: Lowered) -> tuple[tuple[Broken, ...], tuple[Broken, ...]]:
    """The rules that a plan breaks: those that were given up for a step, with what can be done, and all others.

    Who takes more of a resource than there is may do so beside another step, at which that shows.
    """
    free = {lowered.names[i]: given.rule for given in lowered.given for i in given.activities}
    if "resource" in free.values():
        free |= {each.step: "resource" for each in broken if each.rule in SHARED and each.step not in free}
    told = (_given_up(each, free[each.step]) for each in broken if each.step in free)
    return tuple(told), tuple(each for each in broken if each.step not in free)


def _given_up(broken: Broken, rule: str) -> Broken:
    """A broken rule, with what can be done where that rule had to give way."""
    return replace(broken, said=message("given up", step=broken.step, said=broken.said, rule=rule))


def past_hours(plan: Plan, ground: Ground) -> Iterator[Broken]:
    """What is planned after the last hours of the job, as if they went on."""
    if not ground.going_on:
        return
    said = message("rule.past hours", end=ground.going_on)
    for step in plan.steps:
        if any(piece.start >= max(ground.going_on, ground.facts.now) for piece in step.pieces):
            yield _given_up(Broken("work hours", step.id, said), "hours")
