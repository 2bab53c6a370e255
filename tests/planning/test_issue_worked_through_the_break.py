"""Who worked through the break was told that the plan breaks a rule, and what the session held was listed wrongly.

The piece in the break lies in no work hours, so it was left out of its session when that was put in order.
"""

from __future__ import annotations

from scheduler.model.basics import Span
from scheduler.model.facts import Facts
from scheduler.pipeline import Made, make_plan
from tests.living.test_histories import sound
from tests.planning.test_out_of_turn import LITTLE, written
from tests.support.builders import minute

BREAK = "hours: {on: every day, from: 8:00, to: 18:00, break: 12:00 to 12:45}\n"
STEPS = "steps: {a: {work: 1 h}, b: {work: 1 h}, c: {work: 30 min, follows: b}}"


def planned(facts: Facts) -> Made:
    job, trade = written(STEPS, hours=BREAK)
    made = make_plan(job, trade, facts, LITTLE)
    sound(made)
    return made


def test_what_was_begun_in_the_break_comes_first_in_its_session() -> None:
    """Ten minutes of b from 12:10 on, said at 12:20; a comes before its rest, c after it."""
    begun = {"b": ((Span(minute("2027-01-09 12:10"), minute("2027-01-09 12:20")),), 50)}
    (session,) = planned(Facts(now=minute("2027-01-09 12:20"), begun=begun)).plan.sessions
    assert session.steps[0] == "b"
    assert set(session.steps) == {"a", "b", "c"}


def test_a_day_on_which_somebody_worked_in_the_break_alone_has_a_session() -> None:
    """Said on the next day."""
    done = {"b": (Span(minute("2027-01-09 12:05"), minute("2027-01-09 12:40")),)}
    plan = planned(Facts(now=minute("2027-01-10 07:00"), done=done)).plan
    assert [(session.number, session.steps) for session in plan.sessions] == [(1, ("b",)), (2, ("a", "c"))]
