"""One rule of the planner's question at a time, on problems small enough to be placed by hand."""

from __future__ import annotations

from random import Random

from hypothesis import given
from hypothesis import strategies as st

from scheduler.model.basics import Span
from scheduler.model.clock import DryClock
from scheduler.solver.concessions import Concession, concession
from scheduler.solver.conflicts import Stuck
from scheduler.solver.decoding import Placer
from scheduler.solver.problem import Barrier, Lag, Option, Problem, Slot, Soil, Wait
from tests.support.placement_check import faults
from tests.support.problems import problem, problems, slots, wait, work

Places = list[list[tuple[int, int]]]


def placed(question: Problem, *order: int) -> Places:
    """The pieces when served in this order (as numbered, if none is given), checked against every rule."""
    order = order or tuple(range(len(question.activities)))
    answer = Placer(question).place(
        [float(order.index(i)) if i in order else 99.0 for i in range(len(question.activities))]
    )
    assert not isinstance(answer, Stuck), answer
    assert faults(question, answer) == []
    return [[(span.start, span.end) for span in spans] for spans in answer.pieces]


def stuck(question: Problem) -> Stuck:
    answer = Placer(question).place([0.0] * len(question.activities))
    assert isinstance(answer, Stuck)
    return answer


def test_one_person_does_one_thing_at_a_time() -> None:
    """Two steps of 30 for the one who is there: one after the other, in the order of service."""
    assert placed(problem([work(30), work(30)])) == [[(0, 30)], [(30, 60)]]
    assert placed(problem([work(30), work(30)]), 1, 0) == [[(30, 60)], [(0, 30)]]


def test_two_people_do_two_things_or_one_together() -> None:
    """Of three steps the one for two people waits until both are free."""
    together = problem([work(30), work(20), work(10, takes=(2,))], slots=slots((0, 1000), people=2))
    assert placed(together) == [[(0, 30)], [(0, 20)], [(30, 40)]]


def test_one_piece_does_not_go_across_a_break() -> None:
    """40 minutes do not fit before the break at 30; slots that touch are no break."""
    assert placed(problem([work(40)], slots=slots((0, 30), (50, 100)))) == [[(50, 90)]]
    assert placed(problem([work(40)], slots=slots((0, 30), (30, 100)))) == [[(0, 40)]]


def test_what_may_pause_is_cut_but_not_too_small() -> None:
    """40 = 30 + 10; with pieces of 15 at least it is 25 + 15; with 25 at least it can't be cut at all."""
    hours = slots((0, 30), (50, 100))
    assert placed(problem([work(40, 10)], slots=hours)) == [[(0, 30), (50, 60)]]
    assert placed(problem([work(40, 15)], slots=hours)) == [[(0, 25), (50, 65)]]
    assert placed(problem([work(40, 25)], slots=hours)) == [[(50, 90)]]


def test_an_early_piece_leaves_enough_for_the_next() -> None:
    """185 in pieces of 60 at least: 65 in the first 70, so that 60 + 60 remain for the next two."""
    hours = slots((0, 70), (100, 160), (200, 265))
    assert placed(problem([work(185, 60)], slots=hours)) == [[(0, 65), (100, 160), (200, 260)]]


def test_what_may_pause_makes_way() -> None:
    """The urgent step takes its place first; the other is cut around it."""
    assert placed(problem([work(60, 10), work(20, release=30)]), 1, 0) == [[(0, 30), (50, 80)], [(30, 50)]]


def test_nothing_starts_before_its_release() -> None:
    assert placed(problem([work(10, release=25)])) == [[(25, 35)]]


def test_a_wait_runs_from_end_to_start() -> None:
    """Ready 45 after the end at 30, that is at 75."""
    assert placed(problem([work(30), work(10)], [wait(0, 1, 45)])) == [[(0, 30)], [(75, 85)]]


def test_a_wait_on_a_clock_follows_the_clock() -> None:
    """Half speed until 100: 70 minutes from 30 make 35; the other 25 at full speed end at 125."""
    clock = DryClock((0, 100, 1000), (0.0, 50.0, 950.0))
    lag = Wait(before=0, after=1, lag=Lag(60, 0))
    assert placed(problem([work(30), work(10)], [lag], clocks=(clock,))) == [[(0, 30)], [(125, 135)]]


