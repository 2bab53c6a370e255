"""A method that somebody wrote after reading profiles/README.md: wallpaper, wetted by walls and scraped in time."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.model.facts import Facts
from scheduler.pipeline import make_plan
from tests.support.scoped import text_of, unfolded
from tests.support.told import breaks

STRIP = """\
title: strip the paper
source: what a neighbour said
fits: walls
steps:
  wet:
    title: "Wet the paper: {part}"
    phase: strip
    each: wall
    kind: wet
    pause: no
    work: {per: area, takes: [250 ft²/h, 180 ft²/h, 100 ft²/h], source: "common practice, no source"}
  scrape:
    title: "Scrape the paper off: {part}"
    phase: strip
    each: wall
    pause: no
    after:
      wet:
        wait: 15 min
        within: 40 min
        remedy: {title: wet it once more, work: 20 min, source: "common practice, no source"}
    work: {per: area, takes: [120 ft²/h, 70 ft²/h, 35 ft²/h], source: "common practice, no source"}
  wash:
    title: "Wash the paste off: {part}"
    phase: wash
    each: wall
    after: {scrape: {within: 2 h}}
    work: {per: area, takes: [130 ft²/h, 85 ft²/h, 45 ft²/h], source: "common practice, no source"}
    lays: {material: washed-plaster}
"""
HOURS = "hours: {on: every day, from: 7:00, to: 21:00, people: 2}"
WEEKENDS = "hours: {on: [Saturday, Sunday], from: 9:00, to: 17:30, break: 12:30 to 13:15}"


def test_each_wall_is_wetted_shortly_before_it_is_scraped_and_not_before_lunch(tmp_path: Path) -> None:
    """Lunch takes 45 min, the paper is soft for 40: no wall lies wet over lunch, and nothing is wetted twice.

    Then it dries: nobody patches before the washed plaster may be coated.
    """
    (tmp_path / "profiles" / "methods").mkdir(parents=True)
    (tmp_path / "profiles" / "methods" / "strip-the-paper.yaml").write_text(STRIP)
    text = text_of("walls: [strip the paper, patch]\nden: wipe down").replace(HOURS, WEEKENDS)
    job, trade = unfolded(text, tmp_path)
    plan = make_plan(job, trade, Facts(now=job.start)).plan
    steps = {step.id: step for step in plan.steps}
    for wall in ("north-wall", "east-wall", "south-wall", "west-wall"):
        wet, scrape = steps[f"walls-wet-{wall}"], steps[f"walls-scrape-{wall}"]
        assert 15 <= scrape.start - wet.end <= 40, wall
    assert not [step.id for step in plan.steps if step.added is not None]
    dry = max(
        dict(steps[f"walls-wash-{wall}-wall"].film.stages)["recoat"] for wall in ("north", "east", "south", "west")
    )
    assert steps["walls-patch"].start >= dry
    assert not breaks(plan)


POUR = """\
title: pour the hearth
source: what a neighbour said
fits: floor
steps:
  pour:
    title: "Pour: {part}"
    phase: floor
    work: {per: area, takes: [60 ft²/h, 40 ft²/h, 20 ft²/h], source: "common practice, no source"}
    lays: {material: floor-levelling-compound, thickness: hollow}
"""


def test_what_only_a_thickness_goes_by_may_be_measured(tmp_path: Path) -> None:
    """How deep the hollow is tells how thick the film is, and how long it takes; no labour has to go by it."""
    (tmp_path / "profiles" / "methods").mkdir(parents=True)
    (tmp_path / "profiles" / "methods" / "pour-the-hearth.yaml").write_text(POUR)
    job, _ = unfolded(text_of("floor: {measured: {hollow: 1/2 in}, do: pour the hearth}"), tmp_path)
    (lays,) = (step.lays for step in job.steps if step.lays is not None)
    assert lays.thickness == pytest.approx(0.0127)
