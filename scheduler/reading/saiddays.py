"""Days and moments as people say them on a command line: `sunday`, `5.12.`, `2 weeks`, `tomorrow 11:20`.

They count from a day that is handed in. What leaves open which day is meant is asked back, not guessed. Every reader
raises UnclearQuantityError.
"""

from __future__ import annotations

import calendar
import re
from datetime import date, timedelta
from typing import Literal, TypeAlias

from scheduler.reading.times import (
    CLOCK,
    DAY_MONTH,
    FIRST_YEAR,
    LAST_YEAR,
    MONTH_DAY,
    MONTHS,
    parse_clock,
    parse_date,
    parse_weekdays,
)
from scheduler.told import told
from scheduler.units import UnclearQuantityError

Way: TypeAlias = Literal["back", "ahead", "near"]
"""Which of several days of one name is meant: the last that has been, the next to come (today is both), or the
nearest."""

_WRITE = "write it such as `sunday`, `5 December`, `2 weeks` or `2027-12-05`"
_NEAR_DAYS = {"today": 0, "now": 0, "yesterday": -1, "tomorrow": 1}
_NEAR_DAYS |= {"heute": 0, "jetzt": 0, "gestern": -1, "morgen": 1, "vorgestern": -2, "übermorgen": 2}
_WEEK, _LAST_MONTH = 7, 12
_FAR = 600
"""Weeks, or days: nobody counts so many."""
_WEEKDAY = re.compile(r"(?:(last|next|this|on|letzten|nächsten|diesen|am)\s+)?([a-z]+)")
_COUNTED = re.compile(r"(?:in\s+)?(a|an|one|two|three|four|[0-9]{1,3})\s+(day|week)s?(\s+ago)?(?:\s+from\s+now)?")
_WORDS = {"a": 1, "an": 1, "one": 1, "two": 2, "three": 3, "four": 4}
_DOTTED = re.compile(r"([0-9]{1,2})\.\s*([0-9]{1,2})\.?\s*([0-9]{4}|[0-9]{2})?")
_SLASHED = re.compile(r"([0-9]{1,2})/([0-9]{1,2})(?:/([0-9]{4}|[0-9]{2}))?")


def is_length(text: str) -> bool:
    """Whether what was said is a mere length, `2 weeks`: counted from today, though so much later may be meant."""
    plain = " ".join(text.lower().split()).rstrip(",")
    return _COUNTED.fullmatch(plain) is not None and not re.match(r"in\s|.*\s(?:ago|now)$", plain)


def said_day(text: str, today: date, way: Way, *, us: bool) -> date:
    """The day that a person means, counted from `today`. `us`: `12/5` is the fifth of December, not of May."""
    plain = " ".join(text.lower().split()).rstrip(",")
    if plain in _NEAR_DAYS:
        return today + timedelta(_NEAR_DAYS[plain])
    if re.match(r"[0-9]{3,}-", plain):
        return parse_date(plain)
    if found := _COUNTED.fullmatch(plain):
        return _counted(found, today, text)
    if found := _WEEKDAY.fullmatch(plain):
        return _weekday(found, today, way, text)
    day, month, year = _numbers(plain, text, us=us)
    return _dated(text, today, way, day, month, year)


def _numbers(plain: str, text: str, *, us: bool) -> tuple[int, int, str | None]:
    """Day, month, and the year as it stands there, of `5.12.`, `12/5/27`, `5 December`, `Dec 5th`."""
    if found := _DOTTED.fullmatch(plain):
        return int(found[1]), int(found[2]), found[3]
    if found := _SLASHED.fullmatch(plain):
        return *_slashed(int(found[1]), int(found[2]), text, us=us), found[3]
    if (found := DAY_MONTH.fullmatch(plain)) and found[2] in MONTHS:
        return int(found[1]), MONTHS[found[2]], found[3]
    if (found := MONTH_DAY.fullmatch(plain)) and found[1] in MONTHS:
        return int(found[2]), MONTHS[found[1]], found[3]
    raise UnclearQuantityError(told("`{text}` is no day", text=text), _WRITE)


def said_moment(text: str, today: date, way: Way, *, us: bool) -> tuple[date, int | None]:
    """The day, and the minute of it if one was named, of `tomorrow 11:20`, `sunday at 4 pm`, `16:40`, `sunday`."""
    plain = " ".join(text.lower().split())
    found = CLOCK.fullmatch(plain)
    if found is not None and found[1]:
        return said_day(found[1], today, way, us=us), parse_clock(found[2])
    if re.match(r"[0-9]{1,2}(:|\s*[ap]\.?m|$)|(at|noon|midday)\b", plain):
        return today, parse_clock(plain.removeprefix("at "))
    return said_day(text, today, way, us=us), None


def _counted(found: re.Match[str], today: date, text: str) -> date:
    count = _WORDS.get(found[1]) or int(found[1])
    if not 0 < count <= _FAR:
        raise UnclearQuantityError(told("`{text}` is no day", text=text), _WRITE)
    days = count * (_WEEK if found[2] == "week" else 1)
    return today + timedelta(-days if found[3] else days)


def _slashed(first: int, second: int, text: str, *, us: bool) -> tuple[int, int]:
    """Day and month: the month first where a job is measured as in the US; elsewhere the day, if nothing is left
    open by that."""
    if us:
        return second, first
    if first <= _LAST_MONTH and second <= _LAST_MONTH and first != second:
        said = told("`{text}` leaves open which number is the day and which the month", text=text)
        raise UnclearQuantityError(
            said,
            told(
                "write `{first}.{second}.`, or `{first} {month_name}`",
                first=first,
                second=second,
                month_name=calendar.month_name[second],
            ),
        )
    return first, second


def _weekday(found: re.Match[str], today: date, way: Way, text: str) -> date:
    try:
        numbers = parse_weekdays(found[2])
    except UnclearQuantityError:
        raise UnclearQuantityError(told("`{text}` is no day", text=text), _WRITE) from None
    if len(numbers) != 1:
        raise UnclearQuantityError(told("`{text}` is more than one day", text=text), _WRITE)
    back = (today.weekday() - min(numbers)) % _WEEK
    if found[1] in ("last", "letzten"):
        return today - timedelta(back or _WEEK)
    if found[1] in ("next", "nächsten"):
        return today + timedelta(_WEEK - back)
    if way == "back" or (way == "near" and back <= _WEEK // 2):
        return today - timedelta(back)
    return today + timedelta((_WEEK - back) % _WEEK)


def _dated(text: str, today: date, way: Way, day: int, month: int, year: str | None) -> date:
    """A day of a month; without a year the one that lies the right way from today."""
    if year is not None:
        return _of_calendar(text, int(year) + (2000 if len(year) < 4 else 0), month, day)
    if (month, day) == (2, 29):
        raise UnclearQuantityError(told("`{text}` is a day of some years only", text=text), "write the year as well")
    last, this, next_ = (_of_calendar(text, today.year + n, month, day) for n in (-1, 0, 1))
    if way == "back":
        return this if this <= today else last
    if way == "ahead":
        return this if this >= today else next_
    return min((last, this, next_), key=lambda each: abs(each - today))


def _of_calendar(text: str, year: int, month: int, day: int) -> date:
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise UnclearQuantityError(
            told("`{text}` is far away", text=text),
            told("write a year from {first_year} to {last_year}", first_year=FIRST_YEAR, last_year=LAST_YEAR),
        )
    try:
        return date(year, month, day)
    except ValueError:
        raise UnclearQuantityError(told("`{text}` is no day of the calendar", text=text), _WRITE) from None
