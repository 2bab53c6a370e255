"""What is taken is given back at an event, and until then nobody else gets it: one rule at a time, placed by hand."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from scheduler.model.basics import Span
from scheduler.solver.conflicts import Stuck
from scheduler.solver.deadlock import blocked
from scheduler.solver.decoding import Placer
from scheduler.solver.problem import Closure, Hold, Lag, Placement, Problem, Result, Slot, Soil, Thing
from scheduler.solver.search import search
from tests.support.placement_check import faults
from tests.support.problems import problem, slots, wait, work

Places = list[list[tuple[int, int]]]


def hold(taker: int, giver: int | None = None, lag: float = 0, **more: Any) -> Hold:
    """One place of the first thing."""
    return Hold(**{"thing": 0, "places": 1, "taker": taker, "giver": giver, "lag": Lag(lag), **more})


def planned(question: Problem) -> Result:
    """The best that is found with little effort, checked against every rule."""
    answer = search(question, 5_000)
    assert not isinstance(answer, Stuck), answer
    assert faults(question, answer.placement) == []
    return answer


def pieces(question: Problem) -> Places:
    return [[(span.start, span.end) for span in spans] for spans in planned(question).placement.pieces]


def test_a_film_keeps_its_place_until_a_stage() -> None:
    """Two coats of 10 minutes, each with the only place for 60 more: 10 + 60 + 10. With two places they follow at
    once.

    That no order does better is proven, as one of two must come first.
    """
    one = problem([work(10), work(10)], things=(Thing(1),), holds=(hold(0, lag=60), hold(1, lag=60)))
    answer = planned(one)
    assert (answer.placement.finish, answer.finish_not_before) == (80, 80)
    two = problem([work(10), work(10)], things=(Thing(2),), holds=(hold(0, lag=60), hold(1, lag=60)))
    assert planned(two).placement.finish == 20


def test_more_than_two_share_what_there_is() -> None:
    """Four coats of 10, each with 3 of 9 places until 60 after: three of them end at 30, and the place of the first
    is free at 70, so all end at 80."""
    rack = [hold(i, lag=60, places=3) for i in range(4)]
    assert planned(problem([work(10)] * 4, things=(Thing(9),), holds=tuple(rack))).placement.finish == 80


def test_another_one_gives_it_back() -> None:
    """0 takes the floor, 1 gives it back once it is done, from 100 to 110; 2 wants it too and waits until then. That
    is the end in any case, so 0 takes the floor no sooner than 1 can follow, at 90: it is held for 20 and not 110."""
    steps = [work(10), work(10, release=100), work(10)]
    question = problem(steps, [wait(0, 1), wait(0, 2)], things=(Thing(1),), holds=(hold(0, 1), hold(2)))
    assert pieces(question) == [[(90, 100)], [(100, 110)], [(110, 120)]]
    started = problem(steps, [wait(0, 1), wait(0, 2)], things=(Thing(1),), holds=(hold(0, 1, at_start=True), hold(2)))
    assert sorted(pieces(started)[1:]) == [[(100, 110)], [(110, 120)]]


def test_for_a_given_time_from_the_start() -> None:
    """A load of 10 minutes has the machine for 45 from its start: the next one begins at 45."""
    loads = (hold(0, lag=45, at_start=True), hold(1, lag=45, at_start=True))
    assert planned(problem([work(10), work(10)], things=(Thing(1),), holds=loads)).placement.finish == 55


def test_it_is_kept_in_pauses_unless_it_is_for_the_work_alone() -> None:
    """0 is for two and pauses at 20, when one is alone until 50; 1 is for that one and comes at 20. Kept in the
    pause, the thing is free at 60, and 1 ends at 75; taken only while 0 works, it is free at 20, and all end at
    60."""
    hours = (Slot(0, 20, (2,)), Slot(20, 50, (1,)), Slot(50, 100, (2,)))
    both = [work(30, 10, takes=(2,)), work(15, release=20)]
    kept = problem(both, slots=hours, things=(Thing(1),), holds=(hold(0), hold(1)))
    assert sorted(pieces(kept)) == [[(0, 20), (50, 60)], [(60, 75)]]
    at_work = (hold(0, at_work=True), hold(1, at_work=True))
    assert planned(problem(both, slots=hours, things=(Thing(1),), holds=at_work)).placement.finish == 60


def test_nothing_is_taken_that_would_be_closed_before_it_is_given_back() -> None:
    """The yard closes at 50 to 80. A film of 10 minutes has it for 30: begun by 10, or from 80 on, but not at 15."""
    yard = (Thing(1, (Closure(50, 80, 1),)),)
    early = problem([work(10)], things=yard, holds=(hold(0, lag=30),))
    assert pieces(early) == [[(0, 10)]]
    late = problem([work(10, release=15)], things=yard, holds=(hold(0, lag=30),))
    assert pieces(late) == [[(80, 90)]]


def test_who_gives_back_comes_before_the_closure_or_the_taker_after_it() -> None:
    """The same with somebody else who gives back, but not before 60: the taker waits for the end of the closure."""
    steps = [work(10), work(10, release=60)]
    yard = (Thing(1, (Closure(50, 80, 1),)),)
    assert pieces(problem(steps, [wait(0, 1)], things=yard, holds=(hold(0, 1),))) == [[(80, 90)], [(90, 100)]]


def test_nobody_takes_what_another_one_needs_to_give_back() -> None:
    """Two jobs, each with bench (0) and then clamps (1) until it is glued: each alone may have the bench first, but
    not one the bench and the other the clamps. Every order is placed."""
    question = problem(
        [work(10), work(10), work(10), work(10)],
        [wait(0, 1), wait(2, 3)],
        things=(Thing(1), Thing(1)),
        holds=(hold(0, 1), hold(1, thing=1), hold(2, 3, thing=1), hold(3)),
    )
    for order in ([0.0, 1.0, 2.0, 3.0], [0.0, 2.0, 1.0, 3.0], [2.0, 0.0, 1.0, 3.0], [1.0, 3.0, 0.0, 2.0]):
        answer = Placer(question).place(order)
        assert not isinstance(answer, Stuck), order
        assert faults(question, answer) == []
    assert planned(question).placement.finish == 40


def test_what_can_never_be_given_back_is_proven_and_named() -> None:
    """The door has the bench until it is hung, the frame needs the bench and comes between: the bench is never
    free."""
    question = problem(
        [work(10), work(10), work(10)], [wait(0, 1), wait(1, 2)], things=(Thing(1),), holds=(hold(0, 2), hold(1))
    )
    answer = search(question, 5_000)
    assert isinstance(answer, Stuck)
    assert (answer.rule, answer.proven) == ("taken", True)
    assert answer.deadlock is not None
    assert (answer.deadlock.holds, answer.deadlock.waiting) == ((0,), ((1, 0),))


def test_a_start_and_an_end_may_give_back_in_turn() -> None:
    """0 may pause: its start gives back what 1 needs, its end gives back what 1 took. No order of whole steps does
    that, so that nothing is said to be impossible, and it is placed."""
    before, around, inside = 2, 0, 1
    question = problem(
        [work(40, 10), work(10), work(10)],
        [wait(before, around)],
        things=(Thing(4),),
        holds=(hold(before, around, places=2, at_start=True), hold(inside, around, places=4)),
    )
    assert blocked(question) is None
    assert planned(question).placement.finish == 60  # 10, a piece of 10, 10 inside it, and the other 30


def test_an_appointment_does_not_move_and_finds_all_ready() -> None:
    """A visit at 100: what it waits for, ready 30 after its end, ends by 70; it gives back the key it finds taken."""
    visit = work(0, fixed=(Span(100, 130),), booked=True, takes=(0,))
    question = problem(
        [work(10), visit, work(10)],
        [wait(0, 1, 30), wait(1, 2)],
        things=(Thing(1),),
        holds=(hold(0, 1),),
    )
    assert pieces(question) == [[(0, 10)], [(100, 130)], [(130, 140)]]
    late = problem([work(10, release=65), visit], [wait(0, 1, 30)])
    answer = search(late, 5_000)
    assert isinstance(answer, Stuck)
    assert (answer.rule, answer.proven) == ("due", True)


def test_who_only_works_with_it_waits_until_it_is_given_back() -> None:
    """0 keeps the thing until the end of 1; 2 works with it for a while, and is served before 1 is."""
    question = problem(
        [work(10), work(10), work(10)],
        [wait(0, 1)],
        things=(Thing(1),),
        holds=(hold(0, 1), hold(2, at_work=True)),
    )
    answer = Placer(question).place([0.0, 2.0, 1.0])
    assert not isinstance(answer, Stuck)
    assert [[(span.start, span.end) for span in spans] for spans in answer.pieces] == [
        [(0, 10)],
        [(10, 20)],
        [(20, 30)],
    ]


def test_what_a_fact_has_taken_is_taken() -> None:
    """0 is done and has one of two places until 1 is; 2 has the other one until 3 is done. So 4 waits for one of
    these, whoever is served first."""
    steps = [work(0, fixed=(Span(-20, -10),)), work(10, release=50), work(10), work(10, release=60), work(10)]
    question = problem(
        steps,
        [wait(0, 1), wait(2, 3)],
        things=(Thing(2),),
        holds=(hold(0, 1), hold(2, 3), hold(4)),
    )
    for order in ([4.0, 3.0, 0.0, 2.0, 1.0], [0.0, 1.0, 2.0, 3.0, 4.0]):
        answer = Placer(question).place(order)
        assert not isinstance(answer, Stuck)
        assert faults(question, answer) == []
    full = planned(replace(question, holds=(*question.holds, hold(3))))  # 3 takes one as well, which 1 gives back
    assert full.placement.finish <= 100


def test_dirt_that_is_put_off_by_days_is_cleaned_after_that() -> None:
    """0 takes a thing that 3 gives back, and is held back until the second day; 1 follows and is dusty, 2 wipes, 3 is
    wet. Served before 1, and then after it but on the first day, the wiping helps nobody: it waits for the dust."""
    question = replace(
        problem(
            [work(60), work(60), work(20), work(30)],
            [wait(0, 1), wait(1, 3)],
            slots=slots((0, 480), (1440, 1920)),
            things=(Thing(1),),
            holds=(hold(0, 3),),
        ),
        soils=(Soil(soils=frozenset({1}), cleans=frozenset({2}), wants_clean=frozenset({3})),),
    )
    found = Placer(question).place([0.0, 1.0, 2.0, 3.0], not_before={0: 1440})
    assert isinstance(found, Placement)
    assert [spans[0].start for spans in found.pieces] == [1440, 1500, 1560, 1580]
