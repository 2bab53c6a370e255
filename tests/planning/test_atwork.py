"""Who was in the way last: asked of an index, held against a look at every piece."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from scheduler.model.basics import Span
from scheduler.planning.reasons import AtWork
from scheduler.solver.problem import Activity, Placement, Problem

pieces = st.tuples(st.integers(0, 20), st.integers(1, 9)).map(lambda drawn: Span(drawn[0], sum(drawn)))
workers = st.tuples(st.lists(pieces, max_size=3), st.tuples(st.integers(0, 1), st.integers(0, 2), st.integers(0, 1)))


@given(st.lists(workers, min_size=1, max_size=8), st.integers(0, 25), st.integers(1, 10))
def test_the_one_that_ends_last(drawn: list[tuple[list[Span], tuple[int, int, int]]], after: int, later: int) -> None:
    """Of those that take what activity 0 takes (the middle resource is free to all), cut off at the later moment."""
    moment = after + later
    problem = Problem(
        activities=tuple(Activity(minutes=1, smallest=None, demand=demand, release=0) for _, demand in drawn),
        waits=(),
        slots=(),
    )
    placement = Placement(pieces=tuple(tuple(sorted(spans)) for spans, _ in drawn), options=())
    mine = drawn[0][1]
    ends = [
        (min(span.end, moment), -j)
        for j, (spans, demand) in enumerate(drawn)
        for span in spans
        if j and ((mine[0] and demand[0]) or (mine[2] and demand[2])) and span.start < moment and span.end > after
    ]
    expected = -max(ends)[1] if ends else None
    assert AtWork(problem, placement, free=(1,)).last_before(0, after, moment) == expected
