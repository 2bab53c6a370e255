"""For calendars that do not take a file a second time: what to change by hand, and the ways in that do work."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from scheduler.calendar.events import moment_of
from scheduler.model.ledger import CalendarEvent, EventState, Ledger
from scheduler.telling.dates import LocalFace
from scheduler.telling.machine.json_text import moment
from scheduler.telling.text.sheet import Sheet
from scheduler.telling.wording import one_line
from scheduler.telling.words import Words


@dataclass(frozen=True, slots=True, kw_only=True)
class HandList:
    """What to change by hand in a calendar: events that stand elsewhere or are called otherwise, as they are and as
    they are to be; events that are to go, and new ones. Each in the order of the calendar."""

    move: tuple[tuple[EventState, EventState], ...]
    rename: tuple[tuple[EventState, EventState], ...]
    delete: tuple[EventState, ...]
    add: tuple[EventState, ...]


def hand_list(before: Mapping[str, EventState], after: Mapping[str, EventState]) -> HandList:
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


def in_edition(ledger: Ledger, edition: int) -> dict[str, EventState]:
    """What a calendar holds that was told of that edition, by UID; of edition 0 nothing."""
    states = {entry.event.uid: entry.state_in(edition) for entry in ledger.entries}
    return {uid: state for uid, state in states.items() if state is not None}


def by_hand(
    what: HandList,
    face: LocalFace,
    width: int = 80,
    ascii: bool = False,  # noqa: A002
) -> str:
    """The events to move, add, rename and delete, in words."""
    sheet, words = Sheet(width, ascii), Words(lang=face.lang)
    sheet.points(words.tell("byhand.move"), (_move_words(was, now, face, words) for was, now in what.move))
    sheet.points(
        words.tell("byhand.rename"),
        (f"{_event_words(was, face)} → {one_line(now.summary)}" for was, now in what.rename),
    )
    sheet.points(words.tell("byhand.delete"), (_event_words(state, face) for state in what.delete))
    sheet.points(words.tell("byhand.add"), (_event_words(state, face) for state in what.add))
    return sheet.text(colour=False) or f"{words.tell('byhand.nothing')}\n"


def by_hand_object(what: HandList, zone: ZoneInfo) -> dict[str, object]:
    """The same for other programs: `from` and `to` of an event as it is, `now` as it is to be."""

    def event(state: EventState) -> dict[str, object]:
        return {"title": state.summary, "from": _point(state.start, zone), "to": _point(state.end, zone)}

    return {
        "move": [{**event(was), "now": event(now)} for was, now in what.move],
        "rename": [{**event(was), "now": event(now)} for was, now in what.rename],
        "delete": [event(state) for state in what.delete],
        "add": [event(state) for state in what.add],
    }


def _point(value: int | date, zone: ZoneInfo) -> str:
    return value.isoformat() if isinstance(value, date) else moment(value, zone)


def moved_words(event: CalendarEvent, now: tuple[int | date, int | date] | None, face: LocalFace) -> str:
    """`Hobby room: Hang the doors: Saturday 23 January, 08:45–12:15 → Sunday 24 January, 09:00–12:30`.

    `now` is where it stands (minutes or days), None where nobody can tell.
    """
    if now is None:
        return f"{_event_words(event, face)} → {Words(lang=face.lang).tell('byhand.no time')}"
    start, end = now
    return f"{_event_words(event, face)} → {_when_words(start, end, face)}"


def event_words(event: CalendarEvent, face: LocalFace) -> str:
    """`Hobby room: Hang the doors: Saturday 23 January, 08:45–12:15`."""
    return _event_words(event, face)


def _by_start(state: EventState) -> tuple[int, str, int]:
    return moment_of(state.start), state.summary, moment_of(state.end)


def _by_old(pair: tuple[EventState, EventState]) -> tuple[int, str, int]:
    return _by_start(pair[0])


def _move_words(was: EventState, now: EventState, face: LocalFace, words: Words) -> str:
    name = "" if was.summary == now.summary else words.tell("byhand.now", title=one_line(now.summary))
    return f"{_event_words(was, face)} → {_when(now, face)}{name}"


def _event_words(event: CalendarEvent | EventState, face: LocalFace) -> str:
    return f"{one_line(event.summary)}: {_when(event, face)}"


def _when(event: CalendarEvent | EventState, face: LocalFace) -> str:
    return _when_words(event.start, event.end, face)


def _when_words(start: int | date, end: int | date, face: LocalFace) -> str:
    if isinstance(start, date) or isinstance(end, date):
        return face.date_of(start) if isinstance(start, date) else ""
    return f"{face.date(start)}, {face.span(start, end)}"
