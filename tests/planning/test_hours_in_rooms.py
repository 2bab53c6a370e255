"""Hours that are for some rooms alone: the kitchen is for cooking in the evening, the garage is not."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from zoneinfo import ZoneInfo

import pytest

from scheduler.errors import InputError
from scheduler.model.basics import Span
from scheduler.model.facts import Facts
from scheduler.model.job import Hours
from scheduler.model.refusal import NoPlanError
from scheduler.pipeline import Made, make_plan
from scheduler.reading.jobfile import read_job_text
from scheduler.reading.profiles import named_in, read_trade
from scheduler.telling.refused import refused
from scheduler.telling.views.index import Book
from scheduler.verifying import verify
from scheduler.worktime import windows
from tests.support.builders import minute

JOB = """\
job: Fronts
start: 2027-04-05
zone: Europe/Vienna
hours:
  - {on: weekdays, from: 18:00, to: 21:00, in: garage}
  - {on: Saturday, from: 9:00, to: 12:00}
rooms:
  kitchen: {air: {day: 21 °C, night: 18 °C, humidity: 50 %}}
  garage: {air: {day: 18 °C, night: 15 °C, humidity: 55 %}}
steps:
  hang: {room: kitchen, work: 4 h, pause: 30 min}
  paint: {room: garage, work: 4 h, pause: 30 min}
"""


@cache
def planned() -> Made:
    """The plan of the job above: it begins on a Monday."""
    return made(JOB)


def made(text: str) -> Made:
    """The plan of a job file."""
    job = read_job_text(text, "job.yaml")
    trade = read_trade(None, named_in(job))
    return make_plan(job, trade, Facts(now=job.start))


def test_nobody_works_in_a_room_in_hours_that_are_for_another() -> None:
    """Three hours on each Saturday are for both rooms: 4 h in the kitchen end on the second Saturday, 10:00; 4 h in
    the garage need no more than two evenings."""
    steps = {step.id: step for step in planned().plan.steps}
    assert [piece.start for piece in steps["hang"].pieces] == [minute("2027-04-10 07:00"), minute("2027-04-17 07:00")]
    assert steps["hang"].end == minute("2027-04-17 08:00")


def test_the_plan_says_that_no_earlier_session_is_for_the_room() -> None:
    """What held the step in the kitchen is that evenings are not for it."""
    held = Book(planned().plan).say(planned().plan.step("hang").held)
    assert held == "No earlier session is for the room kitchen."


def test_the_verifier_finds_work_in_a_room_that_is_shut() -> None:
    """The same plan with the kitchen's hours of Saturday put on Monday evening breaks that rule."""
    found = planned()
    evening = Span(minute("2027-04-05 16:00"), minute("2027-04-05 19:00"))
    steps = (
        replace(step, pieces=(evening, step.pieces[1])) if step.id == "hang" else step for step in found.plan.steps
    )
    plan, ground = replace(found.plan, steps=tuple(steps)), found.ground
    broken = verify(plan, ground.job, ground.graph, ground.windows, ground.films, ground.facts)
    assert ("rooms open", "hang") in {(each.rule, each.step) for each in broken}
    sound = verify(found.plan, ground.job, ground.graph, ground.windows, ground.films, ground.facts)
    assert sound == ()


def test_where_hours_overlap_the_rooms_of_both_are_open() -> None:
    """18:00 to 21:00 for the garage, 20:00 to 22:00 for all: cut at 20:00, from then on all rooms."""
    job = planned().ground.job
    every = frozenset(range(7))
    rules = (Hours(weekdays=every, start=18 * 60, end=21 * 60, rooms=("garage",)),)
    rules += (Hours(weekdays=every, start=20 * 60, end=22 * 60),)
    day = Span(minute("2027-04-05 00:00"), minute("2027-04-05 21:00"))
    found = windows(replace(job, hours=rules), day, ZoneInfo(job.zone))
    assert [(each.rooms, each.end - each.start) for each in found] == [(("garage",), 120), ((), 120)]


def test_a_room_that_no_hours_are_for_leaves_no_plan_and_the_hours_are_named() -> None:
    """Evenings for the garage alone, and a step in the kitchen."""
    text = JOB.replace("  - {on: Saturday, from: 9:00, to: 12:00}\n", "")
    with pytest.raises(NoPlanError) as caught:
        made(text)
    assert "no work hours are for the room kitchen" in refused(caught.value).short


def test_hours_in_a_room_that_is_not_there_are_one_fault() -> None:
    """Forty-seven signs stand before the name in the fifth line; the nearest room is offered."""
    with pytest.raises(InputError) as raised:
        made(JOB.replace("in: garage}", "in: garrage}"))
    (found,) = raised.value.faults
    assert str(found) == "job.yaml:5:48: no room is called `garrage`; did you mean `garage`?"
