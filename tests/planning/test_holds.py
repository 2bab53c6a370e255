"""What steps keep of the shared things, from the job file to the plan: places, stages, other steps, a given time.

Hours are evenings of 150 minutes, Monday to Friday, from 18:30; the job begins on Monday, 1 March 2027. The walls'
paint is invented here by its name only: when it can be handled is asked of the plan itself.
"""

from __future__ import annotations

import json
from itertools import pairwise
from pathlib import Path
from typing import Any

import pytest

from scheduler.errors import InputError
from scheduler.model.basics import Span
from scheduler.model.facts import Facts
from scheduler.model.plan import Plan
from scheduler.model.refusal import NoPlanError
from scheduler.pipeline import Made, make_plan, read
from scheduler.telling.machine.plan import plan_json
from scheduler.telling.refused import refused
from scheduler.telling.views.index import Book
from tests.support.builders import minute

HEAD = """\
job: Things
start: 2027-03-01
zone: Europe/Vienna
measures: metric
hours: [{on: weekdays, from: 18:30, to: 21:00}]
shared things: {drying rack: 9, bench: 1, bathtub: 1}
rooms: {garage: {air: {day: 20 °C, night: 18 °C, humidity: 50 %}}}
steps:
"""

RACK = """\
  left: {work: 60 min, lays: acrylic-latex-wall-paint, takes: {drying rack: 9 until handle}}
  right: {work: 60 min, lays: acrylic-latex-wall-paint, takes: {drying rack: 9 until handle}}
  seal: {work: 30 min, lays: acrylic-latex-caulk, takes: {bathtub: 1 until use}}
  rinse: {work: 10 min, takes: bathtub, follows: {seal: touch}}
"""


def made(folder: Path, steps: str, facts: Facts | None = None, people: int = 1) -> Made:
    file = folder / "job.yaml"
    file.write_text(HEAD.replace("21:00}", f"21:00, people: {people}}}") + steps, encoding="utf-8")
    job, trade = read(file)
    return make_plan(job, trade, facts or Facts(now=job.start))


@pytest.fixture(scope="module")
def rack(tmp_path_factory: pytest.TempPathFactory) -> Plan:
    return made(tmp_path_factory.mktemp("rack"), RACK).plan


def at(text: str) -> int:
    return minute(f"2027-03-{text}", "Europe/Vienna")


def test_a_rack_of_nine_holds_nine_until_they_can_be_handled(rack: Plan) -> None:
    """Both lots fit into one evening by their work; but each fills the rack, and can be handled only at night."""
    one, other = sorted((rack.step("left"), rack.step("right")), key=lambda step: step.start)
    assert one.film is not None
    assert one.film.stages["handle"] > at("01 21:00")
    assert (one.end <= at("01 21:00"), other.start) == (True, at("02 18:30"))
    assert rack.bound.proven
    assert rack.warnings == ()


def test_the_plan_says_who_has_it_until_when(rack: Plan) -> None:
    """As the reason of the one that waits, in the session that leaves it taken, and for other programs."""
    other = max((rack.step("left"), rack.step("right")), key=lambda step: step.start)
    assert (other.held.kind, other.held["thing"]) == ("held.taken", "drying rack")
    holds: list[Any] = json.loads(plan_json(rack))["holds"]
    (tub,) = (thing for thing in holds if thing["thing"] == "bathtub")
    seal = rack.step("seal")
    assert seal.film is not None
    told = [(each["by"], each["until_stage"], each["amount"]) for each in tub["taken"]]
    assert told == [("seal", "use", 1), ("rinse", None, 1)]
    assert rack.step("rinse").start >= seal.film.stages["use"]  # it follows `touch`, but the tub is taken until `use`


def test_what_is_out_of_use_tonight_is_said_with_when_it_is_back(rack: Plan) -> None:
    """After Monday's session the rack is full and the tub is sealed; the rack is free again first."""
    one = min((rack.step("left"), rack.step("right")), key=lambda step: step.start)
    seal = rack.step("seal")
    assert one.film is not None
    assert seal.film is not None
    assert Book(rack).taken_at(at("01 21:00")) == (
        ("drying rack (9 of 9)", one.film.stages["handle"], one.id),
        ("bathtub", seal.film.stages["use"], "seal"),
    )


