"""What has become of the plan that somebody last looked at: other commands may have planned several times since."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from scheduler.diary.kept import Kept, Seen
from scheduler.living.site import Site
from scheduler.model.asides import Since
from scheduler.model.basics import Span
from scheduler.model.diary import Note, Renamed, Undone, living, went_as_planned
from scheduler.model.moves import StepMove
from scheduler.model.plan import Plan
from scheduler.wallclock import local_date


def seen_as(plan: Plan, lines: int) -> Seen:
    """A plan as it is remembered once it was looked at; it was made for so many lines of the diary."""
    pieces = {step.id: step.pieces for step in plan.steps}
    return Seen(as_of=plan.as_of, lines=lines, finish=plan.finish, pieces=pieces)


def last_seen(kept: Kept) -> Seen | None:
    """The plan last looked at; where none is remembered, the one handed out last."""
    if kept.seen is not None or kept.plan is None:
        return kept.seen
    return seen_as(kept.plan, kept.lines or 0)


def since(site: Site, plan: Plan) -> Since | None:
    """What the plan `plan` has changed against the one last looked at; None if there is none."""
    seen, zone = last_seen(site.kept), ZoneInfo(plan.zone)
    if seen is None:
        return None
    moved, small = [], 0
    for step in plan.steps:
        was = seen.pieces.get(step.id)
        if step.state == "done" or was is None or was == step.pieces:
            continue
        before = Span(was[0].start, was[-1].end)
        if local_date(before.start, zone) == local_date(step.start, zone):
            small += 1
        else:
            moved.append(StepMove(step=step.id, title=step.title, before=before, after=Span(step.start, step.end)))
    events = (entry.event for entry in living(site.entries) if entry.line > seen.lines)
    return Since(
        looked=seen.as_of,
        finish_before=seen.finish,
        moved=tuple(moved),
        small=small,
        new=tuple(step.id for step in plan.steps if step.id not in seen.pieces),
        causes=tuple(
            event
            for event in events
            if not isinstance(event, Note | Renamed | Undone) and not went_as_planned(event, seen.pieces)
        ),
    )
