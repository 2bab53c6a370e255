"""Beyond what a source covers the answer carries a sentence; inside it carries none."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from scheduler.drying.air import AirPiece
from scheduler.drying.laws import RATE_LAWS
from scheduler.drying.ranges import air_warnings, thickness_warnings
from scheduler.model.material import LAWS, Material
from tests.support.builders import material, stage
from tests.support.spoken import spoken


def paint(**more: Any) -> Material:
    """One stage, by default 10 to 35 °C and 20 to 85 % covered."""
    return replace(material(), stages=(stage("recoat", 240, **more),))


def said(of: Material, *air: tuple[float, float], metric: bool = True) -> tuple[str, ...]:
    pieces = [AirPiece(i * 60, i * 60 + 60, temp, humidity) for i, (temp, humidity) in enumerate(air)]
    return tuple(map(spoken, air_warnings(of, pieces, metric=metric)))


def test_inside_nothing_is_said() -> None:
    assert said(paint(), (10, 0.2), (35, 0.80)) == ()


def test_a_cold_hour_is_named_with_its_value_its_moment_and_the_range() -> None:
    assert said(paint(), (20, 0.5), (8, 0.5), (6.5, 0.5)) == (
        "Paint, recoat: 6.5 °C (first on Thursday 1 January, 01:00) lies outside the 10 °C to 35 °C that its "
        "source covers, so these times are extrapolated",
    )


def test_fahrenheit() -> None:
    (warning,) = said(paint(), (5, 0.5), metric=False)
    assert "41 °F" in warning and "50 °F to 95 °F" in warning


def test_too_cold_and_too_hot_are_one_sentence() -> None:
    (warning,) = said(paint(), (5, 0.5), (38, 0.5))
    assert "5 °C and 38 °C" in warning


def test_humidity_is_told_apart_from_temperature() -> None:
    (warning,) = said(paint(), (20, 0.15))
    assert "15 % humidity" in warning and "20 % to 85 %" in warning


def test_stages_with_one_range_share_one_sentence() -> None:
    both = replace(material(), stages=(stage("touch", 60), stage("recoat", 240)))
    (warning,) = said(both, (5, 0.5))
    assert warning.startswith("Paint, touch and recoat: ")


@pytest.mark.parametrize("law", LAWS)
def test_where_the_profile_claims_more_than_its_law_the_law_speaks(law: str) -> None:
    """Every law has a coldest and a hottest air that it was held against."""
    bold = paint(law=law, temps=(-50.0, 100.0), humidities=(0.0, 1.0))
    low, high = RATE_LAWS[law].covered.temps
    assert said(bold, (low, 0.5), (high, 0.5)) == ()
    for outside in (low - 1, high + 1):
        (warning,) = said(bold, (outside, 0.5))
        assert f"the law '{law}' was held against" in warning


def test_where_both_are_left_the_profile_alone_speaks() -> None:
    (warning,) = said(paint(law="water"), (-5, 0.5))
    assert "its source covers" in warning


def test_saturated_air_is_said_to_count_as_98_percent() -> None:
    warnings = said(paint(law="water", humidities=(0.0, 1.0)), (20, 0.99))
    assert any(
        "99 % humidity (first on Thursday 1 January, 00:00) is counted as 98 %" in warning for warning in warnings
    )
    assert not any("counted" in warning for warning in said(paint(law="set", humidities=(0.0, 1.0)), (20, 0.99)))


@pytest.mark.parametrize(("ratio", "word"), [(0.4, "thinner"), (2.5, "thicker")])
def test_thickness_outside_the_sources(ratio: float, word: str) -> None:
    """Reference 100 µm, covered 50 to 200 µm."""
    (warning,) = map(spoken, thickness_warnings(material(thicknesses=(0.5e-4, 2e-4)), ratio, metric=True))
    assert word in warning and "50 µm to 200 µm" in warning


def test_thickness_inside_or_without_a_range() -> None:
    assert thickness_warnings(material(thicknesses=(0.5e-4, 2e-4)), 2.0, metric=True) == ()
    assert thickness_warnings(material(), 50.0, metric=True) == ()