def test_noise_waits_for_the_end_of_quiet_hours() -> None:
    """A resource with capacity 0 in quiet slots: the noisy step starts at 60, a silent one runs before."""
    hours = (Slot(0, 60, (1, 0)), Slot(60, 200, (1, 1)))
    assert placed(problem([work(20, takes=(1, 1)), work(30, takes=(1, 0))], slots=hours)) == [[(60, 80)], [(0, 30)]]


def test_a_shared_thing_is_used_by_one_at_a_time() -> None:
    """Two people, one ladder: both ladder steps in a row, the third beside them."""
    hours = (Slot(0, 200, (2, 1)),)
    steps = [work(20, takes=(1, 1)), work(20, takes=(1, 1)), work(20, takes=(1, 0))]
    assert placed(problem(steps, slots=hours)) == [[(0, 20)], [(20, 40)], [(0, 20)]]


def test_start_and_hold_lie_in_one_span_that_fits() -> None:
    """Laid in 10 minutes, held for 30: 0..50 does from 0 to 10; after the first, at 20, only the next does."""
    steps = [work(10, fit=(Span(0, 50), Span(80, 500)), hold=Lag(30)) for _ in range(3)]
    assert placed(problem(steps)) == [[(0, 10)], [(10, 20)], [(80, 90)]]


def test_what_is_barred_waits_until_the_barrier_is_over() -> None:
    """No dust from the start of the coat until 40 after its end at 10."""
    bars = (Barrier(by=0, until=Lag(40), bars=frozenset({1})),)
    assert placed(problem([work(10), work(20)], barriers=bars)) == [[(0, 10)], [(50, 70)]]


def test_a_barrier_is_not_raised_around_what_it_bars() -> None:
    """The dusty step is placed first, at 20; the coat (10 + 40 wet) has no room before it and follows at 40."""
    bars = (Barrier(by=0, until=Lag(40), bars=frozenset({1})),)
    assert placed(problem([work(10), work(20, release=20)], barriers=bars), 1, 0) == [[(40, 50)], [(20, 40)]]


def test_what_was_soiled_is_cleaned_before_it_is_wanted_clean() -> None:
    """Sand, then wipe, then coat; the coat is served before the wipe and still waits for it."""
    soil = Soil(soils=frozenset({0}), cleans=frozenset({1}), wants_clean=frozenset({2}))
    steps = [work(10), work(5), work(20)]
    assert placed(problem(steps, [wait(0, 1)], soils=(soil,)), 0, 2, 1) == [[(0, 10)], [(10, 15)], [(15, 35)]]


def test_one_that_cleans_up_after_itself_needs_no_other() -> None:
    soil = Soil(soils=frozenset({0}), cleans=frozenset({0}), wants_clean=frozenset({1}))
    assert placed(problem([work(10), work(20)], soils=(soil,))) == [[(0, 10)], [(10, 30)]]


def test_a_self_cleaning_one_does_not_clean_what_is_soiled_during_its_run() -> None:
    """Two people: 1 soils until 15 while 0 cleans only what it soils itself, until 10. 2 waits for the wipe at 15."""
    soil = Soil(soils=frozenset({0, 1}), cleans=frozenset({0, 3}), wants_clean=frozenset({2}))
    steps = [work(10), work(15), work(5), work(5)]
    question = problem(steps, [wait(1, 3)], soils=(soil,), slots=slots((0, 1000), people=2))
    assert placed(question) == [[(0, 10)], [(0, 15)], [(20, 25)], [(15, 20)]]


def test_what_wants_it_clean_goes_first_if_only_later_something_cleans() -> None:
    """A dead end in the order 0, 1: the only wipe (2) follows the coat (1), so the coat precedes the dust (0)."""
    soil = Soil(soils=frozenset({0}), cleans=frozenset({2}), wants_clean=frozenset({1}))
    question = problem([work(10), work(20), work(5)], [wait(1, 2, 30)], soils=(soil,))
    assert placed(question) == [[(20, 30)], [(0, 20)], [(50, 55)]]


