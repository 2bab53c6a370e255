"""Limits of application: 3 °C over the dew point, and what to do when the air breaks them."""

from __future__ import annotations

from zoneinfo import ZoneInfo

import psychrolib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.drying.air import AirPiece, room_air
from scheduler.drying.limits import fit_spans, hindrance, is_fit, limits_said
from scheduler.drying.psychro import dew_point
from scheduler.model.basics import Span
from scheduler.model.job import AirPeriod
from scheduler.model.material import Limits
from tests.support.builders import limits, minute, room
from tests.support.spoken import spoken

UTC = ZoneInfo("UTC")
WIDE = limits(temp_low=-50, temp_high=80, humidity_high=1.0)


@pytest.mark.parametrize(("temp", "percent"), [(5, 80.9), (10, 81.6), (15, 82.2), (20, 82.9), (25, 83.5), (30, 84.0)])
def test_air_is_three_degrees_above_its_dew_point_up_to_this_humidity(temp: float, percent: float) -> None:
    """3 °C, as trade pages say of ISO 8502-4 (its own text was not read). The humidities were computed apart from
    this code, from the ASHRAE equation."""
    assert is_fit(WIDE, temp, percent / 100 - 0.001)
    assert not is_fit(WIDE, temp, percent / 100 + 0.001)


@given(temp=st.floats(-20, 50), humidity=st.floats(0.02, 1.0), margin=st.floats(0.5, 10))
def test_the_margin_is_what_the_dew_point_says(temp: float, humidity: float, margin: float) -> None:
    gap = temp - dew_point(temp, humidity) - margin
    if abs(gap) > 1e-4:
        assert is_fit(limits(temp_low=-50, temp_high=80, humidity_high=1.0, dew_margin=margin), temp, humidity) == (
            gap > 0
        )


@pytest.mark.parametrize(
    ("temp", "humidity", "fit"),
    [
        (10.0, 0.5, True),
        (9.9, 0.5, False),
        (32.0, 0.5, True),
        (32.1, 0.5, False),
        (20.0, 0.80, True),
        (20.0, 0.81, False),
        (20.0, 0.30, True),
        (20.0, 0.29, False),
    ],
)
def test_the_limits_themselves_are_inside(temp: float, humidity: float, fit: bool) -> None:
    assert is_fit(limits(humidity_high=0.80, humidity_low=0.30), temp, humidity) is fit


def test_no_margin_asked_none_kept() -> None:
    free = limits(humidity_high=1.0, dew_margin=None)
    assert is_fit(free, 20, 1.0)
    assert is_fit(limits(), 20, 0.0), "air without water has no dew point to come near to"


def test_fit_spans_are_merged_and_holes_are_not_fit() -> None:
    air = [
        AirPiece(0, 10, 20, 0.5),
        AirPiece(10, 20, 21, 0.5),
        AirPiece(20, 30, 5, 0.5),
        AirPiece(30, 40, 20, 0.5),
        AirPiece(50, 60, 20, 0.5),
    ]
    assert fit_spans(limits(), air) == (Span(0, 20), Span(30, 40), Span(50, 60))


@pytest.mark.parametrize(
    ("bounds", "metric", "said"),
    [
        (limits(temp_high=(90 - 32) / 1.8), False, "50–90 °F, up to 85 % humidity, 5 °F above the dew point"),
        (limits(), True, "10–32 °C, up to 85 % humidity, 3 °C above the dew point"),
        (limits(humidity_low=0.4, humidity_high=0.9, dew_margin=None), True, "10–32 °C, 40–90 % humidity"),
        (limits(temp_low=-18), True, "-18 to 32 °C, up to 85 % humidity, 3 °C above the dew point"),
    ],
)
def test_limits_in_words(bounds: Limits, metric: bool, said: str) -> None:
    assert limits_said(bounds, metric) == said


def night_at(temp: float, humidity: float = 0.5) -> tuple[AirPiece, ...]:
    """Days of 20 °C and 50 %, nights as given, for four days."""
    pair = AirPeriod(since=None, day_temp=20, night_temp=temp, day_humidity=0.5, night_humidity=humidity)
    return room_air(room(air=(pair,)), UTC, Span(minute("2027-01-09"), minute("2027-01-13"))).pieces


COAT = Span(minute("2027-01-10 16:40"), minute("2027-01-11 09:00"))
"""From laying a coat on Sunday afternoon until it is at recoat on Monday morning."""


def test_a_cold_night_is_named_with_its_moment_and_its_cure() -> None:
    (found,) = hindrance(limits(hold_until="recoat"), night_at(3), COAT, metric=True)
    assert spoken(found.said) == (
        "the night falls to 3 °C on Sunday 10 January, 20:00; the air must stay above 10 °C until the film "
        "is at recoat"
    )
    assert spoken(found.cure) == "heat the room to at least 10 °C at night until Monday 11 January, 08:00"
    assert (found.limit, found.value, found.bound) == ("temp_low", 3, 10)
    assert (found.start, found.end) == (minute("2027-01-10 20:00"), minute("2027-01-11 08:00"))


