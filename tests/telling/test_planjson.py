from __future__ import annotations

import json
from dataclasses import replace
from datetime import datetime
from typing import Any

import jsonschema
import pytest
from hypothesis import given, settings

from scheduler.model.beware import Beware
from scheduler.telling.machine.plan import plan_json, schema_text
from scheduler.wallclock import NEVER
from tests.support.plans import after, at, film, hobby_room, plan, step, with_step
from tests.telling.texts import HOSTILE, titles

KEYS = [
    "format",
    "job",
    "zone",
    "as_of",
    "seed",
    "finish",
    "usable",
    "cured",
    "bound",
    "effort",
    "windows",
    "sessions",
    "attended",
    "steps",
    "items",
    "holds",
    "stays",
    "appointments",
    "promises",
    "broken",
    "former",
    "learned",
    "warnings",
]
STEP_KEYS = [
    "id",
    "title",
    "room",
    "state",
    "people",
    "labour_minutes",
    "can_pause",
    "smallest_piece_minutes",
    "pieces",
    "dusty",
    "noisy",
    "wet",
    "takes",
    "after",
    "needs",
    "film",
    "held_by",
    "added_because",
    "cautions",
]


def validated(text: str) -> Any:
    schema = json.loads(schema_text("plan"))
    jsonschema.Draft202012Validator.check_schema(schema)
    whole = json.loads(text)
    jsonschema.Draft202012Validator(schema).validate(whole)
    return whole


def test_the_keys_are_those_promised_in_that_order() -> None:
    whole = validated(plan_json(hobby_room()))
    assert list(whole) == KEYS
    assert list(whole["steps"][0]) == STEP_KEYS
    assert list(whole["items"][0]) == ["item", "expected", "arrived", "ordered", "order_by", "needed", "holds"]


def test_times_carry_the_offset_of_their_day() -> None:
    """New York is five hours behind UTC in winter and four in summer (zoneinfo)."""
    both = plan(step("a", "2027-03-13 09:00 10:00"), step("b", "2027-03-14 09:00 10:00"))
    steps = validated(plan_json(both))["steps"]
    assert steps[0]["pieces"] == [{"start": "2027-03-13T09:00:00-05:00", "end": "2027-03-13T10:00:00-05:00"}]
    assert steps[1]["pieces"] == [{"start": "2027-03-14T09:00:00-04:00", "end": "2027-03-14T10:00:00-04:00"}]
    elapsed = datetime.fromisoformat("2027-03-14T09:00:00-04:00") - datetime.fromisoformat(
        "2027-03-13T09:00:00-05:00"
    )
    assert elapsed.total_seconds() == 23 * 3600


def test_what_is_waited_for_and_what_dries() -> None:
    paint = next(each for each in validated(plan_json(hobby_room()))["steps"] if each["id"] == "first-coat-of-blue")
    assert paint["after"] == [
        {
            "step": "prime-the-walls",
            "stage": "recoat",
            "ready": "2027-01-17T06:40:00-05:00",
            "latest": "2027-01-18T16:40:00-05:00",
        }
    ]
    assert list(paint["film"]["stages"]) == ["touch", "recoat", "tape", "use", "full"]
    assert paint["takes"] == {"ladder": 1}


def test_a_stage_that_is_never_reached_is_left_out_and_never_does_not_leak() -> None:
    layer = film({"touch": "2027-01-16 12:00"})
    layer = replace(layer, stages={**layer.stages, "full": NEVER, "use": NEVER + 5})
    endless = replace(after("x", "end", "2027-01-16 08:00"), latest=NEVER)
    before = plan(step("a", "2027-01-16 09:00 10:00", film=layer, after=(endless,)), usable=NEVER, cured=NEVER)
    whole = validated(plan_json(before))
    assert whole["steps"][0]["film"]["stages"] == {"touch": "2027-01-16T12:00:00-05:00"}
    assert whole["steps"][0]["after"][0]["latest"] is None
    assert whole["usable"] is None and whole["cured"] is None


def test_windows_run_from_the_first_to_the_last_used_day() -> None:
    before = hobby_room()
    early = replace(before.windows[0], start=at("2027-01-09 08:00"), end=at("2027-01-09 09:00"))
    early = replace(early, day=datetime(2027, 1, 9).date())
    late = replace(before.windows[-1], day=datetime(2027, 1, 24).date())
    unused = replace(before.windows[-1], day=datetime(2027, 1, 21).date())
    whole = validated(plan_json(replace(before, windows=(early, *before.windows, unused, late))))
    assert len(whole["windows"]) == len(before.windows) + 1


def test_seconds_are_nought_unless_timed() -> None:
    assert json.loads(plan_json(hobby_room()))["effort"] == {"placements_tried": 10, "seconds": 0.0}
    assert json.loads(plan_json(hobby_room(), 1.5))["effort"]["seconds"] == 1.5
    assert plan_json(hobby_room()) == plan_json(hobby_room())


@settings(derandomize=True, max_examples=20, deadline=None)
@given(titles)
def test_any_title_comes_back_as_it_was(title: str) -> None:
    before = with_step(hobby_room(), "sand-the-filler", title=title, cautions=(Beware(title),))
    text = plan_json(before)
    assert text.isascii()
    assert validated(text)["steps"][0]["title"] == title


def test_the_schema_refuses_what_is_not_promised() -> None:
    """The schema can fail: an unknown key, a time without offset, an unknown stage, a missing key."""
    schema = jsonschema.Draft202012Validator(json.loads(schema_text("plan")))
    good = json.loads(plan_json(hobby_room()))
    broken = [
        {**good, "surplus": 1},
        {**good, "finish": "2027-01-16T09:00:00"},
        {**good, "finish": None},
        {key: value for key, value in good.items() if key != "bound"},
        {**good, "steps": [{**good["steps"][1], "film": {**good["steps"][1]["film"], "stages": {"hard": "x"}}}]},
        {**good, "steps": [{**good["steps"][1], "state": "late"}]},
    ]
    assert schema.is_valid(good)
    assert [schema.is_valid(one) for one in broken] == [False] * len(broken)


@pytest.mark.parametrize("name", ["nothing", "../plan", "plan.json", ""])
def test_an_unknown_schema_is_a_key_error(name: str) -> None:
    with pytest.raises(KeyError):
        schema_text(name)


def test_the_list_of_hostile_titles_is_worth_its_name() -> None:
    assert any("\x1b" in title for title in HOSTILE) and any("BEGIN:VEVENT" in title for title in HOSTILE)
