"""What is told of things that are taken, and of promises, before anything is placed: what it refutes is not there."""

from __future__ import annotations

import pytest

from scheduler.model.basics import Span
from scheduler.model.clock import DryClock
from scheduler.solver.exact import Exact, Verdict
from scheduler.solver.problem import Activity, Barrier, Closure, Hold, Lag, Placement, Problem, Promise, Thing
from tests.bench.heldoracle import least
from tests.support.bounds import lower_bound
from tests.support.placement_check import faults, minutes_late
from tests.support.problems import problem, slots, wait, work
from tests.support.smallholds import small_problem


def refuted(asked: Problem, by: int, grace: int = 0, nodes: int = 400) -> bool:
    return Exact(asked, nodes, by=by, grace=grace).run() is Verdict.REFUTED


def test_three_films_of_which_two_have_a_place() -> None:
    """Two people, films of 10 minutes that stay for 100 more on two places: two from 0 to 110, the third from 110 to
    120. No two of them exclude each other."""
    holds = tuple(Hold(thing=0, places=1, taker=i, lag=Lag(100)) for i in range(3))
    asked = problem([work(10)] * 3, slots=slots((0, 500), people=3), things=(Thing(2),), holds=holds)
    assert refuted(asked, 119)
    assert not refuted(asked, 120)


def test_what_another_one_gives_back_is_not_kept_over_a_closure() -> None:
    """Taken by 0, given back by the end of 1, which takes 30 minutes and waits 40 for it; closed from 60 to 100. From
    0 on it would be back at 80, so it is taken at 100: back at 180."""
    asked = problem(
        [work(10), work(30)],
        [wait(0, 1, 40)],
        slots=slots((0, 500)),
        things=(Thing(1, (Closure(60, 100, 1),)),),
        holds=(Hold(thing=0, places=1, taker=0, giver=1),),
    )
    assert refuted(asked, 179)
    assert not refuted(asked, 180)


def test_nobody_gives_back_before_it_is_taken() -> None:
    """Nothing but what it takes says that 0, which is not there before minute 100, comes before the start of 1."""
    asked = problem(
        [work(10, release=100), work(20)],
        slots=slots((0, 500), people=2),
        things=(Thing(1),),
        holds=(Hold(thing=0, places=1, taker=0, giver=1, at_start=True),),
    )
    assert refuted(asked, 129)
    assert not refuted(asked, 130)


def test_promises_share_what_may_be_broken() -> None:
    """Of two times 50 minutes one is done at 50 and the other at 100; both by 30 breaks 20 + 70 minutes, no less."""
    promises = tuple(Promise(ends=((i, Lag()),), by=30) for i in range(2))
    asked = problem([work(50)] * 2, slots=slots((0, 500)), promises=promises)
    assert refuted(asked, 500, grace=89)
    assert not refuted(asked, 500, grace=90)


def test_a_promise_of_a_film_is_broken_by_minutes_of_the_wall() -> None:
    """80 minutes of the film pass by 300 if it ends at 190: 30 at half speed until 250, and 50. By 325 if it ends at
    240 (5 + 75): 25 minutes more on the wall, 50 at the end. Work is done from 210 to 240, so 25 are enough."""
    clock = DryClock((0, 100, 250, 5000), (0.0, 100.0, 175.0, 4925.0))
    asked = problem(
        [work(30)],
        slots=slots((210, 280)),
        clocks=(clock,),
        promises=(Promise(ends=((0, Lag(80, 0)),), by=300),),
    )
    assert refuted(asked, 280, grace=24)
    assert not refuted(asked, 280, grace=25)


def test_a_window_is_missed_only_if_its_remedy_has_room() -> None:
    """After 0 (0-10) there is room for 1, whose window is 20 minutes, or for the 50 of 2. With 2 first the remedy
    runs from 300 to 330, and 1 to 340; with 1 first 2 is done at 350."""
    asked = problem(
        [work(10), work(10), work(50), work(30, optional=True)],
        [wait(0, 1, 0, 20, 3), wait(0, 2)],
        slots=slots((0, 60), (300, 400)),
    )
    assert refuted(asked, 339)
    assert not refuted(asked, 340)


def test_nobody_works_where_somebody_has_an_appointment() -> None:
    """30 minutes in a room that others have from 20 to 60: 60 to 90, as ours pauses for nobody."""
    visit = Activity(minutes=0, smallest=None, demand=(0,), release=0, fixed=(Span(20, 60),), booked=True)
    asked = problem(
        [work(30), visit], slots=slots((0, 100)), barriers=(Barrier(by=1, until=Lag(), bars=frozenset({0})),)
    )
    assert lower_bound(asked, 95) == 90


@pytest.mark.long
@pytest.mark.parametrize("first", range(0, 60, 15))
def test_what_it_says_of_things_and_promises_is_so(first: int) -> None:
    """Tiny random problems: what it refutes an independent solver does not find, and what it places keeps all rules
    and is no better than that one's optimum."""
    for seed in range(first, first + 15):
        asked = small_problem(seed)
        known = least(asked, effort=2.0)
        if known.status == "optimal":
            assert not refuted(asked, known.finish, known.late), seed
            looks = [Exact(asked, 300, by=known.finish - 1, grace=known.late).run()]
            looks += [Exact(asked, 300, grace=known.late - 1).run()] if known.late else []
            assert not any(isinstance(found, Placement) for found in looks), seed
            found = Exact(asked, 300, by=known.finish, grace=known.late).run()
        else:
            found = Exact(asked, 300).run()
            assert known.status == "unknown" or not isinstance(found, Placement), seed
        if isinstance(found, Placement):
            assert faults(asked, found) == [], seed
            assert known.status != "optimal" or sum(minutes_late(asked, found)) <= known.late, seed
