"""Hours are filled stretch by stretch, soundly, and a search that looks at earlier finishes stays sound."""

from __future__ import annotations

from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.model.basics import Span
from scheduler.solver import search as searching
from scheduler.solver.beam import branching as stretch
from scheduler.solver.beam import search as filled_in
from scheduler.solver.beam.branching import Manner, Stretch, Way
from scheduler.solver.beam.remaining import Leftover
from scheduler.solver.beam.search import Filling
from scheduler.solver.conflicts import Mends, Stuck
from scheduler.solver.decoding import AT_ONCE, Placer
from scheduler.solver.generation import Schedule
from scheduler.solver.network import LONG_AGO
from scheduler.solver.problem import Placement, Problem, Result, Soil
from scheduler.solver.proof import bound as bounding
from scheduler.solver.proof.bound import Prover
from scheduler.solver.proof.branching import Refuter
from scheduler.solver.proof.state import State
from scheduler.solver.search import Search, search
from scheduler.wallclock import NEVER
from tests.bench.oracle import ask
from tests.support.placement_check import faults
from tests.support.problems import problem, problems, slots, wait, work

PLAIN = Manner()


def _granted(asked: Problem, finish: int) -> State | None:
    """What a look at a finish says once all choices are decided; None if it is refuted."""
    heard = list[State]()

    def hear(state: State) -> bool:
        heard.append(state)
        return bool(state.choices)

    refuted = Prover(asked).refutes(finish, Refuter(30, hear))
    return None if refuted or not heard else heard[-1]


def _filled(
    asked: Problem, rank: list[float], finish: int, manner: Manner = PLAIN, saved: tuple[int, ...] = ()
) -> Placement:
    """A schedule filled for a finish that is not refuted."""
    state, placer = _granted(asked, finish), Placer(asked)
    assert state is not None
    filled = Filling(placer).filled(rank, placer.settle(rank), state, NEVER, lambda: manner, keep=8, saved=saved)
    assert isinstance(filled, Placement)
    return filled


def test_a_stretch_is_filled_with_what_fits_it() -> None:
    """Hours of 60 and 60; 40, 30 and 30 minutes. In that order 20 minutes are lost, with the 30 first none."""
    asked = problem([work(40), work(30), work(30)], slots=slots((0, 60), (100, 160), (200, 260)))
    in_order = Placer(asked).place([0.0, 1.0, 2.0])
    assert isinstance(in_order, Placement)
    assert (in_order.finish, _filled(asked, [0.0, 1.0, 2.0], 140).finish) == (160, 140)


def _with_a_window() -> Problem:
    """70 minutes, 50 more before 230, and 40; the remedy takes 30."""
    return problem(
        [work(70), work(50), work(40), work(30, optional=True)],
        waits=(wait(0, 1, 60, until=160, remedy=3), wait(0, 3, 120)),
        slots=slots((0, 100), (200, 300), (400, 500)),
    )


def test_what_has_a_window_is_served_in_time() -> None:
    """70 minutes, 50 more before 230, and 40 that the order puts before these: they come too late by ten minutes.

    The remedy takes 30 then, and the rest waits for a third stretch of hours.
    """
    asked = _with_a_window()
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


def test_what_has_its_place_takes_one_of_two_people() -> None:
    """150 minutes of one person, the last 50 from 200 to 250. The other one has these for 40 that are due by 250."""
    asked = problem([work(150, smallest=30), work(40, release=200)], slots=slots((0, 100), (200, 300), people=2))
    state, placer = _granted(asked, 250), Placer(asked)
    assert state is not None
    schedule = Schedule(placer, (), Mends({}), LONG_AGO)
    schedule.begin([0.0, 1.0], AT_ONCE)
    assert schedule.go_on(until=100) is None
    assert schedule.pieces == [(Span(0, 100), Span(200, 250)), None]
    assert Leftover(state, 0, schedule.network).lateness(schedule, 100) == 0


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
    found = [Filling(placer).filled(rank, (), state, known, lambda: PLAIN, keep=8) for known in (140, 141)]
    assert found[0] is None
    assert isinstance(found[1], Placement)
    assert found[1].finish == 140


