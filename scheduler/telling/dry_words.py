"""Small words for dry times: what each stage means, lengths of time in hours or days, moments that fit a column."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from scheduler.telling.wording import MONTHS, WEEKDAYS, Clockface
from scheduler.wallclock import DAY, NEVER, to_datetime

MEANINGS: Mapping[str, str] = MappingProxyType(
    {
        "touch": "dry to the touch",
        "dust_free": "no dust sticks",
        "handle": "may be handled",
        "sand": "may be sanded",
        "recoat": "may be recoated",
        "recoat_by": "latest to recoat",
        "paint_over": "may be painted",
        "tape": "may be taped over",
        "use": "fit for light use",
        "full": "cured through",
    }
)
"""The stages in plain words, 17 letters at most."""

HOURS_UP_TO = 72 * 60
"""Minutes from which a length of time is told in days."""

_FAR = 300 * DAY


def meaning(stage: str) -> str:
    """A stage in plain words."""
    return MEANINGS[stage]


def stage_word(stage: str) -> str:
    """A stage as it is written by hand: `dust free`, `recoat by`."""
    return stage.replace("_", " ")


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


def short_moment(face: Clockface, minute: int, since: int) -> str:
    """`Sat 16 Jan 6:14 pm`; the year instead of the time where it is about a year after `since` or later."""
    moment = to_datetime(minute, face.zone)
    day = f"{WEEKDAYS[moment.weekday()][:3]} {moment.day} {MONTHS[moment.month - 1][:3]}"
    return f"{day} {moment.year}" if minute - since >= _FAR else f"{day} {face.time(minute)}"
