"""The plan as an iCalendar file (RFC 5545, RFC 7986) that can be handed to the same calendar again and again.

Timed events are in UTC, the one form that every reader tried takes for the same moment; DTEND, never DURATION; events
only, and no METHOD: the file is a snapshot, not an invitation. DTSTAMP and LAST-MODIFIED say when an event last
changed, so that a plan that did not change gives the same bytes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import replace
from datetime import date, datetime, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

import icalendar
from icalendar.prop import vDuration, vText

from scheduler.calendar.events import begin_of, events, minutes_of
from scheduler.calendar.zones import Onset, vtimezone, yearly_pair
from scheduler.model.ledger import CalendarEvent, Exported, Ledger
from scheduler.model.plan import Plan
from scheduler.model.sessions import took_place
from scheduler.telling.marks import CALENDAR
from scheduler.telling.views.index import Book
from scheduler.telling.wording import one_line
from scheduler.wallclock import EPOCH, local_date, to_datetime

REFRESH = timedelta(hours=1)


def calendar(
    plan: Plan,
    *,
    stamp: int | None = None,
    previous: Ledger | None = None,
    remind: int | None = None,
    detail: Literal["sessions", "steps"] = "sessions",
    zoned: bool = False,
    without_cancelled: bool = False,
) -> tuple[bytes, Ledger]:
    """The file for this plan, and the ledger to hand in when the next one is written.

    `previous` is the ledger of the file before, None for a first one. `stamp` is the minute that goes with whatever
    changed (the plan's own `as_of` if not given). `remind`: minutes before a session at which it rings. `detail`
    "steps" adds every piece of every step. `zoned` writes local times of the job's zone where yearly rules describe
    that zone, UTC elsewhere. `without_cancelled` leaves withdrawn events out, for a first import. ValueError for a
    negative `remind`.
    """
    if remind is not None and remind < 0:
        raise ValueError("a reminder comes before the session: 0 minutes or more")
    known = previous or Ledger()
    book = Book(plan)
    found = events(book, known, remind, detail == "steps")
    ledger = _carry_on(found, plan, known, plan.as_of if stamp is None else stamp)
    shown = [entry for entry in ledger.entries if not (entry.retired or (entry.withdrawn and without_cancelled))]
    return _write(book, shown, zoned), ledger


def part_of(plan: Plan, ledger: Ledger, shown: Callable[[Exported], bool], *, zoned: bool = False) -> bytes:
    """A file of its own with those events of a calendar that somebody else is concerned with; each as it stands in
    the whole one, and none that is withdrawn: whoever subscribes loses what is not there."""
    entries = [entry for entry in ledger.entries if not (entry.retired or entry.withdrawn) and shown(entry)]
    return _write(Book(plan), entries, zoned)


def _carry_on(found: Iterable[CalendarEvent], plan: Plan, previous: Ledger, stamp: int) -> Ledger:
    """The new state of every event ever exported: new, unchanged, changed (a higher SEQUENCE) or withdrawn.

    With the export that first finds the job finished, what had been withdrawn before is retired.
    """
    old = previous.by_uid()
    finished = bool(plan.steps) and all(step.state == "done" for step in plan.steps)
    closing = finished and not previous.finished
    entries = []
    for event in found:
        before = old.pop(event.uid, None)
        if before is None:
            entries.append(Exported(event=event, sequence=0, changed=stamp))
        elif not before.withdrawn and replace(before.event, steps=event.steps) == event:
            entries.append(replace(before, event=event))
        else:
            entries.append(_next(before, event, stamp))
    for before in old.values():
        if before.withdrawn:
            entries.append(replace(before, retired=before.retired or closing))
        elif _history(before.event, plan):
            entries.append(before)
        else:
            quiet = replace(before.event, busy=False, remind=None)
            entries.append(replace(_next(before, quiet, stamp), withdrawn=True))
    return Ledger(tuple(sorted(entries, key=lambda entry: entry.event.uid)), finished)


def _next(before: Exported, event: CalendarEvent, stamp: int) -> Exported:
    return Exported(event=event, sequence=before.sequence + 1, changed=max(stamp, before.changed))


def _history(event: CalendarEvent, plan: Plan) -> bool:
    """Whether an event that the plan no longer names has simply happened: it stays in the calendar as it was."""
    if isinstance(event.end, date):
        return event.end <= local_date(plan.as_of, ZoneInfo(plan.zone))
    return took_place(plan, event.end, event.steps)


def _write(book: Book, entries: Iterable[Exported], zoned: bool) -> bytes:
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
        file.add_component(_component(entry, book.face.zone if pair else None))
    return bytes(file.to_ical())


def _zone_rules(zone: ZoneInfo, entries: Iterable[Exported]) -> tuple[Onset, Onset] | None:
    moments = [
        minute for entry in entries if isinstance(entry.event.start, int) for minute in minutes_of(entry.event)
    ]
    if not moments:
        return None
    return yearly_pair(zone, local_date(min(moments), zone).year, local_date(max(moments), zone).year)


def _component(entry: Exported, zone: ZoneInfo | None) -> icalendar.Event:
    event = entry.event
    changed = _utc(entry.changed)
    part = icalendar.Event()
    part.add("uid", event.uid)
    part.add("dtstamp", changed)
    part.add("last-modified", changed)
    part.add("sequence", entry.sequence)
    for name, moment in zip(("dtstart", "dtend"), _times(event, zone), strict=True):
        part.add(name, moment)
    part.add("summary", one_line(event.summary))
    if event.description:
        part.add("description", _clean(event.description))
    part.add("status", "CANCELLED" if entry.withdrawn else "CONFIRMED")
    part.add("transp", "OPAQUE" if event.busy else "TRANSPARENT")
    if event.remind is not None:
        part.add_component(_alarm(event))
    return part


def _times(event: CalendarEvent, zone: ZoneInfo | None) -> tuple[date, date]:
    """Start and end as they are written: UTC, or local where the zone's rules stand in the file.

    An event that starts or ends in the hour that comes twice is in UTC all the same: local time cannot say which.
    """
    if isinstance(event.start, date) and isinstance(event.end, date):
        return event.start, event.end
    start, end = minutes_of(event)
    if zone is not None:
        local = to_datetime(start, zone), to_datetime(end, zone)
        if not any(_twice(moment) for moment in local):
            return local
    return _utc(start), _utc(end)


def _utc(minute: int) -> datetime:
    return EPOCH + timedelta(minutes=minute)


def _twice(moment: datetime) -> bool:
    return moment.utcoffset() != moment.replace(fold=1 - moment.fold).utcoffset()


def _alarm(event: CalendarEvent) -> icalendar.Alarm:
    alarm = icalendar.Alarm()
    alarm.add("action", "DISPLAY")
    alarm.add("description", one_line(event.summary))
    alarm.add("trigger", timedelta(minutes=-(event.remind or 0)))
    return alarm


def _clean(text: str) -> str:
    """Every line without control characters, whatever a ledger that was read back may hold."""
    return "\n".join(one_line(line) for line in text.split("\n"))
