"""The planner never marks its own work: whatever it plans, the verifier reads."""

from __future__ import annotations

import pytest
from hypothesis import Phase, given, settings

from scheduler.model.material import Remedy, Tape, Trade
from scheduler.planning.lower import lower
from scheduler.planning.placing import Stuck
from scheduler.planning.raising import Ground, raise_plan
from scheduler.planning.search import search
from scheduler.planning.verifier import verify
from tests.planning.strategies import small_jobs
from tests.support.written import Case

TAPE = Tape(clean_for=14 * 1440, pull_by=1440, remedy=Remedy(title="score", work=15, source="test"), source="test")
NO_TRADE = Trade(materials=(), tape=TAPE)


@pytest.mark.long
@settings(max_examples=500, phases=[Phase.generate])  # to shrink a whole job takes longer than to read it
@given(case=small_jobs())
def test_the_verifier_accepts_every_plan_of_a_random_small_job(case: Case) -> None:
    """500 random jobs that can be done: each gets a plan, and the plan keeps every rule."""
    lowered = lower(case.job, case.graph, case.windows, case.films, case.facts)
    outcome = search(lowered.problem, 2_000)
    assert not isinstance(outcome, Stuck), (outcome, case.graph.tasks[outcome.activity].id)
    ground = Ground(
        job=case.job,
        trade=NO_TRADE,
        graph=case.graph,
        windows=case.windows,
        films=case.films,
        facts=case.facts,
        seed=0,
        say=str,
    )
    broken = verify(raise_plan(ground, lowered, outcome), case.job, case.graph, case.windows, case.films, case.facts)
    assert not broken, broken
