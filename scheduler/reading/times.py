"""Days, times of day and days of the week as people write them."""

from __future__ import annotations

import calendar
import re
from datetime import date
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from scheduler.model.names import meant
from scheduler.reading.zonenames import NO_ZONES, zone_meant
from scheduler.told import either, told
from scheduler.units import UnclearQuantityError
from scheduler.wallclock import WEEKDAYS

FIRST_YEAR, LAST_YEAR = 2000, 2199
"""Years in which a job may lie: room on both sides for a long one, and no slip of the hand gets through."""

_WRITE_DATE = "write it such as `2027-01-09` or `9 January 2027`"
_WRITE_CLOCK = "write it as `8:30`, `18:30` or `6:30 pm`"
_WRITE_MOMENT = "write a date, or a date and a time, such as `2027-01-09 08:00` or `9 January 2027 8:00`"
_GERMAN_MONTHS = (
    *("Januar", "Februar", "März", "April", "Mai", "Juni"),
    *("Juli", "August", "September", "Oktober", "November", "Dezember"),
)
MONTHS = {name.lower(): number for number, name in enumerate(calendar.month_name) if number}
MONTHS |= {name.lower(): number for number, name in enumerate(calendar.month_abbr) if number}
MONTHS |= {name.lower(): number for number, name in enumerate(_GERMAN_MONTHS, start=1)}
MONTHS |= {"sept": 9, "maerz": 3, "jänner": 1, "feber": 2}
"""Months by the words that people write in English and German."""
DAY_MONTH = re.compile(r"([0-9]{1,2})(?:st|nd|rd|th|\.)?\s+(?:of\s+)?([a-zä]{3,9})\.?(?:,?\s+([0-9]{4}))?")
MONTH_DAY = re.compile(r"([a-zä]{3,9})\.?\s+([0-9]{1,2})(?:st|nd|rd|th)?(?:,?\s+([0-9]{4}))?")
CLOCK = re.compile(
    r"(.*?)[\s,]+(?:at\s+)?([0-9]{1,2}:[0-9]{2}(?:\s*[ap]\.?m\.?)?|[0-9]{1,2}\s*[ap]\.?m\.?|noon|midday)"
)
"""A day, and a time of it behind."""
_NUMBERS = re.compile(r"([0-9]{1,2})([/.])\s*([0-9]{1,2})\2\s*([0-9]{4})")
_GERMAN_DAYS = ("montag", "dienstag", "mittwoch", "donnerstag", "freitag", "samstag", "sonntag")
_WEEKDAY_BEFORE = re.compile(
    rf"^\s*({'|'.join(word for name in WEEKDAYS for word in (name.lower(), name[:3].lower()))})\b\.?,?\s+(?=\S)"
)
_DAY_GROUPS = {
    "weekdays": frozenset(range(5)),
    "weekends": frozenset({5, 6}),
    "every day": frozenset(range(7)),
}


def parse_date(text: str) -> date:
    """A day of the calendar from `2027-01-09`, `9 January 2027`, `Sat, Jan 9th, 2027`, `9.1.2027`. What leaves open
    which day is meant is refused. Raises UnclearQuantityError, as every parser here does."""
    text = text.strip()
    year, month, day = _year_month_day(text)
    if not FIRST_YEAR <= year <= LAST_YEAR:
        raise UnclearQuantityError(
            told("`{text}` is before {bound}", text=text, bound=FIRST_YEAR)
            if year < FIRST_YEAR
            else told("`{text}` is after {bound}", text=text, bound=LAST_YEAR),
            told("write a year from {first_year} to {last_year}", first_year=FIRST_YEAR, last_year=LAST_YEAR),
        )
    if not 1 <= month <= 12:
        raise UnclearQuantityError(told("`{text}` has no month of the year", text=text), "months are 01 to 12")
    last = calendar.monthrange(year, month)[1]
    if not 1 <= day <= last:
        said = told(
            "{month_name} {year} has the days 01 to {last}",
            month_name=calendar.month_name[month],
            year=year,
            last=last,
        )
        raise UnclearQuantityError(told("`{text}` is no day of the calendar", text=text), said)
    found = date(year, month, day)
    named = _WEEKDAY_BEFORE.match(text.lower())
    if named is not None and not WEEKDAYS[found.weekday()].lower().startswith(named[1]):
        hint = "write another day or date, or leave the day of the week out"
        raise UnclearQuantityError(
            told("`{text}` is a {day_names}", text=text, day_names=WEEKDAYS[found.weekday()]), hint
        )
    return found


