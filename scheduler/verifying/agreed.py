"""What was agreed with others and promised at home: appointments, days to be done by, how long a thing is out of
use."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta

from scheduler.model.graph import Visit
from scheduler.model.message import message
from scheduler.model.plan import PlannedPromise, PlannedVisit
from scheduler.verifying.evidence import Evidence, Found
from scheduler.verifying.keeps import all_uses
from scheduler.wallclock import NEVER, at_local


def appointments_kept(evidence: Evidence) -> Found:
    """While an appointment lasts nothing of ours runs in its rooms; what it needs is ready by its start, and there if
    it is on order, and what comes after it begins no earlier than its end. What has begun by now is as it is."""
    for visit in evidence.graph.visits:
        for step, task in evidence.known():
            if task.room in visit.rooms:
                for piece in evidence.planned(step):
                    if piece.start < visit.end and visit.start < piece.end:
                        yield step.id, message("rule.visited", start=piece.start, visit=visit.id, until=visit.end)
        for link in visit.after if visit.start > evidence.facts.now else ():
            ready = evidence.ready(link)
            if ready is not None and ready > visit.start:
                yield link.before, message("rule.not ready for", ready=ready, visit=visit.id, start=visit.start)
        there = _there(evidence, visit)
        if visit.start > evidence.facts.now and there > visit.start:
            yield "", message("rule.not there for", there=there, visit=visit.id, start=visit.start)
        for link in visit.then:
            after = evidence.moment(link.after)
            if after is not None and not evidence.started(link.after) and after.start < visit.end:
                yield link.after, message("rule.before visit", start=after.start, visit=visit.id, until=visit.end)


def appointments_told(evidence: Evidence) -> Found:
    """The plan tells of every appointment: when it was agreed, from when on it could come, whether it is kept, and if
    not when the plan has it."""
    told = {visit.appointment: visit for visit in evidence.plan.visits}
    for name in told.keys() ^ {visit.id for visit in evidence.job.appointments}:
        yield "", message("rule.told visit", visit=name)
    for agreed in evidence.job.appointments:
        visit = told.get(agreed.id)
        there = evidence.visits.get(agreed.id)
        if visit is None or there is None:
            continue
        kept = (there.start, there.end) == (agreed.start, agreed.end)
        right = (
            (visit.start, visit.end, visit.rooms) == (agreed.start, agreed.end, agreed.rooms)
            and visit.kept == kept
            and (visit.span.start, visit.span.end) == (there.start, there.end)
            and _is_ready(evidence, visit)
        )
        if not right:
            yield "", message("rule.told visit", visit=agreed.id)


def _is_ready(evidence: Evidence, visit: PlannedVisit) -> bool:
    """Whether an appointment tells rightly from when on all that it needs is ready."""
    waits = [evidence.ready(link) for link in evidence.visits[visit.appointment].after]
    known = [ready for ready in waits if ready is not None]
    known += (
        [_there(evidence, evidence.visits[visit.appointment])] if evidence.visits[visit.appointment].needs else []
    )
    return not known or abs(max(known) - visit.ready) <= 1


def _there(evidence: Evidence, visit: Visit) -> int:
    """From when on what an appointment needs of what is on order is there: the beginning of the day on which the last
    of it comes."""
    days = [item.arrived or item.expected for item in evidence.job.items if item.id in visit.needs]
    return max((NEVER if day is None else at_local(day, 0, evidence.zone) for day in days), default=0)


def promises_told(evidence: Evidence) -> Found:
    """The plan tells of every promise of the job by how many minutes it is broken."""
    right = sorted((name, late) for name, late in _broken(evidence))
    told = sorted((_name(promise), promise.late) for promise in evidence.plan.promises)
    for name, late in right:
        if (name, late) not in told:
            yield "", message("rule.promise", name=name, late=late)
    if len(told) != len(right):
        yield "", message("rule.promises", told=len(told), right=len(right))


def _name(promise: PlannedPromise) -> str:
    return promise.thing or promise.step or promise.room or "the job"


def _broken(evidence: Evidence) -> Iterator[tuple[str, int]]:
    """Each promise of the job file by name, and the minutes by which the plan breaks it."""
    job, ends = evidence.job, [(step.end, step, task) for step, task in evidence.known()]

    def after(day: date, moments: list[int]) -> int:
        """By how much the last of these lies past the end of a day."""
        return max(0, max(moments, default=0) - at_local(day + timedelta(days=1), 0, evidence.zone))

    if job.done_by is not None:
        yield "the job", after(job.done_by, [end for end, _, _ in ends])
    for room in job.rooms:
        if room.done_by is not None:
            yield room.id, after(room.done_by, [end for end, _, task in ends if task.room == room.id])
    for step in job.steps:
        if step.done_by is not None:
            yield step.id, after(step.done_by, [end for end, _, task in ends if task.id == step.id])
    for each in job.at_most:
        lengths = list(_stretches(evidence, each.thing))
        out = sum(lengths) if each.in_all else max(lengths, default=0)
        yield each.thing, max(0, out - each.minutes)


def _stretches(evidence: Evidence, thing: str) -> Iterator[int]:
    """For how many minutes something of a thing is taken, each time that it is."""
    spans = sorted((span.start, span.end) for span, _, _ in all_uses(evidence).get(thing, []))
    start = end = None
    for begin, until in spans:
        if start is None or end is None or begin > end:
            if start is not None and end is not None:
                yield end - start
            start, end = begin, until
        else:
            end = max(end, until)
    if start is not None and end is not None:
        yield min(end, NEVER) - start
