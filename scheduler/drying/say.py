"""The figures of this room: temperatures and humidities as a sentence about a limit needs them.

`units` speaks of air in whole degrees and percent; here a tenth is kept, or 9.8 °C would break a limit of 10 °C as
"10 °C".
"""

from __future__ import annotations


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
