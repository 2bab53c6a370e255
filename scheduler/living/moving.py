"""Sessions that a person moved in their own calendar: found in a calendar exported back, and planned around.

A moved session takes its hours with it, and its steps are held there as far as the rules of the trade allow. Where
one forbids it (paint that is not dry yet), that step goes where the plan has the best place for it from then on, and
that is said, with the rule.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from pathlib import Path
from typing import TYPE_CHECKING
from zoneinfo import ZoneInfo

from scheduler.errors import Fault, InputError, NoPlanError, Place
from scheduler.model.basics import Span
from scheduler.model.byhand import HandMove
from scheduler.model.job import Job
from scheduler.model.ledger import CalendarEvent, Ledger
from scheduler.model.plan import Plan
from scheduler.presenting.events import minutes_of
from scheduler.presenting.words import Clockface
from scheduler.reading.returned import Returned, read_returned
from scheduler.wallclock import DAY
from scheduler.worktime import windows

if TYPE_CHECKING:
    from scheduler.living.site import Site
    from scheduler.pipeline import Made

MONTHS_AHEAD = 400 * DAY
"""How far after the last session a person may have put one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What a calendar that came back says: each session that was moved, and what can't be taken from it."""

    moved: tuple[tuple[CalendarEvent, HandMove], ...]
    notes: tuple[str, ...]


def take_moves(site: Site, path: Path, now: int) -> tuple[Site, Taken]:
    """The job with the sessions where the calendar file has them. Raises InputError."""
    sessions = _sessions(site.kept.ledger)
    if not sessions:
        said, hint = "no calendar has been handed a session of this job yet", "write one first: --ics FILE"
        raise InputError([Fault(Place("--moved"), said, hint)])
    zone = ZoneInfo(site.job.zone)
    until = max(minutes_of(event)[1] for event, _ in sessions.values()) + MONTHS_AHEAD
    returned, warnings = read_returned(path, zone, sessions.__contains__, until)
    if not returned:
        said = "it holds no session of this job"
        raise InputError([Fault(Place(str(path)), said, "export the calendar into which the plan was put")])
    found = list(_told_apart(sessions, returned, now, Clockface(zone, site.job.clock24)))
    moved = [(event, _move(site, event, span, sessions)) for event, span, _ in found if span is not None]
    moves = _together(site.kept.moves, [move for _, move in moved])
    site = replace(site, job=replace(site.job, moves=moves), kept=replace(site.kept, moves=moves))
    return site, Taken(moved=tuple(moved), notes=(*warnings, *(note for _, _, note in found if note)))


def _sessions(ledger: Ledger | None) -> dict[str, tuple[CalendarEvent, int]]:
    """The sessions that calendars have, by UID, with the SEQUENCE they have been told."""
    entries = ledger.entries if ledger else ()
    return {
        entry.event.uid: (entry.event, entry.sequence)
        for entry in entries
        if entry.event.kind == "session" and not entry.withdrawn
    }


def _told_apart(
    sessions: Mapping[str, tuple[CalendarEvent, int]], returned: Mapping[str, Returned], now: int, face: Clockface
) -> Iterator[tuple[CalendarEvent, Span | None, str]]:
    """For each session that stands elsewhere: where it is to be, or a note why that can't be taken."""
    for uid, (event, sequence) in sorted(sessions.items(), key=lambda entry: minutes_of(entry[1][0])):
        back = returned.get(uid)
        was = Span(*minutes_of(event))
        if back is None or back.span == was or not back.span.minutes:
            continue
        if back.sequence < sequence:
            yield event, None, f"{event.summary}: that calendar has an older version of it, which tells nothing"
        elif back.span.end <= now:
            said = f"{event.summary}: it was moved to {face.moment(back.span.start)}, which has passed"
            yield event, None, f"{said}; record what was done: tackfree did"
        else:
            yield event, back.span, ""


def _move(site: Site, event: CalendarEvent, now: Span, sessions: Mapping[str, tuple[CalendarEvent, int]]) -> HandMove:
    """The move of one session. The steps that are in no other session are held to it."""
    was = Span(*minutes_of(event))
    hours = windows(site.job, Span(was.start - DAY, was.end + DAY), ZoneInfo(site.job.zone))
    whole = [list(group) for _, group in groupby(hours, key=lambda window: window.session)]
    whole = [group for group in whole if group[0].start < was.end and group[-1].end > was.start]
    before = next((move for move in site.kept.moves if move.uid == event.uid), None)
    often = Counter(step for other, _ in sessions.values() for step in other.steps)
    tasks = {task.id: task for task in site.graph.tasks}
    steps = tuple(step for step in event.steps if step in tasks and often[step] == 1)
    people = [window.people for group in whole for window in group]
    return HandMove(
        uid=event.uid,
        was=before.was if before else Span(*_hull(was, [Span(group[0].start, group[-1].end) for group in whole])),
        now=now,
        people=max(people or [tasks[step].people for step in steps] or [1]),
        steps=steps,
    )


def _hull(span: Span, around: Sequence[Span]) -> tuple[int, int]:
    return min([span.start, *(one.start for one in around)]), max([span.end, *(one.end for one in around)])


def _together(known: Sequence[HandMove], fresh: Sequence[HandMove]) -> tuple[HandMove, ...]:
    """The moves that hold from now on: one for a session, and no step held to two of them."""
    uids = {move.uid for move in fresh}
    steps = {step for move in fresh for step in move.steps}
    kept = [
        replace(
            move,
            steps=tuple(step for step in move.steps if step not in steps),
            loose=tuple(step for step in move.loose if step not in steps),
        )
        for move in known
        if move.uid not in uids
    ]
    return tuple(sorted([*kept, *fresh], key=lambda move: (move.now, move.uid)))


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


def forbidden(job: Job, plan: Plan) -> Iterator[str]:
    """A sentence for each step that was to follow its session and could not, with the rule that stood in the way."""
    face = Clockface(ZoneInfo(job.zone), job.clock24)
    steps = {step.id: step for step in plan.steps}
    for move in job.moves:
        for name in move.steps:
            step = steps.get(name)
            if step is None or step.state != "planned" or plan.as_of >= move.now.end:
                continue
            if move.now.start <= step.start and step.end <= move.now.end:
                continue
            yield (
                f"You moved the session of “{step.title}” to {face.moment(move.now.start)}, but it can't be done "
                f"then; it is planned {face.moment(step.start)}. {step.held_by}"
            )
