"""Moist air and wood: saturation, dew point, equilibrium moisture content.

Temperatures in °C, pressures in Pa, relative humidity as a fraction 0..1. Out of range raises ValueError.
"""

from __future__ import annotations

from collections.abc import Callable
from math import exp, log

KELVIN = 273.15
"""0 °C in kelvin."""

# Triple point of water, °C. The two saturation equations meet here, not at 0 °C.
_TRIPLE_POINT = 0.01
_SATURATION_RANGE = (-100.0, 200.0)

# Coefficients C1..C7 (over ice, T in K) and C8..C13 (over water, T in K), ln p in Pa: ASHRAE Handbook -
# Fundamentals (2017), chapter 1, equations 5 and 6, after Hyland and Wexler (1983).
_ICE = (-5.6745359e3, 6.3925247, -9.677843e-3, 6.2215701e-7, 2.0747825e-9, -9.484024e-13, 4.1635019)
_WATER = (-5.8002206e3, 1.3914993, -4.8640239e-2, 4.1764768e-5, -1.4452093e-8, 0.0, 6.5459673)

# Halvings of a bracket of 300 K: leaves less than 1e-9 K.
_HALVINGS = 40


def saturation_pressure(temp: float) -> float:
    """Vapour pressure (Pa) of saturated air at -100..200 °C: over ice below the triple point, over water above.

    Source: ASHRAE Handbook - Fundamentals (2017), chapter 1, equations 5 and 6 (Hyland and Wexler, 1983).
    """
    _within("temperature", temp, _SATURATION_RANGE, "°C")
    kelvin = temp + KELVIN
    a, b, c, d, e, f, g = _ICE if temp <= _TRIPLE_POINT else _WATER
    powers = a / kelvin + b + kelvin * (c + kelvin * (d + kelvin * (e + kelvin * f)))
    return exp(powers + g * log(kelvin))


def saturation_temperature(pressure: float) -> float:
    """The °C at which air is saturated at this vapour pressure (Pa): the inverse of `saturation_pressure`."""
    low, high = _SATURATION_RANGE
    _within("vapour pressure", pressure, (saturation_pressure(low), saturation_pressure(high)), "Pa")
    return _root(lambda temp: saturation_pressure(temp) - pressure, low, high)


def dew_point(temp: float, humidity: float) -> float:
    """Dew point (°C) of air at -50..200 °C; below 0.01 °C it is the frost point.

    `humidity` lies above 0 and up to 1. Very dry, cold air whose dew point is below -100 °C raises ValueError.
    """
    _within("humidity", humidity, (0.0, 1.0), "as a fraction")
    if humidity == 0:
        raise ValueError("air without any water has no dew point")
    return min(temp, saturation_temperature(humidity * saturation_pressure(temp)))


def kept_humidity(temp: float, humidity: float, then: float) -> float:
    """Relative humidity (fraction) of air at `temp` (°C) and `humidity` once it is at `then` °C with the same water.

    Vapour pressure stays, and with it the dew point (ASHRAE Handbook - Fundamentals, 2017, chapter 1, equation 22).
    Above 1 the air can't hold it all: what is beyond lies as water on whatever is coldest. A room whose surfaces give
    and take water, or that is aired, stays drier than that: for walls being finished it is the safe bound.
    """
    _within("humidity", humidity, (0.0, 1.0), "as a fraction")
    return humidity * saturation_pressure(temp) / saturation_pressure(then)


def equilibrium_moisture(temp: float, humidity: float) -> float:
    """Moisture content (% of dry mass) that wood settles at in this air, 30..180 °F (-1.2..82.3 °C), 0..0.98.

    Hailwood and Horrobin's sorption equation with two hydrates, fitted to the table of the USDA Wood Handbook
    (Simpson, Forest Products Journal 21(5), 1971, 48-49); it strays from that table by 0.13 % moisture in the
    mean and 0.9 % at most. Below freezing and beyond 98 % the table itself says nothing.
    """
    _within("temperature", temp, (-1.2, 82.3), "°C")
    _within("humidity", humidity, (0.0, 0.98), "as a fraction")
    f = temp * 9 / 5 + 32
    weight = 330 + 0.452 * f + 0.00415 * f**2
    k = 0.791 + 0.000463 * f - 8.44e-7 * f**2
    k1 = 6.34 + 0.000775 * f - 9.35e-5 * f**2
    k2 = 1.09 + 0.0284 * f - 9.04e-5 * f**2
    kh = k * humidity
    first, second = k1 * kh, k1 * k2 * kh**2
    return 1800 / weight * (kh / (1 - kh) + (first + 2 * second) / (1 + first + second))


def _root(rising: Callable[[float], float], low: float, high: float) -> float:
    """Where a rising function crosses nought, by halving."""
    for _ in range(_HALVINGS):
        middle = (low + high) / 2
        if rising(middle) < 0:
            low = middle
        else:
            high = middle
    return (low + high) / 2


def _within(what: str, value: float, bounds: tuple[float, float], unit: str) -> None:
    low, high = bounds
    if not low <= value <= high:
        raise ValueError(f"{what} {value:g} is outside {low:g} to {high:g} {unit}")
