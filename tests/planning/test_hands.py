"""More hands shorten a step: the planner chooses how many, and what it says of that is so.

Two are there on Saturdays from 9:00 to 17:00, one on Sundays from 10:00 to 14:00; the job begins on Saturday, 6 March
2027, in winter time (one hour ahead of UTC).
"""

from __future__ import annotations

import json
from functools import cache

import pytest

from scheduler.errors import InputError
from scheduler.model.basics import Span
from scheduler.model.facts import Facts
from scheduler.pipeline import Made, Wish, make_plan
from scheduler.reading.jobfile import read_job_text
from scheduler.reading.profiles import named_in, read_trade
from scheduler.telling.machine.plan import plan_json
from scheduler.telling.text.agenda import agenda
from scheduler.whatif.engine import Trials
from tests.support.builders import minute
from tests.support.told import breaks

HEAD = """\
job: Floor for two
start: 2027-03-06
zone: Europe/Berlin
hours:
  - {on: Saturday, from: 9:00, to: 17:00, people: 2}
  - {on: Sunday, from: 10:00, to: 14:00}
rooms: {den: {air: {day: 20 °C, night: 17 °C, humidity: 50 %}}}
steps:
"""
FLOOR = """\
  clear: {work: 4 h, people: 1 to 2, more hands: {2: 2 h}, pause: 30 min}
  lay: {work: 12 h, people: 1 to 2, more hands: {2: 7 h}, pause: 30 min, follows: clear}
  skirting: {work: 3 h, follows: lay}
"""


def made(steps: str, facts: Facts | None = None, known: Made | None = None) -> Made:
    """The plan of a job with these steps."""
    job = read_job_text(HEAD + steps, "job.yaml")
    trade = read_trade(None, named_in(job))
    return make_plan(job, trade, facts or Facts(now=job.start), known=None if known is None else known.answer)


@cache
def floor() -> Made:
    """Clear, lay and skirting, each after the one before."""
    return made(FLOOR)


def fault(steps: str) -> str:
    """The one fault of a job with these steps."""
    with pytest.raises(InputError) as raised:
        made(steps)
    (found,) = raised.value.faults
    return str(found)


def test_two_do_what_ends_sooner_with_two() -> None:
    """One alone has 12 h on the first weekend: 4 h and 8 of 12 h, so that the skirting ends on the 13th at 9:00 + 4 h
    + 3 h = 16:00. Two clear in 2 h, lay for 6 h on Saturday and 1 h on the next: 9:00 + 1 h + 3 h = 13:00."""
    plan = floor().plan
    assert {step.id: (step.people, step.labour) for step in plan.steps} == {
        "clear": (2, 120),
        "lay": (2, 420),
        "skirting": (1, 180),
    }
    assert plan.finish == minute("2027-03-13 12:00")
    assert plan.bound.proven, "all four ways to share the hands were judged"
    assert breaks(plan) == []


def test_one_does_it_where_two_end_no_sooner() -> None:
    """Two clear in 2 h what one clears in 3: 4 hours of people against 3. 30 h later all hours of Sunday are over,
    whether it was cleared by 11:00 or by 12:00."""
    plan = made(
        """\
  clear: {work: 3 h, people: 1 to 2, more hands: {2: 2 h}}
  wait: {work: 1 h, follows: [clear: 30 h]}
"""
    ).plan
    assert plan.step("clear").people == 1


def test_each_works_at_something_of_his_own_where_that_is_quicker() -> None:
    """Two steps of 4 h, each 3 h with two: side by side both end at 13:00, one after the other at 15:00."""
    plan = made(
        """\
  left: {work: 4 h, people: 1 to 2, more hands: {2: 3 h}, pause: no}
  right: {work: 4 h, people: 1 to 2, more hands: {2: 3 h}, pause: no}
"""
    ).plan
    assert {step.people for step in plan.steps} == {1}
    assert plan.finish == minute("2027-03-06 12:00")


def test_the_plan_says_how_much_of_each_persons_time_is_used() -> None:
    """First person: 8 h on the 6th and 4 h on the 13th, all at work. Second: the 3 h of the skirting are not his."""
    text, told = agenda(floor().plan), json.loads(plan_json(floor().plan))
    assert " ".join(text.split()).count("of the first person 12 h of 12 h, of person 2 9 h of 12 h.") == 1
    assert told["attended"] == [
        {"person": 1, "minutes": 720, "hands_on_minutes": 720},
        {"person": 2, "minutes": 720, "hands_on_minutes": 540},
    ]


