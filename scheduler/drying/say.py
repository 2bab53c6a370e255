"""The words of this room: temperatures, humidities and moments as a sentence about a limit needs them.

`units` speaks of air in whole degrees and percent; here a tenth is kept, or 9.8 °C would break a limit of 10 °C as
"10 °C".
"""

from __future__ import annotations

from collections.abc import Sequence
from zoneinfo import ZoneInfo

from scheduler.wallclock import to_datetime


def moment(minute: int, zone: ZoneInfo) -> str:
    """Date and time of day on the wall: 2027-01-10 20:00."""
    return f"{to_datetime(minute, zone):%Y-%m-%d %H:%M}"


def temperature(celsius: float, metric: bool) -> str:
    """A temperature as read off a thermometer: 10 °C, or 50 °F."""
    return f"{degrees(celsius, metric)} {unit(metric)}"


def degrees(celsius: float, metric: bool) -> str:
    """The bare number of a temperature, to a tenth where it is not whole."""
    return f"{round(celsius if metric else celsius * 9 / 5 + 32, 1) + 0.0:g}"


def warmth(celsius: float, metric: bool) -> str:
    """A difference of temperatures: 2.8 °C, or 5 °F (to the whole degree, as the trade says it)."""
    return f"{round(celsius, 1):g} °C" if metric else f"{round(celsius * 9 / 5)} °F"


def unit(metric: bool) -> str:
    """°C or °F."""
    return "°C" if metric else "°F"


def percent(fraction: float) -> str:
    """A humidity: 85 %."""
    return f"{round(fraction * 100, 1):g} %"


def stage(name: str) -> str:
    """A stage as a person writes it: `paint over`."""
    return name.replace("_", " ")


def listed(words: Sequence[str]) -> str:
    """`a`, `a and b`, `a, b and c`."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} and {words[-1]}"
