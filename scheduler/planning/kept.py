"""What a plan keeps of what was promised, and of what was agreed with others: appointments and promises."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from zoneinfo import ZoneInfo

from scheduler.model.basics import Span
from scheduler.model.clock import FilmClocks
from scheduler.model.graph import TaskGraph, Visit
from scheduler.model.job import Appointment, Job
from scheduler.model.plan import PlannedPromise, PlannedStep, PlannedThing, PlannedVisit
from scheduler.model.promise import Promised, promises_of
from scheduler.model.spans import union
from scheduler.planning.encode import there_from
from scheduler.wallclock import DAY, NEVER, at_local


def visits_met(
    job: Job, graph: TaskGraph, films: Mapping[str, FilmClocks], steps: Sequence[PlannedStep]
) -> tuple[PlannedVisit, ...]:
    """The appointments in the order of time, each with what it waits for: the plan has them when the graph does, and
    agreed is what the job says."""
    ends = {step.id: step.end for step in steps}
    planned = {visit.id: visit for visit in graph.visits}
    return tuple(
        _met(agreed, planned.get(agreed.id), job, films, ends)
        for agreed in sorted(job.appointments, key=lambda each: (each.start, each.id))
    )


def _met(
    agreed: Appointment, visit: Visit | None, job: Job, films: Mapping[str, FilmClocks], ends: Mapping[str, int]
) -> PlannedVisit:
    """How an appointment stands; without a `visit`, no day was found on which it could come."""
    never = PlannedVisit(
        appointment=agreed.id,
        title=agreed.title,
        start=agreed.start,
        end=agreed.end,
        rooms=agreed.rooms,
        ready=NEVER,
        kept=False,
    )
    if visit is None:
        return never
    waits = [
        (
            (films[link.before].stages[link.stage].ready(ends[link.before]) if link.stage else ends[link.before])
            + link.wait,
            link.before,
        )
        for link in visit.after
        if link.before in ends
    ]
    zone = ZoneInfo(job.zone)
    waits += [(there_from(item, zone), item.id) for item in job.items if item.id in visit.needs]
    ready, holder = max(waits, default=(job.start, None))
    moved = (visit.start, visit.end) != (agreed.start, agreed.end)
    comes = Span(visit.start, visit.end) if moved else None
    return replace(never, ready=ready, kept=not moved, holder=holder, comes=comes)


def promises_kept(
    job: Job, steps: Sequence[PlannedStep], things: Sequence[PlannedThing], *, proven: bool
) -> tuple[PlannedPromise, ...]:
    """Each promise of the job, and by how much it is broken."""
    return tuple(_kept(promise, job, steps, things, proven) for promise in promises_of(job))


def _kept(
    promise: Promised, job: Job, steps: Sequence[PlannedStep], things: Sequence[PlannedThing], proven: bool
) -> PlannedPromise:
    if promise.thing is not None:
        stretches = tuple(_out(things, promise.thing))
        lengths = [span.minutes for span in stretches]
        reached = sum(lengths) if promise.in_all else max(lengths, default=0)
        return PlannedPromise(
            late=max(0, reached - promise.minutes),
            reached=reached,
            thing=promise.thing,
            at_most=promise.minutes,
            in_all=promise.in_all,
            proven=proven,
        )
    meant = [
        (step.end, step.id)
        for step in steps
        if (promise.room is None or step.room == promise.room) and (promise.step is None or step.id == promise.step)
    ]
    by = at_local(promise.day or job.done_by, DAY, ZoneInfo(job.zone))  # type: ignore[arg-type]
    reached, holder = max(meant, default=(by, None))
    return PlannedPromise(
        late=max(0, reached - by),
        reached=reached,
        by=by,
        room=promise.room,
        step=promise.step,
        holder=holder,
        proven=proven,
    )


def _out(things: Sequence[PlannedThing], name: str) -> Iterator[Span]:
    """The stretches in which anything of a thing is taken."""
    taken = (each for thing in things if thing.thing == name and not thing.room for each in thing.taken)
    yield from union(Span(each.start, min(each.until, NEVER)) for each in taken)
