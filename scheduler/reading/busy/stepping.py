"""A rule of repetition -> its starts in the planned time (RFC 5545, section 3.3.10), every step counted.

The stepping is our own because a general one has no end: a rule that never matches (30 February) is followed
to the year 9999, and one that began long ago from its first day. Here only the periods that reach into the planned
time are looked at, or with COUNT those from the start, and each costs a counted step. The tests hold it
against the examples of the standard and against an independent library.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from datetime import date, datetime, time, timedelta
from itertools import islice

from scheduler.reading.busy.guard import MAX_HOURLY, UnusableError
from scheduler.reading.busy.rule import RecurrenceRule
from scheduler.told import told

Spend = Callable[[int], None]

_ONE_DAY = timedelta(days=1)


def starts(
    rule: RecurrenceRule, first: datetime, until: datetime | None, low: datetime, high: datetime, spend: Spend
) -> Iterator[datetime]:
    """The starts in [low, high), in order, of a rule whose event begins at `first`; all on one clock.

    `until` is included. `spend` is told the days that were looked at and the starts that were made. Raises
    UnusableError for an hourly rule of too many steps.
    """
    stop = high if until is None else min(high, until + timedelta(seconds=1))
    periods = _periods(rule, first, first if rule.count else max(first, low), stop)
    for start in islice(_all_of(rule, first, periods, stop, spend), rule.count):
        if start >= low:
            yield start


def _all_of(
    rule: RecurrenceRule, first: datetime, periods: Iterator[list[date]], stop: datetime, spend: Spend
) -> Iterator[datetime]:
    """The starts of these periods, none before `first`, none from `stop` on."""
    by_hour = rule.frequency == "HOURLY"
    sets = _hours(rule, first, stop, spend) if by_hour else _days(rule, first, periods, spend)
    for one in sets:
        for start in _at_positions(list(one), rule.positions) if rule.positions else one:
            if start >= stop:
                return
            if start >= first:
                yield start


def _days(
    rule: RecurrenceRule, first: datetime, periods: Iterator[list[date]], spend: Spend
) -> Iterator[Iterator[datetime]]:
    """The starts of each period before BYSETPOS."""
    fits, times = _day_filter(rule, first), _times(rule, first)
    spend(len(times))
    for days in periods:
        kept = [day for day in days if fits(day)]
        spend(len(days) + len(kept) * len(times) + 1)
        yield (datetime.combine(day, clock) for day in kept for clock in times)


def _hours(rule: RecurrenceRule, first: datetime, stop: datetime, spend: Spend) -> Iterator[Iterator[datetime]]:
    """The same for a rule whose period is an hour."""
    fits, times = _day_filter(rule, first), _times(rule, first)
    spend(len(times))
    clocks = sorted({(clock.minute, clock.second) for clock in times})
    hour = first.replace(minute=0, second=0)
    for _ in range(MAX_HOURLY):
        if hour >= stop:
            return
        spend(len(clocks) + 1)
        if fits(hour.date()) and (not rule.by_hour or hour.hour in rule.by_hour):
            yield (hour.replace(minute=minute, second=second) for minute, second in clocks)
        hour += timedelta(hours=rule.interval)
    raise UnusableError(told("this event repeats by the hour, more than {max_hourly} times", max_hourly=MAX_HOURLY))


def _at_positions(found: list[datetime], positions: tuple[int, ...]) -> list[datetime]:
    places = {place - 1 if place > 0 else len(found) + place for place in positions}
    return [found[place] for place in sorted(places) if 0 <= place < len(found)]


def _times(rule: RecurrenceRule, first: datetime) -> list[time]:
    return [
        time(hour, minute, second)
        for hour in rule.by_hour or (first.hour,)
        for minute in rule.by_minute or (first.minute,)
        for second in rule.by_second or (first.second,)
    ]


def _periods(rule: RecurrenceRule, first: datetime, low: datetime, stop: datetime) -> Iterator[list[date]]:
    """The days of each period, every `interval`-th from that of `first`, the first one reaching up to `low`."""
    if rule.frequency in ("DAILY", "WEEKLY"):
        yield from _short_periods(rule, first.date(), low.date(), stop)
        return
    months = 12 if rule.frequency == "YEARLY" else 1
    month = first.year * 12 + (first.month - 1 if months == 1 else 0)
    stride = months * rule.interval
    month += (low.year * 12 + low.month - 1 - month) // stride * stride
    while month <= stop.year * 12 + stop.month - 1:
        yield _days_of_months(month, months, rule, first.date())
        month += stride


def _short_periods(rule: RecurrenceRule, first: date, low: date, stop: datetime) -> Iterator[list[date]]:
    width = 1 if rule.frequency == "DAILY" else 7
    if width == 7:
        first -= timedelta(days=(first.weekday() - rule.week_start) % 7)
    stride = timedelta(days=width * rule.interval)
    day = first + (low - first) // stride * stride
    while day <= stop.date():
        yield [day + _ONE_DAY * shift for shift in range(width)]
        day += stride


def _days_of_months(month: int, months: int, rule: RecurrenceRule, first: date) -> list[date]:
    """All days of the months that the rule may use: those of BYMONTH, or the month of the start."""
    allowed = rule.by_month
    if not allowed and months == 12 and not (rule.by_week or rule.by_year_day or rule.by_month_day or rule.by_day):
        allowed = (first.month,)
    return [
        date(one // 12, one % 12 + 1, number)
        for one in range(month, month + months)
        if not allowed or one % 12 + 1 in allowed
        for number in range(1, _days_in_month(one // 12, one % 12 + 1) + 1)
    ]


def _day_filter(rule: RecurrenceRule, first: datetime) -> Callable[[date], bool]:
    """Whether a day is in the lists of the rule; what they leave open comes from the start of the event."""
    months, month_days, by_day = frozenset(rule.by_month), frozenset(rule.by_month_day), rule.by_day
    year_days, weeks = frozenset(rule.by_year_day), frozenset(rule.by_week)
    if not (by_day or month_days or year_days):
        if rule.frequency == "WEEKLY" or weeks:
            by_day = ((0, first.weekday()),)
        elif rule.frequency in ("YEARLY", "MONTHLY"):
            month_days = frozenset([first.day])
    weekdays = {weekday for _, weekday in by_day}
    ordinals = rule.frequency in ("YEARLY", "MONTHLY") and any(ordinal for ordinal, _ in by_day)
    in_month = rule.frequency == "MONTHLY" or bool(months)

    def fits(day: date) -> bool:
        if weekdays and day.weekday() not in weekdays:
            return False
        if months and day.month not in months:
            return False
        if month_days and not _counts(day.day, _days_in_month(day.year, day.month), month_days):
            return False
        if year_days and not _counts(*_day_of_year(day), year_days):
            return False
        if weeks and not _counts(*_week_of_year(day, rule.week_start), weeks):
            return False
        return not ordinals or any(
            weekday == day.weekday() and (not ordinal or _is_nth(day, ordinal, in_month))
            for ordinal, weekday in by_day
        )

    return fits


def _counts(number: int, last: int, wanted: frozenset[int]) -> bool:
    """Whether a number, counted from 1 or from -1 at the end, is wanted."""
    return number in wanted or number - last - 1 in wanted


def _is_nth(day: date, ordinal: int, in_month: bool) -> bool:
    """Whether it is the n-th of its weekday in the month, or in the year."""
    number, last = (day.day, _days_in_month(day.year, day.month)) if in_month else _day_of_year(day)
    return ordinal == ((number - 1) // 7 + 1 if ordinal > 0 else -((last - number) // 7 + 1))


def _days_in_month(year: int, month: int) -> int:
    return (date(year + month // 12, month % 12 + 1, 1) - date(year, month, 1)).days


def _day_of_year(day: date) -> tuple[int, int]:
    """The number of the day, from 1, and that of the last day of its year."""
    new_year = date(day.year, 1, 1)
    return (day - new_year).days + 1, (date(day.year + 1, 1, 1) - new_year).days


def _week_of_year(day: date, week_start: int) -> tuple[int, int]:
    """The number of the week and that of the last week of its year; week 1 is the first with four days in it."""
    middle = day + timedelta(days=3 - (day.weekday() - week_start) % 7)
    # 28 December is always in the last week: from it on the year has four days.
    last = date(middle.year, 12, 28)
    last += timedelta(days=3 - (last.weekday() - week_start) % 7)
    return (_day_of_year(middle)[0] - 1) // 7 + 1, (_day_of_year(last)[0] - 1) // 7 + 1
