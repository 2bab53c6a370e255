"""Tape that was stuck on in time and could not come off in time left the person without any plan.

What is a fact cannot be planned away: the plan goes on, with the step that such tape asks for.
"""

from __future__ import annotations

from pathlib import Path

from scheduler import Facts, Plan, make_plan
from scheduler.model.basics import Span
from scheduler.model.plan import PlannedStep
from scheduler.reading import read_job_text
from scheduler.reading.profiles import named_in, read_trade
from scheduler.wallclock import DAY
from tests.support.told import breaks

JOB = """
job: Grey wall
start: 2027-01-02
zone: UTC
hours: {on: Saturday, from: 9:00, to: 12:00}
rooms: {den: {air: {day: 20 °C, night: 18 °C, humidity: 50 %}}}
colours:
  grey: {material: acrylic-latex-wall-paint, coats: 1, one coat: 2 h, tape off: 1 h, needs: paint}
on order: {paint: {title: Paint, comes: 2027-01-28}}
"""


def planned(folder: Path, facts: Facts | None = None) -> Plan:
    job = read_job_text(JOB, "job.yaml")
    return make_plan(job, read_trade(folder, named_in(job)), facts or Facts(now=job.start)).plan


def overdue(plan: Plan) -> list[PlannedStep]:
    return [step for step in plan.steps if step.added is not None and step.added.kind == "added.tape for long"]


def test_tape_on_the_wall_since_four_weeks_gets_the_step_it_asks_for(tmp_path: Path) -> None:
    """Taped off on 2 January, painted on 30 January when the paint has come: 28 days, twice what the tape bears."""
    begin = read_job_text(JOB, "job.yaml").start + 9 * 60
    facts = Facts(now=begin + DAY, done={"grey-tape": (Span(begin, begin + 60),)})
    plan = planned(tmp_path, facts)
    (mended,) = overdue(plan)
    assert mended.title.startswith("Warm the overdue tape")
    assert mended.end <= plan.step("grey-pull").start
    assert not breaks(plan)


def test_a_plan_does_not_stick_tape_on_so_early_by_itself(tmp_path: Path) -> None:
    """Nothing is done yet: the tape waits for the paint, comes off within its 14 days, and nothing is mended."""
    plan = planned(tmp_path)
    assert plan.step("grey-pull").start - plan.step("grey-tape").end <= 14 * DAY
    assert not overdue(plan)
