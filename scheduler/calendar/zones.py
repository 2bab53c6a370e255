"""A time zone as a calendar file may carry it: one DAYLIGHT and one STANDARD, each with one yearly rule.

Lists of single changes (RDATE) are misread by calendar programs in use, and summer work then lands an hour late; a
yearly rule is read alike. A zone that no such pair describes is not written at all: its times are given in UTC.
"""

from __future__ import annotations

import calendar as months
from bisect import bisect_left
from collections.abc import Iterable
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from itertools import pairwise
from typing import NamedTuple
from zoneinfo import ZoneInfo

from icalendar import Timezone, TimezoneDaylight, TimezoneStandard

from scheduler.wallclock import ICAL_WEEKDAYS

AHEAD = 7
"""Years beyond the plan over which a rule must hold as well: enough to tell a fourth Sunday from a last one."""

RULES_SINCE = 1970
"""The year of the first onset that is written; readers compute from there, and the plan's own years are checked."""


class _Change(NamedTuple):
    """A change of clocks: the local time at which it comes, in the offset before it, and both offsets."""

    local: datetime
    before: timedelta
    after: timedelta
    name: str


@dataclass(frozen=True, slots=True)
class Onset:
    """A yearly change: the `nth` such weekday (-1 is the last; Monday is 0) of the month at `hour`:`minute`.

    The time is that of the clock before the change, as RFC 5545, section 3.6.5 reads it.
    """

    month: int
    weekday: int
    nth: int
    hour: int
    minute: int
    before: timedelta
    after: timedelta
    name: str

    def in_year(self, year: int) -> datetime:
        """The local time of the change in a year."""
        days = [day for day in months.Calendar().itermonthdates(year, self.month) if day.month == self.month]
        day = [day for day in days if day.weekday() == self.weekday][self.nth - 1 if self.nth > 0 else -1]
        return datetime(day.year, day.month, day.day, self.hour, self.minute)


def yearly_pair(zone: ZoneInfo, first: int, last: int) -> tuple[Onset, Onset] | None:
    """(into summer time, out of it) if two yearly rules give exactly the changes of the zone in those years."""
    years = range(first, min(last + AHEAD, 9990) + 1)
    changes = [_changes(zone, year) for year in years]
    if any(len(found) != 2 for found in changes):
        return None
    one, other = (_rule([found[which] for found in changes]) for which in (0, 1))
    if one is None or other is None:
        return None
    summer, winter = sorted((one, other), key=lambda onset: onset.before - onset.after)
    return summer, winter


def vtimezone(zone: ZoneInfo, pair: tuple[Onset, Onset]) -> Timezone:
    """The component that stands in the file."""
    component = Timezone()
    component.add("tzid", zone.key)
    for part, onset in zip((TimezoneDaylight(), TimezoneStandard()), pair, strict=True):
        part.add("dtstart", onset.in_year(RULES_SINCE))
        part.add("tzoffsetfrom", onset.before)
        part.add("tzoffsetto", onset.after)
        part.add("tzname", onset.name)
        day = f"{onset.nth}{ICAL_WEEKDAYS[onset.weekday]}"
        part.add("rrule", {"freq": "yearly", "bymonth": onset.month, "byday": day})
        component.add_component(part)
    return component


def _changes(zone: ZoneInfo, year: int) -> list[_Change]:
    """The changes of clocks whose local time lies in the year, to the minute."""
    start = datetime(year, 1, 1, tzinfo=UTC) - timedelta(days=2)
    days = [start + timedelta(days=day) for day in range(370)]
    found = []
    for (low, before), (high, after) in pairwise((day, _offset(zone, day)) for day in days):
        if before == after:
            continue
        moment = _first_with(zone, after, low, high)
        local = (moment + before).replace(tzinfo=None)
        if local.year == year:
            found.append(_Change(local, before, after, moment.astimezone(zone).tzname() or zone.key))
    return found


def _first_with(zone: ZoneInfo, offset: timedelta, low: datetime, high: datetime) -> datetime:
    """The first whole minute after `low` with that offset, which `high` has."""
    minutes = bisect_left(
        range((high - low) // timedelta(minutes=1)),
        True,
        key=lambda minute: _offset(zone, low + timedelta(minutes=minute)) == offset,
    )
    return low + timedelta(minutes=minutes)


def _offset(zone: ZoneInfo, moment: datetime) -> timedelta:
    return moment.astimezone(zone).utcoffset() or timedelta()


def _rule(changes: Iterable[_Change]) -> Onset | None:
    """The one rule that gives all these changes; None if there is no such rule."""
    options: set[Onset] | None = None
    for change in changes:
        these = set(_options(change))
        options = these if options is None else options & these
    return min(options, key=lambda onset: onset.nth) if options else None


def _options(change: _Change) -> Iterable[Onset]:
    local = change.local
    last = local.day + 7 > months.monthrange(local.year, local.month)[1]
    for nth in [(local.day - 1) // 7 + 1, *([-1] if last else [])]:
        yield Onset(
            local.month,
            local.weekday(),
            nth,
            local.hour,
            local.minute,
            change.before,
            change.after,
            change.name,
        )
