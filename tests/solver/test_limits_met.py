"""A longest wait without a remedy is met wherever it can be: what comes first ends as late as it has to.

Both jobs are given with a plan made by hand, a witness, so that a refusal of them is wrong. Minutes count from
midnight before a Saturday; the Sunday begins at 1440, the next Saturday at 10080.
"""

from __future__ import annotations

from scheduler.model.basics import Span
from scheduler.solver.conflicts import Stuck
from scheduler.solver.decoding import Placer
from scheduler.solver.problem import Placement, Problem, Slot
from scheduler.solver.search import search
from tests.support.placement_check import faults
from tests.support.problems import problem, slots, wait, work

WEEK = 7 * 1440


def weekends(saturday: tuple[int, int, int], sunday: tuple[int, int, int], weeks: int = 26) -> tuple[Slot, ...]:
    """Weekend hours (from, to, people) for so many weeks."""
    days = ((0, saturday), (1, sunday))
    return tuple(
        Slot(WEEK * week + 1440 * day + start, WEEK * week + 1440 * day + end, (people,), 7 * week + day)
        for week in range(weeks)
        for day, (start, end, people) in days
    )


MIX_AND_POUR = problem(
    [work(480, 60), work(60)], [wait(0, 1, until=20)], slots=weekends((510, 1020, 1), (510, 1020, 1))
)
"""`mix {8 h, pause: 1 h}`, `pour {1 h, pause: no, follows: [mix: {within: 20 min}]}`, both days 8:30 to 17:00."""

THREE_STEPS = problem(
    [work(120, 60), work(300, 20), work(300)],
    [wait(0, 2, until=60)],
    slots=weekends((495, 890, 2), (615, 830, 1)),
)
"""Saturdays 8:00 to 15:00 for two, Sundays 10:00 to 14:00, less 15 minutes of set-up and 10 of clear-up."""


def best(question: Problem) -> Placement:
    outcome = search(question, 200_000)
    assert not isinstance(outcome, Stuck), outcome
    assert faults(question, outcome.placement) == []
    return outcome.placement


def test_one_that_pauses_ends_the_next_morning_for_what_must_follow_at_once() -> None:
    """8 h fit into Saturday, but then 30 min are left for the pour, which needs 60. By hand: mix Saturday 8:30 to
    15:30 (7 h) and Sunday 8:30 to 9:30 (1 h), pour Sunday 9:30 to 10:30. Nothing ends sooner: one hour of mix is the
    smallest piece, and the pour comes after it on the same day."""
    witness = Placement(pieces=((Span(510, 930), Span(1950, 2010)), (Span(2010, 2070),)), options=())
    assert faults(MIX_AND_POUR, witness) == []
    assert best(MIX_AND_POUR).finish == witness.finish


def test_one_that_pauses_keeps_a_piece_for_the_day_on_which_the_next_has_room() -> None:
    """s2 (300 min) has room only on a Saturday (395 min), begun by 590; so s0 (120 min) ends there by 590, not whole
    (495 + 120 = 615) but with its second piece of 60: 495 to 555 on the second Saturday. s2 then ends at 855."""
    saturday = WEEK
    witness = Placement(
        pieces=(
            (Span(495, 555), Span(saturday + 495, saturday + 555)),
            (Span(495, 795),),
            (Span(saturday + 555, saturday + 855),),
        ),
        options=(),
    )
    assert faults(THREE_STEPS, witness) == []
    assert best(THREE_STEPS).finish == witness.finish


def test_an_end_is_held_back_and_not_a_start() -> None:
    """In the order of the file a schedule finds both by itself: 100 minutes that may pause in halves, then 60 in one
    piece at once. The hours are 100 and 120 long: 50 of the first go into the first stretch, 50 before the 60."""
    hours = slots((0, 100), (1000, 1120))
    question = problem([work(100, 50), work(60)], [wait(0, 1, until=0)], slots=hours)
    answer = Placer(question).place([0.0, 1.0])
    assert not isinstance(answer, Stuck)
    assert answer.pieces == ((Span(0, 50), Span(1000, 1050)), (Span(1050, 1110),))