def test_it_speaks_fahrenheit_to_those_who_do() -> None:
    (found,) = hindrance(limits(hold_until="recoat"), night_at((38 - 32) / 1.8), COAT, metric=False)
    assert "falls to 38 °F" in spoken(found.said)
    assert spoken(found.cure).startswith("heat the room to at least 50 °F at night")


def test_fit_air_has_no_hindrance() -> None:
    assert hindrance(limits(hold_until="recoat"), night_at(12), COAT, metric=True) == ()


def test_the_worst_moment_and_the_first_are_both_told() -> None:
    air = (
        AirPiece(0, 60, 20, 0.5),
        AirPiece(60, 120, 9, 0.5),
        AirPiece(120, 180, 4, 0.5),
        AirPiece(180, 240, 20, 0.5),
    )
    (found,) = hindrance(limits(), air, Span(0, 240), metric=True)
    assert spoken(found.said) == (
        "the air falls to 4 °C on Thursday 1 January, 02:00 (too far first on Thursday 1 January, 01:00); "
        "the air must stay above 10 °C while it is laid"
    )
    assert (found.start, found.end) == (60, 180)


def test_the_cure_for_damp_air_is_computed_and_cures() -> None:
    """15 °C and 90 %: dew point 13.37 °C. Dried or heated as told, without adding water, the air is fit.

    Heated: the margin needs 13.37 + 3 = 16.37 °C, so 17 in whole degrees; 85 % needs e = 0.90 × 1705.5 Pa = 1535 Pa
    at p_ws ≥ 1535 / 0.85 = 1806 Pa, which is 15.9 °C, so 16.
    """
    told = {found.limit: found for found in hindrance(limits(), night_at(15, 0.90), COAT, metric=True)}
    assert set(told) == {"humidity_high", "dew_margin"}
    assert "or heat the room to 16 °C without adding water" in spoken(told["humidity_high"].cure)
    assert spoken(told["dew_margin"].cure).startswith(
        "dry the air to 82 % at night, or heat the room to 17 °C without adding water until Monday 11 January, 08:00"
    )
    assert told["dew_margin"].value == pytest.approx(15 - 13.37, abs=0.01)
    assert is_fit(limits(), 15, 0.82)
    water = 0.90 * 1705.5  # Pa; ASHRAE, 15 °C
    psychrolib.SetUnitSystem(psychrolib.SI)
    assert is_fit(limits(), 17, water / psychrolib.GetSatVapPres(17))
    assert is_fit(limits(dew_margin=None), 16, water / psychrolib.GetSatVapPres(16))
    assert not is_fit(limits(), 16, water / psychrolib.GetSatVapPres(16))


def test_dry_and_hot_air_are_told_too() -> None:
    air = (AirPiece(0, 60, 35, 0.2),)
    told = {
        found.limit: spoken(found.cure)
        for found in hindrance(limits(humidity_low=0.3), air, Span(0, 60), metric=True)
    }
    assert told == {
        "temp_high": "keep the room at 32 °C or less until Thursday 1 January, 01:00",
        "humidity_low": "damp the air to at least 30 % until Thursday 1 January, 01:00",
    }


def test_air_that_nobody_knows_is_a_hindrance() -> None:
    air = (AirPiece(0, 60, 20, 0.5), AirPiece(90, 120, 20, 0.5))
    (found,) = hindrance(limits(), air, Span(0, 120), metric=True)
    assert (found.limit, found.start, found.end) == ("unknown", 60, 90)
    assert hindrance(limits(), (), Span(0, 120), metric=True)[0].limit == "unknown"


def test_hindrances_and_fit_spans_agree() -> None:
    """A span is inside one of the fit spans just when nothing hinders there."""
    air = night_at(3)
    spans = fit_spans(limits(), air)
    for start in range(minute("2027-01-09"), minute("2027-01-12"), 97):
        coat = Span(start, start + 300)
        inside = any(span.start <= coat.start and coat.end <= span.end for span in spans)
        assert inside == (hindrance(limits(), air, coat, metric=True) == ())


@pytest.mark.parametrize(
    ("low", "high", "margin", "metric", "said"),
    [
        (55, 90, 5, True, "13–32 °C, up to 85 % humidity, 3 °C above the dew point"),  # 12.8 to 32.2, 2.8
        (45, 100, 5, True, "8–37 °C, up to 85 % humidity, 3 °C above the dew point"),  # 7.2 to 37.8
        (50, 86, 9, True, "10–30 °C, up to 85 % humidity, 5 °C above the dew point"),  # whole in both
        (55, 90, 5, False, "55–90 °F, up to 85 % humidity, 5 °F above the dew point"),
        (46.4, 82.4, 5.4, False, "47–82 °F, up to 85 % humidity, 5 °F above the dew point"),  # 8 to 28, 3 °C
        (54.5, 90, 5, True, "12.5–32 °C, up to 85 % humidity, 3 °C above the dew point"),  # a half is somebody's own
    ],
)
def test_limits_of_the_other_scale_are_said_in_whole_degrees_inside_of_them(
    low: float, high: float, margin: float, metric: bool, said: str
) -> None:
    """°C = (°F − 32) / 1.8. Who keeps what is said keeps the limit."""
    bounds = limits(temp_low=(low - 32) / 1.8, temp_high=(high - 32) / 1.8, dew_margin=margin / 1.8)
    assert limits_said(bounds, metric) == said
