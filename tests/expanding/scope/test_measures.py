"""What a room measures, by hand. The arithmetic stands beside each value; 1 ft = 0.3048 m (exact)."""

from __future__ import annotations

import pytest

from scheduler.errors import InputError
from tests.support.scoped import job_of, quantity, step_of, unfolded

FT = 0.3048
SQ_FT = FT**2
WINDOW = "window: {on: east wall, width: 4 ft, height: 4 ft, sill: 3 ft}"
DOOR = "door: {on: south wall, width: 3 ft, height: 7 ft}"
BOTH = f"{{{WINDOW}, {DOOR}}}"


def test_walls_are_all_four_less_their_openings() -> None:
    """2 × (12 + 10) × 8 = 352 ft², less 4 × 4 = 16 and 3 × 7 = 21: 315 ft²."""
    job = job_of("walls: [prime]", openings=BOTH)
    assert quantity(job, "walls", "area") == pytest.approx(315 * SQ_FT)


def test_ceiling_and_floor_are_length_by_width() -> None:
    """12 × 10 = 120 ft²."""
    job = job_of("ceiling: [prime]\nfloor: [oil floor]")
    assert quantity(job, "ceiling", "area") == pytest.approx(120 * SQ_FT)
    assert quantity(job, "floor", "area") == pytest.approx(120 * SQ_FT)


def test_a_base_runs_around_the_room_less_its_doors() -> None:
    """2 × (12 + 10) − 3 = 41 ft; the window is no gap in it. Around a door 17 ft (7 + 7 + 3), a window 16."""
    job = job_of(
        "base: {along: floor, do: base}\nframes: {around: [window, door], do: case an opening}", openings=BOTH
    )
    assert quantity(job, "base", "mouldings") == pytest.approx(41 * FT)
    assert quantity(job, "frames", "casings") == pytest.approx(33 * FT)


def test_crown_runs_along_the_whole_ceiling() -> None:
    """2 × (12 + 10) = 44 ft, whatever doors there are."""
    job = job_of("crown: {along: ceiling, do: crown}", openings=BOTH)
    assert quantity(job, "crown", "mouldings") == pytest.approx(44 * FT)


def test_a_panel_takes_its_strip_from_the_walls_and_openings_are_cut_where_they_lie() -> None:
    """Panel on the east wall (10 ft) up to 4 ft: the window begins at 3 ft, so 4 × 1 ft of it lie in the panel.

    Panel 10 × 4 − 4 = 36 ft²; walls 352 − 40 − (4 × 3 above the panel) = 300 ft².
    """
    job = job_of("panel: {on: east wall, up to: 4 ft, do: prime}\nwalls: [prime]", openings=f"{{{WINDOW}}}")
    assert quantity(job, "panel", "area") == pytest.approx(36 * SQ_FT)
    assert quantity(job, "walls", "area") == pytest.approx(300 * SQ_FT)


@pytest.mark.parametrize("band", ["up to: 4 ft", "from: 3 ft, up to: 5 ft", "from: 4 ft"])
def test_a_line_between_two_colours_makes_no_more_of_a_wall(band: str) -> None:
    """What is done to all of it goes by the whole walls, and by as many: the line is only taped and painted."""
    sides = "north wall, south wall, east wall, west wall"
    parts = f"low: {{on: [{sides}], {band}}}\nall: {{of: [walls, low], do: [plaster, mist coat]}}"
    lined = job_of(parts, openings=BOTH)
    plain = job_of("walls: [plaster, mist coat]", openings=BOTH)
    for name in ("walls", "area", "cut in", "spell"):
        assert quantity(lined, "all", name) == pytest.approx(quantity(plain, "walls", name)), name
    works = [sum(step.work.planned for step in job.steps) for job in (lined, plain)]
    assert works[0] == pytest.approx(works[1], abs=8)  # each step is rounded to a minute


def test_what_lies_apart_on_a_wall_is_counted_apart() -> None:
    """Above a splashback and below it: two bands of one wall of 10 ft, 2 ft and 3 ft of 8 high."""
    parts = """splashback: {on: east wall, from: 3 ft, up to: 6 ft, do: prime}
low: {on: east wall, up to: 3 ft}
high: {on: east wall, from: 6 ft}
all: {of: [low, high], do: plaster}"""
    assert quantity(job_of(parts), "all", "walls") == 2
    assert quantity(job_of(parts), "all", "area") == pytest.approx(10 * 5 * SQ_FT)


