"""The text of a rule of repetition (RFC 5545, section 3.3.10) -> a record, or why it can't be used."""

from __future__ import annotations

import math
import re
from dataclasses import dataclass

from scheduler.reading.busy.guard import MAX_COUNT, MAX_PRODUCT, MAX_RULE, YEARS, UnusableError
from scheduler.told import told

_FREQUENCIES = ("YEARLY", "MONTHLY", "WEEKLY", "DAILY", "HOURLY")
_WEEKDAYS = ("MO", "TU", "WE", "TH", "FR", "SA", "SU")
_WEEKDAY = re.compile(r"([+-]?[0-9]{1,2})?(MO|TU|WE|TH|FR|SA|SU)")
_NUMBER = re.compile(r"[+-]?[0-9]{1,6}")

# Lists of numbers: lowest and highest, and whether negative ones count from the end.
_LISTS = {
    "BYMONTH": (1, 12, False),
    "BYWEEKNO": (1, 53, True),
    "BYYEARDAY": (1, 366, True),
    "BYMONTHDAY": (1, 31, True),
    "BYHOUR": (0, 23, False),
    "BYMINUTE": (0, 59, False),
    "BYSECOND": (0, 60, False),
    "BYSETPOS": (1, 366, True),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class RecurrenceRule:
    """One RRULE. Empty lists are absent ones. `by_day` holds (ordinal or 0, weekday from Monday = 0).

    `until` is the text of UNTIL: what it means depends on the start of the event.
    """

    frequency: str
    interval: int = 1
    count: int | None = None
    until: str = ""
    by_month: tuple[int, ...] = ()
    by_week: tuple[int, ...] = ()
    by_year_day: tuple[int, ...] = ()
    by_month_day: tuple[int, ...] = ()
    by_day: tuple[tuple[int, int], ...] = ()
    by_hour: tuple[int, ...] = ()
    by_minute: tuple[int, ...] = ()
    by_second: tuple[int, ...] = ()
    positions: tuple[int, ...] = ()
    week_start: int = 0


def parse_rule(text: str) -> RecurrenceRule:
    """One RRULE. Raises UnusableError for what is no rule, and for what nobody's appointments need."""
    if not text or len(text) > MAX_RULE:
        raise UnusableError(
            told(
                "the rule by which this event repeats is empty or longer than {max_rule} characters",
                max_rule=MAX_RULE,
            )
        )
    parts: dict[str, str] = {}
    for part in text.upper().rstrip(";").split(";"):
        name, _, value = part.partition("=")
        if name in parts or not value:
            raise UnusableError("the rule by which this event repeats has a part twice or without a value")
        parts[name] = value
    _check_scale(parts.pop("RSCALE", "GREGORIAN"), parts.pop("SKIP", "OMIT"))
    unknown = parts.keys() - _LISTS.keys() - {"FREQ", "INTERVAL", "COUNT", "UNTIL", "BYDAY", "WKST"}
    if unknown:
        raise UnusableError("the rule by which this event repeats has a part that no calendar knows (RFC 5545)")
    lists = {name: _numbers(parts.get(name, ""), *_LISTS[name]) for name in _LISTS}
    by_day = _by_day(parts.get("BYDAY", ""))
    if math.prod(len(one) or 1 for one in (*lists.values(), by_day)) > MAX_PRODUCT:
        raise UnusableError("the lists in the rule by which this event repeats are too long")
    week_start = parts.get("WKST", "MO")
    if week_start not in _WEEKDAYS:
        raise UnusableError("the week of the rule by which this event repeats begins on no weekday")
    return RecurrenceRule(
        frequency=_frequency(parts),
        interval=_number(parts.get("INTERVAL", "1"), 100_000, "INTERVAL"),
        count=_number(parts["COUNT"], MAX_COUNT, "COUNT") if "COUNT" in parts else None,
        # A year that no plan reaches is no end.
        until="" if parts.get("UNTIL", "") >= str(YEARS.stop) else parts.get("UNTIL", ""),
        by_month=lists["BYMONTH"],
        by_week=lists["BYWEEKNO"],
        by_year_day=lists["BYYEARDAY"],
        by_month_day=lists["BYMONTHDAY"],
        by_day=by_day,
        by_hour=lists["BYHOUR"],
        by_minute=lists["BYMINUTE"],
        by_second=tuple(min(second, 59) for second in lists["BYSECOND"]),
        positions=lists["BYSETPOS"],
        week_start=_WEEKDAYS.index(week_start),
    )


def _check_scale(scale: str, skip: str) -> None:
    """The Gregorian calendar, with days that a month has not left out, is what a rule is without RSCALE (RFC 7529,
    section 4.1)."""
    if scale != "GREGORIAN":
        raise UnusableError("this event repeats by another calendar than the Gregorian one (RSCALE)")
    if skip != "OMIT":
        raise UnusableError("this event puts days that a month has not to another day (SKIP)")


def _frequency(parts: dict[str, str]) -> str:
    frequency = parts.get("FREQ", "")
    if frequency in ("SECONDLY", "MINUTELY"):
        raise UnusableError("this event repeats by the minute or second")
    if frequency not in _FREQUENCIES:
        raise UnusableError(
            "the rule by which this event repeats does not say how often (FREQ) as calendars do (RFC 5545)"
        )
    if frequency == "HOURLY" and "COUNT" not in parts and "UNTIL" not in parts:
        raise UnusableError("this event repeats by the hour without an end")
    return frequency


def _number(text: str, highest: int, name: str) -> int:
    if not _NUMBER.fullmatch(text) or not 1 <= int(text) <= highest:
        raise UnusableError(
            told(
                "{name} of the rule by which this event repeats is not between 1 and {highest}",
                name=name,
                highest=highest,
            )
        )
    return int(text)


def _numbers(text: str, lowest: int, highest: int, from_end: bool) -> tuple[int, ...]:
    found = []
    for part in text.split(",") if text else ():
        if not _NUMBER.fullmatch(part):
            raise UnusableError("a list in the rule by which this event repeats holds no numbers")
        number = int(part)
        if not lowest <= (abs(number) if from_end else number) <= highest:
            raise UnusableError("a number in the rule by which this event repeats is out of bounds")
        found.append(number)
    return tuple(sorted(set(found)))


def _by_day(text: str) -> tuple[tuple[int, int], ...]:
    found = []
    for part in text.split(",") if text else ():
        match = _WEEKDAY.fullmatch(part)
        if match is None or (match[1] and not 1 <= abs(int(match[1])) <= 53):
            raise UnusableError("a weekday in the rule by which this event repeats is none")
        found.append((int(match[1] or 0), _WEEKDAYS.index(match[2])))
    return tuple(sorted(set(found)))
