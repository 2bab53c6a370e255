"""The estimate against forty worked cases of another method (`cases.json`, which says how they were computed)."""

from __future__ import annotations

import json
import math
from dataclasses import replace
from pathlib import Path

import pytest

from scheduler.learning import priors
from scheduler.learning.beliefs import Weights, quantile
from scheduler.learning.felt import films_of_room, spread_of
from scheduler.learning.pace import oddness, paces
from scheduler.model.learned import FilmReading, Work
from scheduler.model.material import Material
from tests.support import builders

CASES = json.loads((Path(__file__).parent / "cases.json").read_text("utf-8"))


def work(record: dict) -> Work:
    """A record of minutes; what is not said of them is open."""
    least, most = record.get("at_least", 0.0), record.get("at_most", math.inf)
    ends = (record["took"], record["took"]) if "took" in record else (least, most)
    return Work(record["kind"], *map(float, (*record["reckoned"], *ends)))


def material(low: float, high: float) -> Material:
    """One of which the range of a stage is known."""
    paint = builders.material(stages={"touch": 60})
    return replace(paint, stages=(replace(paint.stages[0], low=low, high=high),))


def believed(case: dict) -> tuple[Weights, list[float]]:
    """What is known of what a case asks for, and how odd each record is."""
    if case["of"] == "pace":
        works = [work(record) for record in case["records"]]
        known = paces(tuple(works))
        asked = known.parent if case["ask"] is None else known.of(case["ask"], priors.KIND)
        return asked, [oddness(known, each) for each in works]
    spreads = {name: spread_of(material(low, high)) for name, (low, high) in case["materials"].items()}
    names = ("material", "film", "stage", "multiple", "reached")
    readings = tuple(FilmReading(*(record[name] for name in names)) for record in case["records"])
    room = films_of_room(readings, tuple(sorted(spreads.items())))
    asked = room.beliefs.parent if case["ask"] is None else room.material(case["ask"], spreads[case["ask"]])
    return asked, []


@pytest.mark.parametrize("case", CASES["cases"], ids=lambda case: case["id"])
def test_each_worked_case_is_met_within_its_tolerance(case: dict) -> None:
    """Median and ends of the 80 % range to 1 and 1.5 %, the oddness of a record to 0.02."""
    weights, odd = believed(case)
    for name, share in (("factor", 0.5), ("low", 0.1), ("high", 0.9)):
        found = math.exp(quantile(weights, share))
        assert found == pytest.approx(case["expected"][name], rel=case["tolerance"][name]), case["said"]
    assert odd == pytest.approx(case["expected"].get("odd", odd), abs=0.02), case["said"]


def test_the_numbers_of_the_model_are_those_that_the_cases_were_computed_with() -> None:
    """Whoever changes a prior computes the cases anew."""
    theirs = CASES["priors"]
    assert (theirs["person"], theirs["kind"], theirs["step"]) == (priors.PERSON, priors.KIND, priors.STEP)
    assert (theirs["room"], theirs["film"], theirs["reading"]) == (priors.ROOM, priors.FILM, priors.READING)
    assert (
        theirs["odd_share"],
        theirs["odd_shift"],
        theirs["odd_scale"],
        theirs["slip"],
    ) == (priors.ODD, priors.ODD_SHIFT, priors.ODD_SCALE, priors.SLIP)
