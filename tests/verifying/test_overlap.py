"""What shares a minute with a span: asked of the verifier's index, held against a look at everything."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from scheduler.model.basics import Span
from scheduler.verifying.overlap import Overlaps

spans = st.tuples(st.integers(0, 30), st.integers(0, 9)).map(lambda drawn: Span(drawn[0], sum(drawn)))


@given(st.lists(spans, max_size=15), spans)
def test_all_that_touches_in_order(drawn: list[Span], asked: Span) -> None:
    """By start, then end; equal ones as they were handed in."""
    entries = [(span, number) for number, span in enumerate(drawn)]
    expected = sorted(entry for entry in entries if entry[0].start < asked.end and entry[0].end > asked.start)
    assert Overlaps(entries).touching(*asked) == expected