def test_it_is_kept_until_another_step_ends_or_starts_or_for_a_time(tmp_path: Path) -> None:
    """There are two people. The bench is kept from 18:30 on: until the drawer is done at 20:00, until that starts at
    19:30, for 75 minutes until 19:45. Then the shelf has it."""
    steps = """\
  door: {{work: 60 min, takes: {{bench: {}}}}}
  drawer: {{work: 30 min, follows: door}}
  shelf: {{work: 30 min, pause: no, takes: bench, follows: door}}
"""
    for until, start in (
        ("1 until drawer", "01 20:00"),
        ("1 until start of drawer", "01 19:30"),
        ("1 for 75 min", "01 19:45"),
    ):
        plan = made(tmp_path, steps.format(until), people=2).plan
        assert plan.step("shelf").start == at(start), until
        assert plan.warnings == (), until


def test_what_can_never_be_given_back_is_refused_with_the_entries_that_say_so(tmp_path: Path) -> None:
    """The door has the bench until it is hung, the frame comes between and takes it too: by hand, no order."""
    steps = """\
  door: {work: 60 min, takes: {bench: 1 until hang}}
  frame: {work: 60 min, follows: door, takes: bench}
  hang: {work: 60 min, follows: frame}
"""
    with pytest.raises(NoPlanError) as caught:
        made(tmp_path, steps)
    (entries,) = refused(caught.value).entries
    assert [(fault.place.line, fault.message) for fault in entries] == [
        (9, "“door” takes 1 of “bench” until “hang” is done"),
        (10, "“frame” comes after “door”"),
        (10, "“frame” takes 1 of “bench”"),
        (11, "“hang” comes after “frame”"),
    ]


@pytest.mark.parametrize(
    ("step", "said"),
    [
        ("a: {work: 1 h, takes: {bench: 1 until nothing}}", "no step, colour or stage is called `nothing`"),
        ("a: {work: 1 h, takes: {bench: 1 until handle}}", "`a` lays no film, so it has no stage `handle`"),
        ("a: {work: 1 h, takes: {bench: 1 until a}}", "`a` gives back itself what it keeps"),
        ("a: {work: 1 h, takes: {bench: 1 until b}, follows: b}\n  b: {work: 1 h}", "`a` comes after `b`"),
        ("a: {work: 1 h, takes: {bench: 1 til b}}\n  b: {work: 1 h}", "is no number, with or without an end"),
        ("a: {work: 1 h, takes: {bench: 2 for 2 h}}", "this takes 2 of `bench`, and there is 1"),
    ],
)
def test_an_end_that_never_comes_is_a_fault_at_its_place(tmp_path: Path, step: str, said: str) -> None:
    with pytest.raises(InputError) as caught:
        made(tmp_path, f"  {step}\n")
    assert said in str(caught.value.faults[0])
    assert caught.value.faults[0].place.line == 9


def test_what_has_begun_keeps_what_it_took(tmp_path: Path) -> None:
    """The left lot is painted on Monday, 19:00 to 20:00: the rack is full until it can be handled. Nothing of the
    record takes the plan away: were both painted, that is a fact."""
    begun = at("01 19:00"), at("01 20:00")
    done = {"left": (Span(*begun),)}
    plan = made(tmp_path, RACK, Facts(now=at("01 20:00"), done=done, recorded=True)).plan
    film = plan.step("left").film
    assert film is not None
    assert plan.step("right").start >= film.stages["handle"]
    both = Facts(now=at("01 20:30"), done={**done, "right": (Span(begun[0] + 60, begun[1] + 30),)}, recorded=True)
    assert made(tmp_path, RACK, both).plan.warnings == ()


ROOMS = "".join(
    f"""\
  empty {room}: {{work: 30 min, takes: {{drying rack: 1 until furnish {room}}}}}
  paint {room}: {{work: 2 h, pause: 30 min, follows: empty {room}}}
  furnish {room}: {{work: 30 min, follows: paint {room}}}
"""
    for room in ("a", "b", "c")
)


def test_not_all_rooms_are_emptied_on_day_one_because_it_is_allowed(tmp_path: Path) -> None:
    """Three rooms of 3 h each, in evenings of 2 h 30 min: 9 h end on the fourth, at 18:30 + 1 h 30 min. On the first
    one room can be emptied and painted; the other two stand as they are until their turn comes."""
    plan = made(tmp_path, ROOMS).plan
    assert plan.finish == at("04 20:00")
    first = [step.id for step in plan.steps if step.id.startswith("empty") and step.start < at("01 21:00")]
    assert len(first) == 1
    (held,) = (thing.taken for thing in plan.things if thing.thing == "drying-rack")
    assert all(one.until <= other.start for one, other in pairwise(held))
