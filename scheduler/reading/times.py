"""Days, times of day and days of the week as people write them."""

from __future__ import annotations

import calendar
import re
from datetime import date
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from scheduler.model.names import meant
from scheduler.reading.zonenames import NO_ZONES, zone_meant
from scheduler.units import UnclearQuantityError

FIRST_YEAR, LAST_YEAR = 2000, 2199
"""Years in which a job may lie: room on both sides for a long one, and no slip of the hand gets through."""

_WRITE_DATE = "write it as year-month-day, such as `2027-01-09`"
_WRITE_CLOCK = "write it as `8:30`, `18:30` or `6:30 pm`"
_WRITE_MOMENT = "write a date, or a date and a time, such as `2027-01-09 08:00`"
_DAY_NAMES = ("Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday")
_DAY_GROUPS = {
    "weekdays": frozenset(range(5)),
    "weekends": frozenset({5, 6}),
    "every day": frozenset(range(7)),
}


def parse_date(text: str) -> date:
    """A day of the calendar from `2027-01-09`. Raises UnclearQuantityError, as every parser here does."""
    text = text.strip()
    if re.fullmatch(r"[0-9]{1,4}[/.][0-9]{1,2}[/.][0-9]{1,4}", text):
        raise UnclearQuantityError(f"`{text}` leaves open which number is the day and which the month", _WRITE_DATE)
    found = re.fullmatch(r"([0-9]{1,9})-([0-9]{2})-([0-9]{2})", text)
    if found is None:
        raise UnclearQuantityError(f"`{text}` is no date", _WRITE_DATE)
    year, month, day = (int(part) for part in found.groups())
    if not FIRST_YEAR <= year <= LAST_YEAR:
        side = "before" if year < FIRST_YEAR else "after"
        bound = FIRST_YEAR if year < FIRST_YEAR else LAST_YEAR
        raise UnclearQuantityError(f"`{text}` is {side} {bound}", f"write a year from {FIRST_YEAR} to {LAST_YEAR}")
    if not 1 <= month <= 12:
        raise UnclearQuantityError(f"`{text}` has no month of the year", "months are 01 to 12")
    last = calendar.monthrange(year, month)[1]
    if not 1 <= day <= last:
        said = f"{calendar.month_name[month]} {year} has the days 01 to {last}"
        raise UnclearQuantityError(f"`{text}` is no day of the calendar", said)
    return date(year, month, day)


def parse_days(text: str, between: str = "to") -> tuple[date, date]:
    """First and last day from `2027-02-13 to 2027-02-14`, or one day as both. `between` is the word between."""
    first, word, last = text.partition(f" {between} ")
    days = (parse_date(first), parse_date(last if word else first))
    if days[1] < days[0]:
        raise UnclearQuantityError(
            f"`{text}` ends before it begins", f"write `{last.strip()} {between} {first.strip()}`"
        )
    return days


def parse_clock(text: str) -> int:
    """Minutes of the day (0..1440) from `8:30`, `18:30`, `6:30 pm`, `6 pm`, `noon`, `24:00`."""
    text = text.strip()
    if text.lower() in ("noon", "midday"):
        return 12 * 60
    found = re.fullmatch(r"([0-9]{1,2})(?::([0-9]{2}))?(?:\s*([ap])\.?m\.?)?", text.lower())
    if found is None:
        raise UnclearQuantityError(f"`{text}` is no time of day", _WRITE_CLOCK)
    hour, minute, half = int(found[1]), int(found[2] or 0), found[3]
    if found[2] is None and half is None:
        raise UnclearQuantityError(f"`{text}` leaves open which half of the day", f"write `{hour}:00` or `{hour} pm`")
    if half and (hour, minute) == (12, 0):
        raise UnclearQuantityError(f"`{text}` may be noon or midnight", "write `noon` or `24:00`")
    if minute > 59 or (half and not 1 <= hour <= 12) or hour * 60 + minute > 24 * 60:
        raise UnclearQuantityError(f"`{text}` is no time of day", _WRITE_CLOCK)
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    return hour * 60 + minute


def parse_clocks(text: str) -> tuple[int, int]:
    """From and to, in minutes of the day, from `12:00 to 12:45`."""
    start, word, end = text.partition(" to ")
    if not word:
        raise UnclearQuantityError(f"`{text}` is no stretch of the day", "write it as `12:00 to 12:45`")
    clocks = (parse_clock(start), parse_clock(end))
    if clocks[1] <= clocks[0]:
        raise UnclearQuantityError(f"`{text}` ends before it begins", "write the earlier time first")
    return clocks


def parse_moment(text: str) -> tuple[date, int]:
    """A day and a minute of it from `2027-01-09` (its beginning) or `2027-01-09 08:00`."""
    day, _, clock = text.strip().replace("T", " ", 1).partition(" ")
    if not clock:
        return parse_date(day), 0
    try:
        return parse_date(day), parse_clock(clock)
    except UnclearQuantityError as error:
        raise UnclearQuantityError(error.message, _WRITE_MOMENT) from None


def parse_weekdays(text: str) -> frozenset[int]:
    """Days of the week, Monday = 0, from `Saturday`, `Sat`, `Saturday and Sunday`, `weekdays`, `every day`."""
    names = [part.strip() for part in re.split(r",| and ", text)]
    return frozenset[int]().union(*(_weekday(name) for name in names))


def _weekday(name: str) -> frozenset[int]:
    plain = " ".join(name.lower().split())
    groups = _DAY_GROUPS | {"daily": _DAY_GROUPS["every day"], "weekend": _DAY_GROUPS["weekends"]}
    groups["weekday"] = _DAY_GROUPS["weekdays"]
    if plain in groups:
        return groups[plain]
    for number, day in enumerate(_DAY_NAMES):
        if plain in (day.lower(), f"{day.lower()}s", day[:3].lower()):
            return frozenset({number})
    raise UnclearQuantityError(f"`{name}` is no day of the week", meant(name, [*_DAY_NAMES, *_DAY_GROUPS]))


def parse_zone(text: str) -> str:
    """The IANA name of a time zone, such as `America/Denver`."""
    name = text.strip()
    try:
        if name.startswith(NO_ZONES):
            raise ZoneInfoNotFoundError(name)
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, OSError, ValueError):
        raise UnclearQuantityError(f"`{name}` is no time zone", zone_meant(name)) from None
    return name
