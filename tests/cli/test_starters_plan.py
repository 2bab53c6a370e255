"""A starter job plans at once, whatever was answered: no fault, no warning, every rule kept."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import Phase, given, settings
from hypothesis import strategies as st

from scheduler.expanding import expand
from scheduler.model.facts import Facts
from scheduler.model.plan import Plan
from scheduler.model.refusal import NoPlanError
from scheduler.pipeline import Wish, make_plan, read
from scheduler.reading import KINDS
from scheduler.reading.starter import usual
from scheduler.reading.starters.answers import Answers, HoursAnswer
from scheduler.reading.starters.jobtext import job_text
from scheduler.telling.refused import refused
from tests.support.starts import TODAY, answers
from tests.support.told import breaks

LONG_DAYS = (HoursAnswer(days=tuple(range(7)), start=6 * 60, end=20 * 60),)
"""Longer than any coat of a room that the questions take."""


def planned(given_answers: Answers) -> Plan:
    """A plan, found with little effort, of the file that comes of the answers."""
    with TemporaryDirectory() as folder:
        Path(folder, "job.yaml").write_text(job_text(given_answers), encoding="utf-8")
        job, trade = read(Path(folder))
    return make_plan(job, trade, Facts(now=job.start), Wish(effort=1)).plan


@settings(max_examples=12)
@given(answers())
def test_what_was_answered_becomes_steps(given_answers: Answers) -> None:
    """Methods know everything in the scope, and ids under `changes` and `drop` are those of steps."""
    with TemporaryDirectory() as folder:
        Path(folder, "job.yaml").write_text(job_text(given_answers), encoding="utf-8")
        graph = expand(*read(Path(folder)))
    assert all(task.people <= max(each.people for each in given_answers.hours) for task in graph.tasks)
    waiting = {item for task in graph.tasks for item in task.needs}
    assert len(waiting) == len(given_answers.order), "something waits for everything that is on order"


@settings(max_examples=6, phases=[Phase.generate])
@given(answers())
def test_what_was_answered_can_be_planned(given_answers: Answers) -> None:
    """A plan is found, and the verifier has nothing to say against it.

    Only a coat that is too long for the hours may stand in the way: then other hours are asked for.
    """
    try:
        plan = planned(given_answers)
    except NoPlanError as error:
        assert "in one piece; make one session longer" in refused(error).short
        plan = planned(replace(given_answers, hours=LONG_DAYS))
    assert breaks(plan) == []


WARNED_OF = {
    **{"panel wall": "nailer", "repaint a room": "lead", "floor": "floor sander", "bathroom wall": "cement"},
    **{"floor of planks": "hidden lines", "wallpaper to paint": "open boxes", "cabinet fronts": "lead"},
    **{"shower joint": "mould", "shower wall": "asbestos", "drywall": "lifting", "windows": "glass"},
    **{"stair": "household"},
}
"""A caution that each kind of work must have."""


@pytest.mark.parametrize(("kind", "us"), [(kind, number % 2 == 0) for number, kind in enumerate(KINDS)])
def test_the_usual_ones_plan_without_a_warning(kind: str, us: bool) -> None:
    """In feet and in metres, and where nobody helps: the cautions of the methods stand at their steps."""
    begin = Answers(zone="America/Denver", us=us, today=TODAY, room="den")
    plan = planned(usual(kind, begin))
    assert plan.warnings == ()
    said = {caution.text for step in plan.steps for caution in step.cautions}
    assert any(WARNED_OF[kind] in caution for caution in said)


def test_several_kinds_of_work_are_one_job() -> None:
    """A room repainted, with a floor of planks, and the kitchen's fronts beside it: each method of the room stands
    there once, the floor's own work comes after the paint above it, and nothing is warned of."""
    begin = Answers(zone="America/Denver", us=True, today=TODAY, room="den")
    together = usual("repaint, planks, fronts", begin)
    assert together.kinds == ("repaint a room", "floor of planks", "cabinet fronts")
    text = job_text(together)
    assert text.startswith("# A job to edit: repaint a room, floor of planks and cabinet fronts.")
    assert text.count("- clear and protect") == 1
    assert "\ndrop:" not in text, "there is more than the floor: it is covered meanwhile"
    plan = planned(together)
    assert (plan.warnings, breaks(plan)) == ((), [])
    assert plan.step("warm-white-coat-2").end < plan.step("floor-lay-quiet").start < plan.step("base-shoe").start
    assert plan.step("fronts-rehang").state == "planned"


def test_a_ceiling_is_done_before_the_walls_and_the_walls_before_the_trim() -> None:
    """As is usual (common practice, no source); whoever takes the line out leaves walls and trim to the planner, and
    the ceiling to the rule that it comes before the walls."""
    repaint = usual("repaint a room", Answers(zone="America/Denver", us=True, today=TODAY, room="den"))
    plan = planned(repaint)
    assert plan.step("white-coat-2").end < plan.step("warm-white-coat-1").start
    assert plan.step("warm-white-coat-2").end < plan.step("satin-white-coat-1").start
    assert max(step.end for step in plan.steps if step.dusty) < plan.step("satin-white-coat-1").start
    with TemporaryDirectory() as folder:
        text = re.sub(r"(?m)^colour order: .*$", "", job_text(repaint))
        Path(folder, "job.yaml").write_text(text, encoding="utf-8")
        graph = expand(*read(Path(folder)))
    assert {choice.id for choice in graph.choices} == {"satin-white|warm-white"}


@settings(max_examples=8)
@given(answers())
def test_the_step_in_the_example_is_there(given_answers: Answers) -> None:
    """What stands under `changes` behind a # names a step of the job and something on order."""
    text = job_text(given_answers)
    for key in ("on order", "changes"):
        text = re.sub(rf"(?m)^# ({key}:)\n#   ", r"\1\n  ", text)
    with TemporaryDirectory() as folder:
        Path(folder, "job.yaml").write_text(text, encoding="utf-8")
        graph = expand(*read(Path(folder)))
    assert "changes:\n  " in text
    assert any(task.needs for task in graph.tasks) or given_answers.kind == "bathroom wall" or given_answers.alone


@given(st.integers(0, 6))
@settings(max_examples=7)
def test_the_first_day_has_hours(weekday: int) -> None:
    """Whatever day it is, a starter begins on one of the days after it on which there are hours."""
    today = date(2026, 12, 7 + weekday)
    answered = usual("floor", Answers(zone="America/Denver", us=True, today=today))
    assert answered.start is not None and 0 < (answered.start - today).days <= 3
    assert answered.start.weekday() in {day for stretch in answered.hours for day in stretch.days}