def _year_month_day(text: str) -> tuple[int, int, int]:
    plain = _without_weekday(" ".join(text.lower().split()))
    if found := re.fullmatch(r"([0-9]{1,9})-([0-9]{2})-([0-9]{2})", plain):
        return int(found[1]), int(found[2]), int(found[3])
    day_first, month_first = DAY_MONTH.fullmatch(plain), MONTH_DAY.fullmatch(plain)
    for worded, day, month in ((day_first, 1, 2), (month_first, 2, 1)):
        if worded is not None and worded[month] in MONTHS:
            if worded[3] is None:
                raise UnclearQuantityError(
                    told("`{text}` names no year", text=text),
                    told("write `{text} 2027`, say", text=text.rstrip(" ,.")),
                )
            return int(worded[3]), MONTHS[worded[month]], int(worded[day])
    if found := _NUMBERS.fullmatch(plain):
        first, second, year = int(found[1]), int(found[3]), int(found[4])
        if found[2] == "." or first == second or first > _LAST_MONTH:  # with dots the day stands first
            return year, second, first
        if second > _LAST_MONTH:
            return year, first, second
        said = either(
            (f"`{first} {calendar.month_name[second]} {year}`", f"`{second} {calendar.month_name[first]} {year}`")
        )
        raise UnclearQuantityError(
            told("`{text}` leaves open which number is the day and which the month", text=text),
            told("write {said}", said=said),
        )
    raise UnclearQuantityError(told("`{text}` is no date", text=text), _WRITE_DATE)


_LAST_MONTH = 12


def _without_weekday(plain: str) -> str:
    """A date without the day of the week before it, which it has anyway."""
    return _WEEKDAY_BEFORE.sub("", plain)


def parse_days(text: str, between: str = "to") -> tuple[date, date]:
    """First and last day from `2027-02-13 to 2027-02-14`, or one day as both. `between` is the word between.

    The first may leave to the last what they share: `13 to 14 February 2027`, `27 February to 2 March 2027`.
    """
    first, word, last = text.partition(f" {between} ")
    days = (parse_date(_completed(first, last) if word else first), parse_date(last if word else first))
    if days[1] < days[0]:
        said = told("`{text}` ends before it begins", text=text)
        raise UnclearQuantityError(
            said, told("write `{days} {between} {days2}`", days=days[1], between=between, days2=days[0])
        )
    return days


def _completed(first: str, last: str) -> str:
    """The first of two days with the month and the year of the last, if it leaves them out."""
    end = DAY_MONTH.fullmatch(_without_weekday(" ".join(last.lower().split())))
    if end is None or end[3] is None:
        return first
    if re.fullmatch(r"\s*[0-9]{1,2}(?:st|nd|rd|th|\.)?\s*", first):
        return f"{first.strip()} {end[2]} {end[3]}"
    start = DAY_MONTH.fullmatch(_without_weekday(" ".join(first.lower().split())))
    return f"{first} {end[3]}" if start is not None and start[3] is None else first


def parse_clock(text: str) -> int:
    """Minutes of the day (0..1440) from `8:30`, `18:30`, `6:30 pm`, `6 pm`, `noon`, `24:00`."""
    text = text.strip()
    if text.lower() in ("noon", "midday"):
        return 12 * 60
    found = re.fullmatch(r"([0-9]{1,2})(?::([0-9]{2}))?(?:\s*([ap])\.?m\.?)?", text.lower())
    if found is None:
        raise UnclearQuantityError(told("`{text}` is no time of day", text=text), _WRITE_CLOCK)
    hour, minute, half = int(found[1]), int(found[2] or 0), found[3]
    if found[2] is None and half is None:
        raise UnclearQuantityError(
            told("`{text}` leaves open which half of the day", text=text),
            told("write `{hour}:00` or `{hour} pm`", hour=hour),
        )
    if half and (hour, minute) == (12, 0):
        raise UnclearQuantityError(told("`{text}` may be noon or midnight", text=text), "write `noon` or `24:00`")
    if minute > 59 or (half and not 1 <= hour <= 12) or hour * 60 + minute > 24 * 60:
        raise UnclearQuantityError(told("`{text}` is no time of day", text=text), _WRITE_CLOCK)
    if half:
        hour = hour % 12 + (12 if half == "p" else 0)
    return hour * 60 + minute


