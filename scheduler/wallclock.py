"""Aware time <-> whole minutes. The only module that turns a wall clock into elapsed time and back.

Inside the package a moment is an `int`: minutes since 1970-01-01 00:00 UTC. Spans are half open, [start, end).
Work hours are wall-clock rules and drying is elapsed time, so every conversion passes through here: Python's
`aware + timedelta` is wall-clock arithmetic and is off by an hour across a change of clocks.
"""

from __future__ import annotations

from datetime import UTC, date, datetime, time, timedelta
from typing import Literal
from zoneinfo import ZoneInfo

EPOCH = datetime(1970, 1, 1, tzinfo=UTC)
DAY = 24 * 60
WEEKDAYS = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
"""By their number, Monday is 0: as people write them in a job file, and as `date.weekday` counts."""
ICAL_WEEKDAYS = tuple(name[:2].upper() for name in WEEKDAYS)
"""The same as iCalendar writes them (RFC 5545, section 3.3.10): MO, TU and so on."""
NEVER = 1 << 60
"""A minute later than any plan: what is ready at NEVER is not ready within the horizon."""


def to_minutes(moment: datetime) -> int:
    """Whole minutes since the epoch of an aware moment, rounded down. Raises ValueError for a naive one."""
    if moment.tzinfo is None:
        raise ValueError("a moment without a zone has no place in time")
    elapsed = moment.astimezone(UTC) - EPOCH
    return elapsed // timedelta(minutes=1)


def to_datetime(minute: int, zone: ZoneInfo) -> datetime:
    """The aware local time of a minute."""
    return (EPOCH + timedelta(minutes=minute)).astimezone(zone)


def local_date(minute: int, zone: ZoneInfo) -> date:
    """The calendar day, in the zone, on which a minute falls."""
    return to_datetime(minute, zone).date()


def same_time(minute: int, day: date, zone: ZoneInfo) -> int:
    """The minute at which the clock on the wall shows on another day what it shows at a minute."""
    clock = to_datetime(minute, zone)
    return at_local(day, clock.hour * 60 + clock.minute, zone)


def at_local(day: date, minute_of_day: int, zone: ZoneInfo, *, fold: Literal[0, 1] = 0) -> int:
    """The minute at which the clock on the wall shows `minute_of_day` (0..1440) on that day.

    1440 is midnight at the end of the day. A time skipped in spring is read with the offset before the gap, a
    time that comes twice in autumn as its first occurrence (RFC 5545, section 3.3.5), unless `fold` asks for the
    second (Python's `datetime.fold`; of a skipped time it is then the one by the offset after the gap).
    """
    if minute_of_day >= DAY:
        return at_local(day + timedelta(days=1), minute_of_day - DAY, zone, fold=fold)
    clock = time(minute_of_day // 60, minute_of_day % 60, fold=fold)
    return to_minutes(datetime.combine(day, clock, tzinfo=zone))
