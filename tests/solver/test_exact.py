"""The short exact search: a placement done by a minute, or the proof that there is none."""

from __future__ import annotations

import pytest
from hypothesis import assume, given, settings

from scheduler.model.basics import Span
from scheduler.solver.exact import Exact, Verdict
from scheduler.solver.problem import Lag, Placement, Problem, Slot
from scheduler.solver.search import DEFAULT_EFFORT, FIRST_LOOK, VAIN, Search
from tests.bench.oracle import ask
from tests.support.placement_check import faults
from tests.support.problems import problem, problems, slots, wait, work


def test_what_pauses_is_not_cut_too_small_to_be_done_in_time() -> None:
    """Hours 0-70, 100-110 and 200-300, of which 20-60 are taken by what must run just then.

    60 minutes in pieces of 20 at least: 0-20 and then no more than 10 in the first two stretches at once, which is
    too small a piece (60-70 and 100-110 do not touch). So 20 + 40, done at 240; with pieces of 10: 0-20, 60-70,
    100-110 and 200-220.
    """
    hours = slots((0, 70), (100, 110), (200, 300))
    held = work(40, fit=(Span(20, 60),), hold=Lag())
    coarse, fine = (problem([work(60, least), held], slots=hours) for least in (20, 10))
    assert Exact(coarse, by=239).run() is Verdict.REFUTED
    answer = Exact(coarse, by=240).run()
    assert isinstance(answer, Placement)
    assert answer.finish <= 240
    answer = Exact(fine, by=220).run()
    assert isinstance(answer, Placement)
    assert answer.finish == 220


def test_two_that_pause_take_turns_beside_a_third() -> None:
    """Two people; 130 and 125 minutes that may pause, in pieces of 40 at least, and 70 in one piece from minute 40:
    325 minutes of two people are 163 at least, and that is reached by the wrap-around rule (R. McNaughton,
    "Scheduling with deadlines and loss functions", Management Science 6, 1959, from memory): the first 0-40 and
    73-163, the second 0-73 and 110-162, the third 40-110. Served in any order, as early as can be, they end later.
    """
    hours = (Slot(0, 1000, (2,)),)
    asked = problem([work(130, 40), work(125, 40), work(70, release=40)], slots=hours)
    assert Exact(asked, by=162).run() is Verdict.REFUTED
    answer = Exact(asked, by=163).run()
    assert isinstance(answer, Placement)
    assert answer.finish == 163
    assert faults(asked, answer) == []


@settings(max_examples=60)
@given(problems(most=4))
def test_what_it_says_is_so(asked: Problem) -> None:
    """A placement keeps every rule and its time; what it refutes an independent solver does not find either."""
    optimum = ask(asked, effort=2.0)
    assume(optimum.status == "optimal")
    for by in (optimum.finish + 15, optimum.finish, optimum.finish - 1):
        answer = Exact(asked, by=by).run()
        if isinstance(answer, Placement):
            assert faults(asked, answer) == []
            assert optimum.finish <= answer.finish <= by
        else:
            assert by < optimum.finish or answer is Verdict.UNKNOWN


def test_the_usual_effort_is_spent_only_where_something_comes_of_it_and_another_one_as_it_is_asked(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """Where no bound is known nothing ends a search but its effort. The usual one ends after VAIN placements for each
    of four activities without a better plan, and what looks cost; of 40,000 that are asked for all are spent, looks
    counted in, give or take a tenth."""
    hours = slots(*((1440 * day, 1440 * day + 100) for day in range(30)))
    steps = [work(90, 25), work(90, 25), work(70), work(45, 20)]
    asked = problem(steps, [wait(0, 2, 40), wait(1, 3, 30)], slots=hours)
    monkeypatch.setattr(Search, "_met", lambda _: False)
    monkeypatch.setattr(Search, "_look_exactly", lambda _: None)
    usual, told = Search(asked, DEFAULT_EFFORT, whole=False), Search(asked, 40_000)
    usual.run()
    told.run()
    assert usual.pools.placed <= 2 * VAIN * len(steps) + FIRST_LOOK
    assert usual.spent <= DEFAULT_EFFORT / 10
    assert told.spent == pytest.approx(40_000, rel=0.1)