def test_once_the_effort_is_spent_what_is_left_is_served_in_its_order() -> None:
    asked = problem([work(40), work(30), work(30)], slots=slots((0, 60), (100, 160), (200, 260)))
    state, placer = _granted(asked, 140), Placer(asked)
    assert state is not None
    found = Filling(placer, lambda: True).filled([0.0, 1.0, 2.0], (), state, NEVER, lambda: PLAIN, keep=8)
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
    found = Filling(placer).filled([float(i) for i in range(13)], (), state, NEVER, lambda: PLAIN, keep=8)
    assert isinstance(found, Stuck)
    assert len(served) < 4 * stretch.TRIES


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


def _first_way(asked: Problem, rank: list[float], finish: int, manner: Manner) -> Schedule:
    """The natural way to fill the first stretch of hours."""
    state, placer = _granted(asked, finish), Placer(asked)
    assert state is not None
    schedule = Schedule(placer, (), Mends({}), LONG_AGO)
    schedule.begin(rank, AT_ONCE)
    left, (begin, end) = Leftover(state, 0, schedule.network), placer.open.spans[0]
    ways = Stretch(Way(0, 0, 0, schedule), begin, end, left, {}, placer.packing.field(0), manner).ways()
    return next(ways).schedule


def test_the_order_decides_among_those_who_could_start_before_another_could_be_done() -> None:
    """At 0 there is one who takes 60 minutes, at 10 one who is more urgent, at 80 one who is most urgent."""
    asked = problem([work(60), work(50, release=10), work(20, release=80)], slots=slots((0, 100), (200, 300)))
    natural = _first_way(asked, [2.0, 1.0, 0.0], 300, PLAIN)
    by_order = _first_way(asked, [2.0, 1.0, 0.0], 300, PLAIN._replace(by_order=True))
    assert natural.pieces == [(Span(0, 60),), None, (Span(80, 100),)]
    assert by_order.pieces == [None, (Span(10, 60),), (Span(80, 100),)]


def test_who_strays_from_the_order_comes_later_in_it() -> None:
    asked = problem([work(60), work(60)], slots=slots((0, 60), (100, 160)))
    by_manner = [_first_way(asked, [0.0, 1.0], 160, PLAIN._replace(strays=strays)) for strays in ((), (2.0, 0.0))]
    assert [[i for i, spans in enumerate(way.pieces) if spans] for way in by_manner] == [[0], [1]]


def test_two_who_were_put_off_are_both_served_once_it_is_clean() -> None:
    """Two people. The first one soils until 20, somebody cleans until 30, and two want it clean: both begin then."""
    asked = problem(
        [work(20), work(10, takes=(2,)), work(15, release=10), work(15, release=10)],
        waits=(wait(0, 1, 0),),
        slots=slots((0, 100), people=2),
        soils=(Soil(soils=frozenset({0}), cleans=frozenset({1}), wants_clean=frozenset({2, 3})),),
    )
    first = _first_way(asked, [0.0, 1.0, 2.0, 3.0], 100, PLAIN)
    assert [spans[0].start for spans in first.pieces if spans] == [0, 20, 30, 30]


def test_one_who_cleans_is_saved_for_the_pause_of_one_who_soils() -> None:
    """80 minutes that soil, in pieces of 30 at least; 10 that clean; 50 that want it clean, from 40 on.

    At once the one who cleans is of no use, and what soils has to come last. Saved it comes after a piece: of 30 at
    first, of 40 once it is seen that 10 stay idle otherwise.
    """
    asked = problem(
        [work(80, smallest=30), work(10), work(50, release=40)],
        slots=slots((0, 100), (200, 300)),
        soils=(Soil(soils=frozenset({0}), cleans=frozenset({1}), wants_clean=frozenset({2})),),
    )
    rank, sparing = [90.0, 200.0, 50.0], PLAIN._replace(in_pieces=True)
    assert _filled(asked, rank, 240).finish == 280
    saved = _filled(asked, rank, 240, sparing, saved=(1,))
    assert saved.finish == 240
    assert saved.pieces == ((Span(0, 40), Span(200, 240)), (Span(40, 50),), (Span(50, 100),))


