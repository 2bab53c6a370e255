"""Stripes, other pieces of wall in a second colour: taped on the first once it bears that, by edges of their own."""

from __future__ import annotations

import pytest

from scheduler.errors import InputError
from scheduler.expanding import expand
from scheduler.model.graph import TaskGraph
from tests.support.scoped import job_of, text_of, unfolded

WALLS = "walls: [patch]\n"
COLOURS = """\
colours:
  blue: {on: walls, material: acrylic-latex-wall-paint, coats: 2}
  navy: {on: stripes, material: acrylic-latex-wall-paint, coats: 2}
"""


def graph(stripes: str, rest: str = "") -> TaskGraph:
    return expand(*unfolded(text_of(f"{WALLS}stripes: {stripes}", COLOURS + rest)))


def taped(stripes: str) -> float:
    """Metres of tape that go on with the second colour."""
    (use,) = (use for use in graph(stripes).task("navy-tape").uses if use.what == "masking tape")
    return use.amount


def test_every_stripe_has_two_edges_that_are_taped() -> None:
    """Five stripes of 1 ft up a wall of 8 ft: 10 edges of 8 ft, and 5 times a foot along the floor."""
    assert taped("{on: [north wall], width: 1 ft, count: 5}") == pytest.approx((10 * 8 + 5) * 0.3048)
    assert taped("{on: [north wall], width: 1 ft}") == pytest.approx((2 * 8 + 1) * 0.3048)


def test_a_field_in_the_middle_of_a_wall_is_taped_all_around() -> None:
    """4 ft by 3 ft, from 2 ft up to 5 ft: 14 ft."""
    assert taped("{on: [north wall], from: 2 ft, up to: 5 ft, width: 4 ft}") == pytest.approx(14 * 0.3048)


def test_paint_is_bought_for_all_of_them() -> None:
    job = job_of(f"{WALLS}stripes: {{on: [north wall], width: 1 ft, count: 5}}", COLOURS)
    one = job_of(f"{WALLS}stripes: {{on: [north wall], width: 1 ft}}", COLOURS)
    amounts = [next(colour for colour in each.colours if colour.id == "navy").uses[0].amount for each in (job, one)]
    assert amounts[0] == pytest.approx(5 * amounts[1])


def test_the_wall_is_painted_before_what_is_taped_on_it() -> None:
    made = graph("{on: [north wall], width: 1 ft, count: 5}")
    assert not made.choices
    stages = {(link.before, link.after): link.stage for link in made.links}
    assert stages["blue-coat-2", "navy-tape"] == "tape"


def test_who_wants_the_stripes_first_says_so() -> None:
    made = graph("{on: [north wall], width: 1 ft, count: 5}", "colour order: [navy, blue]\n")
    stages = {(link.before, link.after): link.stage for link in made.links}
    assert stages["navy-coat-2", "blue-tape"] == "tape"
    assert ("blue-coat-2", "navy-tape") not in stages


def test_a_band_from_corner_to_corner_meets_the_wall_above_as_before() -> None:
    """12 ft of border with the wall above, and 3 ft up either corner; which is first stays open."""
    made = graph("{on: [north wall], up to: 3 ft}")
    assert len(made.choices) == 1


def test_a_count_of_what_fills_its_wall_is_refused() -> None:
    with pytest.raises(InputError, match="goes by its count"):
        graph("{on: [north wall], up to: 3 ft, count: 5}")