def test_a_wipe_that_would_come_too_early_waits_for_the_dust() -> None:
    """A dead end in the order 1, 0: the coat (2) follows the dust (0), and the wipe (1) only helps in between."""
    soil = Soil(soils=frozenset({0}), cleans=frozenset({1}), wants_clean=frozenset({2}))
    question = problem([work(10), work(5), work(20)], [wait(0, 2)], soils=(soil,))
    assert placed(question, 1, 0, 2) == [[(0, 10)], [(10, 15)], [(15, 35)]]


def test_a_window_missed_calls_for_its_remedy() -> None:
    """The window ends 20 after 10; the part for the next coat comes at 50, so it is scuffed (5) first."""
    steps = [work(10), work(10, release=50), work(5, optional=True)]
    waits = [wait(0, 1, 5, until=20, remedy=2), wait(0, 2, 5)]
    assert placed(problem(steps, waits)) == [[(0, 10)], [(50, 60)], [(15, 20)]]


def test_a_window_kept_calls_for_nothing() -> None:
    steps = [work(10), work(10), work(5, optional=True)]
    assert placed(problem(steps, [wait(0, 1, 5, until=20, remedy=2)])) == [[(0, 10)], [(15, 25)], []]


def test_a_window_without_a_remedy_delays_the_earlier_one() -> None:
    """1 can't start before 50 and no later than 20 after 0 ends: 0 ends at 30 at the earliest, so it starts at 20."""
    question = problem([work(10), work(10, release=50)], [wait(0, 1, 5, until=20)])
    assert placed(question) == [[(20, 30)], [(50, 60)]]


def test_a_narrow_window_lets_others_wait() -> None:
    """0 is done, 1 must start within 20 of it; served last it finds the hours taken, so it is put first."""
    steps = [work(0, fixed=(Span(-10, 0),)), work(10), work(60)]
    assert placed(problem(steps, [wait(0, 1, 5, until=20)]), 2, 0, 1) == [[(-10, 0)], [(5, 15)], [(15, 75)]]


def test_the_only_long_window_is_kept_for_the_one_that_needs_it() -> None:
    """60 in one piece fit only on the first day; served after the 20 they would find no place."""
    assert placed(problem([work(20), work(60)], slots=slots((0, 60), (100, 140)))) == [[(100, 120)], [(0, 60)]]


def test_a_choice_is_settled_by_who_comes_first() -> None:
    """The second colour waits 30 for the first and takes 5 more for the tape."""
    choice = (
        Option(leader=0, waits=(wait(0, 1, 30),), extra=((1, 5),)),
        Option(leader=1, waits=(wait(1, 0, 30),), extra=((0, 5),)),
    )
    question = problem([work(10), work(20)], choices=(choice,))
    assert placed(question, 0, 1) == [[(0, 10)], [(40, 65)]]
    assert placed(question, 1, 0) == [[(50, 65)], [(0, 20)]]


def test_what_is_done_stays_and_the_wait_runs_from_it() -> None:
    steps = [work(0, fixed=(Span(-30, -10),)), work(10)]
    assert placed(problem(steps, [wait(0, 1, 45)])) == [[(-30, -10)], [(35, 45)]]


def test_what_has_begun_goes_on() -> None:
    """20 minutes are left of it; that it began outside what fits is a fact."""
    begun = work(20, fixed=(Span(-30, -10),), fit=(Span(400, 500),))
    assert placed(problem([begun, work(10)], [wait(0, 1)])) == [[(-30, -10), (0, 20)], [(20, 30)]]


def test_what_a_begun_one_bars_waits_for_its_end() -> None:
    """The rest of the coat can only go on at 40; the dust does not slip in between."""
    bars = (Barrier(by=0, until=Lag(15), bars=frozenset({1})),)
    question = problem([work(10, fixed=(Span(-30, -10),), release=40), work(20)], barriers=bars)
    assert placed(question, 1, 0) == [[(-30, -10), (40, 50)], [(65, 85)]]


