"""The events of one calendar -> the minutes they take: versions told apart, series put together.

The starts of the rules are stepped in `stepping`, and recurring-ical-events (behind `overrides`) puts them together
with exceptions and overrides. What comes back is a start on a clock; the end is counted here from the exact start,
because a nominal duration across a change of clocks is where readers differ by an hour.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from datetime import datetime, timedelta, tzinfo
from functools import partial
from itertools import islice
from typing import NamedTuple

from scheduler.model.basics import Span
from scheduler.reading.busy.events import Event
from scheduler.reading.busy.guard import MAX_OCCURRENCES, MAX_OVERRIDES, Guard, UnusableError
from scheduler.reading.busy.stepping import starts
from scheduler.reading.busy.values import Length, minutes, parse_moment
from scheduler.told import told
from scheduler.wallclock import EPOCH

_SLACK = timedelta(days=2)
"""More than the clocks of two zones, or the two readings of one night, are ever apart."""
_STEPS_TO_PLACE = 10
_STEPS_TO_REPLACE = 30
"""What the library does with a date or an override, in looks at a day."""


class Placed(NamedTuple):
    """One occurrence: its start on the clock of a zone, and its length."""

    start: datetime
    zone: tzinfo
    length: Length


def busy_minutes(events: Sequence[Event], window: Span, guard: Guard) -> Iterator[Span]:
    """The minutes that the events of one calendar take and that touch the window, in no order."""
    by_uid: dict[str, list[Event]] = defaultdict(list)
    for event in events:
        # Without a UID nothing can replace an event.
        by_uid[event.uid or f"\n{event.line}"].append(event)
    for versions in by_uid.values():
        try:
            spans = [Span(*minutes(*one)) for one in _occurrences(versions, window, guard)]
        except UnusableError as why:
            guard.note(min(event.line for event in versions), told("{why}; it is left out", why=why))
            continue
        yield from (one for one in spans if one.minutes > 0 and one.start < window.end and one.end > window.start)


def _occurrences(versions: Sequence[Event], window: Span, guard: Guard) -> Iterator[Placed]:
    """When the events of one UID take up time; whatever does not repeat comes wherever it lies."""
    cores = _newest([event for event in versions if event.replaces is None])
    overrides = [event for event in versions if event.replaces is not None]
    if len(overrides) > MAX_OVERRIDES:
        raise UnusableError(
            told("more than {max_overrides} single dates of this event were changed", max_overrides=MAX_OVERRIDES)
        )
    if not cores:
        # An invitation to one date of a series comes without the series.
        cores, overrides = list(_by_replaced(overrides, None).values()), []
    for core in cores:
        if overrides or core.repeats or core.excluded:
            guard.spend(_STEPS_TO_REPLACE * len(overrides), core.line)
            yield from _series(core, _by_replaced(overrides, core), window, guard)
        elif not core.free:
            yield Placed(core.start, core.zone, core.length)


def _newest(events: Sequence[Event]) -> list[Event]:
    """Those of the highest rank. Some programs give one UID to all that they write: then all of them count."""
    best = max((event.rank for event in events), default=None)
    return [event for event in events if event.rank == best]


def _by_replaced(overrides: Sequence[Event], core: Event | None) -> dict[datetime, Event]:
    """The newest override of each start on the clock of the core, or each on its own clock without one.

    Of two that are equally new the one that takes up time, then the later one: the order of a file means nothing.
    """
    chosen: dict[datetime, Event] = {}
    for event in sorted(overrides, key=lambda one: (one.rank, not one.free, one.start, one.length)):
        assert event.replaces is not None  # else it is no override
        chosen[(core or event).reading(event.replaces)] = event
    return chosen


def _series(core: Event, overrides: dict[datetime, Event], window: Span, guard: Guard) -> Iterator[Placed]:
    """The occurrences of one series around the window that take up time."""
    lengths = {core.reading(moment): length for moment, length in core.extra}
    low, high = _bounds(core, overrides, [length for length in lengths.values() if length], window)
    dates = _stepped(core, low, high, guard) | lengths.keys()
    if not overrides and not any(low <= start <= high for start in (*dates, core.start)):
        return
    guard.count_series(core.line)
    onward = sum(event.onward for event in overrides.values())
    guard.spend(_STEPS_TO_PLACE * (1 + len(dates) + len(core.excluded)) + len(dates) * onward // 10, core.line)
    # Imported here: most runs have no calendar of the household and need no library for it.
    from scheduler.reading.busy.overrides import place

    for event, start in place(core, dates, _excluded(core, bool(lengths)), overrides, low, high):
        if event.free:
            continue
        if event is core:
            yield Placed(start, core.zone, lengths.get(start) or core.length)
        elif start == event.on_the_clock_of(core.zone):
            yield Placed(event.start, event.zone, event.length)
        else:
            yield Placed(start, core.zone, event.length)


def _bounds(
    core: Event, overrides: dict[datetime, Event], periods: Sequence[Length], window: Span
) -> tuple[datetime, datetime]:
    """The readings of the core's clock between which starts can matter: long and moved occurrences reach far."""
    longest = max(length.rough for length in (core.length, *periods, *(event.length for event in overrides.values())))
    moved = [abs(event.on_the_clock_of(core.zone) - start) for start, event in overrides.items() if event.onward]
    reach = _SLACK + longest + max(moved, default=timedelta())
    low, high = ((EPOCH + timedelta(minutes=edge)).astimezone(core.zone).replace(tzinfo=None) for edge in window)
    return low - reach, high + reach


def _stepped(core: Event, low: datetime, high: datetime, guard: Guard) -> set[datetime]:
    """The starts that the rules of the core give between the bounds."""
    found: set[datetime] = set()
    for rule in core.rules:
        made = starts(rule, core.start, _until(core, rule.until), low, high, partial(guard.spend, line=core.line))
        found.update(islice(made, MAX_OCCURRENCES + 1))
        if len(found) > MAX_OCCURRENCES:
            raise UnusableError(
                told(
                    "this event repeats more than {max_occurrences} times in the planned time",
                    max_occurrences=MAX_OCCURRENCES,
                )
            )
    return found


def _until(core: Event, text: str) -> datetime | None:
    return core.last(parse_moment(text, core.zone)) if text else None


def _excluded(core: Event, has_periods: bool) -> set[datetime]:
    """The starts that do not take place; also the first, if the rules had ended before it.

    Programs end a series before its start when "this and all following" was deleted from the first one on.
    """
    found = {core.reading(moment) for moment in core.excluded}
    ends = [_until(core, rule.until) for rule in core.rules]
    if ends and not has_periods and all(end is not None and end < core.start for end in ends):
        found.add(core.start)
    return found
