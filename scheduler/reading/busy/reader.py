"""Calendar files in, busy minutes out."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path
from zoneinfo import ZoneInfo

from scheduler.errors import Fault, InputError
from scheduler.model.basics import Span
from scheduler.model.spans import clip, union
from scheduler.reading.busy.declined import without_declined
from scheduler.reading.busy.events import Event, parse_event
from scheduler.reading.busy.guard import MAX_BYTES, Guard, UnusableError
from scheduler.reading.busy.othertimes import other_times
from scheduler.reading.busy.parts import Part, calendars
from scheduler.reading.busy.series import busy_minutes
from scheduler.reading.busy.zones import zones_of
from scheduler.reading.textfile import read_bytes, shown

_STEPS_TO_PARSE = 4
"""What one single date of a series costs, in looks at a day."""


@dataclass(frozen=True, slots=True)
class Busy:
    """When the household is busy: minutes (UTC), sorted, disjoint; and what could not be read, by file and line.

    Neither holds a word of what the calendars say: no title, place, person or name of a zone.
    """

    spans: tuple[Span, ...]
    warnings: tuple[str, ...]


def read_busy(
    paths: Sequence[Path],
    span: Span,
    zone: ZoneInfo,
    margin: int = 0,
    own: Callable[[str], bool] = lambda uid: False,
) -> Busy:
    """The minutes of `span` that calendars (iCalendar files, RFC 5545) take, `margin` minutes around each event too.

    Whole days and times without a zone are read on the clock of `zone`. Events that are cancelled, marked as free, or
    have no length take nothing, nor do those whose UID is `own`: the plan's own sessions, in a calendar that holds
    both, stand in nobody's way. An event that can't be used is left out with a warning. Raises InputError,
    with one fault for each file, for a file that is no calendar or goes beyond the limits in `guard`.
    Nothing that a file names is fetched, opened or run.
    """
    if margin < 0:
        raise ValueError("a margin is at least 0 minutes")
    window = Span(span.start - margin, span.end + margin)
    spans: list[Span] = []
    warnings: list[str] = []
    faults: list[Fault] = []
    for path in paths:
        guard = Guard(shown(path))
        try:
            spans += _busy_of_file(path, window, zone, guard, own)
        except InputError as error:
            faults += error.faults
        warnings += guard.warnings()
    if faults:
        raise InputError(faults)
    around = (clip(Span(one.start - margin, one.end + margin), span) for one in spans)
    return Busy(union(around), tuple(warnings))


def _busy_of_file(
    path: Path, window: Span, zone: ZoneInfo, guard: Guard, own: Callable[[str], bool]
) -> tuple[Span, ...]:
    spans: list[Span] = []
    for calendar in calendars(read_bytes(path, MAX_BYTES), guard):
        if calendar.text("CALSCALE") not in ("", "GREGORIAN"):
            guard.note(calendar.line, "this calendar does not count days as the Gregorian one does; it is left out")
            continue
        events = [event for event in _events(calendar, window, zone, guard) if not own(event.uid)]
        spans += union(busy_minutes(without_declined(events), window, guard))
        spans += other_times(calendar, window, zone, guard)
    return union(spans)


def _events(calendar: Part, window: Span, zone: ZoneInfo, guard: Guard) -> list[Event]:
    zones = zones_of(calendar, window, zone, guard)
    cancelled = calendar.text("METHOD") == "CANCEL"
    found = []
    for part in calendar.parts:
        if part.kind != "VEVENT":
            continue
        if not part.whole:
            guard.note(part.line, "this event has no end of its own (END:VEVENT); it is left out")
            continue
        try:
            event = parse_event(part, zones, zone, cancelled)
        except UnusableError as why:
            guard.note(part.line, f"{why}; it is left out")
            continue
        guard.spend(_STEPS_TO_PARSE * (len(event.extra) + len(event.excluded)), part.line)
        found.append(event)
    return found