def test_of_all_who_are_saved_one_cleans_at_a_time() -> None:
    """0, 1 and 6 soil, 3 and 4 could clean, 2 and 5 want it clean. Who is put off gets the more urgent one of those
    who are left, after the last of the dirt; nobody else is let go while that one has not cleaned.
    """
    asked = problem(
        [work(20), work(20), work(10), work(10), work(10), work(10, release=80), work(20, release=60)],
        slots=slots((0, 100)),
        soils=(Soil(soils=frozenset({0, 1, 6}), cleans=frozenset({3, 4}), wants_clean=frozenset({2, 5})),),
    )
    schedule = Schedule(Placer(asked), (), Mends({}), LONG_AGO)
    schedule.begin([0.0, 20.0, 40.0, 90.0, 70.0, 80.0, 60.0], AT_ONCE)
    schedule.save(3, 90)
    schedule.save(4, 70)

    def serve(*those: int) -> None:
        for i in those:
            schedule.call(i)
            assert schedule.serve(i) is None

    serve(0, 1, 2)
    for _ in range(2):
        schedule.let_go(39)
    assert (schedule.put_off.keys(), schedule.saved.keys()) == ({2}, {3, 4})  # it is not urgent yet
    for _ in range(2):
        schedule.let_go(40)
    assert (schedule.saved.keys(), schedule.earliest(4)) == ({3}, 40)
    serve(4, 2, 6, 5)
    schedule.let_go(80)
    assert (schedule.saved.keys(), schedule.earliest(3)) == (set(), 80)
    serve(3, 5)
    assert [spans[0].start for spans in schedule.pieces if spans] == [0, 20, 50, 80, 40, 90, 60]


def test_one_who_could_not_come_yet_is_in_the_way_of_no_other_who_cleans() -> None:
    """0 soils and 1 wants it clean. Of those saved the more urgent could come from 1000 on only: the other one is let
    go. Nor does one help who is not saved and could come as late.
    """
    asked = problem(
        [work(20), work(10), work(10, release=1000), work(10), work(10, release=1000)],
        slots=slots((0, 100), (1000, 1100)),
        soils=(Soil(soils=frozenset({0}), cleans=frozenset({2, 3, 4}), wants_clean=frozenset({1})),),
    )
    schedule = Schedule(Placer(asked), (), Mends({}), LONG_AGO)
    schedule.begin([0.0, 30.0, 1050.0, 1080.0, 1090.0], AT_ONCE)
    schedule.save(2, 1050)
    schedule.save(3, 1080)
    for i in (0, 1):
        schedule.call(i)
        assert schedule.serve(i) is None
    schedule.let_go(100)
    assert (schedule.saved.keys(), schedule.earliest(3)) == ({2}, 20)


def test_one_who_cleans_is_not_let_go_back_before_its_own_piece() -> None:
    asked = problem(
        [work(20), work(60, smallest=20), work(10, release=25)],
        slots=slots((0, 200), people=2),
        soils=(Soil(soils=frozenset({0, 1}), cleans=frozenset({1}), wants_clean=frozenset({2})),),
    )
    schedule = Schedule(Placer(asked), (), Mends({}), LONG_AGO)
    schedule.begin([0.0, 30.0, 40.0], AT_ONCE)
    schedule.save(1, 30)
    assert schedule.begin_piece(1, 20, 200)
    for i in (0, 2):
        schedule.call(i)
        assert schedule.serve(i) is None
    assert schedule.put_off.keys() == {2}
    schedule.let_go(200)
    assert (schedule.saved.keys(), schedule.earliest(1)) == (set(), 50)


def test_who_has_to_keep_a_window_strays_from_no_order(monkeypatch: pytest.MonkeyPatch) -> None:
    """As in the test of windows above, with one way and one try: by 100 minutes later it would miss its window."""
    monkeypatch.setattr(stretch, "TRIES", 1)
    straying = PLAIN._replace(strays=(0.0, 100.0, 0.0, 0.0))
    assert _filled(_with_a_window(), [0.0, 250.0, 240.0, 0.0], 290, straying).finish == 290


@settings(max_examples=120)
@given(problems(), st.integers(0, 1000), st.integers(1, 20), st.booleans())
def test_what_is_filled_breaks_no_rule(asked: Problem, seed: int, keep: int, saves: bool) -> None:
    """An independent check of the rules finds nothing wrong with a schedule that was tried stretch by stretch, each
    in a manner of its own.
    """
    random, size = Random(seed), len(asked.activities)
    rank = [random.uniform(0, 100) for _ in range(size)]
    state, placer = _granted(asked, asked.slots[-1].end if asked.slots else 0), Placer(asked)
    if state is None:
        return

    def manner() -> Manner:
        strays = [random.uniform(-50, 50) for _ in range(size)] if random.random() < 0.5 else []
        return Manner(by_order=random.random() < 0.5, in_pieces=saves, strays=strays)

    filling = Filling(placer)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(filled_in, "DAY", 0)  # the hours of these problems are shorter than that
        saved = filling.cleaners(state) if saves else ()
    found = filling.filled(rank, placer.settle(rank), state, NEVER, manner, keep=keep, saved=saved)
    if isinstance(found, Placement):
        assert not faults(asked, found)


