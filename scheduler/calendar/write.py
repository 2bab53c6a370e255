"""The plan as an iCalendar file (RFC 5545, 7986, 9253) that can be handed to the same calendar again and again.

Timed events are in UTC, the one form that every reader tried takes for the same moment; DTEND, never DURATION; events
only, and no METHOD: the file is a snapshot, not an invitation. DTSTAMP and LAST-MODIFIED say when an event last
changed, so that a plan that did not change gives the same bytes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import fields, replace
from datetime import UTC, date, datetime, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

import icalendar
from icalendar.prop import vDuration, vText

from scheduler.calendar.events import begin_of, events, minutes_of
from scheduler.calendar.zones import Onset, vtimezone, yearly_pair
from scheduler.model.byhand import HandMove
from scheduler.model.ledger import PROPERTY, CalendarEvent, Exported, Ledger
from scheduler.model.plan import Plan, Session
from scheduler.model.sessions import took_place
from scheduler.model.shopping import Lot
from scheduler.telling.marks import CALENDAR
from scheduler.telling.views.index import Book
from scheduler.telling.wording import one_line
from scheduler.wallclock import EPOCH, local_date, to_datetime

REFRESH = timedelta(hours=1)

_COLOURS = {
    "session": "steelblue",
    "step": "lightsteelblue",
    "film": "orange",
    "room": "tomato",
    "delivery": "seagreen",
    "order": "goldenrod",
    "visit": "orchid",
    "buy": "gold",
}
"""By kind of event its colour, by a name of CSS 3 (RFC 7986, section 5.9)."""
STATES = 200
"""Of an event, that are remembered; one that moved more often is known by its last ones."""


def calendar(
    plan: Plan,
    *,
    stamp: int | None = None,
    previous: Ledger | None = None,
    remind: int | None = None,
    detail: Literal["sessions", "steps"] = "sessions",
    zoned: bool = False,
    without_cancelled: bool = False,
    moves: Sequence[HandMove] = (),
    lots: Sequence[Lot] = (),
    page: str = "",
) -> tuple[bytes, Ledger]:
    """The file for this plan, and the ledger to hand in when the next one is written.

    `previous` is the ledger of the file before, None for a first one. `stamp` is the minute that goes with whatever
    changed (the plan's own `as_of` if not given). `remind`: minutes before a session at which it rings. `detail`
    "steps" adds every piece of every step. `zoned` writes local times of the job's zone where yearly rules describe
    that zone, UTC elsewhere. `without_cancelled` leaves withdrawn events out, for a first import. `moves` are the
    sessions that a person put elsewhere: these keep their names there. `lots` are what has yet to be bought, `page`
    is the address at which the plan is served, if it is. ValueError for a negative `remind`.
    """
    if remind is not None and remind < 0:
        raise ValueError("a reminder comes before the session: 0 minutes or more")
    known = previous or Ledger()
    book = Book(plan)
    found = events(book, known, remind, detail == "steps", moves, lots)
    ledger = _carry_on(found, plan, known, plan.as_of if stamp is None else stamp)
    shown = [entry for entry in ledger.entries if not (entry.retired or (entry.withdrawn and without_cancelled))]
    return _write(book, shown, zoned, page), ledger


Whom = Literal["household", "helper"]
"""Who else is concerned with a plan."""

HOUSEHOLD = ("film", "room", "delivery")
"""Kinds of events that concern whoever only lives there: what is out of use until when, and what comes."""


def part_for(whom: Whom, plan: Plan, ledger: Ledger, *, zoned: bool = False) -> bytes:
    """A file of its own with those events of a calendar that somebody else is concerned with: the sessions in which
    the work takes the hands of two people or more, or what is out of use. Each is as it stands in the whole one, and
    none is withdrawn: whoever subscribes loses what is not there."""
    for_two = {(session.start, session.end) for session in plan.sessions if _hands(session, plan) > 1}

    def shown(entry: Exported) -> bool:
        event = entry.event
        if whom == "household":
            return event.kind in HOUSEHOLD
        return event.kind == "session" and (event.start, event.end) in for_two

    entries = [entry for entry in ledger.entries if not (entry.retired or entry.withdrawn) and shown(entry)]
    return _write(Book(plan), entries, zoned)


def _hands(session: Session, plan: Plan) -> int:
    """How many people have work at the same time in a session: at one step, or at several beside each other."""
    work = [
        (max(piece.start, session.start), min(piece.end, session.end), step.people)
        for step in plan.steps
        for piece in step.pieces
        if piece.start < session.end and session.start < piece.end
    ]
    return max((sum(n for begin, end, n in work if begin <= start < end) for start, _, _ in work), default=0)


def _carry_on(found: Iterable[CalendarEvent], plan: Plan, previous: Ledger, stamp: int) -> Ledger:
    """The new state of every event ever exported: new, unchanged, changed (a higher SEQUENCE) or withdrawn.

    With the export that first finds the job finished, what had been withdrawn before is retired.
    """
    old, edition = previous.by_uid(), previous.edition + 1
    finished = bool(plan.steps) and all(step.state == "done" for step in plan.steps)
    closing = finished and not previous.finished
    entries = []
    for event in found:
        before = old.pop(event.uid, None)
        if before is None:
            entries.append(Exported(event=event, sequence=0, changed=stamp, edition=edition))
        elif not before.withdrawn and replace(before.event, steps=event.steps) == event:
            entries.append(replace(before, event=event))
        else:
            entries.append(_next(before, event, stamp, edition))
    for before in old.values():
        if before.withdrawn:
            entries.append(replace(before, retired=before.retired or closing))
        elif _history(before.event, plan):
            entries.append(before)
        else:
            quiet = replace(before.event, busy=False, remind=None)
            entries.append(_next(before, quiet, stamp, edition, withdrawn=True))
    last = max((entry.edition for entry in entries), default=0)
    return Ledger(tuple(sorted(entries, key=lambda entry: entry.event.uid)), finished, max(previous.edition, last))


def _next(before: Exported, event: CalendarEvent, stamp: int, edition: int, withdrawn: bool = False) -> Exported:
    """The next version of an event; another state if it stands elsewhere, or is called otherwise, than before."""
    after = Exported(
        event=event,
        sequence=before.sequence + 1,
        changed=max(stamp, before.changed),
        withdrawn=withdrawn,
        edition=before.edition,
        since=before.since,
        earlier=before.earlier,
    )
    if after.state == replace(before.state, sequence=after.sequence):
        return after
    earlier = (*before.earlier, before.state)[-STATES:]
    return replace(after, edition=edition, since=after.sequence, earlier=earlier)


def _history(event: CalendarEvent, plan: Plan) -> bool:
    """Whether an event that the plan no longer names has simply happened: it stays in the calendar as it was."""
    if isinstance(event.end, date):
        return event.end <= local_date(plan.as_of, ZoneInfo(plan.zone))
    return took_place(plan, event.end, event.steps)


def left_in_utc(plan: Plan, ledger: Ledger) -> tuple[int, int]:
    """Of the timed events of a calendar with local times: how many are in UTC, and how many there are."""
    zone = ZoneInfo(plan.zone)
    timed = [entry for entry in ledger.entries if isinstance(entry.event.start, int) and not entry.retired]
    if _zone_rules(zone, timed) is None:
        return len(timed), len(timed)
    times = [_times(entry.event, zone) for entry in timed]
    return sum(isinstance(start, datetime) and start.tzinfo is not zone for start, _ in times), len(timed)


def _write(book: Book, entries: Iterable[Exported], zoned: bool, page: str = "") -> bytes:
    shown = sorted(entries, key=lambda entry: (begin_of(entry.event), entry.event.uid))
    file = icalendar.Calendar()
    file.add("prodid", CALENDAR)
    file.add("version", "2.0")
    file.add("calscale", "GREGORIAN")
    file.add("name", vText(book.job))
    file.add("x-wr-calname", vText(book.job))
    file.add("refresh-interval", REFRESH, parameters={"VALUE": "DURATION"})
    file.add("x-published-ttl", vDuration(REFRESH))
    pair = _zone_rules(book.face.zone, shown) if zoned else None
    if pair:
        file.add_component(vtimezone(book.face.zone, pair))
    for entry in shown:
        file.add_component(_component(book, entry, book.face.zone if pair else None, page))
    return bytes(file.to_ical())


def _zone_rules(zone: ZoneInfo, entries: Iterable[Exported]) -> tuple[Onset, Onset] | None:
    moments = [
        minute for entry in entries if isinstance(entry.event.start, int) for minute in minutes_of(entry.event)
    ]
    if not moments:
        return None
    return yearly_pair(zone, local_date(min(moments), zone).year, local_date(max(moments), zone).year)


def _component(book: Book, entry: Exported, zone: ZoneInfo | None, page: str) -> icalendar.Event:
    event = entry.event
    changed = _utc(entry.changed)
    part = icalendar.Event()
    part.add("uid", event.uid)
    part.add("dtstamp", changed)
    part.add("last-modified", changed)
    part.add("sequence", entry.sequence)
    for name, moment in zip(("dtstart", "dtend"), _times(event, zone), strict=True):
        part.add(name, moment)
    for name, value in _properties(event):
        part.add(name, value)
    part.add("categories", [book.words.of("category", event.kind)])
    part.add("color", _COLOURS[event.kind])
    if event.session:
        how = {} if event.kind == "step" else {"RELTYPE": "DEPENDS-ON"}
        part.add("related-to", vText(event.session), parameters=how)
    if page:
        part.add("url", page)
    part.add("status", "CANCELLED" if entry.withdrawn else "TENTATIVE" if event.proposed else "CONFIRMED")
    if event.remind is not None:
        part.add_component(_alarm(event))
    return part


def _properties(event: CalendarEvent) -> Iterator[tuple[str, object]]:
    """What the fields of an event say of themselves as which property they are written."""
    for field in fields(event):
        written, value = field.metadata.get(PROPERTY), getattr(event, field.name)
        if written is None or value is None or value == "":
            continue
        if written.words is not None:
            value = written.words[value]
        if isinstance(value, str):
            value = _clean(value) if written.lines else one_line(value)
        yield written.name, value


def _times(event: CalendarEvent, zone: ZoneInfo | None) -> tuple[date, date]:
    """Start and end as they are written: UTC, or local where the zone's rules stand in the file.

    An event that starts or ends within a day of a change of clocks is in UTC all the same: in the hour that comes
    twice local time cannot say which, and readers in use take the change itself for an hour, or at another moment.
    """
    if isinstance(event.start, date) and isinstance(event.end, date):
        return event.start, event.end
    start, end = minutes_of(event)
    if zone is not None:
        local = to_datetime(start, zone), to_datetime(end, zone)
        if not any(_near_a_change(moment) for moment in local):
            return local
    return _utc(start), _utc(end)


def _utc(minute: int) -> datetime:
    return EPOCH + timedelta(minutes=minute)


def _near_a_change(moment: datetime) -> bool:
    """Whether clocks change within a day of a local moment."""
    utc, zone = moment.astimezone(UTC), moment.tzinfo
    return len({(utc + timedelta(days=days)).astimezone(zone).utcoffset() for days in (-1, 0, 1)}) > 1


def _alarm(event: CalendarEvent) -> icalendar.Alarm:
    alarm = icalendar.Alarm()
    alarm.add("uid", f"alarm-{event.uid}")  # by which a program knows again what was dismissed (RFC 9074, section 4)
    alarm.add("action", "DISPLAY")
    alarm.add("description", one_line(event.summary))
    alarm.add("trigger", timedelta(minutes=-(event.remind or 0)))
    return alarm


def _clean(text: str) -> str:
    """Every line without control characters, whatever a ledger that was read back may hold."""
    return "\n".join(one_line(line) for line in text.split("\n"))
