"""Sessions that a person moved in their own calendar: found in a calendar exported back.

A moved session takes its hours with it, and its steps are held there as far as `held` can.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import groupby
from pathlib import Path
from zoneinfo import ZoneInfo

from scheduler.calendar.events import minutes_of
from scheduler.errors import wrong_input
from scheduler.living.site import Site
from scheduler.model.basics import Span
from scheduler.model.byhand import HandMove
from scheduler.model.ledger import CalendarEvent, Ledger
from scheduler.reading.returned import Returned, read_returned
from scheduler.telling.wording import Clockface
from scheduler.wallclock import DAY
from scheduler.worktime import windows

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
        raise wrong_input("--moved", said, hint)
    zone = ZoneInfo(site.job.zone)
    until = max(minutes_of(event)[1] for event, _ in sessions.values()) + MONTHS_AHEAD
    returned, warnings = read_returned(path, zone, sessions.__contains__, until)
    if not returned:
        said = "it holds no session of this job"
        raise wrong_input(str(path), said, "export the calendar into which the plan was put")
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
