"""A calendar that a person exported back: where the plan's own events are now. Of the others nothing is kept."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

from scheduler.model.basics import Span
from scheduler.reading.busy.events import Event, parse_event
from scheduler.reading.busy.guard import MAX_BYTES, Guard, UnusableError
from scheduler.reading.busy.parts import Part, calendars
from scheduler.reading.busy.values import minutes
from scheduler.reading.busy.zones import Zones
from scheduler.reading.textfile import read_bytes, shown
from scheduler.wallclock import EPOCH


@dataclass(frozen=True, slots=True, kw_only=True)
class Returned:
    """An event of the plan as it stands in the file: when it is, and the version it claims to be (SEQUENCE)."""

    uid: str
    span: Span
    sequence: int


def read_returned(
    path: Path, zone: ZoneInfo, own: Callable[[str], bool], until: int
) -> tuple[dict[str, Returned], tuple[str, ...]]:
    """The timed events of a calendar file whose UIDs are `own`, by UID; and warnings by file and line.

    `until` is a minute after which no event is expected: zones of the file's own are followed up to there. Of two
    versions of one the newer counts (RFC 5546, section 2.1.5). What was cancelled is left out, and what was made to
    repeat, or to fill whole days, is left out with a warning. The limits are those of `busy`, and nothing that the
    file names is fetched, opened or run. Raises InputError for a file that is no calendar.
    """
    guard = Guard(shown(path))
    found: dict[str, Event] = {}
    for calendar in calendars(read_bytes(path, MAX_BYTES), guard):
        zones = Zones(calendar, zone, (EPOCH + timedelta(minutes=until)).replace(tzinfo=None), guard)
        for part in calendar.parts:
            event = _event(part, zones, zone, own, guard)
            if event is not None and (event.uid not in found or found[event.uid].rank < event.rank):
                found[event.uid] = event
    returned = {}
    for uid, event in found.items():
        try:
            span = Span(*minutes(event.start, event.zone, event.length))
        except UnusableError as why:
            guard.note(event.line, f"{why}; it is left out")
            continue
        returned[uid] = Returned(uid=uid, span=span, sequence=event.rank[0])
    return returned, guard.warnings()


def _event(part: Part, zones: Zones, zone: ZoneInfo, own: Callable[[str], bool], guard: Guard) -> Event | None:
    uid = part.first("UID")
    if part.kind != "VEVENT" or not part.whole or uid is None or not own(uid.value):
        return None
    if part.text("STATUS") == "CANCELLED":
        return None
    try:
        event = parse_event(part, zones, zone)
    except UnusableError as why:
        guard.note(part.line, f"{why}; it is left out")
        return None
    if event.whole_days or event.repeats or event.replaces is not None:
        guard.note(part.line, "this event of the plan was made to repeat or to fill whole days; it is left out")
        return None
    return event