@settings(max_examples=25)
@given(problems(), st.integers(0, 1000), st.sampled_from((150, 0)))
def test_looks_at_earlier_finishes_lead_to_nothing_that_is_not_so(asked: Problem, seed: int, close: int) -> None:
    """Looked at again and again from the first on, closely or by chains alone: the placement breaks no rule, the
    bound tells no untruth.
    """
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(bounding, "MOST_CLOSE", close)
        patch.setattr(bounding, "MOST_STATES", 1)  # or else the first look settles them
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


def test_a_bound_is_climbed_from_in_steps_that_double(monkeypatch: pytest.MonkeyPatch) -> None:
    """160 is found, all before 130 is refuted, and nothing is known at first: the day until 60 falls as a whole, as
    160 is on the next one; from 61 on eight looks take the bound to 125."""
    asked = problem([work(40), work(30), work(30)], slots=slots((0, 60), (100, 160), (200, 260)))
    looks = list[int]()

    def refutes(_: Prover, finish: int, __: Refuter) -> bool:
        looks.append(finish)
        return finish < 130

    monkeypatch.setattr(Prover, "refutes", refutes)
    monkeypatch.setattr(Prover, "at_least", lambda *_: 0)
    for name in ("FIRST_LOOK", "ROUND"):
        monkeypatch.setattr(searching, name, 1)
    monkeypatch.setattr(searching, "FEW", 0)  # so small a one is searched exactly
    found = search(asked, 300)
    assert isinstance(found, Result)
    assert looks[0] == 60
    assert looks[looks.index(61) :][:8] == [61, 62, 64, 68, 76, 92, 124, 159]
    assert found.finish_not_before == 130


def test_of_more_activities_than_are_filled_fewer_are_placed_for_the_same_effort() -> None:
    most = searching.MOST_FILLED
    few, many = problem([work(1)] * 2), problem([work(1)] * (4 * most), slots=slots((0, 4 * most)))
    assert [Search(asked, 1_000, whole=False).effort for asked in (few, many)] == [1_000, 250]
    assert Search(many, 1_000).effort == 1_000, "asked for, it is as much as asked"
    assert isinstance(search(many, 1), Result)


def test_whole_days_are_looked_at_before_minutes(monkeypatch: pytest.MonkeyPatch) -> None:
    """Done on the fourth day: by the ends of the first two it is refuted, by that of the third it is not. Then
    nothing is asked of the fourth."""
    asked = problem([work(40), work(30), work(50)], slots=slots((0, 60), (100, 160), (200, 260), (300, 360)))
    looks = list[int]()

    def refutes(_: Prover, finish: int, __: Refuter) -> bool:
        looks.append(finish)
        return finish <= 160

    monkeypatch.setattr(Prover, "refutes", refutes)
    monkeypatch.setattr(Prover, "at_least", lambda *_: 0)
    monkeypatch.setattr(searching, "FIRST_LOOK", 1)
    seeking = Search(asked, 300)
    seeking.pools.begin()
    assert seeking.pools.best is not None
    held = seeking.pools.best
    monkeypatch.setattr(seeking, "_aimed", lambda: 340)
    seeking._look_at_days()
    assert looks == [60, 160, 260]
    assert seeking.bound == 161
    assert held.placement.finish <= 360


def test_orders_of_placements_like_this_one_come_first() -> None:
    """Two alike: the second one first, as in the placement that is named, which no order of latest starts says."""
    asked, like = problem([work(30), work(30)]), Placement(pieces=((Span(30, 60),), (Span(0, 30),)), options=())
    plain, told = Search(asked, 1), Search(asked, 1, like=(like,))
    for seeking in (plain, told):
        assert isinstance(seeking.run(), Result)
    assert like.pieces in [found.placement.pieces for found in told.pools.fores]
    assert like.pieces not in [found.placement.pieces for found in plain.pools.fores]
