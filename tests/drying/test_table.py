"""One coat by itself: the table of its stages, coats one after the other, and what makes it faster."""

from __future__ import annotations

from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest

from scheduler.drying.laws import rate
from scheduler.drying.table import coat_after_coat, faster, stage_times
from scheduler.model.basics import Span
from scheduler.model.material import Material, StageTime
from scheduler.wallclock import NEVER
from tests.drying.airs import constant_air
from tests.support.builders import DAY, HOUR, material, minute, stage
from tests.support.spoken import spoken

UTC = ZoneInfo("UTC")
START = minute("2027-01-09 16:40")
SPAN = Span(START - DAY, START + 100 * DAY)
REFERENCE = constant_air(25, 0.5, SPAN)


def of(*stages: StageTime) -> Material:
    return replace(material(), stages=stages)


def test_at_the_reference_air_the_table_is_the_profile() -> None:
    table = stage_times(material(stages={"touch": 60, "recoat": 240}), REFERENCE, START, UTC)
    assert [(stage.stage, stage.hours) for stage in table.stages] == [("touch", 1.0), ("recoat", 4.0)]
    assert table.stages[1].at == minute("2027-01-09 20:40")
    assert (table.material, table.title, table.group, table.start) == ("paint", "Paint", "paint", START)
    assert table.warnings == ()


def test_low_and_high_times_bound_the_typical_one() -> None:
    wide = replace(stage("recoat", 240), low=120, high=960)
    (only,) = stage_times(of(wide), REFERENCE, START, UTC).stages
    assert (only.soonest - START, only.at - START, only.latest - START) == (120, 240, 960)


def test_other_air_divides_by_the_rate() -> None:
    """Recoat in 4 h at 25 °C and 50 %; at 15 °C and 70 % by evaporation it takes 4 h / rate."""
    table = stage_times(of(stage("recoat", 240, law="water")), constant_air(15, 0.7, SPAN), START, UTC)
    expected = 240 / rate("water", 15, 0.7, 25, 0.5)
    assert table.stages[0].at - START == pytest.approx(expected, abs=1)
    assert table.stages[0].at - START >= expected


def test_progress_runs_from_nought_to_one() -> None:
    (only,) = stage_times(of(stage("recoat", 240)), REFERENCE, START, UTC).stages
    assert [only.share(START + at) for at in (-60, 0, 60, 120, 240, 600)] == [0, 0, 0.25, 0.5, 1, 1]


def test_a_stage_beyond_the_known_air_is_not_reached_and_that_is_said() -> None:
    table = stage_times(of(stage("touch", 60), stage("full", 200 * DAY)), REFERENCE, START, UTC)
    full = table.stage("full")
    assert full is not None and full.at == NEVER and full.hours is None
    (said,) = map(spoken, table.warnings)
    assert said == "full: not reached by Monday 19 April 2027, 16:40, where the known air ends"


def test_only_the_air_that_the_coat_lives_through_is_warned_of() -> None:
    """A frost before the coat is laid, and one long after it is done, are no matter."""
    cold_before = constant_air(-5, 0.5, Span(START - DAY, START))
    cold_after = constant_air(-5, 0.5, Span(START + DAY, START + 2 * DAY))
    air = (*cold_before, *constant_air(25, 0.5, Span(START, START + DAY)), *cold_after)
    assert stage_times(of(stage("recoat", 240)), air, START, UTC).warnings == ()
    assert stage_times(of(stage("recoat", 2 * DAY)), air, START, UTC).warnings != ()


def test_a_thick_coat_takes_longer() -> None:
    """Twice as deep with exponent 2: four times as long."""
    (only,) = stage_times(of(stage("sand", 60, exponent=2.0)), REFERENCE, START, UTC, ratio=2.0).stages
    assert only.at - START == 240


def test_each_coat_begins_when_the_one_before_may_be_coated() -> None:
    tables = coat_after_coat(material(stages={"touch": 60, "recoat": 240}), REFERENCE, START, UTC, coats=3)
    assert [table.start - START for table in tables] == [0, 240, 480]


def test_coats_stop_at_the_one_that_never_gets_there() -> None:
    tables = coat_after_coat(material(stages={"recoat": 60 * DAY}), REFERENCE, START, UTC, coats=5)
    assert len(tables) == 2


def test_a_filler_goes_by_sanding() -> None:
    tables = coat_after_coat(material(stages={"sand": 2 * HOUR, "full": DAY}), REFERENCE, START, UTC, coats=2)
    assert tables[1].start - START == 2 * HOUR


def test_what_makes_evaporation_faster_is_computed_and_sorted() -> None:
    """24 h by `water` at the reference, exponent 1: 24 h / rate in the changed air; a quarter thinner saves 6 h."""
    options = faster(of(stage("recoat", DAY, law="water")), REFERENCE, START, UTC)
    expected = {
        "5 °C warmer": DAY - DAY / rate("water", 30, 0.5, 25, 0.5),
        "10 points drier": DAY - DAY / rate("water", 25, 0.4, 25, 0.5),
        "a quarter thinner": DAY / 4,
    }
    assert {spoken(option.change) for option in options} == set(expected)
    for option in options:
        assert option.saves == pytest.approx(expected[spoken(option.change)], abs=1)
    saved = [option.saves or 0 for option in options]
    assert saved == sorted(saved, reverse=True)


def test_what_brings_nothing_is_left_out() -> None:
    """Setting does not mind humidity, and thickness only where the exponent says so."""
    options = faster(of(stage("recoat", DAY, law="set", exponent=0.0)), REFERENCE, START, UTC)
    assert [spoken(option.change) for option in options] == ["5 °C warmer"]


def test_what_cures_by_moisture_is_helped_by_damper_air() -> None:
    changes = {
        spoken(option.change): option.saves
        for option in faster(of(stage("use", DAY, law="moisture")), REFERENCE, START, UTC)
    }
    assert "10 points drier" not in changes
    assert changes["10 points damper"] == pytest.approx(DAY - DAY * 0.5 / 0.6, abs=1)


def test_fahrenheit_and_the_stage_asked_for() -> None:
    paint = of(stage("touch", 60), stage("recoat", DAY))
    options = faster(paint, REFERENCE, START, UTC, metric=False, stage="touch")
    assert {option.stage for option in options} == {"touch"}
    assert spoken(options[0].change) in {"9 °F warmer", "a quarter thinner"}


def test_a_change_that_reaches_what_was_out_of_reach_saves_an_unknown_time() -> None:
    options = faster(of(stage("recoat", 110 * DAY, law="set")), REFERENCE, START, UTC)
    assert {spoken(option.change): option.saves for option in options} == {
        "5 °C warmer": None,
        "a quarter thinner": None,
    }


def test_changed_air_brings_its_own_warnings() -> None:
    """33 °C is inside the 10 to 35 °C that the source covers, 38 °C is not."""
    paint = of(stage("recoat", DAY))
    warm = next(
        one for one in faster(paint, constant_air(33, 0.5, SPAN), START, UTC) if spoken(one.change) == "5 °C warmer"
    )
    assert any("38 °C" in spoken(warning) for warning in warm.table.warnings)
