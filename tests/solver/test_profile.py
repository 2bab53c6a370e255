"""Free capacity over time: several resources in one number, and the pieces that fit in it."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from scheduler.solver.network import LONG_AGO
from scheduler.solver.problem import Slot
from scheduler.solver.profile import Packing, Timeline, block, outside, split
from scheduler.solver.running import Stairs


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


def test_what_is_idle_counts_one_resource() -> None:
    """Three people and a ladder until 100, then two; one of them and the ladder are taken from 20 to 50."""
    free, packing = line(Slot(0, 100, (3, 1)), Slot(100, 120, (2, 1)), Slot(200, 210, (1, 0)))
    free.take(20, 50, packing.pack((1, 1)))
    people, ladders = packing.field(0), packing.field(1)
    assert free.idle(0, 100, people) == 300 - 30
    assert free.idle(40, 110, people) == 20 + 150 + 20
    assert free.idle(30, 205, ladders) == 50 + 20
    assert (free.idle(120, 200, people), free.idle(-10, 5, people)) == (0, 15)


def test_what_is_of_no_use_to_anybody_is_dropped() -> None:
    """Two people, and nobody works without one: what both have been taken from is gone, what one is left of stays."""
    packing = Packing.of([2])
    free = Timeline.of([Slot(0, 100, (2,))], packing, least=packing.pack((1,)))
    free.take(20, 40, packing.pack((2,)))
    free.take(60, 80, packing.pack((1,)))
    assert free.starts == [0, 40, 60, 80]
    assert list(free.runs(0, packing.pack((1,)), [])) == [(0, 20), (40, 100)]
    assert list(free.runs(0, packing.pack((2,)), [])) == [(0, 20), (40, 60), (80, 100)]


def test_outside_leaves_out_what_is_blocked() -> None:
    """Blocked in any order, overlapping and touching."""
    blocked: list[tuple[int, int]] = []
    for span in ((90, 200), (30, 50), (-5, 10), (20, 40), (50, 60)):
        block(blocked, *span)
    assert blocked == [(-5, 10), (20, 60), (90, 200)]
    assert list(outside(0, 100, blocked)) == [(10, 20), (60, 90)]


@given(st.lists(st.tuples(st.integers(0, 30), st.integers(1, 9)), max_size=12), st.integers(0, 30))
def test_runs_are_what_is_left_of_free_time(spans: list[tuple[int, int]], after: int) -> None:
    """Held against one minute after another."""
    blocked: list[tuple[int, int]] = []
    free, packing = line(Slot(0, 12, (1,)), Slot(12, 18, (1,)), Slot(20, 40, (1,)))
    free.take(3, 5, packing.pack((1,)))
    for start, length in spans:
        block(blocked, start, start + length)
    runs = free.runs(after, packing.pack((1,)), blocked)
    minutes = {minute for begin, until in runs for minute in range(begin, until)}
    shut = {minute for start, length in spans for minute in range(start, start + length)}
    assert minutes == {*range(3), *range(5, 18), *range(20, 40)} & {*range(after, 40)} - shut


@given(st.lists(st.tuples(st.integers(0, 9), st.integers(0, 9)), max_size=20), st.integers(-1, 10))
def test_stairs_know_the_greatest_of_what_was_before(notes: list[tuple[int, int]], moment: int) -> None:
    """Held against a look at everything that was noted."""
    stairs = Stairs()
    for at, value in notes:
        stairs.note(at, value)
    assert stairs.before(moment) == max((value for at, value in notes if at < moment), default=LONG_AGO)


@given(st.lists(st.tuples(st.integers(1, 9), st.integers(1, 9)), max_size=12), st.integers(4, 60), st.integers(1, 5))
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
