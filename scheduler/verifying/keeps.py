"""What is taken of the shared things, and until when."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from scheduler.model.basics import Span
from scheduler.model.graph import Task
from scheduler.model.keep import Keep
from scheduler.model.message import message
from scheduler.model.plan import PlannedStep
from scheduler.verifying.evidence import Evidence, Found, gathered
from scheduler.verifying.overlap import Overlaps
from scheduler.verifying.presence import warming
from scheduler.wallclock import NEVER

Use = tuple[Span, int, PlannedStep]
"""From when to when, how many, and by whom."""


def things_kept(evidence: Evidence) -> Found:
    """Of a shared thing that somebody keeps no more are taken at any minute than there are, by those who work with it
    and those who keep it until later. More are taken only from a minute on at which somebody takes some, and what
    facts took is judged where a step of the plan does.
    """
    counts = {thing.id: thing.count for thing in evidence.job.things}
    for thing, uses in all_uses(evidence).items():
        if thing not in evidence.kept:
            continue
        taken = Overlaps((span, number) for span, number, _ in uses)
        for span, _, step in uses:
            there, number = counts.get(thing, 0), sum(n for _, n in taken.touching(span.start, span.start + 1))
            if number > there and any(piece.start == span.start for piece in evidence.planned(step)):
                yield step.id, message("rule.kept", thing=thing, start=span.start, taken=number, there=there)


def given_back(evidence: Evidence) -> Found:
    """Who gives back what another step keeps does so no earlier than that step ends, and is in the plan."""
    for step, task in evidence.known():
        for keep in task.keeps:
            if keep.step is None or evidence.started(step.id) or evidence.started(keep.step):
                continue
            giver = evidence.moment(keep.step)
            if giver is None:
                yield step.id, message("rule.never given back", thing=keep.thing, other=keep.step)
            elif (giver.start if keep.at_start else giver.end) < step.end:
                yield step.id, message("rule.given back", thing=keep.thing, other=keep.step)


def holds_told(evidence: Evidence) -> Found:
    """The plan tells of every shared thing when it is taken: from when, until when, by whom, how many."""
    if not evidence.plan.things and not any(task.keeps for task in evidence.tasks.values()):
        return
    told = {
        (each.thing, taken.by, taken.start, taken.until, taken.amount)
        for each in evidence.plan.things
        if not each.room
        for taken in each.taken
    }
    real = {
        (thing, step.id, span.start, span.end, number): step.id
        for thing, uses in all_uses(evidence).items()
        for span, number, step in uses
    }
    for entry in sorted(real.keys() ^ told):
        yield entry[1], message("rule.told taken", thing=entry[0], start=entry[2], until=entry[3])


def all_uses(evidence: Evidence) -> dict[str, list[Use]]:
    """When each shared thing is taken."""
    by_steps = ((thing, use) for step, task in evidence.known() for thing, use in _uses_of(evidence, step, task))
    return gathered(chain(by_steps, warming(evidence)))


def _uses_of(evidence: Evidence, step: PlannedStep, task: Task) -> Iterator[tuple[str, Use]]:
    keeps = {keep.thing: keep for keep in task.keeps}
    for thing, number in task.takes:
        if thing in keeps:
            yield thing, (Span(step.start, _until(evidence, step, keeps[thing])), number, step)
        else:
            for piece in step.pieces:
                yield thing, (piece, number, step)


def _until(evidence: Evidence, step: PlannedStep, keep: Keep) -> int:
    """When it is given back, no earlier than the step ends."""
    if keep.stage is not None:
        ready = evidence.stage_at(step.id, keep.stage)
        return NEVER if ready is None else max(step.end, ready)
    if keep.step is not None:
        giver = evidence.moment(keep.step)
        return NEVER if giver is None else max(step.end, giver.start if keep.at_start else giver.end)
    return max(step.end, step.start + keep.minutes)
