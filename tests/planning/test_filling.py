"""Hours are filled stretch by stretch, soundly, and a search that looks at earlier finishes stays sound."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.planning import bound as bounding
from scheduler.planning import search as searching
from scheduler.planning.bound import Prover
from scheduler.planning.filling import Filling
from scheduler.planning.known import State
from scheduler.planning.lastdays import Refuter
from scheduler.planning.leftover import Leftover
from scheduler.planning.network import LONG_AGO
from scheduler.planning.placing import AT_ONCE, Placer
from scheduler.planning.problem import Placement, Problem
from scheduler.planning.schedule import Schedule
from scheduler.planning.search import Search
from scheduler.planning.stretch import TRIES
from scheduler.planning.stuck import Mends, Stuck
from scheduler.wallclock import NEVER
from tests.bench.oracle import ask
from tests.support.placement_check import faults
from tests.support.problems import problem, problems, slots, wait, work

KEEP = 8


def _granted(asked: Problem, finish: int) -> State | None:
    """What a look at a finish says once all choices are decided; None if it is refuted."""
    heard = list[State]()

    def hear(state: State) -> bool:
        heard.append(state)
        return bool(state.choices)

    refuted = Prover(asked).refutes(finish, Refuter(30, hear))
    return None if refuted or not heard else heard[-1]


def _filled(asked: Problem, rank: list[float], finish: int) -> Placement:
    """A schedule filled for a finish that is not refuted."""
    state, placer = _granted(asked, finish), Placer(asked)
    assert state is not None
    filled = Filling(placer).filled(rank, placer.settle(rank), state, KEEP, NEVER)
    assert isinstance(filled, Placement)
    return filled


def test_a_stretch_is_filled_with_what_fits_it() -> None:
    """Hours of 60 and 60; 40, 30 and 30 minutes. In that order 20 minutes are lost, with the 30 first none."""
    asked = problem([work(40), work(30), work(30)], slots=slots((0, 60), (100, 160), (200, 260)))
    in_order = Placer(asked).place([0.0, 1.0, 2.0])
    assert isinstance(in_order, Placement)
    assert (in_order.finish, _filled(asked, [0.0, 1.0, 2.0], 140).finish) == (160, 140)


def test_what_has_a_window_is_served_in_time() -> None:
    """70 minutes, 50 more before 230, and 40 that the order puts before these: they come too late by ten minutes.

    The remedy takes 30 then, and the rest waits for a third stretch of hours.
    """
    asked = problem(
        [work(70), work(50), work(40), work(30, optional=True)],
        waits=(wait(0, 1, 60, until=160, remedy=3), wait(0, 3, 120)),
        slots=slots((0, 100), (200, 300), (400, 500)),
    )
    rank = [0.0, 250.0, 240.0, 0.0]
    in_order = Placer(asked).place(rank, pull=AT_ONCE)
    assert isinstance(in_order, Placement)
    filled = _filled(asked, rank, 290)
    assert (in_order.finish, filled.finish) == (450, 290)
    assert not filled.pieces[3]


def test_what_is_left_comes_late_by_what_does_not_fit() -> None:
    """70 minutes in hours of 60 and 60 that are to be done by 160: from 100 on they are 10 late, from 130 on 40."""
    asked = problem([work(40), work(30)], slots=slots((0, 60), (100, 160), (200, 260)))
    state, placer = _granted(asked, 160), Placer(asked)
    assert state is not None
    schedule = Schedule(placer, (), Mends({}), LONG_AGO)
    schedule.begin([0.0, 1.0], AT_ONCE)
    left = Leftover(state, 0, schedule.network)
    assert [left.lateness(schedule, minute) for minute in (0, 60, 100, 130)] == [0, 10, 10, 40]
    assert schedule.go_on(until=60) is None
    assert left.lateness(schedule, 100) == 0  # 40 of them are placed


def test_what_is_left_waits_for_what_has_no_place_yet() -> None:
    """50 minutes, then 50 more an hour later, by 250. From 100 on the first end at 250, and the others begin at 400,
    where 200 minutes of hours are given before: 50 more are 100 past the 150 before 250.
    """
    asked = problem([work(50), work(50)], waits=(wait(0, 1, 60),), slots=slots((0, 100), (200, 300), (400, 500)))
    state, placer = _granted(asked, 250), Placer(asked)
    assert state is not None
    schedule = Schedule(placer, (), Mends({}), LONG_AGO)
    schedule.begin([0.0, 1.0], AT_ONCE)
    left = Leftover(state, 0, schedule.network)
    assert [left.lateness(schedule, minute) for minute in (0, 100)] == [0, 100]


def test_what_frees_others_is_served_while_there_is_time() -> None:
    """Hours of 60 each, and a chain of twice 30, then 60, then 60. In the order given 60 minutes that free nobody
    come first, and the chain ends a stretch later.
    """
    asked = problem(
        [work(60), work(30), work(30), work(60), work(60)],
        waits=(wait(1, 3, 30), wait(2, 3, 30), wait(3, 4, 100)),
        slots=slots((0, 60), (100, 160), (200, 260), (300, 360), (400, 460)),
    )
    rank = [0.0, 1.0, 2.0, 3.0, 4.0]
    in_order = Placer(asked).place(rank, pull=AT_ONCE)
    assert isinstance(in_order, Placement)
    assert (in_order.finish, _filled(asked, rank, 360).finish) == (460, 360)


def test_nothing_is_filled_to_the_end_that_is_no_sooner_than_what_is_known() -> None:
    asked = problem([work(40), work(30), work(30)], slots=slots((0, 60), (100, 160), (200, 260)))
    state, placer = _granted(asked, 140), Placer(asked)
    assert state is not None
    rank = [0.0, 1.0, 2.0]
    found = [Filling(placer).filled(rank, (), state, KEEP, known) for known in (140, 141)]
    assert found[0] is None
    assert isinstance(found[1], Placement)
    assert found[1].finish == 140


def test_once_the_effort_is_spent_what_is_left_is_served_in_its_order() -> None:
    asked = problem([work(40), work(30), work(30)], slots=slots((0, 60), (100, 160), (200, 260)))
    state, placer = _granted(asked, 140), Placer(asked)
    assert state is not None
    found = Filling(placer, lambda: True).filled([0.0, 1.0, 2.0], (), state, KEEP, NEVER)
    assert isinstance(found, Placement)
    assert found.finish == 160


def test_where_every_way_gets_stuck_not_all_of_them_are_gone_through(monkeypatch: pytest.MonkeyPatch) -> None:
    """Twelve that could be served in any order, and one that never can: there is an end to it."""
    asked = problem([work(10) for _ in range(13)], slots=slots((0, 130), (200, 300)))
    state, placer = _granted(asked, 130), Placer(asked)
    assert state is not None
    served, serve = list[int](), Schedule.serve

    def stuck_at_last(self: Schedule, i: int) -> Stuck | None:
        served.append(i)
        return Stuck(i, "room") if i == 12 else serve(self, i)

    monkeypatch.setattr(Schedule, "serve", stuck_at_last)
    found = Filling(placer).filled([float(i) for i in range(13)], (), state, KEEP, NEVER)
    assert isinstance(found, Stuck)
    assert len(served) < 4 * TRIES


def test_who_could_be_served_next() -> None:
    """The earliest first, then the order; ahead of them who has no place as things stand. Nobody who waits."""
    asked = problem(
        [work(30), work(20), work(90), work(10, release=110), work(10), work(10, release=300)],
        waits=(wait(0, 4),),
        slots=slots((0, 60), (100, 160), (300, 360)),
    )
    schedule = Schedule(Placer(asked), (), Mends({}), LONG_AGO)
    schedule.begin([1.0, 0.0, 2.0, 3.0, 4.0, 5.0], AT_ONCE)
    assert [(i, max(at, -1)) for at, _, i in schedule.able(160)] == [(2, -1), (1, 0), (0, 0), (3, 110)]


def test_a_missed_window_leaves_the_remedy_too() -> None:
    """50 minutes at 0, and 50 more before 210, by 300: from 200 on they fit; from 240 on 30 more, 20 too many."""
    asked = problem(
        [work(50), work(50), work(30, optional=True)],
        waits=(wait(0, 1, 60, until=160, remedy=2),),
        slots=slots((0, 100), (200, 300), (400, 500)),
    )
    state, placer = _granted(asked, 300), Placer(asked)
    assert state is not None
    schedule = Schedule(placer, (), Mends({}), LONG_AGO)
    schedule.begin([0.0, 1.0, 1.0], AT_ONCE)
    assert schedule.go_on(until=100) is None
    left = Leftover(state, 0, schedule.network)
    assert [left.lateness(schedule, minute) for minute in (200, 240)] == [0, 20]


@settings(max_examples=150)
@given(problems(), st.integers(0, 1000), st.integers(1, 20))
def test_what_is_filled_breaks_no_rule(asked: Problem, seed: int, keep: int) -> None:
    """An independent check of the rules finds nothing wrong with a schedule that was tried stretch by stretch."""
    random = Random(seed)
    rank = [random.uniform(0, 100) for _ in asked.activities]
    state, placer = _granted(asked, asked.slots[-1].end if asked.slots else 0), Placer(asked)
    if state is None:
        return
    found = Filling(placer).filled(rank, placer.settle(rank), state, keep, NEVER)
    if isinstance(found, Placement):
        assert not faults(asked, found)


@settings(max_examples=60)
@given(problems(), st.integers(0, 1000), st.sampled_from((150, 0)))
def test_looks_at_earlier_finishes_lead_to_nothing_that_is_not_so(asked: Problem, seed: int, close: int) -> None:
    """Looked at again and again from the first on, closely or by chains alone: the placement breaks no rule, the
    bound tells no untruth.
    """
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(bounding, "MOST_CLOSE", close)
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
