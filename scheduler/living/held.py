"""Plans around sessions that a person moved: each is held where it was put, as far as the rules of the trade allow.

Where a rule forbids it (paint that is not dry yet), that step goes where the plan has the best place for it from then
on, and that is said, with the rule.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace

from scheduler.model.job import Job
from scheduler.model.message import Message, message
from scheduler.model.plan import Plan
from scheduler.model.refusal import NoPlanError
from scheduler.pipeline import Made


def held_in_place(job: Job, make: Callable[[Job, bool], Made]) -> Made:
    """The plan with as many steps of the moved sessions held there as the rules allow.

    `make` plans a job, in a hurry if so told. First all are held, then session by session, then step by step; the job
    of the plan that comes out says which are and which are loose. Raises NoPlanError if there is no plan even with
    none of them held.
    """
    if not any(move.steps for move in job.moves):
        return make(job, False)
    made = _hurried(job, make)
    if made is None:
        made = make(_held(job, frozenset()), True)
        held: frozenset[str] = frozenset()
        for move in job.moves:
            for steps in (move.steps, *((step,) for step in move.steps)):
                better = None if held.issuperset(steps) else _hurried(_held(job, held.union(steps)), make)
                if better is not None:
                    made, held = better, held.union(steps)
        job = _held(job, held)
    try:
        return make(job, False)
    except NoPlanError:
        return made  # what was found in a hurry is a plan all the same


def _hurried(job: Job, make: Callable[[Job, bool], Made]) -> Made | None:
    try:
        return make(job, True)
    except NoPlanError:
        return None


def _held(job: Job, held: frozenset[str]) -> Job:
    """The same job with only these steps held to where their sessions were moved; the others are loose."""
    moves = (
        replace(
            move,
            steps=tuple(step for step in move.steps if step in held),
            loose=(*move.loose, *(step for step in move.steps if step not in held)),
        )
        for move in job.moves
    )
    return replace(job, moves=tuple(moves))


def forbidden(job: Job, plan: Plan) -> Iterator[Message]:
    """A message for each step that was to follow its session and could not, with the rule that stood in the way."""
    steps = {step.id: step for step in plan.steps}
    for move in job.moves:
        for name in move.steps:
            step = steps.get(name)
            if step is None or step.state != "planned" or plan.as_of >= move.now.end:
                continue
            if move.now.start <= step.start and step.end <= move.now.end:
                continue
            moved, planned = move.now.start, step.start
            yield message("warned.moved", step=step.id, moved=moved, planned=planned, held=step.held)
