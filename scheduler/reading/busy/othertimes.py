"""Busy times that are no events: lists of them (VFREEBUSY, RFC 5545, section 3.6.4), and hours outside of which
somebody is never free (VAVAILABILITY, RFC 7953)."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import UTC
from zoneinfo import ZoneInfo

from scheduler.model.basics import Span
from scheduler.model.spans import clip, union, without
from scheduler.reading.busy.events import parse_event
from scheduler.reading.busy.guard import MAX_DATES, Guard, UnusableError
from scheduler.reading.busy.parts import Component
from scheduler.reading.busy.series import busy_minutes
from scheduler.reading.busy.values import instant, minutes, parse_duration, parse_moment
from scheduler.reading.busy.zones import Zones, zones_of
from scheduler.told import told
from scheduler.wallclock import to_minutes

_STEPS_TO_READ = 16
"""What one period of a list costs, in looks at a day."""
_LOWEST = 10
"""Where a priority of 0, which is none, stands among those from 1, the highest, to 9 (RFC 7953, section 3.1)."""


def other_times(calendar: Component, window: Span, zone: ZoneInfo, guard: Guard) -> tuple[Span, ...]:
    """The minutes of the window that the lists and the hours of a calendar take."""
    taken: list[Span] = []
    for part in calendar.parts:
        if part.kind == "VFREEBUSY":
            taken += _listed(part, guard)
    hours = [part for part in calendar.parts if part.kind == "VAVAILABILITY"]
    zones = zones_of(calendar, window, zone, guard) if hours else None
    shut: tuple[Span, ...] = ()
    for part in sorted(hours, key=_priority, reverse=True):  # the highest last: it overrules the others
        assert zones is not None
        try:
            whole = _whole(part, zones, zone, window)
            if whole is None:
                continue
            free = union(_available(part, zones, zone, whole, guard))
        except UnusableError as why:
            guard.note(part.line, told("{why}; it is left out", why=why))
            continue
        shut = union((*without(shut, (whole,)), *without((whole,), free)))
    return union(clip(one, window) for one in (*taken, *shut))


def _listed(part: Component, guard: Guard) -> Iterator[Span]:
    """The periods of a list that are not said to be free."""
    periods = [
        (one.line, text.strip())
        for one in part.all("FREEBUSY")
        if one.parameter("FBTYPE").upper() != "FREE"
        for text in one.value.split(",")
        if text.strip()
    ]
    guard.spend(_STEPS_TO_READ * len(periods), part.line)
    for line, text in periods:
        begin, _, end = text.partition("/")
        try:
            start = parse_moment(begin, UTC)
            if end.upper().startswith("P"):
                yield Span(*minutes(start.local, UTC, parse_duration(end)))
                continue
            yield Span(to_minutes(instant(start.local, UTC)), to_minutes(instant(parse_moment(end, UTC).local, UTC)))
        except (UnusableError, ValueError):
            guard.note(line, "a period of this list of busy times can't be read; it is left out")


def _priority(part: Component) -> int:
    text = part.text("PRIORITY")
    return int(text) if text in tuple("123456789") else _LOWEST


def _whole(part: Component, zones: Zones, own: ZoneInfo, window: Span) -> Span | None:
    """From when to when hours are said; without a beginning, or an end, for ever."""
    begin, end, lasts = part.first("DTSTART"), part.first("DTEND"), part.first("DURATION")
    first, last = window
    if begin is not None:
        start = parse_moment(begin.value, zones.named(begin.parameter("TZID"), begin.line))
        first = to_minutes(instant(start.local, start.zone or own))
        if lasts is not None:
            last = minutes(start.local, start.zone or own, parse_duration(lasts.value))[1]
    if end is not None:
        stop = parse_moment(end.value, zones.named(end.parameter("TZID"), end.line))
        last = to_minutes(instant(stop.local, stop.zone or own))
    whole = clip(Span(first, last), window)
    return whole if whole.minutes > 0 else None


def _available(part: Component, zones: Zones, own: ZoneInfo, whole: Span, guard: Guard) -> Iterator[Span]:
    events = [parse_event(each, zones, own) for each in part.parts if each.kind == "AVAILABLE" and each.whole]
    if len(events) > MAX_DATES:
        raise UnusableError(told("there are more than {max_dates} hours in it", max_dates=MAX_DATES))
    yield from busy_minutes(events, whole, guard)
