"""What must not show a seam is one piece: a wall, a leaf, a board, a joint, and not the whole part.

Units and hours are those of households (common practice, no source); the pieces are derived beside each case.
"""

from __future__ import annotations

import pytest

from scheduler.model.facts import Facts
from scheduler.model.refusal import NoPlanError
from scheduler.pipeline import Wish, make_plan
from scheduler.telling.refused import refused
from tests.support.scoped import graph_of, job_of, step_of, text_of, unfolded

EVENINGS = "hours: {on: weekdays, from: 18:30, to: 20:30}"
SATURDAYS = "hours: {on: Saturday, from: 8:30, to: 17:00, break: 12:00 to 12:45}"
DOORS = "".join(f"d{n}: {{on: north wall, width: 30 in, height: 80 in}}, " for n in range(3))
DOORS += "".join(f"e{n}: {{on: south wall, width: 30 in, height: 80 in}}, " for n in range(3))

REFUSED = {
    "walls of a bedroom in evenings of two hours": ("walls: [prime, paint walls]", EVENINGS, {}),
    "skim on Saturdays with a lunch break": ("walls: [skim: {coats: 1}]", SATURDAYS, {}),
    "six doors": ("doors: paint doors", SATURDAYS, {"openings": f"{{{DOORS}}}"}),
    "the trim of a large room and three leaves": (
        "trim: [paint trim: {doors: 3}]",
        SATURDAYS,
        {"length": "24 ft", "width": "14 ft", "openings": f"{{{DOORS}}}"},
    ),
    "twenty shelves": ("shelf: {count: 20, length: 60 ft, do: shelves}", SATURDAYS, {}),
    "160 ft of joint": ("joint: {length: 160 ft, do: seal}", SATURDAYS, {}),
}
"""Each had a step longer than its longest stretch of hours while the whole part was one piece."""


@pytest.mark.parametrize("case", REFUSED)
def test_ordinary_rooms_are_planned_in_ordinary_hours(case: str) -> None:
    scope, hours, more = REFUSED[case]
    text = text_of(scope, length=more.get("length", "14 ft"), openings=more.get("openings", "{}"))
    every_day = "hours: {on: every day, from: 7:00, to: 21:00, people: 2}"
    text = text.replace(every_day, hours if "break" not in hours else hours.replace("}", ", people: 2}"))
    job, trade = unfolded(text)
    made = make_plan(job, trade, Facts(now=job.start), Wish(effort=1))
    assert made.plan.steps and not made.plan.warnings


def test_the_piece_of_a_wall_is_the_largest_wall() -> None:
    """12 by 10 by 8 ft: of 352 ft² the largest wall has 96, 27 %. Priming takes 75, 100 or 165 min, 107 as planned;
    27 % of it are 29 min, in steps of five 30."""
    job = job_of("walls: prime")
    assert step_of(job, "walls-prime").work.likely == 100
    assert step_of(job, "walls-prime").smallest_piece == 30


def test_a_leaf_a_joint_and_a_shelf_are_a_piece_each_and_a_ceiling_is_one() -> None:
    doors = job_of("doors: {count: 6, do: paint doors}")
    assert step_of(doors, "doors-coat-1").smallest_piece == 65  # 4, 6 or 9 h for six: 62 min as planned
    joint = job_of("joint: {length: 40 ft, do: seal}")
    assert step_of(joint, "joint-seal").smallest_piece == 20  # 8 of 40 ft at 27 ft/h as planned: 18 min
    assert step_of(job_of("ceiling: prime"), "ceiling-prime").smallest_piece is None


def test_a_coat_of_a_colour_may_rest_between_two_walls() -> None:
    colours = "colours:\n  moss: {on: walls, material: acrylic-latex-wall-paint, coats: 1}\n"
    coat = graph_of("walls: prime", colours).task("moss-coat-1")
    assert coat.smallest_piece is not None and coat.smallest_piece < coat.work.planned
    said = colours.replace("coats: 1", "coats: 1, one coat: 2 h")
    assert graph_of("walls: prime", said).task("moss-coat-1").smallest_piece is None  # as the person timed it


def test_each_wall_of_each_coat_has_an_id_of_its_own(tmp_path) -> None:  # type: ignore[no-untyped-def]
    folder = tmp_path / "profiles" / "methods"
    folder.mkdir(parents=True)
    (folder / "wet-and-scrape.yaml").write_text(
        "title: wet and scrape\nsource: invented\nfits: walls\noptions: {rounds: {number: 2}}\nsteps:\n"
        "  wet: {title: 'Wet, round {n}: {part}', phase: strip, each: wall, cycle: rounds,\n"
        "        work: {per: area, takes: [300 ft²/h, 200 ft²/h, 100 ft²/h], source: invented}}\n",
        "utf-8",
    )
    job, _ = unfolded(text_of("walls: wet and scrape"), tmp_path)
    names = [step.id for step in job.steps]
    assert len(names) == len(set(names)) == 8
    assert {"walls-wet-1-north-wall", "walls-wet-2-west-wall"} <= set(names)


def test_nobody_is_told_to_stop_in_the_middle_of_a_ceiling() -> None:
    """120 ft² of ceiling are painted in one go; in evenings of half an hour there is no way to, and no bad advice."""
    text = text_of("ceiling: paint ceiling").replace("from: 7:00, to: 21:00", "from: 19:00, to: 19:30")
    job, trade = unfolded(text)
    with pytest.raises(NoPlanError) as caught:
        make_plan(job, trade, Facts(now=job.start), Wish(effort=1))
    assert "make one session longer" in refused(caught.value).short
    assert "pause" not in refused(caught.value).short


def test_a_leaf_that_is_painted_with_the_trim_is_a_unit_of_its_own() -> None:
    """An hour a leaf, where the longest of the boards would be half an hour of a hundred minutes."""
    door = "{door: {on: south wall, width: 32 in, height: 80 in}}"
    job = job_of("trim: [paint trim: {doors: 1}]", openings=door)
    assert step_of(job, "trim-coat-1").smallest_piece == 60


def test_walls_that_are_joined_are_each_as_large_as_they_are() -> None:
    """12 by 10 by 8 ft: 352 ft² of walls. A band of 3 ft below and the rest above as one part are scraped in the same
    time and with the same remover as the walls alone: each wall its own, not all of it four times."""
    band = "band: {on: [north wall, east wall, south wall, west wall], up to: 3 ft}\n"
    joined = band + "plaster: {of: [walls, band], do: remove wallpaper}"
    alone, both = (job_of(scope).steps for scope in ("walls: remove wallpaper", joined))
    assert len(alone) == len(both)
    for ours, theirs in zip(alone, both, strict=True):
        assert abs(ours.work.planned - theirs.work.planned) <= 5
        for mine, other in zip(ours.uses, theirs.uses, strict=True):
            assert mine.amount == pytest.approx(other.amount, rel=1e-6)


def test_what_is_on_no_wall_is_a_place_of_its_own() -> None:
    """Walls and ceiling washed as one part are rinsed wall by wall, and the ceiling for itself."""
    scope = "all: {of: [walls, ceiling], do: {wash: {dirt: grease or smoke}}}"
    rinsed = [step for step in job_of(scope).steps if "rinse" in step.id]
    assert [step.id.rpartition("rinse-")[2] for step in rinsed][-1] == "ceiling"
    assert len(rinsed) == 5
