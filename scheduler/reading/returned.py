"""A calendar that a person exported back: where the plan's own events are now. Of the others nothing is kept."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from scheduler.reading.busy.events import Event, parse_event
from scheduler.reading.busy.guard import Guard, UnusableError
from scheduler.reading.busy.parts import Component, calendars
from scheduler.reading.busy.values import minutes
from scheduler.reading.busy.zones import Zones
from scheduler.told import told
from scheduler.wallclock import EPOCH

_ESCAPED = re.compile(r"\\(.)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Returned:
    """An event as it stands in a calendar: when it is (minutes in UTC, or days), and the version it claims to be
    (SEQUENCE). `times` is None where it was made to repeat. `where` is its file and line."""

    uid: str
    summary: str
    times: tuple[int | date, int | date] | None
    sequence: int
    cancelled: bool
    where: str


def read_returned(
    sources: Sequence[tuple[str, bytes]], zone: ZoneInfo, own: Callable[[str, str], bool], until: int
) -> tuple[tuple[Returned, ...], tuple[str, ...]]:
    """The events of calendars (each a name and its bytes) that are `own` by UID and title; warnings by file and line.

    `until` is a minute after which no event is expected: zones of a calendar's own are followed up to there. Of two
    versions of one the newer counts (RFC 5546, section 2.1.5). The limits are those of `busy`, and nothing that a
    calendar names is fetched, opened or run. Raises InputError for what is no calendar.
    """
    found: dict[str, tuple[Event, Returned]] = {}
    guard = Guard(sources[0][0] if sources else "")
    for name, data in sources:
        guard.turn_to(name)
        for calendar in calendars(data, guard, titles=True):
            zones = Zones(calendar, zone, (EPOCH + timedelta(minutes=until)).replace(tzinfo=None), guard)
            for part in calendar.parts:
                read = _event(part, zones, zone, own, guard)
                if read is None:
                    continue
                uid = read[0].uid
                if uid not in found or _version(found[uid]) < _version(read):
                    found[uid] = read
    return tuple(returned for _, returned in found.values()), guard.warnings()


def _version(read: tuple[Event, Returned]) -> tuple[tuple[int, str], bool]:
    """Which of two is the newer one; of a series and a date of it, either says that it was made to repeat."""
    return read[0].rank, read[1].times is None


def _event(
    part: Component, zones: Zones, zone: ZoneInfo, own: Callable[[str, str], bool], guard: Guard
) -> tuple[Event, Returned] | None:
    uid, title = part.first("UID"), part.first("SUMMARY")
    summary = _unescaped(title.value) if title else ""
    if part.kind != "VEVENT" or not part.whole or uid is None or not own(uid.value, summary):
        return None
    try:
        event = parse_event(part, zones, zone)
        times = _times(event)
    except UnusableError as why:
        guard.note(part.line, told("{why}; it is left out", why=why))
        return None
    return event, Returned(
        uid=uid.value,
        summary=summary,
        times=None if event.repeats or event.replaces is not None else times,
        sequence=event.rank[0],
        cancelled=part.text("STATUS") == "CANCELLED",
        where=f"{guard.file}:{part.line}",
    )


def _times(event: Event) -> tuple[int | date, int | date]:
    if event.whole_days:
        start = event.start.date()
        return start, start + timedelta(days=event.length.days)
    return minutes(event.start, event.zone, event.length)


def _unescaped(text: str) -> str:
    """A TEXT value as it is meant (RFC 5545, section 3.3.11)."""
    return _ESCAPED.sub(lambda found: "\n" if found[1] in "nN" else found[1], text)
