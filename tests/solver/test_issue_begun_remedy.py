"""A remedy that was begun and not finished must be finished before what it mends the window for.

A random job showed it: of a scuffing that was half done the plan gave the rest no time, and the verifier refused it.
The placer took the pieces that were facts for the whole remedy, and called for it no more.
"""

from __future__ import annotations

import pytest

from scheduler.model.basics import Span
from scheduler.solver.problem import Placement
from scheduler.solver.search import search
from tests.support.problems import problem, slots, wait, work


@pytest.mark.parametrize("people", [1, 2])
def test_what_is_left_of_a_begun_remedy_comes_before_what_it_is_for(people: int) -> None:
    """It is minute 105. The film ended at 10, its window at 60; of the remedy begun at 100 there are 10 minutes left.

    So the next coat of 20 minutes runs from 115 to 135, however many are there.
    """
    film = work(0, release=105, fixed=(Span(0, 10),))
    remedy = work(10, release=105, fixed=(Span(100, 105),), optional=True)
    asked = problem(
        [film, remedy, work(20, release=105)],
        [wait(0, 2, 5, until=50, remedy=1), wait(0, 1, 50)],
        slots=slots((0, 1000), people=people),
    )
    found = search(asked, 1000)
    placement = getattr(found, "placement", None)
    assert isinstance(placement, Placement)
    assert placement.pieces == ((Span(0, 10),), (Span(100, 105), Span(105, 115)), (Span(115, 135),))
