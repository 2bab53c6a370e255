"""Conclusions drawn for many weeks at once are those that are drawn week by week."""

from __future__ import annotations

from unittest.mock import patch

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.model.clock import DryClock
from scheduler.solver.problem import Lag, Problem, Slot, Wait
from scheduler.solver.proof import state as proof_state
from scheduler.solver.proof.repeating import WEEK, Repeats, Stand, dateless
from scheduler.solver.proof.state import ProofInstance, Refuted, State
from scheduler.wallclock import DAY
from tests.support.problems import problem, wait, work

WEEKS = 80


@st.composite
def hours(draw: st.DrawFn, weeks: int = WEEKS) -> tuple[Slot, ...]:
    """The same few spans every week, from some weeks on an hour earlier or later, as clocks are put; one day away;
    and from some week on they are longer, so that what found no room till then may find it."""
    days = draw(st.lists(st.integers(0, 6), min_size=1, max_size=3, unique=True).map(sorted))
    spans = [(day, draw(st.integers(8, 12)) * 60, draw(st.integers(2, 9)) * 60) for day in days]
    put = draw(st.lists(st.integers(1, weeks - 1), max_size=3))
    away, longer, by = draw(st.integers(0, weeks - 1)), draw(st.integers(1, weeks - 1)), draw(st.integers(0, 8)) * 60
    found = []
    for week in range(weeks):
        shift = 60 * (sum(week >= each for each in put) % 2)
        for day, begin, minutes in spans:
            start = week * WEEK + day * DAY + begin - shift
            if (week, day) != (away, days[0]):
                found.append(Slot(start, start + minutes + by * (week >= longer), (1,), week * 7 + day))
    return tuple(found)


@st.composite
def weekly(draw: st.DrawFn) -> Problem:
    """Up to five pieces of work, some of which must follow soon."""
    size = draw(st.integers(2, 5))
    activities = [
        work(
            minutes := draw(st.integers(1, 16)) * 30,
            smallest=draw(st.sampled_from([None, min(minutes, 30)])),
            release=draw(st.sampled_from([0, 0, 0, 1, 15, 40])) * WEEK,
        )
        for _ in range(size)
    ]
    waits = [
        wait(before, after, draw(st.sampled_from([0, 0, 60, 120])), draw(st.sampled_from([None, 20, 60, 240, 2000])))
        for after in range(1, size)
        for before in [draw(st.integers(0, after - 1))]
    ]
    waits = [
        each if each.until is None or each.until.amount >= each.lag.amount else wait(each.before, each.after)
        for each in waits
    ]
    return problem(activities, waits, slots=draw(hours()))


def concluded(question: Problem) -> tuple[list[list[int]], list[list[int]]] | None:
    """The earliest starts and ends of both directions; None if the problem contradicts itself."""
    state = State(ProofInstance(question))
    try:
        state.begin()
        state.done_by(question.slots[-1].end)
        state.look_closer()
        state.flow()
    except Refuted:
        return None
    return state.start, state.end


@settings(max_examples=150, deadline=None)
@given(weekly())
def test_what_is_concluded_is_the_same_as_week_by_week(question: Problem) -> None:
    with patch.object(proof_state, "PASSED", 10**9):
        slowly = concluded(question)
    with patch.object(proof_state, "PASSED", 7):
        assert concluded(question) == slowly


@settings(max_examples=100, deadline=None)
@given(hours(weeks=8), st.integers(0, 7 * WEEK), st.integers(1, 3 * WEEK))
def test_hours_come_again_so_many_weeks_on(slots: tuple[Slot, ...], low: int, minutes: int) -> None:
    """Told by what there is at every tenth minute, on which all hours begin and end here."""
    high = low + minutes
    there = {minute for slot in slots for minute in range(slot.start // 10, slot.end // 10)}

    def again(weeks: int) -> bool:
        span = range(low // 10, (high + (weeks - 1) * WEEK + 9) // 10)
        return all((minute in there) == (minute + WEEK // 10 in there) for minute in span)

    weeks = Repeats(slots).weeks(low, high)
    assert not weeks or again(min(weeks, 8))
    assert weeks >= 8 or not again(weeks + 2)  # a stretch that ends in the middle of ten minutes may lose one


def test_who_can_never_follow_is_refuted_after_few_steps_though_there_are_hours_for_years() -> None:
    """Three hours, then three more within an hour, in five hours every Saturday for ten years."""
    slots = tuple(Slot(week * WEEK + 480, week * WEEK + 780, (1,), week * 7) for week in range(520))
    question = problem([work(180), work(180)], [wait(0, 1, 0, 60)], slots=slots)
    seen = State(ProofInstance(question))
    looked = seen.question.directions[0].place
    count = 0

    def counted(i: int, at: int, minutes: int) -> tuple[int, int] | None:
        nonlocal count
        count += 1
        return looked(i, at, minutes)

    with patch.object(seen.question.directions[0], "place", counted), pytest.raises(Refuted):
        seen.begin()
    assert count < 520


def test_what_runs_on_a_clock_is_drawn_week_by_week() -> None:
    clock = DryClock((0, 100), (0.0, 100.0))
    film = Wait(before=0, after=1, lag=Lag(30, 0), until=None)
    assert not dateless(problem([work(10), work(10)], [film], clocks=(clock,)))
    assert dateless(problem([work(10), work(10)], [wait(0, 1, 30)], clocks=(clock,)))


def test_nothing_is_put_off_at_once_that_did_not_go_by_whole_weeks_of_its_own() -> None:
    """Two moved by a week go on for as long as hours repeat. Of one that moved by less it is too early to tell; and
    what a third, who did not move, had still to pass on may be why they moved."""
    slots = tuple(Slot(week * WEEK, week * WEEK + 60, (1,), week * 7) for week in range(10))
    repeats = Repeats(slots)
    before, week = Stand((0, 10, 20), (10, 20, 30), frozenset({0})), WEEK
    assert before.leap((week, week + 10, 20), (week + 10, week + 20, 30), [0, 1], repeats) == 8 * week
    assert before.leap((week - 1, week + 10, 20), (week + 10, week + 20, 30), [0, 1], repeats) is None
    assert before.leap((week, week + 10, 20), (week + 9, week + 20, 30), [0, 1], repeats) is None
    other = Stand(before.start, before.end, frozenset({2}))
    assert other.leap((week, week + 10, 20), (week + 10, week + 20, 30), [0, 1], repeats) == 0
