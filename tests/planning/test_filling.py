"""Hours are filled stretch by stretch, soundly, and a search that looks at earlier finishes stays sound."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.planning import search as searching
from scheduler.planning.filling import Filling
from scheduler.planning.placing import Placer
from scheduler.planning.problem import Placement, Problem
from scheduler.planning.search import Search
from scheduler.planning.stuck import Stuck
from tests.bench.oracle import ask
from tests.support.placement_check import faults
from tests.support.problems import problem, problems, slots, work


def test_a_stretch_is_filled_with_what_fits_it() -> None:
    """Hours of 60 and 60; 40, 30 and 30 minutes. In that order the second 30 minutes wait for a third stretch."""
    asked = problem([work(40), work(30), work(30)], slots=slots((0, 60), (100, 160), (200, 260)))
    in_order = Placer(asked).place([0.0, 1.0, 2.0])
    filled = Filling(Placer(asked), Random(0)).filled([0.0, 1.0, 2.0], None)
    assert isinstance(in_order, Placement)
    assert isinstance(filled, Placement)
    assert (in_order.finish, filled.finish) == (160, 140)


@settings(max_examples=150)
@given(problems(), st.integers(0, 1000))
def test_what_is_filled_breaks_no_rule(asked: Problem, seed: int) -> None:
    """An independent check of the rules finds nothing wrong with a schedule that was tried stretch by stretch."""
    random = Random(seed)
    rank = [random.uniform(0, 100) for _ in asked.activities]
    found = Filling(Placer(asked), random).filled(rank, None)
    if not isinstance(found, Stuck):
        assert not faults(asked, found)


@settings(max_examples=60)
@given(problems(), st.integers(0, 1000))
def test_looks_at_earlier_finishes_lead_to_nothing_that_is_not_so(asked: Problem, seed: int) -> None:
    """Looked at again and again from the first on: the placement breaks no rule, the bound tells no untruth."""
    with pytest.MonkeyPatch.context() as patch:
        for name, value in (("FIRST_LOOK", 1), ("ROUND", 1)):
            patch.setattr(searching, name, value)
        search = Search(asked, 1_500, seed)
        found = search.run()
    if isinstance(found, Stuck):
        return
    assert not faults(asked, found.placement)
    assert found.finish_not_before <= found.placement.finish
    answer = ask(asked, by=found.placement.finish, effort=2.0)
    if answer.status == "optimal":
        assert found.finish_not_before <= answer.finish
