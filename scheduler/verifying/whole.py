"""The plan as a whole: everything is in it, what is recorded stands, and it says of each step what the job says."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable

from scheduler.model.beware import Beware
from scheduler.model.graph import Task
from scheduler.model.message import message
from scheduler.model.plan import PlannedStep
from scheduler.verifying.evidence import Evidence, Found


def complete(evidence: Evidence) -> Found:
    """Every task with work to do is in the plan exactly once; a remedy at most once, and only if it is called for."""
    times = Counter(step.id for step in evidence.plan.steps)
    for task in evidence.graph.tasks:
        if times[task.id] > 1:
            yield task.id, message("rule.twice", times=times[task.id])
        elif not times[task.id] and task.remedy_of is None and not evidence.idle(task.id):
            yield task.id, message("rule.left out")
    for step in evidence.plan.steps:
        if not step.pieces and step.id in evidence.tasks and not evidence.idle(step.id):
            yield step.id, message("rule.no time")


def nothing_unknown(evidence: Evidence) -> Found:
    """The plan has no step that the task graph does not know."""
    for step in evidence.plan.steps:
        if step.id not in evidence.tasks:
            yield step.id, message("rule.unknown")


def recorded(evidence: Evidence) -> Found:
    """What is recorded stands: a done step has just its pieces; one under way has its pieces so far and its rest."""
    for step in evidence.plan.steps:
        state = "done" if step.id in evidence.facts.done else "planned"
        state = "under way" if state == "planned" and step.id in evidence.facts.begun else state
        if step.state != state:
            yield step.id, message("rule.state", told=step.state, right=state)
        elif state == "done" and step.pieces != evidence.facts.done[step.id]:
            yield step.id, message("rule.done otherwise")
        elif state == "under way":
            so_far, left = evidence.facts.begun[step.id]
            rest = sum(piece.minutes for piece in step.pieces[len(so_far) :])
            if step.pieces[: len(so_far)] != so_far:
                yield step.id, message("rule.begun otherwise")
            elif rest != left:
                yield step.id, message("rule.minutes left", left=left, rest=rest)
    for name in (*evidence.facts.done, *evidence.facts.begun):
        if name in evidence.tasks and name not in evidence.steps:
            yield name, message("rule.record left out")


def as_the_job_says(evidence: Evidence) -> Found:
    """A step is told as the job tells it: title, room, people, pauses, dust, noise, takes, needs and cautions."""
    rooms = {room.id: room.title for room in evidence.job.rooms}
    for step in evidence.plan.steps:
        if step.id in evidence.tasks:
            for what, told, right in _told(step, evidence.tasks[step.id], rooms):
                if told != right:
                    yield step.id, message("rule.told", what=what, told=repr(told), right=repr(right))


def _told(step: PlannedStep, task: Task, rooms: dict[str, str]) -> list[tuple[str, object, object]]:
    """What a step says of itself, beside what the task says: (name of the field, told, right)."""
    least = task.smallest_piece
    told: list[tuple[str, object, object]] = [
        (name, getattr(step, name), getattr(task, name))
        for name in ("title", "room", "people", "dusty", "noisy", "wet", "wipes")
    ]
    told += [
        ("can_pause", step.can_pause, least is not None),
        ("takes", sorted(step.takes), sorted(task.takes)),
        ("needs", sorted(step.needs), sorted(task.needs)),
        ("cautions", _texts(set(task.cautions) & set(step.cautions)), _texts(task.cautions)),
        ("reason given", step.added is not None, task.added is not None),
    ]
    if task.room in rooms:
        told.append(("room_title", step.room_title, rooms[task.room]))
    if least is not None and step.smallest_piece != min(least, step.labour):
        told.append(("smallest_piece", step.smallest_piece, least))
    return told


def _texts(cautions: Iterable[Beware]) -> list[str]:
    return sorted(caution.text for caution in cautions)


def heading(evidence: Evidence) -> Found:
    """The plan bears the job's id, name and zone, and the moment as of which it was made."""
    plan, job = evidence.plan, evidence.job
    for what, told, right in (
        ("id", plan.job_id, job.id),
        ("name", plan.job, job.name),
        ("zone", plan.zone, job.zone),
        ("as_of", plan.as_of, evidence.facts.now),
    ):
        if told != right:
            yield "", message("rule.heading", what=what, told=repr(told), right=repr(right))
