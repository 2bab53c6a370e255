"""Calendar files in, busy minutes out."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from functools import reduce
from pathlib import Path
from zoneinfo import ZoneInfo

from scheduler.errors import Fault, InputError
from scheduler.model.basics import Span
from scheduler.model.spans import clip, union
from scheduler.reading.busy.events import Event, parse_event
from scheduler.reading.busy.guard import MAX_BYTES, Guard, UnusableError
from scheduler.reading.busy.othertimes import other_times
from scheduler.reading.busy.parts import Component, calendars
from scheduler.reading.busy.series import busy_minutes
from scheduler.reading.busy.zones import zones_of
from scheduler.reading.textfile import read_bytes, shown
from scheduler.told import told

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
    window = Span(span.start - margin, span.end + margin)
    spans: list[Span] = []
    warnings: list[str] = []
    faults: list[Fault] = []
    for path in paths:
        guard = Guard(shown(path))
        try:
            spans += _busy_of(read_bytes(path, MAX_BYTES), window, zone, guard, own)
        except InputError as error:
            faults += error.faults
        warnings += guard.warnings()
    if faults:
        raise InputError(faults)
    return Busy(with_margin(spans, margin, span), tuple(warnings))


def busy_on_server(
    name: str,
    sources: Sequence[tuple[str, bytes]],
    span: Span,
    zone: ZoneInfo,
    own: Callable[[str], bool] = lambda uid: False,
) -> Busy:
    """The same of one calendar that came in several parts, each with its name and bytes, from the place `name`.

    It may be as large, and take as much to follow, as one file.
    """
    guard = Guard(name)
    if sum(len(data) for _, data in sources) > MAX_BYTES:
        guard.refuse(
            0, told("this calendar is larger than {max_bytes} MiB", max_bytes=MAX_BYTES >> 20), "give a smaller one"
        )
    spans: list[Span] = []
    for part, data in sources:
        guard.turn_to(part)
        spans += _busy_of(data, span, zone, guard, own)
    return Busy(union(clip(one, span) for one in spans), guard.warnings())


def with_margin(spans: Iterable[Span], margin: int, within: Span) -> tuple[Span, ...]:
    """Busy times and so many minutes around each, as far as they lie `within`. ValueError for less than none."""
    if margin < 0:
        raise ValueError("a margin is at least 0 minutes")
    return union(clip(Span(one.start - margin, one.end + margin), within) for one in spans)


def _busy_of(data: bytes, window: Span, zone: ZoneInfo, guard: Guard, own: Callable[[str], bool]) -> tuple[Span, ...]:
    spans: list[Span] = []
    for calendar in calendars(data, guard):
        if calendar.text("CALSCALE") not in ("", "GREGORIAN"):
            guard.note(calendar.line, "this calendar does not count days as the Gregorian one does; it is left out")
            continue
        events = [event for event in _events(calendar, window, zone, guard) if not own(event.uid)]
        spans += union(busy_minutes(_without_declined(events), window, guard))
        spans += other_times(calendar, window, zone, guard)
    return union(spans)


def _events(calendar: Component, window: Span, zone: ZoneInfo, guard: Guard) -> list[Event]:
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
            guard.note(part.line, told("{why}; it is left out", why=why))
            continue
        guard.spend(_STEPS_TO_PARSE * (len(event.extra) + len(event.excluded)), part.line)
        found.append(event)
    return found


def _without_declined(events: Sequence[Event]) -> list[Event]:
    """The same events, invitations that the owner of the calendar declined taking no time.

    No file says whose calendar it is. It is whoever is invited to each of its invitations; where several people are,
    an invitation counts as declined only if all of them declined it.
    """
    invited = [frozenset(address for address, _ in event.answers) for event in events if event.answers]
    owners = reduce(frozenset.intersection, invited) if invited else frozenset[str]()
    return [replace(event, free=True) if _declined(event, owners) else event for event in events]


def _declined(event: Event, owners: frozenset[str]) -> bool:
    """Whether all who may own the calendar declined; of one who is named twice the last answer counts."""
    answers = {address: answer for address, answer in event.answers if address in owners}
    return bool(answers) and set(answers.values()) == {"DECLINED"}
