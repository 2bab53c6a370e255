"""The plan as a whole: everything is in it, what is recorded stands, and it says of each step what the job says."""

from __future__ import annotations

from collections import Counter

from scheduler.model.graph import Task
from scheduler.model.plan import PlannedStep
from scheduler.verifying.evidence import Ledger, Said


def complete(ledger: Ledger) -> Said:
    """Every task with work to do is in the plan exactly once; a remedy at most once, and only if it is called for."""
    times = Counter(step.id for step in ledger.plan.steps)
    for task in ledger.graph.tasks:
        if times[task.id] > 1:
            yield task.id, f"is planned {times[task.id]} times"
        elif not times[task.id] and task.remedy_of is None and not ledger.idle(task.id):
            yield task.id, "is not planned"
    for step in ledger.plan.steps:
        if not step.pieces and step.id in ledger.tasks and not ledger.idle(step.id):
            yield step.id, "is in the plan without a time"


def nothing_unknown(ledger: Ledger) -> Said:
    """The plan has no step that the task graph does not know."""
    for step in ledger.plan.steps:
        if step.id not in ledger.tasks:
            yield step.id, "is planned, and the job has no such step"


def recorded(ledger: Ledger) -> Said:
    """What is recorded stands: a done step has just its pieces; one under way has its pieces so far and its rest."""
    for step in ledger.plan.steps:
        state = "done" if step.id in ledger.facts.done else "planned"
        state = "under way" if state == "planned" and step.id in ledger.facts.begun else state
        if step.state != state:
            yield step.id, f"is said to be {step.state}; by the record it is {state}"
        elif state == "done" and step.pieces != ledger.facts.done[step.id]:
            yield step.id, "was done at other times than the plan says"
        elif state == "under way":
            so_far, left = ledger.facts.begun[step.id]
            rest = sum(piece.minutes for piece in step.pieces[len(so_far) :])
            if step.pieces[: len(so_far)] != so_far:
                yield step.id, "was begun at other times than the plan says"
            elif rest != left:
                yield step.id, f"has {left} minutes left, and the plan gives it {rest}"
    for name in (*ledger.facts.done, *ledger.facts.begun):
        if name in ledger.tasks and name not in ledger.steps:
            yield name, "is recorded and left out of the plan"


def as_the_job_says(ledger: Ledger) -> Said:
    """A step is told as the job tells it: title, room, people, pauses, dust, noise, takes, needs and cautions."""
    rooms = {room.id: room.title for room in ledger.job.rooms}
    for step in ledger.plan.steps:
        if step.id in ledger.tasks:
            for what, told, right in _told(step, ledger.tasks[step.id], rooms):
                if told != right:
                    yield step.id, f"is told with {what} {told!r}; the job says {right!r}"


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
        ("cautions", sorted(set(task.cautions) & set(step.cautions)), sorted(set(task.cautions))),
        ("reason given", step.added_because is not None, bool(task.remedy_reason)),
    ]
    if task.room in rooms:
        told.append(("room_title", step.room_title, rooms[task.room]))
    if least is not None and step.smallest_piece != min(least, step.labour):
        told.append(("smallest_piece", step.smallest_piece, least))
    return told


def heading(ledger: Ledger) -> Said:
    """The plan bears the job's id, name and zone, and the moment as of which it was made."""
    plan, job = ledger.plan, ledger.job
    for what, told, right in (
        ("id", plan.job_id, job.id),
        ("name", plan.job, job.name),
        ("zone", plan.zone, job.zone),
        ("as_of", plan.as_of, ledger.facts.now),
    ):
        if told != right:
            yield "", f"the plan has the {what} {told!r}; it should be {right!r}"
