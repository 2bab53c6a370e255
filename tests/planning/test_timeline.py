"""Free capacity over time: several resources in one number, and the pieces that fit in it."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from scheduler.planning.problem import Slot
from scheduler.planning.timeline import Packing, Timeline, outside, split


def line(*slots: Slot) -> tuple[Timeline, Packing]:
    packing = Packing.of([max(slot.capacity[r] for slot in slots) for r in range(len(slots[0].capacity))])
    return Timeline.of(slots, packing), packing


def test_every_resource_must_be_free() -> None:
    """Three people and one ladder; with the ladder taken until 50, two people alone can start at 0."""
    free, packing = line(Slot(0, 100, (3, 1)))
    free.take(0, 50, packing.pack((1, 1)))
    assert free.whole(0, 20, packing.pack((2, 0))) == 0
    assert free.whole(0, 20, packing.pack((3, 0))) == 50
    assert free.whole(0, 20, packing.pack((1, 1))) == 50


def test_taking_cuts_segments_and_keeps_the_rest() -> None:
    free, packing = line(Slot(0, 100, (1,)))
    free.take(20, 40, packing.pack((1,)))
    assert free.whole(0, 20, packing.pack((1,))) == 0
    assert free.whole(0, 21, packing.pack((1,))) == 40
    assert free.whole(0, 61, packing.pack((1,))) is None


def test_outside_leaves_out_what_is_blocked() -> None:
    assert list(outside(0, 100, [(-5, 10), (20, 40), (30, 50), (90, 200)])) == [(10, 20), (50, 90)]


@given(st.lists(st.tuples(st.integers(1, 9), st.integers(1, 9)), max_size=6), st.integers(4, 40), st.integers(1, 5))
def test_pieces_end_as_early_as_any_cut(lengths: list[tuple[int, int]], minutes: int, smallest: int) -> None:
    """Held against all ways to use the runs, tried one by one."""
    runs, at = [], 0
    for gap, length in lengths:
        runs.append((at + gap, at + gap + length))
        at += gap + length
    reached, best = {0}, None
    for begin, end in runs:
        ends = [begin + minutes - done for done in reached if smallest <= minutes - done <= end - begin]
        if ends and best is None:
            best = min(ends)
        reached |= {done + use for done in reached for use in range(smallest, end - begin + 1)}
    found = split(iter(runs), minutes, smallest) if minutes > smallest else None
    if minutes > smallest:
        assert (found[-1].end if found else None) == best
    if found:
        assert sum(span.minutes for span in found) == minutes
        assert all(span.minutes >= smallest for span in found)
        assert all(any(a <= span.start and span.end <= b for a, b in runs) for span in found)
