"""Moist air against printed values (ASHRAE, a trade chart) and an independent library, PsychroLib 2.5 (MIT)."""

from __future__ import annotations

from collections.abc import Callable

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.drying.psychro import (
    dew_point,
    saturation_pressure,
    saturation_temperature,
)

psychrolib.SetUnitSystem(psychrolib.SI)

ROOMS = st.floats(-10, 50)


def celsius(fahrenheit: float) -> float:
    return (fahrenheit - 32) / 1.8


@pytest.mark.source("ashrae")
@pytest.mark.parametrize(
    ("temp", "pascal"),
    [(-20, 103.24), (-5, 401.74), (5, 872.6), (25, 3169.7), (50, 12351.3), (100, 101418.0)],
)
def test_saturation_pressure_is_what_the_handbook_prints(temp: float, pascal: float) -> None:
    """ASHRAE Handbook - Fundamentals (2017), chapter 1, table 3, within the 300 ppm that PsychroLib's tests allow."""
    assert saturation_pressure(temp) == pytest.approx(pascal, rel=300e-6)


@pytest.mark.source("ashrae")
@pytest.mark.parametrize(
    ("fahrenheit", "psi"),
    [(-4, 0.014974), (23, 0.058268), (41, 0.12656), (77, 0.45973), (122, 1.79140), (212, 14.7094)],
)
def test_saturation_pressure_is_what_the_handbook_prints_in_psi(fahrenheit: float, psi: float) -> None:
    """The same table in inch-pound units; 1 psi = 6894.757 Pa (NIST SP 811, 2008)."""
    assert saturation_pressure(celsius(fahrenheit)) == pytest.approx(psi * 6894.757, rel=300e-6)


@pytest.mark.source("psychrolib")
@given(temp=st.floats(-99, 199))
def test_saturation_pressure_agrees_with_psychrolib(temp: float) -> None:
    assert saturation_pressure(temp) == pytest.approx(psychrolib.GetSatVapPres(temp), rel=1e-9)


@pytest.mark.source("psychrolib")
@given(temp=ROOMS, humidity=st.floats(0.02, 1.0))
def test_dew_point_agrees_with_psychrolib(temp: float, humidity: float) -> None:
    """PsychroLib stops at steps below 0.001 °C."""
    assert dew_point(temp, humidity) == pytest.approx(psychrolib.GetTDewPointFromRelHum(temp, humidity), abs=0.003)


def test_air_at_saturation_has_one_temperature() -> None:
    """Dry bulb and dew point are the same at 100 % (their definition)."""
    for temp in (-10.0, 5.0, 20.0, 35.0):
        assert dew_point(temp, 1.0) == pytest.approx(temp, abs=1e-6)


@given(temp=ROOMS, humidity=st.floats(0.02, 0.999))
def test_the_dew_point_lies_below_the_temperature_of_the_air(temp: float, humidity: float) -> None:
    assert dew_point(temp, humidity) <= temp + 1e-6


@given(temp=st.floats(-90, 190))
def test_saturation_temperature_is_the_inverse(temp: float) -> None:
    assert saturation_temperature(saturation_pressure(temp)) == pytest.approx(temp, abs=1e-6)


# Dew point in °F by humidity (rows) and temperature in °F (columns): "Dew point calculation sample chart" of the
# coating trade, with the note that a surface must be at least 5 degrees above. The chart is truncated and rough: it
# allows ±2.5 °F and no less.
CHART_TEMPS = (50, 60, 70, 80, 90)
CHART = {
    90: (47, 57, 67, 77, 87),
    85: (45, 55, 65, 75, 84),
    80: (44, 54, 63, 73, 82),
    70: (40, 50, 60, 68, 78),
    60: (36, 45, 55, 64, 73),
    50: (31, 40, 50, 59, 67),
    40: (26, 35, 43, 52, 61),
    30: (20, 28, 36, 44, 52),
}


@pytest.mark.source("dew-chart")
@pytest.mark.parametrize("percent", CHART)
def test_dew_point_agrees_with_the_chart_of_the_coating_trade(percent: int) -> None:
    for fahrenheit, printed in zip(CHART_TEMPS, CHART[percent], strict=True):
        computed = dew_point(celsius(fahrenheit), percent / 100) * 1.8 + 32
        assert computed == pytest.approx(printed, abs=2.5), f"{fahrenheit} °F, {percent} %"


@pytest.mark.parametrize(
    "call",
    [
        lambda: saturation_pressure(-100.1),
        lambda: saturation_pressure(200.1),
        lambda: saturation_pressure(float("nan")),
        lambda: saturation_temperature(0),
        lambda: dew_point(20, 0),
        lambda: dew_point(20, 1.01),
    ],
)
def test_out_of_range_is_refused(call: Callable[[], float]) -> None:
    with pytest.raises(ValueError):
        call()