@pytest.mark.parametrize(
    ("height", "up_to", "inches"),
    [
        ("120 in", "golden section", 74),  # 120 / 1.618 = 74.16; 74 in is common practice for a 10 ft wall
        ("96 in", "golden section", 59.5),  # 59.33
        ("96 in", "1/3", 32),
        ("96 in", "two thirds", 64),
        ("96 in", "38 in", 38),
    ],
)
def test_the_top_of_a_panel_is_a_height_a_fraction_or_the_golden_section_of_the_wall(
    height: str, up_to: str, inches: float
) -> None:
    """Shares are rounded to half an inch. Area over the 10 ft wall tells the height: area / 10 ft."""
    job = job_of(f"panel: {{on: east wall, up to: {up_to}, do: prime}}", height=height)
    assert quantity(job, "panel", "area") / (10 * FT) == pytest.approx(inches * 0.0254)


def test_in_metric_a_share_is_rounded_to_the_centimetre() -> None:
    """2.5 m × 0.6180 = 1.545 m, to the centimetre 1.55 or 1.54; by the 3 m wall 4.6 m²."""
    scope = "panel: {on: east wall, up to: golden section, do: prime}"
    job = job_of(scope, length="4 m", width="3 m", height="2.5 m", measures="metric")
    assert quantity(job, "panel", "area") == pytest.approx(3 * 1.545, abs=3 * 0.0051)
    assert quantity(job, "panel", "area") / 3 * 100 == pytest.approx(round(quantity(job, "panel", "area") / 3 * 100))


def test_a_quantity_that_the_person_counted_takes_the_place_of_the_computed_one() -> None:
    """At 120 nail holes an hour likely (methods/fill): 240 holes take 2 h, whatever the room measures."""
    job = job_of("panel: {on: east wall, do: [fill], measured: {holes: 240}}")
    assert quantity(job, "panel", "holes") == 240
    assert [each.given for each in job.quantities if each.name == "holes"] == [True]
    assert step_of(job, "panel-fill").work.likely == 120


def test_own_walls_give_the_perimeter_of_a_room_that_is_no_rectangle() -> None:
    """An L of 12 + 6 + 6 + 4 + 6 + 10 = 44 ft, 8 ft high: 352 ft²."""
    walls = "{a: 12 ft, b: 6 ft, c: 6 ft, d: 4 ft, e: 6 ft, f: 10 ft}"
    job = job_of("walls: [prime]", openings=f"{{}}\n    walls: {walls}")
    assert quantity(job, "walls", "area") == pytest.approx(352 * SQ_FT)


COUNTED = """\
job: Test
start: 2027-01-09
zone: UTC
measures: metric
hours: {on: every day, from: 7:00, to: 21:00}
rooms:
  kitchen: {air: {day: 20 °C, night: 18 °C, humidity: 50 %}}
"""


@pytest.mark.parametrize(
    "scope",
    [
        "fronts: {room: kitchen, count: 14, do: paint fronts}",
        "fronts: {surface: doors, count: 14, do: paint fronts}",
        "joint: {length: 3 m, do: renew joint}",
    ],
)
def test_a_room_needs_no_measures_where_all_in_it_is_counted(scope: str) -> None:
    """Fronts and joints are as many as there are, whatever room they stand in."""
    assert unfolded(f"{COUNTED}scope:\n  {scope}\n")[0].steps


@pytest.mark.parametrize(
    ("scope", "fault"),
    [
        ("walls: {room: kitchen, do: prime}", "the room `kitchen` is not measured"),
        (
            "fronts: {room: kitchen, count: 14, do: paint fronts}\n  kitchen: final clean",
            "the room `kitchen` is not measured",
        ),
    ],
)
def test_a_room_needs_measures_where_anything_in_it_goes_by_them(scope: str, fault: str) -> None:
    with pytest.raises(InputError) as error:
        unfolded(f"{COUNTED}scope:\n  {scope}\n")
    assert error.value.faults[0].message == fault
