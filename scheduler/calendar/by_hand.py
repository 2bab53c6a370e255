"""For calendars that do not take a file a second time: what to change by hand, and the ways in that do work."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from zoneinfo import ZoneInfo

from scheduler.calendar.events import begin_of
from scheduler.model.ledger import CalendarEvent, Exported, Ledger
from scheduler.telling.text.sheet import Sheet
from scheduler.telling.wording import Clockface, date_words, one_line


def by_hand(
    old: Ledger | None,
    new: Ledger,
    zone: str,
    clock24: bool = True,
    width: int = 80,
    ascii: bool = False,  # noqa: A002
) -> str:
    """The events to move, add, rename and delete in a calendar that holds what the ledger `old` says.

    An event of which only the notes or the reminder changed is not named: it stands where it should.
    """
    face = Clockface(ZoneInfo(zone), clock24)
    before = {name: entry for name, entry in (old or Ledger()).by_uid().items() if not entry.withdrawn}
    after = {name: entry for name, entry in new.by_uid().items() if not entry.withdrawn}
    both = [(before[name].event, after[name].event) for name in before.keys() & after.keys()]
    moved = [(was, now) for was, now in both if (was.start, was.end) != (now.start, now.end)]
    renamed = [(was, now) for was, now in both if was.summary != now.summary and (was, now) not in moved]
    sheet = Sheet(width, ascii)
    sheet.points("Move:", (_move_words(was, now, face) for was, now in _by_start(moved)))
    sheet.points(
        "Rename:", (f"{_event_words(was, face)} → {one_line(now.summary)}" for was, now in _by_start(renamed))
    )
    sheet.points("Delete:", _alone(before, after, face))
    sheet.points("Add:", _alone(after, before, face))
    return sheet.text(colour=False) or "Nothing to change by hand.\n"


def ways_in() -> str:
    """The honest ways of getting a written file into a calendar, and having it right after the next change."""
    return """\
Into your calendar, and right again after every change:
  1. Subscribe to this file: the calendar program reads it again by itself,
     moves what moved and drops what is gone. It keeps its place and its name.
  2. Or give the job a calendar of its own and import the file there; after a
     change empty that calendar and import the file anew.
  3. Or publish to a calendar server: tackfree plan JOB --publish URL.
Importing over a calendar that already holds the job is no update in most
programs: they keep the old times or make second copies. For these, --by-hand
lists the few events to move or delete.
"""


def moved_words(
    event: CalendarEvent, now: tuple[int | date, int | date] | None, zone: str, clock24: bool = True
) -> str:
    """`Hobby room: Hang the doors: Saturday 23 January, 08:45–12:15 → Sunday 24 January, 09:00–12:30`.

    `now` is where it stands (minutes or days), None where nobody can tell.
    """
    face = Clockface(ZoneInfo(zone), clock24)
    if now is None:
        return f"{_event_words(event, face)} → a time that can't be told"
    start, end = now
    return f"{_event_words(event, face)} → {_when_words(start, end, face)}"


def _by_start(pairs: list[tuple[CalendarEvent, CalendarEvent]]) -> list[tuple[CalendarEvent, CalendarEvent]]:
    return sorted(pairs, key=lambda pair: (begin_of(pair[0]), pair[0].uid))


def _alone(here: dict[str, Exported], there: dict[str, Exported], face: Clockface) -> Iterator[str]:
    events = [here[name].event for name in here.keys() - there.keys()]
    return (_event_words(event, face) for event in sorted(events, key=lambda event: (begin_of(event), event.uid)))


def _move_words(was: CalendarEvent, now: CalendarEvent, face: Clockface) -> str:
    name = "" if was.summary == now.summary else f" (now: {one_line(now.summary)})"
    return f"{_event_words(was, face)} → {_when(now, face)}{name}"


def _event_words(event: CalendarEvent, face: Clockface) -> str:
    return f"{one_line(event.summary)}: {_when(event, face)}"


def _when(event: CalendarEvent, face: Clockface) -> str:
    return _when_words(event.start, event.end, face)


def _when_words(start: int | date, end: int | date, face: Clockface) -> str:
    if isinstance(start, date) or isinstance(end, date):
        return date_words(start) if isinstance(start, date) else ""
    return f"{face.date(start)}, {face.span(start, end)}"
