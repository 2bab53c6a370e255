"""Dates, times and durations as RFC 5545 writes them (sections 3.3.4 to 3.3.6), and the length of an event."""

from __future__ import annotations

import re
from datetime import UTC, datetime, timedelta, tzinfo
from typing import NamedTuple

from scheduler.reading.busy.guard import YEARS, UnusableError
from scheduler.told import told
from scheduler.wallclock import to_minutes

_MOMENT = re.compile(r"([0-9]{4})([0-9]{2})([0-9]{2})(?:T([0-9]{2})([0-9]{2})([0-9]{2})(Z?))?", re.IGNORECASE)
_DURATION = re.compile(
    r"\+?P(?:([0-9]{1,4})W)?(?:([0-9]{1,5})D)?(?:T(?:([0-9]{1,6})H)?(?:([0-9]{1,7})M)?(?:([0-9]{1,9})S)?)?"
)


class Moment(NamedTuple):
    """A date or a time on the clock of `zone`. A date is its midnight, and has no zone."""

    local: datetime
    zone: tzinfo | None

    @property
    def is_date(self) -> bool:
        """Whether it is a whole day."""
        return self.zone is None

    def on_the_clock_of(self, zone: tzinfo) -> datetime:
        """What the clock of another zone shows then; a date is the same date everywhere."""
        if self.zone is None or self.zone is zone:
            return self.local
        return instant(self.local, self.zone).astimezone(zone).replace(tzinfo=None, fold=0)


class Length(NamedTuple):
    """How long an event lasts: days on the calendar, then exact seconds.

    DURATION is both (RFC 5545, section 3.3.6: a day may have 23 hours, an hour has 60 minutes), whole days are
    days alone, and what DTEND ends lasts the same exact time whenever it repeats (section 3.8.5.3).
    """

    days: int
    seconds: int

    @property
    def rough(self) -> timedelta:
        """The length on an ordinary day."""
        return timedelta(days=self.days, seconds=self.seconds)


def instant(local: datetime, zone: tzinfo) -> datetime:
    """The moment, in UTC, at which the clock of the zone shows `local`.

    A time skipped in spring is read with the offset before the gap, one that comes twice in autumn as its first
    occurrence (RFC 5545, section 3.3.5). Raises UnusableError near the ends of the calendar.
    """
    try:
        return local.replace(tzinfo=zone, fold=0).astimezone(UTC)
    except (OverflowError, ValueError):
        raise UnusableError("a date of this event is beyond the calendar") from None


def minutes(local: datetime, zone: tzinfo, length: Length) -> tuple[int, int]:
    """First minute and minute after the last one of an event; a begun minute counts whole."""
    start = instant(local, zone)
    end = instant(local + timedelta(days=length.days), zone) + timedelta(seconds=length.seconds)
    return to_minutes(start), to_minutes(end + timedelta(seconds=59))


def parse_moment(text: str, floating: tzinfo) -> Moment:
    """A date, a time in UTC (`Z`), or a time on the clock of `floating`. Raises UnusableError."""
    found = _MOMENT.fullmatch(text)
    if found is None:
        raise UnusableError("a date of this event is none (20270109 or 20270109T083000 would be one)")
    year, month, day = (int(part) for part in found.groups()[:3])
    if year not in YEARS:
        raise UnusableError(
            told(
                "a date of this event is not between the years {start} and {stop}",
                start=YEARS.start,
                stop=YEARS.stop - 1,
            )
        )
    try:
        if found[4] is None:
            return Moment(datetime(year, month, day), None)
        hour, minute, second = (int(part) for part in found.groups()[3:6])
        # 60 is a second that is added to the year now and then; no clock of this package has it.
        local = datetime(year, month, day, hour, minute, min(second, 59))
    except ValueError:
        raise UnusableError("a date of this event is not in the calendar") from None
    return Moment(local, UTC if found[7] else floating)


def parse_duration(text: str) -> Length:
    """A duration from zero up. Raises UnusableError."""
    found = _DURATION.fullmatch(text.upper())
    if found is None or not any(found.groups()):
        raise UnusableError("the duration of this event is none (PT1H30M or P2D would be one)")
    weeks, days, hours, mins, seconds = (int(part or 0) for part in found.groups())
    return Length(weeks * 7 + days, hours * 3600 + mins * 60 + seconds)
