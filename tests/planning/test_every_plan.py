"""The planner never marks its own work: whatever it plans, the verifier reads."""

from __future__ import annotations

from zoneinfo import ZoneInfo

import pytest
from hypothesis import Phase, given, settings

from scheduler.model.basics import Span
from scheduler.model.facts import Facts
from scheduler.model.material import Remedy, Tape, Trade
from scheduler.model.plan import Plan
from scheduler.planning.decode import raise_plan
from scheduler.planning.encode import lower
from scheduler.planning.ground import Ground
from scheduler.solver.concessions import untangled
from scheduler.solver.conflicts import Stuck
from scheduler.solver.search import search
from scheduler.wallclock import DAY
from scheduler.worktime import windows
from tests.planning.strategies import small_jobs
from tests.support.builders import graph, job, link, task
from tests.support.times import TIMES
from tests.support.written import Case

TAPE = Tape(clean_for=14 * 1440, pull_by=1440, remedy=Remedy(title="score", work=15, source="test"), source="test")
NO_TRADE = Trade(materials=(), tape=TAPE)


def plan_of(case: Case, effort: int) -> Plan:
    """The plan of a case that can be done. It has been read by the verifier, which found no rule broken, except those
    that two steps begun out of turn leave no way to keep: each holds the other one up."""
    lowered = lower(case.job, case.graph, case.windows, case.films, case.facts)
    lowered = lowered.giving_up(*untangled(lowered.problem))
    free = {lowered.tasks[i].id for given in lowered.given for i in given.activities}
    outcome = search(lowered.problem, effort)
    assert not isinstance(outcome, Stuck), (outcome, case.graph.tasks[outcome.activity].id)
    ground = Ground(
        job=case.job,
        trade=NO_TRADE,
        graph=case.graph,
        windows=case.windows,
        films=case.films,
        facts=case.facts,
        seed=0,
    )
    plan = raise_plan(ground, lowered, outcome)
    broken = [each for each in case.broken(plan) if each.step not in free]
    assert not broken, broken
    return plan


@pytest.mark.long
@settings(max_examples=100 * TIMES, phases=[Phase.generate])  # to shrink a whole job takes longer than to read it
@given(case=small_jobs())
def test_the_verifier_accepts_every_plan_of_a_random_small_job(case: Case) -> None:
    """A hundred random jobs that can be done: each gets a plan, and the plan keeps every rule."""
    plan_of(case, 2_000)


def test_until_when_a_step_without_work_had_to_be_done_is_no_limit_of_what_follows_it() -> None:
    """No tape, so nothing to pull within an hour of the coat; the shelf comes two hours after that pull.

    It waits for the coat, as told, and nothing says that it is late.
    """
    tasks = [task("coat"), task("pull", 0), task("shelf")]
    links = [link("coat", "pull", within=60), link("pull", "shelf", wait=120), link("coat", "shelf")]
    around = job()
    days = Span(around.start, around.start + 7 * DAY)
    hours = windows(around, days, ZoneInfo("UTC"))
    case = Case(job=around, graph=graph(tasks, links), windows=hours, films={}, facts=Facts(now=around.start))
    (told,) = plan_of(case, 1_000).step("shelf").after
    assert (told.step, told.stage, told.latest) == ("coat", "end", None)
