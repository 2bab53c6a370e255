"""A night that says no humidity of its own keeps the water of the day's air, as far as it can hold it."""

from __future__ import annotations

from zoneinfo import ZoneInfo

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.drying.air import night_humidity, room_air
from scheduler.drying.limits import hindrance
from scheduler.drying.psychro import dew_point, kept_humidity
from scheduler.model.basics import Span
from scheduler.model.job import AirPeriod, Room
from scheduler.model.material import Limits
from tests.support.builders import minute
from tests.support.spoken import spoken

STANDARD_PRESSURE = 101_325.0
"""Standard atmosphere at sea level, Pa (ISO 2533, 1975)."""

psychrolib.SetUnitSystem(psychrolib.SI)
UTC = ZoneInfo("UTC")
NIGHT = Span(minute("2027-01-16 20:00"), minute("2027-01-17 08:00"))

# Worked with PsychroLib 2.5.0 (ASHRAE's formulas, 101.325 kPa) by other hands: day °C, humidity, night °C; dew point,
# g of water a kg of dry air, humidity with all of that water still in it, g/kg that the night can't hold.
WORKED = [
    (20.0, 0.50, 10.0, 9.27, 7.26, 0.9523, 0.0),
    (21.111, 0.65, 10.0, 14.28, 10.16, 1.3258, 2.53),
    (21.0, 0.65, 11.0, 14.18, 10.09, 1.2318, 1.92),
    (21.111, 0.50, 10.0, 10.29, 7.78, 1.0198, 0.15),
    (21.111, 0.50, 12.778, 10.29, 7.78, 0.8484, 0.0),
    (21.111, 0.50, 15.556, 10.29, 7.78, 0.7086, 0.0),
    (20.0, 0.50, 15.556, 9.27, 7.26, 0.6616, 0.0),
    (20.0, 0.60, 10.0, 12.01, 8.73, 1.1427, 1.10),
    (20.0, 0.50, 15.0, 9.27, 7.26, 0.6857, 0.0),
    (21.0, 0.50, 16.0, 10.19, 7.73, 0.6840, 0.0),
    (21.0, 0.65, 16.0, 14.18, 10.09, 0.8892, 0.0),
]


def period(day: float, humidity: float, night: float, said: float | None = None) -> AirPeriod:
    return AirPeriod(since=None, day_temp=day, night_temp=night, day_humidity=humidity, night_humidity=said)


def room(air: AirPeriod) -> Room:
    return Room(id="den", title="Den", air=(air,))


@pytest.mark.source("psychrolib")
@pytest.mark.parametrize(("day", "humidity", "night", "dew", "water", "raw", "beyond"), WORKED)
def test_the_worked_nights(
    day: float, humidity: float, night: float, dew: float, water: float, raw: float, beyond: float
) -> None:
    """Dew point to a tenth of a kelvin, humidity to 0.3 points; what is beyond saturation is water on the walls."""
    assert dew_point(day, humidity) == pytest.approx(dew, abs=0.05)
    assert kept_humidity(day, humidity, night) == pytest.approx(raw, abs=0.003)
    assert night_humidity(period(day, humidity, night)) == pytest.approx(min(1, raw), abs=0.003)
    ratio = psychrolib.GetHumRatioFromRelHum(day, humidity, STANDARD_PRESSURE)
    assert ratio * 1000 == pytest.approx(water, abs=0.02)
    held = psychrolib.GetSatHumRatio(night, STANDARD_PRESSURE)
    assert max(0.0, ratio - held) * 1000 == pytest.approx(beyond, abs=0.02)


@pytest.mark.source("psychrolib")
@given(day=st.floats(0, 35), humidity=st.floats(0.05, 1), night=st.floats(0, 35))
def test_the_same_water_in_the_air_of_an_independent_library(day: float, humidity: float, night: float) -> None:
    """PsychroLib keeps the humidity ratio from day to night, at sea level; its own ratio of the night stops at 1."""
    ratio = psychrolib.GetHumRatioFromRelHum(day, humidity, STANDARD_PRESSURE)
    vapour = psychrolib.GetVapPresFromHumRatio(ratio, STANDARD_PRESSURE)
    assert kept_humidity(day, humidity, night) == pytest.approx(vapour / psychrolib.GetSatVapPres(night), rel=1e-6)


def test_a_humidity_of_its_own_goes_before_the_rule() -> None:
    """Who hung up a hygrometer knows better than any rule."""
    (night,) = room_air(room(period(20, 0.5, 10, said=0.6)), UTC, NIGHT).pieces
    assert (night.humidity, night.wet) == (0.6, None)


def test_a_room_as_warm_by_night_keeps_its_percentage() -> None:
    (air,) = room_air(room(period(20, 0.5, 20)), UTC, NIGHT).pieces
    assert air.humidity == 0.5


def test_walls_that_may_be_wet_are_told() -> None:
    """21 °C and 65 % by day, 11 °C by night: the dew point of 14.2 °C lies above the night."""
    found = room_air(room(period(21, 0.65, 11)), UTC, NIGHT)
    assert [piece.humidity for piece in found.pieces] == [1.0]
    (said,) = map(spoken, found.warnings)
    assert "Den: walls may be wet at night (first on Saturday 16 January, 20:00)" in said
    assert "14.2 °C, and the night has 11 °C" in said


def test_a_night_that_holds_its_water_is_not_told() -> None:
    """20 °C, 50 %: 9.27 °C. A night of 9.4 °C holds it, one of 9.2 °C does not."""
    assert not room_air(room(period(20, 0.5, 9.4)), UTC, NIGHT).warnings
    assert room_air(room(period(20, 0.5, 9.2)), UTC, NIGHT).warnings


def test_a_night_near_its_dew_point_is_not_fit_for_a_coat() -> None:
    """20/10 °C at 50 %: 0.7 K above the dew point at night, where 3 K are asked for (ISO 8502-4, from memory); a
    night of 15 °C has 5.7 K."""
    limits = Limits(temp_low=5, temp_high=35, humidity_high=0.99, dew_margin=3, source="a sheet")
    near, far = (
        hindrance(limits, room_air(room(period(20, 0.5, night)), UTC, NIGHT).pieces, NIGHT, metric=True)
        for night in (10.0, 15.0)
    )
    assert [(broken.limit, round(broken.value, 1)) for broken in near] == [("dew_margin", 0.7)]
    assert far == ()