def test_it_is_said_what_is_waited_for() -> None:
    """Between the coat and the sanding nobody has anything to do: the coat is not ready."""
    text = agenda(
        made(
            """\
  coat: {work: 1 h, lays: setting-type-compound-45}
  sand: {work: 1 h, kind: dusty, follows: [coat: sand]}
"""
        ).plan
    )
    assert "nothing to do yet: “coat” is not ready" in text


def test_what_was_planned_is_found_again_and_what_was_begun_keeps_its_hands() -> None:
    """The same question has the same answer; a day later, with `clear` done by two in 1 h 50 min, two lay still."""
    again = made(FLOOR, known=floor())
    assert again.plan.steps == floor().plan.steps
    job = floor().ground.job
    now = minute("2027-03-06 10:00")
    done = Facts(now=now, done={"clear": (Span(job.start + 8 * 60 + 60, now - 10),)}, before={})
    later = made(FLOOR, done, floor())
    assert {step.id: step.people for step in later.plan.steps}["clear"] == 2
    assert later.plan.step("lay").people == 2
    assert breaks(later.plan) == []


def test_a_change_is_tried_with_the_hands_of_the_plan() -> None:
    """The plan's own job, tried as a change of nothing, ends no sooner and no later than the plan."""
    found = floor()
    trials = Trials(found, found.ground.trade, Wish())
    assert trials.plan(found.ground.job).finish is None
    assert trials.plan(read_job_text(HEAD + FLOOR.replace("work: 3 h", "work: 2 h"), "job.yaml")).finish == minute(
        "2027-03-13 11:00"
    )


@pytest.mark.parametrize(
    ("step", "said"),
    [
        ("people: 1 to 2", "job.yaml:9:26: nothing says how long it takes 2 people; write `more hands: {2: 2 h}`"),
        ("more hands: {2: 1 h}", "`people` does not let 2 people be at it; write `people: 1 to 2`, or leave it out"),
        ("people: 1 to 2, more hands: {2: 3 h}", "this takes no less time than fewer people need"),
        ("people: 2 to 1", "`2 to 1` goes down; write the smaller number first, `1 to 2`"),
    ],
)
def test_hands_that_do_not_fit_are_one_fault_at_their_line(step: str, said: str) -> None:
    """One alone takes 3 h."""
    assert said in fault(f"  a: {{work: 3 h, {step}}}\n")


def test_whoever_is_alone_has_no_hands_to_choose() -> None:
    """A job of one person was searched for the hands of each step, and lost its bound where that search got stuck:
    the plan `might be beaten by 20911 days`."""
    alone = HEAD.replace(", people: 2", "")
    job = read_job_text(alone + FLOOR, "job.yaml")
    found = make_plan(job, read_trade(None, named_in(job)), Facts(now=job.start))
    assert found.ground.any_hands is None
    assert {step.people for step in found.plan.steps} == {1}
    fitters = "appointments: {fitters: {on: 2027-03-07, from: 9:00, to: 10:00, in: den, after: [lay]}}\n"
    late = read_job_text(HEAD + FLOOR + fitters, "job.yaml")
    missed = make_plan(late, read_trade(None, named_in(late)), Facts(now=late.start))
    assert missed.plan.bound.finish_not_before >= late.start, "nothing known is no plan before the job begins"


def test_what_no_choice_of_hands_betters_is_known_beside_an_appointment_that_cannot_be_kept() -> None:
    """The floor takes twelve hours of two people at least, and fitters come on the first morning: whenever they come
    instead, no plan ends on the day it begins, whose hours are eight."""
    fitters = "appointments: {fitters: {on: 2027-03-06, from: 9:00, to: 10:00, in: den, after: [lay]}}\nsteps:\n"
    job = read_job_text(HEAD.replace("steps:\n", fitters) + FLOOR, "job.yaml")
    plan = make_plan(job, read_trade(None, named_in(job)), Facts(now=job.start)).plan
    assert [visit.kept for visit in plan.visits] == [False]
    assert plan.bound.finish_not_before > minute("2027-03-06 23:00")
