"""From a task graph to clocks: which table, which amount, which spans, which words."""

from __future__ import annotations

from dataclasses import replace
from zoneinfo import ZoneInfo

import pytest

from scheduler.drying.clocks import film_clocks
from scheduler.model.basics import Span
from scheduler.model.clock import FilmClocks
from scheduler.model.graph import Film
from scheduler.model.job import AirPeriod, Room
from scheduler.model.material import Material
from tests.support.builders import DAY, HOUR, graph, limits, material, minute, room, stage, task, trade
from tests.support.spoken import spoken

UTC = ZoneInfo("UTC")
START = minute("2027-01-09")
SPAN = Span(START, START + 60 * DAY)


def film(name: str = "paint", ratio: float = 1.0, where: str = "room", coat: int = 1) -> Film:
    return Film(material=name, coat=coat, ratio=ratio, room=where)


def one(made: Film, *materials: Material, rooms: tuple[Room, ...] = (room(),)) -> FilmClocks:
    """The clocks of a single film."""
    tasks = graph([task("coat", film=made)])
    return film_clocks(tasks, rooms, trade(*materials), UTC, SPAN, metric=True)["coat"]


def test_every_task_that_lays_a_film_has_clocks_and_no_other_has() -> None:
    """A remedy that lays a film is one of them."""
    tasks = [
        task("sand", dusty=True),
        task("coat", film=film()),
        task("scuff", remedy_of=("coat", "next"), film=film()),
        task("wipe", remedy_of=("coat", "next")),
    ]
    assert set(film_clocks(graph(tasks), (room(),), trade(), UTC, SPAN, metric=True)) == {"coat", "scuff"}


def test_at_the_reference_air_a_stage_takes_its_typical_time() -> None:
    clocks = one(film())
    assert clocks.stages["recoat"].ready(START + 100) == START + 100 + 4 * HOUR
    assert clocks.stages["tape"].ready(START) == START + DAY


def test_typical_counts_not_low_or_high() -> None:
    wide = replace(material(), stages=(replace(stage("recoat", 240), low=120, high=960),))
    assert one(film(), wide).stages["recoat"].amount == 240


def test_a_thick_film_takes_its_thickness_factor_stage_by_stage() -> None:
    """Twice as thick: touch (exponent 1) twice as long, full (exponent 2) four times; `factor` is recoat's, 2^1.5."""
    stages = (stage("touch", 60, exponent=1.0), stage("recoat", 240, exponent=1.5), stage("full", DAY, exponent=2.0))
    clocks = one(film(ratio=2.0), replace(material(), stages=stages))
    assert clocks.stages["touch"].amount == pytest.approx(120)
    assert clocks.stages["full"].amount == pytest.approx(4 * DAY)
    assert clocks.factor == pytest.approx(2**1.5)


def test_the_end_of_the_recoat_window_is_a_stage_like_any_other() -> None:
    """In a cold room the window stays open longer, too."""
    paint = material(stages={"recoat": 240, "recoat_by": 2 * DAY})
    warm = one(film(), paint).stages["recoat_by"].ready(START)
    cold = one(film(), paint, rooms=(room(temp=15.0),)).stages["recoat_by"].ready(START)
    assert warm == START + 2 * DAY < cold


def test_films_of_one_room_share_one_table_for_a_law_and_a_reference() -> None:
    tasks = [
        task("first", film=film()),
        task("second", film=film(ratio=2.0, coat=2)),
        task("else", film=film(where="hall")),
    ]
    clocks = film_clocks(graph(tasks), (room(), room("hall")), trade(), UTC, SPAN, metric=True)
    assert clocks["first"].stages["recoat"].clock is clocks["second"].stages["tape"].clock
    assert clocks["first"].stages["recoat"].clock is not clocks["else"].stages["recoat"].clock


def test_each_room_dries_in_its_own_air() -> None:
    rooms = (room(), room("hall", temp=15.0))
    tasks = [task("here", film=film()), task("there", film=film(where="hall"))]
    clocks = film_clocks(graph(tasks), rooms, trade(), UTC, SPAN, metric=True)
    assert clocks["here"].stages["recoat"].ready(START) < clocks["there"].stages["recoat"].ready(START)


def test_law_and_source_of_a_stage_come_along() -> None:
    recoat = one(film()).stages["recoat"]
    assert (recoat.law, recoat.source) == ("film", "invented for the test")


def test_a_material_without_limits_may_be_laid_at_any_time() -> None:
    clocks = one(film())
    assert (clocks.fit, clocks.hold_until, clocks.limits_said) == (None, None, "")


def test_limits_give_the_spans_in_which_the_air_is_fit() -> None:
    """Days at 20 °C and nights at 5 °C against a lowest 10 °C: from 08:00 to 20:00 each day."""
    air = AirPeriod(since=None, day_temp=20, night_temp=5, day_humidity=0.5, night_humidity=0.5)
    paint = material(limits=limits(temp_low=10, hold_until="recoat"))
    clocks = one(film(), paint, rooms=(room(air=(air,)),))
    assert clocks.fit is not None
    assert clocks.fit[:2] == (
        Span(minute("2027-01-09 08:00"), minute("2027-01-09 20:00")),
        Span(minute("2027-01-10 08:00"), minute("2027-01-10 20:00")),
    )
    assert len(clocks.fit) == 60
    assert clocks.hold_until == "recoat"
    assert clocks.limits_said == "10–32 °C, up to 85 % humidity, 3 °C above the dew point"


def test_warnings_say_thickness_outside_the_sources_and_leave_the_air_to_the_finished_plan() -> None:
    paint = material(thicknesses=(0.5e-4, 2e-4))
    warnings = one(film(ratio=3.0), paint, rooms=(room(temp=8.0),)).warnings
    assert len(warnings) == 1
    assert "300 µm" in spoken(warnings[0])
    assert one(film(), paint).warnings == ()


def test_a_room_or_a_material_that_is_not_there_is_named() -> None:
    with pytest.raises(KeyError, match="attic"):
        one(film(where="attic"))
    with pytest.raises(KeyError, match="gold"):
        one(film("gold"))


def test_a_room_without_any_air_is_refused() -> None:
    with pytest.raises(ValueError, match="without any air"):
        one(film(), rooms=(room(air=()),))