def test_a_remedy_does_not_slip_into_what_has_begun() -> None:
    """The coat 0 was begun, and 3 is to be done before its rest, after a dusty remedy (2) that the wet coat keeps
    out.

    Not all of that can hold; what stands in the way is that the coat is wet, and only that gives way.
    """
    steps = [work(10, fixed=(Span(-30, -10),)), work(0, fixed=(Span(-100, -90),)), work(5, optional=True), work(20)]
    waits = [wait(1, 3, 0, until=50, remedy=2), wait(1, 2)]
    bars = (Barrier(by=0, until=Lag(15), bars=frozenset({2})),)
    free = problem(steps, waits, barriers=bars)
    assert placed(free, 3, 0) == [[(-30, -10), (0, 10)], [(-100, -90)], [(25, 30)], [(30, 50)]]
    owed = problem(steps, [*waits, wait(3, 0)], barriers=bars)
    where = stuck(owed)
    assert (where.activity, where.rule) == (2, "closed")
    assert concession(owed, where) == Concession("closed", 2, 0)


def test_a_moment_takes_no_hours() -> None:
    """Moment 1 is ready at 40, outside the hours; what follows it 10 later begins with the next slot."""
    question = problem([work(10), work(0), work(5)], [wait(0, 1, 30), wait(1, 2, 10)], slots=slots((0, 20), (60, 90)))
    assert placed(question) == [[(0, 10)], [], [(60, 65)]]


def test_stuck_says_which_activity_and_which_rule() -> None:
    assert stuck(problem([work(50)], slots=slots((0, 40), (50, 90)))) == Stuck(0, "room")
    assert stuck(problem([work(50, fit=(Span(0, 40),), hold=Lag())])) == Stuck(0, "fit")
    assert stuck(problem([work(5), work(5)], [wait(0, 1), wait(1, 0)])).rule == "circle"
    dirty = Soil(soils=frozenset({0}), cleans=frozenset(), wants_clean=frozenset({1}))
    done = work(0, fixed=(Span(-10, 0),))
    unclean = stuck(problem([done, work(5)], soils=(dirty,)))
    assert (unclean.activity, unclean.rule) == (1, "clean")
    late = stuck(problem([done, work(5, release=50)], [wait(0, 1, 0, until=20)]))
    assert (late.activity, late.rule) == (1, "window")


def test_room_is_kept_for_a_first_piece_before_its_turn() -> None:
    """Noise ends at 60, the evening at 90. 75 noisy minutes that may be cut into 30s, and 60 quiet ones in one piece.

    Served first the noise leaves too little of the first evening, served last it finds nothing on it. With room kept
    for 30 of it both get on.
    """
    evenings = [Slot(at + a, at + b, (1, loud)) for at in (0, 200, 400) for a, b, loud in ((0, 60, 1), (60, 90, 0))]
    noise, quiet = work(75, 30, takes=(1, 1)), work(60, takes=(1, 0))
    asked = problem([noise, quiet], slots=tuple(evenings))
    assert asked.pausing == (0,)

    def served(*rank: float) -> list[tuple[Span, ...]]:
        answer = Placer(asked).place(rank)
        assert not isinstance(answer, Stuck)
        assert faults(asked, answer) == []
        return list(answer.pieces)

    assert served(0, 1) == [(Span(0, 45), Span(200, 230)), (Span(230, 290),)]
    assert served(1, 0) == [(Span(200, 245), Span(400, 430)), (Span(0, 60),)]
    assert served(2, 1, 0) == [(Span(0, 30), Span(200, 245)), (Span(30, 90),)]


@given(problems(), st.integers(0, 99))
def test_whatever_is_placed_breaks_no_rule(question: Problem, seed: int) -> None:
    """Random orders of random problems, against a check that shares nothing with the placer."""
    random, placer = Random(seed), Placer(question)
    for _ in range(3):
        places = len(question.activities) + random.choice((0, len(question.pausing)))
        answer = placer.place([random.random() for _ in range(places)])
        assert isinstance(answer, Stuck) or faults(question, answer) == []


@given(problems(facts=False))
def test_backwards_is_placed_by_the_same_rules(question: Problem) -> None:
    """The mirrored problem of plain work and waits is a problem too: its placements pass the same check."""
    from scheduler.solver.network import mirrored

    mirror = mirrored(question)
    answer = Placer(mirror).place([0.0] * len(mirror.activities), floor=-600)
    assert isinstance(answer, Stuck) or faults(mirror, answer) == []
