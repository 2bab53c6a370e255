"""Staying close to the plan handed out before: what it may cost, and what it may not."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from scheduler.model.basics import Span
from scheduler.solver.conflicts import Stuck
from scheduler.solver.objective import aim_of, waited
from scheduler.solver.problem import Placement, Problem, Result
from scheduler.solver.search import search
from scheduler.solver.stability import may_wait, stay_close
from tests.support.problems import problem, problems, slots, wait, work


def drawn_back(asked: Problem) -> Placement:
    """What is found without knowing what was before, and drawn back to that."""
    found = search(replace(asked, stay=None), 3_000)
    assert isinstance(found, Result)
    return stay_close(asked, found).placement


def test_hands_are_counted_as_idle_between_the_first_and_the_last_piece_of_a_day() -> None:
    """Hours 0-50 and 60-100 of one day, 200-300 of the next. 0-20, 30-40, 70-80: 10 minutes idle, and 10 + 10 around
    the break, which is nobody's time; on the next day 210-220 alone, before and after which nobody is there."""
    two = (*slots((0, 50), (60, 100)), *slots((200, 300)))
    hours = tuple(replace(slot, day=int(slot.start >= 200)) for slot in two)
    pieces = [(Span(0, 20),), (Span(30, 40), Span(70, 80)), (Span(210, 220),)]
    assert waited(problem([work(20), work(20, 10), work(10)], slots=hours), pieces) == 30


def test_to_stay_close_costs_no_remedy() -> None:
    """A film of 10 minutes wants what follows within 60 minutes after its end, or 20 minutes of sanding in between.
    It was at 0-10 and that at 100, after sanding; now nothing keeps it from coming at 10. The end, 400, is another's.
    """
    window = wait(0, 1, 0, 60, 2)
    steps = [work(10), work(10), work(20, optional=True), work(10, release=390)]
    stay = ((Span(0, 10),), (Span(100, 110),), (Span(70, 90),), (Span(390, 400),))
    asked = problem(steps, [window, wait(0, 2)], slots=slots((0, 400)), stay=stay)
    close = drawn_back(asked)
    assert not close.pieces[2]
    assert close.pieces[1][0].start <= 70


def test_to_stay_close_keeps_nobody_idle() -> None:
    """One person. A film at 0-20 dries for 60 minutes, 50 of which other work took, and was painted at 80-100. All
    ends on the next day. Now the film can't come before 30. Were the other work to stay at 20-70, the film would be
    at 70-90 and the paint at 150, after 60 idle minutes; 10 were told, and 10 it is with all three later."""
    steps = [work(20, release=30), work(20), work(50), work(10, release=1000)]
    stay = ((Span(0, 20),), (Span(80, 100),), (Span(20, 70),), (Span(1000, 1010),))
    asked = problem(steps, [wait(0, 1, 60)], slots=slots((0, 300), (1000, 1100)), stay=stay)
    close = drawn_back(asked)
    assert waited(asked, stay) == waited(asked, close.pieces) == 10
    assert close.pieces[3] == stay[3]


@settings(max_examples=40)
@given(problems(most=4, facts=False), st.integers(0, 3), st.integers(5, 40))
def test_what_stays_costs_nothing_that_comes_before_it(asked: Problem, which: int, later: int) -> None:
    """One step gets its part later: neither finish nor days, remedies nor idle hands are worse for what stayed."""
    before = search(asked, 1_000)
    assume(not isinstance(before, Stuck) and which < len(asked.activities))
    assert isinstance(before, Result)
    late = replace(asked.activities[which], release=asked.activities[which].release + later)
    activities = tuple(late if i == which else each for i, each in enumerate(asked.activities))
    changed = replace(asked, stay=before.placement.pieces, activities=activities)
    found = search(replace(changed, stay=None), 1_000)
    assume(not isinstance(found, Stuck))
    assert isinstance(found, Result)
    close = stay_close(changed, found).placement
    assert aim_of(changed, close) <= aim_of(changed, found.placement)
    assert waited(changed, close.pieces) <= may_wait(changed, found.placement)