def parse_clocks(text: str) -> tuple[int, int]:
    """From and to, in minutes of the day, from `12:00 to 12:45`."""
    start, word, end = text.partition(" to ")
    if not word:
        raise UnclearQuantityError(
            told("`{text}` is no stretch of the day", text=text), "write it as `12:00 to 12:45`"
        )
    clocks = (parse_clock(start), parse_clock(end))
    if clocks[1] <= clocks[0]:
        raise UnclearQuantityError(told("`{text}` ends before it begins", text=text), "write the earlier time first")
    return clocks


def parse_moment(text: str) -> tuple[date, int]:
    """A day and a minute of it from `2027-01-09` (its beginning), `2027-01-09 08:00` or `9 January 2027, 5 pm`."""
    plain = text.strip()
    iso = re.match(r"([0-9]+-[0-9]+-[0-9]+)(?:T|\s+)(.+)", plain)
    found = CLOCK.fullmatch(plain.lower())
    if iso is None and (found is None or not found[1]):
        return parse_date(plain), 0
    day, clock = (iso[1], iso[2]) if iso is not None else (plain[: len(found[1])], found[2]) if found else ("", "")
    try:
        return parse_date(day), parse_clock(clock.removeprefix("at "))
    except UnclearQuantityError as error:
        hint = _WRITE_MOMENT if iso is not None else error.hint
        raise UnclearQuantityError(error.message, hint) from None


def parse_weekdays(text: str) -> frozenset[int]:
    """Days of the week, Monday = 0, from `Saturday`, `Sat`, `Saturday and Sunday`, `weekdays`, `every day`; German
    ones as well, `Samstag und Sonntag`, `Sa`, `jeden Tag`."""
    names = [part.strip() for part in re.split(r",| and | und ", text)]
    return frozenset[int]().union(*(_weekday(name) for name in names))


_MOST_WEEKS = 8
_EVERY = {
    **{"week": 1, "other week": 2, "second week": 2, "third week": 3, "fourth week": 4},
    **{"woche": 1, "zweite woche": 2, "dritte woche": 3, "vierte woche": 4},
}


def parse_every(text: str) -> int:
    """Every how many weeks: `second week`, `2 weeks`, `2`; German as well, `zweite Woche`, `2 Wochen`."""
    plain = " ".join(text.lower().split()).removeprefix("every ")
    found = re.fullmatch(r"([0-9]{1,2})(?: weeks?| wochen?)?", plain)
    number = int(found[1]) if found else _EVERY.get(plain, 0)
    if not 1 <= number <= _MOST_WEEKS:
        raise UnclearQuantityError(
            told("`{text}` is no number of weeks from 1 to {most}", text=text[:30], most=_MOST_WEEKS),
            "write `second week`, or `3 weeks`",
        )
    return number


def _weekday(name: str) -> frozenset[int]:
    plain = " ".join(name.lower().split())
    groups = _DAY_GROUPS | {"daily": _DAY_GROUPS["every day"], "weekend": _DAY_GROUPS["weekends"]}
    groups["weekday"] = _DAY_GROUPS["weekdays"]
    groups |= {"wochenende": groups["weekends"], "jeden tag": groups["daily"], "täglich": groups["daily"]}
    if plain in groups:
        return groups[plain]
    for number, (day, german) in enumerate(zip(WEEKDAYS, _GERMAN_DAYS, strict=True)):
        if plain in (day.lower(), f"{day.lower()}s", day[:3].lower(), german, f"{german}s", german[:2]):
            return frozenset({number})
    raise UnclearQuantityError(
        told("`{name}` is no day of the week", name=name), meant(name, [*WEEKDAYS, *_DAY_GROUPS])
    )


def parse_zone(text: str) -> str:
    """The IANA name of a time zone, such as `America/Denver`."""
    name = text.strip()
    try:
        if name.startswith(NO_ZONES):
            raise ZoneInfoNotFoundError(name)
        ZoneInfo(name)
    except (ZoneInfoNotFoundError, OSError, ValueError):
        raise UnclearQuantityError(told("`{name}` is no time zone", name=name), zone_meant(name)) from None
    return name
