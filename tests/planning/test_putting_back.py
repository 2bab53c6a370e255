"""A step that has moved goes back alone to where it was told to be, where nothing speaks against that."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.model.basics import Span
from scheduler.planning.putting_back import put_back
from scheduler.solver.problem import Placement, Problem, Result
from tests.support.placement_check import faults
from tests.support.problems import problem, slots, wait, work

HOURS = slots((0, 100), (1440, 1540), (2880, 2980))


def asked(stay: tuple[tuple[Span, ...] | None, ...]) -> Problem:
    """Work of 150 min in pieces, and 30 min after it."""
    return replace(problem([work(150, smallest=10), work(30)], [wait(0, 1)], slots=HOURS), stay=stay)


def result(*pieces: tuple[Span, ...]) -> Result:
    return Result(
        placement=Placement(pieces=pieces, options=()), finish_not_before=0, schedules=0, placements_tried=0
    )


def moved_back(question: Problem, found: Result) -> tuple[tuple[Span, ...], ...]:
    return put_back(question, found, lambda plan: set(faults(question, plan.placement))).placement.pieces


def test_pieces_go_back_as_they_were_where_no_rule_and_no_aim_speaks_against_it() -> None:
    """Told: the first day and the third. That the second has room is no reason to come on that day as well."""
    told = Span(0, 100), Span(2880, 2930)
    question = asked((told, (Span(2930, 2960),)))
    found = result((Span(0, 100), Span(1440, 1480), Span(2880, 2890)), (Span(2930, 2960),))
    assert moved_back(question, found) == (told, (Span(2930, 2960),))


def test_what_would_break_a_rule_stays_where_it_is() -> None:
    """It was told for a time at which the work before it is not over yet."""
    told = Span(0, 100), Span(1440, 1490)
    question = asked((told, (Span(1450, 1480),)))
    found = result(told, (Span(1490, 1520),))
    assert moved_back(question, found) == (told, (Span(1490, 1520),))


def test_what_would_end_later_stays_where_it_is() -> None:
    """The end comes before staying close."""
    told = Span(0, 100), Span(1440, 1490)
    question = asked((told, (Span(2880, 2910),)))
    found = result(told, (Span(1490, 1520),))
    assert moved_back(question, found) == (told, (Span(1490, 1520),))


def test_one_that_has_gone_back_makes_room_for_another() -> None:
    """The second was told for where the first is now: it can go back once the first has."""
    told = (Span(50, 100),), (Span(0, 50),)
    question = replace(problem([work(50), work(50)], slots=HOURS), stay=told)
    assert moved_back(question, result((Span(0, 50),), (Span(1440, 1490),))) == told


@pytest.mark.parametrize("by", [5, -5], ids=["later", "earlier"])
def test_a_whole_row_goes_back_whichever_end_has_to_go_first(by: int) -> None:
    """Twelve after each other without a gap, told five minutes later, or earlier: each is in the way of the next.
    That they may go back is asked no more often than it can be afforded."""
    now = [Span(5 + 5 * n, 10 + 5 * n) for n in range(12)]
    told = tuple((Span(span.start + by, span.end + by),) for span in now)
    last = (Span(90, 100),)
    question = replace(problem([*(work(5) for _ in now), work(10)], slots=HOURS), stay=(*told, last))
    assert moved_back(question, result(*((span,) for span in now), last)) == (*told, last)
