"""For calendars that do not take a file a second time: what to change by hand, and the ways in that do work."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from scheduler.calendar.events import moment_of
from scheduler.model.ledger import CalendarEvent, Ledger, State
from scheduler.telling.machine.json_text import moment
from scheduler.telling.text.sheet import Sheet
from scheduler.telling.wording import Clockface, date_words, one_line


@dataclass(frozen=True, slots=True, kw_only=True)
class HandList:
    """What to change by hand in a calendar: events that stand elsewhere or are called otherwise, as they are and as
    they are to be; events that are to go, and new ones. Each in the order of the calendar."""

    move: tuple[tuple[State, State], ...]
    rename: tuple[tuple[State, State], ...]
    delete: tuple[State, ...]
    add: tuple[State, ...]


def hand_list(before: Mapping[str, State], after: Mapping[str, State]) -> HandList:
    """What makes of the events `before`, by their names, those `after`.

    An event of which only the notes or the reminder changed is not in it: it stands where it should.
    """
    both = [(before[name], after[name]) for name in before.keys() & after.keys()]
    moved = [(was, now) for was, now in both if (was.start, was.end) != (now.start, now.end)]
    renamed = [(was, now) for was, now in both if was.summary != now.summary and (was, now) not in moved]
    return HandList(
        move=tuple(sorted(moved, key=_by_old)),
        rename=tuple(sorted(renamed, key=_by_old)),
        delete=tuple(sorted((before[name] for name in before.keys() - after.keys()), key=_by_start)),
        add=tuple(sorted((after[name] for name in after.keys() - before.keys()), key=_by_start)),
    )


def in_edition(ledger: Ledger, edition: int) -> dict[str, State]:
    """What a calendar holds that was told of that edition, by UID; of edition 0 nothing."""
    states = {entry.event.uid: entry.state_in(edition) for entry in ledger.entries}
    return {uid: state for uid, state in states.items() if state is not None}


def by_hand(
    what: HandList,
    zone: str,
    clock24: bool = True,
    width: int = 80,
    ascii: bool = False,  # noqa: A002
) -> str:
    """The events to move, add, rename and delete, in words."""
    face = Clockface(ZoneInfo(zone), clock24)
    sheet = Sheet(width, ascii)
    sheet.points("Move:", (_move_words(was, now, face) for was, now in what.move))
    sheet.points("Rename:", (f"{_event_words(was, face)} → {one_line(now.summary)}" for was, now in what.rename))
    sheet.points("Delete:", (_event_words(state, face) for state in what.delete))
    sheet.points("Add:", (_event_words(state, face) for state in what.add))
    return sheet.text(colour=False) or "Nothing to change by hand.\n"


def by_hand_object(what: HandList, zone: ZoneInfo) -> dict[str, object]:
    """The same for other programs: `from` and `to` of an event as it is, `now` as it is to be."""

    def event(state: State) -> dict[str, object]:
        return {"title": state.summary, "from": _point(state.start, zone), "to": _point(state.end, zone)}

    return {
        "move": [{**event(was), "now": event(now)} for was, now in what.move],
        "rename": [{**event(was), "now": event(now)} for was, now in what.rename],
        "delete": [event(state) for state in what.delete],
        "add": [event(state) for state in what.add],
    }


def _point(value: int | date, zone: ZoneInfo) -> str:
    return value.isoformat() if isinstance(value, date) else moment(value, zone)


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


def event_words(event: CalendarEvent, zone: str, clock24: bool = True) -> str:
    """`Hobby room: Hang the doors: Saturday 23 January, 08:45–12:15`."""
    return _event_words(event, Clockface(ZoneInfo(zone), clock24))


def _by_start(state: State) -> tuple[int, str, int]:
    return moment_of(state.start), state.summary, moment_of(state.end)


def _by_old(pair: tuple[State, State]) -> tuple[int, str, int]:
    return _by_start(pair[0])


def _move_words(was: State, now: State, face: Clockface) -> str:
    name = "" if was.summary == now.summary else f" (now: {one_line(now.summary)})"
    return f"{_event_words(was, face)} → {_when(now, face)}{name}"


def _event_words(event: CalendarEvent | State, face: Clockface) -> str:
    return f"{one_line(event.summary)}: {_when(event, face)}"


def _when(event: CalendarEvent | State, face: Clockface) -> str:
    return _when_words(event.start, event.end, face)


def _when_words(start: int | date, end: int | date, face: Clockface) -> str:
    if isinstance(start, date) or isinstance(end, date):
        return date_words(start) if isinstance(start, date) else ""
    return f"{face.date(start)}, {face.span(start, end)}"
