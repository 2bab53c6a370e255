"""Sessions that a person moved in their own calendar: found in a calendar exported back.

A moved session takes its hours with it, and its steps are held there as far as `held` can.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import groupby
from zoneinfo import ZoneInfo

from scheduler.calendar.events import is_of, minutes_of, moment_of, uid
from scheduler.calendar.recognised import Recognised, Stand, edition_of, recognise, stand, titles_of
from scheduler.errors import wrong_input
from scheduler.living.site import Site
from scheduler.model.basics import Span
from scheduler.model.byhand import HandMove
from scheduler.model.ledger import CalendarEvent, Ledger
from scheduler.reading.returned import Returned, read_returned
from scheduler.telling.dates import LocalFace, face_of
from scheduler.telling.words import words_of
from scheduler.wallclock import DAY
from scheduler.worktime import windows

MONTHS_AHEAD = 400 * DAY
"""How far after the last session a person may have put one."""


@dataclass(frozen=True, slots=True, kw_only=True)
class TakenBack:
    """What a calendar that came back says: each session that was moved, what can't be taken from it and what to do
    about it, and all that was recognised in it."""

    moved: tuple[tuple[CalendarEvent, HandMove], ...]
    notes: tuple[str, ...]
    seen: Recognised


def take_moves(site: Site, where: str, sources: Sequence[tuple[str, bytes]], now: int) -> tuple[Site, TakenBack]:
    """The job with the sessions where a calendar has them. `where` it is goes into what is said of it as a whole;
    each of its `sources` is a name and the bytes of a calendar. Raises InputError."""
    ledger = site.kept.ledger or Ledger()
    sessions = _sessions(ledger)
    if not sessions:
        said, hint = "no calendar has been handed a session of this job yet", "write one first: --ics FILE"
        raise wrong_input("--moved", said, hint)
    zone = ZoneInfo(site.job.zone)
    until = max(minutes_of(event)[1] for event in sessions.values()) + MONTHS_AHEAD
    titles, job = titles_of(ledger), site.job.id

    def own(uid: str, summary: str) -> bool:
        return is_of(job, uid) or uid in known or summary in titles

    known = ledger.by_uid().keys()
    returned, warnings = read_returned(sources, zone, own, until)
    seen = recognise(job, ledger, returned)
    if not sessions.keys() & seen.events.keys():
        said = "it holds no session of this job"
        raise wrong_input(where, said, "export the calendar into which the plan was put")
    notes = _Notes(site, ledger, seen, now, face_of(site.job.zone, site.job.clock24, site.job.language))
    found = list(_told_apart(sessions, notes))
    moved = [(event, _move(site, event, span, sessions)) for event, span, _ in found if span is not None]
    moves = _together(site.kept.moves, [move for _, move in moved])
    site = replace(site, job=replace(site.job, moves=moves), kept=replace(site.kept, moves=moves))
    said_of = [note for _, _, note in found if note]
    return site, TakenBack(moved=tuple(moved), notes=(*warnings, *said_of, *notes.of_others()), seen=seen)


def _sessions(ledger: Ledger) -> dict[str, CalendarEvent]:
    """The sessions that calendars have, by UID."""
    return {
        entry.event.uid: entry.event
        for entry in ledger.entries
        if entry.event.kind == "session" and not entry.withdrawn
    }


@dataclass(frozen=True, slots=True)
class _Notes:
    """What can be said of the events of a calendar that came back, beyond the sessions that were moved in it."""

    site: Site
    ledger: Ledger
    seen: Recognised
    now: int
    face: LocalFace

    def tell(self, name: str, **values: object) -> str:
        """A sentence in the language of the job."""
        return words_of(self.site.job).tell(name, **values)

    def of_session(self, event: CalendarEvent) -> tuple[Span | None, str]:
        """Where a session is to be, or a note why that can't be taken from the calendar."""
        back = self.seen.events.get(event.uid)
        over = minutes_of(event)[1] <= self.now
        if back is None or back.cancelled:
            return None, "" if over or not self._was_told(event.uid) else self._gone(event, back)
        start, end = back.times or (None, None)
        if not isinstance(start, int) or not isinstance(end, int):
            return None, f"{back.where}: {self.tell('moving.made over')}"
        span, how = Span(start, end), stand(self.ledger.by_uid()[event.uid], back)
        if how == "here":
            return (span if self._was_put_elsewhere(event, span) else None), ""
        why = self._why_not(span, how)
        return None if why else span, f"{event.summary}: {why}" if why else ""

    def _why_not(self, span: Span, how: Stand) -> str:
        """Why a session can't be taken to be moved there; empty if it can."""
        if how == "older":
            return self.tell("moving.older")
        if not span.minutes:
            return self.tell("moving.no length")
        if span.end <= self.now:
            return self.tell("moving.passed", when=self.face.moment(span.start))
        return ""

    def _was_put_elsewhere(self, event: CalendarEvent, span: Span) -> bool:
        """Whether a session that stands where calendars were told was moved by hand since, and put back now: the plan
        has it nowhere near."""
        plan = self.site.kept.plan
        there = plan is None or any((session.start, session.end) == span for session in plan.sessions)
        return not there and any(move.uid == event.uid and move.now != span for move in self.site.kept.moves)

    def _was_told(self, uid: str) -> bool:
        """Whether that calendar can have held the event at all: one that is older never did."""
        entry = self.ledger.by_uid()[uid]
        first = min(state.edition for state in (*entry.earlier, entry.state))
        return first <= edition_of(self.ledger, self.seen)

    def _gone(self, event: CalendarEvent, back: Returned | None) -> str:
        day = self.face.day(minutes_of(event)[0])
        return self.tell(
            "moving.deleted" if back is None else "moving.cancelled",
            event=event.summary,
            when=self.face.moment(minutes_of(event)[0]),
            command=f"tackfree lost {self.site.files.job} {day.isoformat()}",
        )

    def of_others(self) -> Iterator[str]:
        """What was done in that calendar to deliveries, appointments, steps in a session, and to what follows from
        the plan; and what stands there twice."""
        entries = self.ledger.by_uid()
        others = [entry for entry in entries.values() if entry.event.kind != "session" and not entry.withdrawn]
        whole = any(
            entry.event.uid in self.seen.events for entry in others
        )  # a calendar of sessions alone lacks them
        gone = []
        for entry in sorted(others, key=lambda entry: (entry.event.summary, entry.event.uid)):
            event, back = entry.event, self.seen.events.get(entry.event.uid)
            if back is None or back.cancelled:
                if whole and moment_of(event.end) > self.now and self._was_told(event.uid):
                    gone.append(event)
            elif back.times is not None and stand(entry, back) == "elsewhere":
                yield self._moved(event, back.times[0])
        yield from self._without(gone)
        for name, back in self.seen.copies:
            if back.times is not None and moment_of(back.times[1]) > self.now:
                summary = entries[name].event.summary
                yield f"{back.where}: {summary}: {self.tell('moving.twice')}"

    def _moved(self, event: CalendarEvent, start: int | date) -> str:
        day = self.face.day(start) if isinstance(start, int) else start
        if event.uid in self._coming:
            if event.kind == "visit" and day == self.face.day(moment_of(event.start)):
                hours = self.face.moment(moment_of(start))
                return self.tell("moving.other time", event=event.summary, when=hours)
            return self.tell(
                "moving.other day",
                event=event.summary,
                day=self.face.date_of(day),
                command=f"tackfree late {self.site.files.job} {self._coming[event.uid]} {day.isoformat()}",
            )
        if event.kind == "step":
            return self.tell("moving.step", event=event.summary)
        return self.tell("moving.follows", event=event.summary)

    def _without(self, gone: Sequence[CalendarEvent]) -> Iterator[str]:
        """What was deleted there: what is to come with what to do, what follows from the plan in one line."""
        for event in gone:
            if event.uid in self._coming:
                command = f"tackfree late {self.site.files.job} {self._coming[event.uid]} DATE"
                yield self.tell("moving.coming deleted", event=event.summary, command=command)
        rest = [event for event in gone if event.uid not in self._coming]
        if rest:
            name = "moving.rest deleted" if len(rest) > 1 else "moving.one deleted"
            yield self.tell(name, event=rest[0].summary, more=len(rest) - 1)

    @property
    def _coming(self) -> Mapping[str, str]:
        """The events of what is to come, by UID: the name by which a command knows it."""
        job = self.site.job
        items = {uid(job.id, "item", item.id): item.id for item in job.items}
        return items | {uid(job.id, "visit", visit.id): visit.id for visit in job.appointments}


def _told_apart(
    sessions: Mapping[str, CalendarEvent], notes: _Notes
) -> Iterator[tuple[CalendarEvent, Span | None, str]]:
    """For each session: where it is to be if it was moved, and a note if that can't be taken."""
    for _, event in sorted(sessions.items(), key=lambda entry: minutes_of(entry[1])):
        yield event, *notes.of_session(event)


def _move(site: Site, event: CalendarEvent, now: Span, sessions: Mapping[str, CalendarEvent]) -> HandMove:
    """The move of one session. The steps that are in no other session are held to it."""
    was = Span(*minutes_of(event))
    hours = windows(site.job, Span(was.start - DAY, was.end + DAY), ZoneInfo(site.job.zone))
    whole = [list(group) for _, group in groupby(hours, key=lambda window: window.session)]
    whole = [group for group in whole if group[0].start < was.end and group[-1].end > was.start]
    before = next((move for move in site.kept.moves if move.uid == event.uid), None)
    often = Counter(step for other in sessions.values() for step in other.steps)
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
