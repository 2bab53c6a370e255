"""The figures of this room: temperatures and humidities as a sentence about a limit needs them.

`units` speaks of air in whole degrees and percent; here a tenth is kept, or 9.8 °C would break a limit of 10 °C as
"10 °C".
"""

from __future__ import annotations

from math import ceil, floor

_SAME = 1e-6
"""Degrees that differ by less are the same."""


def temperature(celsius: float, metric: bool) -> str:
    """A temperature as read off a thermometer: 10 °C, or 50 °F."""
    return f"{degrees(celsius, metric)} {unit(metric)}"


def degrees(celsius: float, metric: bool) -> str:
    """The bare number of a temperature, to a tenth where it is not whole."""
    return f"{round(celsius if metric else celsius * 9 / 5 + 32, 1) + 0.0:g}"


def warmth(celsius: float, metric: bool) -> str:
    """A difference of temperatures: 2.8 °C, or 5 °F (to the whole degree, as the trade says it)."""
    return f"{round(celsius, 1):g} °C" if metric else f"{round(celsius * 9 / 5)} °F"


def bound(celsius: float, metric: bool, *, least: bool) -> str:
    """The bare number of a limit, `least` or most. One that is whole in the other scale alone (55 °F) is said in
    whole degrees of this one, inside what it allows (13 °C): nobody set it to a tenth."""
    return _inside(celsius, celsius * 9 / 5 + 32, metric, least=least)


def margin(celsius: float, metric: bool) -> str:
    """A difference of temperatures that must be kept: 5 °F and 3 °C, which the trade says for each other."""
    return f"{_inside(celsius, celsius * 9 / 5, metric, least=True)} °C" if metric else warmth(celsius, metric)


def _inside(celsius: float, fahrenheit: float, metric: bool, *, least: bool) -> str:
    shown, other = (celsius, fahrenheit) if metric else (fahrenheit, celsius)
    if abs(other - round(other)) < _SAME < abs(shown - round(shown)):
        shown = ceil(shown) if least else floor(shown)
    return f"{round(shown, 1) + 0.0:g}"


def unit(metric: bool) -> str:
    """°C or °F."""
    return "°C" if metric else "°F"


def percent(fraction: float) -> str:
    """A humidity: 85 %."""
    return f"{round(fraction * 100, 1):g} %"
