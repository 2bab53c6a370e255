"""Small words for dry times: lengths of time in hours or days, moments that fit a column."""

from __future__ import annotations

from scheduler.telling.dates import LocalFace
from scheduler.wallclock import DAY, NEVER

HOURS_UP_TO = 72 * 60
"""Minutes from which a length of time is told in days."""

_FAR = 300 * DAY


def length(minutes: int) -> str:
    """`0.75 h`, `4.8 h`, `21.4 d`."""
    return f"{number(minutes, minutes)} {'h' if minutes < HOURS_UP_TO else 'd'}"


def between(low: int, high: int, like: int) -> str:
    """`2.1-4.2` in the unit in which `length(like)` is told."""
    return f"{number(low, like)}–{number(high, like) if high < NEVER else '?'}"


def number(minutes: int, like: int) -> str:
    """Minutes in the unit in which `length(like)` is told, with as many decimals as mean something."""
    value = minutes / 60 if like < HOURS_UP_TO else minutes / DAY
    decimals = 2 if like < 60 else 1
    return f"{value:.{decimals if value < 100 else 0}f}"


def short_moment(face: LocalFace, minute: int, since: int) -> str:
    """`Sat 16 Jan 6:14 pm`; the year instead of the time where it is about a year after `since` or later."""
    day = face.day(minute)
    return face.short(day, year=True) if minute - since >= _FAR else f"{face.short(day)} {face.time(minute)}"
