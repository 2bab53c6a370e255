"""What the bound can tell, on examples small enough to count by hand, and that it never tells too much."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from scheduler.model.basics import Span
from scheduler.model.clock import DryClock
from scheduler.solver.conflicts import Stuck
from scheduler.solver.energy import Supply, last_after, lateness
from scheduler.solver.problem import Barrier, Lag, Option, Problem, Slot, Soil
from scheduler.solver.proof import propagation as refuting
from scheduler.solver.proof.bound import Prover, latest_starts
from scheduler.solver.proof.branching import Refuter
from scheduler.solver.proof.propagation import settle
from scheduler.solver.proof.state import BACK, FORE, ProofInstance, Refuted, State
from scheduler.solver.search import search
from tests.bench.oracle import ask
from tests.support.bounds import lower_bound
from tests.support.problems import SLOW_NIGHTS, problem, problems, slots, wait, work

LATE = 900
"""A finish that every example here can beat by far, so that nothing is proven by knowing it."""


def bound(asked: Problem) -> int:
    """The bound, not helped by a good finish: up to where one minute after the other is refuted."""
    finish = lower_bound(asked, LATE)
    while finish < LATE and lower_bound(asked, finish + 1) > finish:
        finish += 1
    return finish


def least_end(asked: Problem, i: int) -> int:
    """The earliest end of one that conclusions alone draw, nothing being decided."""
    state = State(ProofInstance(asked))
    state.begin()
    state.done_by(LATE)
    state.look_closer()
    settle(state)
    return state.end[FORE][i]


def test_a_chain_through_a_night() -> None:
    """40 minutes, a wait of 100, 30 minutes in hours 0-50 and 120-200: the wait is over at 140, the end is 170."""
    assert bound(problem([work(40), work(30)], [wait(0, 1, 100)], slots=slots((0, 50), (120, 200)))) == 170


def test_work_in_one_piece_does_not_use_the_rest_of_a_window() -> None:
    """30 + 30 minutes in hours 0-50 and 100-200: the second does not fit in the 20 that are left, it ends at 130."""
    assert bound(problem([work(30), work(30)], slots=slots((0, 50), (100, 200)))) == 130


def test_work_that_pauses_is_cut_into_pieces_that_are_long_enough() -> None:
    """60 minutes, none under 20, in hours 0-50 and 100-200: 50 + 10 is not allowed, 40 + 20 ends at 120."""
    assert bound(problem([work(60, 20)], slots=slots((0, 50), (100, 200)))) == 120


def test_all_that_comes_before_must_be_done_first() -> None:
    """30, 40 and 50 minutes by one person, then 10 that wait for all: 30 + 40 + 50 + 10 = 130."""
    asked = problem([work(30), work(40), work(50), work(10)], [wait(0, 3), wait(1, 3), wait(2, 3)])
    assert bound(asked) == 130


def test_what_pauses_leaves_a_rest_of_hours_that_is_too_short_for_a_piece() -> None:
    """One person. 60 minutes, none under 20, and two of 25 in one piece whose air fits only in the first hours, 0-60;
    further hours are 100-200. The 10 minutes that the two leave are of no use to the other, which ends at 160."""
    films = [work(25, fit=(Span(0, 60),), hold=Lag()) for _ in range(2)]
    asked = problem([work(60, 20), *films], slots=slots((0, 60), (100, 200)))
    assert least_end(asked, 0) == 160


def test_two_people_are_no_more_than_one_to_whoever_works_alone() -> None:
    """Two people at 0-100 and 200-300. One takes both for 60 minutes, within 0-100. Of another, 90 minutes that one
    person does in pieces of 10 at least, 40 find room before 100; all of it is done at 250, though the hours of two
    would give 80 minutes before 100."""
    both = work(60, takes=(2,), fit=(Span(0, 100),), hold=Lag())
    asked = problem([both, work(90, 10)], slots=slots((0, 100), (200, 300), people=2))
    assert least_end(asked, 1) == 250


def test_what_runs_in_one_piece_begins_in_a_stretch_that_has_room_for_it() -> None:
    """Two people at 0-100 and 200-300. Twice 25 minutes take both, and have air only at 0-100. Nobody works alone
    while both are taken: 56 minutes in one piece, by one, find 50 there at most, and end at 256."""
    both = [work(25, takes=(2,), fit=(Span(0, 100),), hold=Lag()) for _ in range(2)]
    assert least_end(problem([*both, work(56)], slots=slots((0, 100), (200, 300), people=2)), 2) == 256


def test_a_remedy_that_is_called_for_too_late_does_not_clean() -> None:
    """30 minutes of dust, then 20 that want it clean. Who cleans, for 10 minutes, is not there before 200; a remedy
    would clean as well, but it waits for 500 minutes after a film of 10: 230."""
    soil = Soil(soils=frozenset({0}), cleans=frozenset({2, 4}), wants_clean=frozenset({1}))
    remedy = wait(3, 4, 500)
    steps = [work(30), work(20), work(10, release=200), work(10), work(10, optional=True), work(5)]
    window = replace(wait(3, 5), until=Lag(500), remedy=4)
    assert bound(problem(steps, [wait(0, 1), remedy, window], soils=(soil,))) == 230


def test_who_can_only_be_the_last() -> None:
    """One person. Two of 30 minutes, each followed by a wait of 100 and 10 minutes; and one of 60 minutes.

    The 60 last: 30 + 30 + 60 = 120, then the wait of the second 30 is over at 160, and the last 10 end at 170. The
    60 between or before the two only put off the second wait: 120 + 100 + 10.
    """
    asked = problem(
        [work(30), work(30), work(60), work(10), work(10)], [wait(0, 3, 100), wait(1, 4, 100)], slots=slots((0, 500))
    )
    assert bound(asked) == 170


def test_two_that_need_both_people() -> None:
    """Two people. 20 minutes for both, and two of 50 for one each; from hour 0-500: 20 + 50 = 70, not 60."""
    two = Slot(0, 500, (2,))
    asked = problem([work(20, takes=(2,)), work(50), work(50)], slots=(two,))
    assert bound(asked) == 70


def test_what_is_certain_to_run_takes_its_room() -> None:
    """Two people, 15 + 30 + 30 minutes, each for one: 75 person minutes fit in 38, but one must do two: 45."""
    assert bound(problem([work(15), work(30), work(30)], slots=slots((0, 500), people=2))) == 45


def test_a_wet_film_bars_what_is_dusty() -> None:
    """Two people. 20 wet minutes bar 30 dusty ones until 60 after their end; dirt must be wiped off first, in 10.

    The wet first: 20 + 60 + 30 = 110, and the wipe ends at 120. The dust first: 30 + 10 + 20 = 60.
    With the dust held until minute 25 by its release the second way ends at 25 + 30 + 10 + 20 = 85.
    """
    asked = problem(
        [work(20), work(30, release=25), work(10)],
        [wait(1, 2)],
        slots=slots((0, 500), people=2),
        barriers=(Barrier(by=0, until=Lag(60), bars=frozenset({1})),),
        soils=(Soil(soils=frozenset({1}), cleans=frozenset({2}), wants_clean=frozenset({0})),),
    )
    assert bound(asked) == 85


def test_what_pauses_may_be_around_a_film() -> None:
    """Two people. 10 wet minutes bar 60 dusty ones, from minute 5 on and in pieces of 20 or more, until 30 after
    their end; and 60 after their end come 10 minutes more.

    The film first: 10 + 30 + 60 = 100. The dust first: 5 + 60 + 10 + 60 + 10 = 145. The dust around the film: 5 + 20
    + 10 + 30 + 40 = 105. If the last 10 follow 5 after the film, the dust first is best: 5 + 60 + 10 + 5 + 10 = 90.
    """

    def asked(lag: int) -> Problem:
        return problem(
            [work(10), work(60, 20, release=5), work(10)],
            [wait(0, 2, lag)],
            slots=slots((0, 500), people=2),
            barriers=(Barrier(by=0, until=Lag(30), bars=frozenset({1})),),
        )

    assert bound(asked(60)) == 100
    assert bound(asked(5)) == 90


def test_what_is_known_to_come_later_waits_for_the_film_even_if_it_pauses() -> None:
    """20 wet minutes, then 60 in pieces of 20, barred until 50 after the film: 20 + 50 + 60 = 130."""
    asked = problem(
        [work(20), work(60, 20)], [wait(0, 1)], barriers=(Barrier(by=0, until=Lag(50), bars=frozenset({1})),)
    )
    assert bound(asked) == 130


def test_each_choice_costs_something() -> None:
    """40 and 50 minutes; the second one takes 10 more and waits for 30 minutes: 40 + 30 + 50 + 10 = 130."""
    choice = (
        Option(leader=0, waits=(wait(0, 1, 30),), extra=((1, 10),)),
        Option(leader=1, waits=(wait(1, 0, 30),), extra=((0, 10),)),
    )
    assert bound(problem([work(40), work(50)], choices=(choice,))) == 130


def test_a_window_that_closes_leaves_room_for_the_minutes_that_a_choice_adds() -> None:
    """A minute that has to start within 40 of 22 gets five more: after hours 10-22 it ends at 65 in 59-69."""
    choice = (
        Option(leader=0, waits=(wait(0, 1),), extra=((1, 5),)),
        Option(leader=1, waits=(wait(1, 0, 5000),)),
    )
    hours = slots((10, 22), (59, 69))
    assert bound(problem([work(12), work(1)], [wait(0, 1, until=40)], choices=(choice,), slots=hours)) == 65


def test_a_latest_end_lies_inside_the_air_that_fits() -> None:
    """10 minutes, in air that fits from 0 to 50 and from 200 on, and that must hold for 30 more.

    In hours 0-300, with what follows after 40 done by 150, the first ends by 20: by 100, and 50 less 30.
    """
    airy = work(10, fit=(Span(0, 50), Span(200, 300)), hold=Lag(30))
    asked = problem([airy, work(10)], [wait(0, 1, 40)], slots=slots((0, 300)))
    assert latest_starts(asked, 150) == [10.0, 140.0]
    assert latest_starts(asked, 290) == [230.0, 280.0]


def test_more_work_may_end_earlier() -> None:
    """25 minutes in pieces of 10 or more don't fit into three tens, 30 do: 10 from 0, from 20 and from 40 on.

    One choice adds 5 minutes or nothing. With them the work ends at 50; without them 15 must wait for minute 100.
    """
    more, plain = Option(leader=0, waits=(), extra=((0, 5),)), Option(leader=1, waits=())
    hours = slots((0, 10), (20, 30), (40, 50), (100, 200))
    asked = problem([work(25, 10), work(0)], slots=hours)
    assert bound(asked) == 115
    assert bound(replace(asked, choices=((more, plain),))) <= 50


def test_a_dry_clock_counts_in_both_directions() -> None:
    """A film that needs 60 minutes, at half speed until 100: from its end at 20 it is at 40 by 100, at 60 by 120."""
    clock = DryClock((0, 100, 1000), (0.0, 50.0, 950.0))
    asked = problem([work(20), work(10)], clocks=(clock,))
    waiting = replace(wait(0, 1), lag=Lag(60, 0))
    assert bound(replace(asked, waits=(waiting,))) == 130
    assert latest_starts(replace(asked, waits=(waiting,)), 130) == [0.0, 120.0]


def test_a_dry_clock_backwards_is_exact_to_the_minute() -> None:
    """A clock at half speed until minute 50. 9 minutes end at 22; 14 reference minutes are over at 50, 5 more at 55,
    then 6 more at 61, when 3 minutes begin: 64 can be met, and that is seen backwards too."""
    asked = problem(
        [work(9), work(1), work(3)],
        [replace(wait(0, 1), lag=Lag(19, 0)), replace(wait(1, 2), lag=Lag(5, 0))],
        slots=slots((13, 23), (45, 86)),
        clocks=(SLOW_NIGHTS,),
    )
    state = State(ProofInstance(asked))
    state.begin()
    assert [(state.start[FORE][i], state.end[FORE][i]) for i in range(3)] == [(13, 22), (55, 56), (61, 64)]
    assert not Prover(asked).refutes(64, Refuter(0))
    assert Prover(asked).refutes(63, Refuter(0))


def test_what_is_dusty_may_begin_while_what_wants_it_clean_pauses() -> None:
    """Hours 0-50 and 100-200, one person. 40 minutes that want it clean at their start, in pieces of 10 at least, may
    be 0-10 and 40-50 around 30 minutes of dust, and go on at 100: nobody has to clean, and all is done at 120."""
    soil = Soil(soils=frozenset({1}), cleans=frozenset({2}), wants_clean=frozenset({0}))
    steps = [work(40, 10), work(30, release=5), work(5, release=500)]
    asked = problem(steps, soils=(soil,), slots=slots((0, 50), (100, 200), (500, 505)))
    state = State(ProofInstance(asked))
    state.begin()
    state.raise_start(BACK, 1, -50)
    state.raise_start(BACK, 0, -120)
    state.look_closer()
    settle(state)
    assert state.start[FORE][0] == 0


def test_a_mere_moment_after_the_end_does_not_count() -> None:
    """A moment 500 minutes after the last work is no work: the finish is the end of the work, 30."""
    assert bound(problem([work(30), work(0)], [wait(0, 1, 500)])) == 30


def test_what_is_done_did_not_wait() -> None:
    """A fact may break a wait, and what follows from that holds for nobody else."""
    done = work(0, fixed=(Span(-20, -5),))
    assert bound(problem([work(30), done, work(20)], [wait(0, 1, 100), wait(1, 2, 10)])) == 50


def test_a_remedy_is_not_counted() -> None:
    """An optional activity takes no time unless a window is missed."""
    asked = problem([work(30), work(30), work(50, optional=True)], [wait(0, 1, 0, until=100, remedy=2)])
    assert bound(asked) == 60


def test_what_must_follow_soon_keeps_back_what_it_follows() -> None:
    """1 comes in at 200 and must start within 50 of the end of 0, so that 0 ends at 150 at the earliest. What waits
    100 for that starts at 250 and ends at 260."""
    asked = problem([work(10), work(10, release=200), work(10)], [wait(0, 1, 0, until=50), wait(0, 2, 100)])
    assert bound(asked) == 260


@pytest.mark.parametrize(("ready", "end"), [(100, 210), (200, 250), (250, 260)])
def test_a_window_is_kept_or_its_remedy_comes_between(ready: int, end: int) -> None:
    """The same with a remedy of 30 minutes, `ready` after the end of 0: if that is at 10, the remedy is over at
    `ready` + 40, and 1 ends 10 later; at 210 at the earliest. To keep the window takes until 260."""
    remedy = work(30, optional=True)
    asked = problem(
        [work(10), work(10, release=200), work(10), remedy],
        [wait(0, 1, 0, until=50, remedy=3), wait(0, 2, 100), wait(0, 3, ready)],
    )
    assert bound(asked) == end


def test_it_stops_at_a_known_finish() -> None:
    """Whatever could be proven, the bound is never later than what is known to be possible."""
    assert lower_bound(problem([work(40)]), 40) == 40


def test_nothing_to_do() -> None:
    """A problem without activities ends at once, whatever is known."""
    assert lower_bound(problem([]), 0) == 0


def test_supply_counts_the_minutes_of_the_hours() -> None:
    """Hours 10-20 for one and 30-40 for two: 5 by minute 15, 10 by 25, 20 by 35; and 12 are given by minute 31."""
    supply = Supply(problem([work(1)], slots=(Slot(10, 20, (1,)), Slot(30, 40, (2,)))), 0)
    assert [supply.before(minute) for minute in (5, 15, 25, 35, 99)] == [0, 5, 10, 20, 30]
    assert [supply.when(amount) for amount in (5, 10, 12, 30, 31)] == [15, 20, 31, 40, None]


@pytest.mark.parametrize(("deadline", "late"), [(33, -3), (30, 0), (29, 1), (20, 10)])
def test_work_is_done_the_earliest_deadline_first(deadline: int, late: int) -> None:
    """10 from 0 by 50; 20 from 10 by the deadline; 5 from 5 by 15: the 20 are done by 30 at the earliest."""
    assert lateness([(0, 50, 10), (10, deadline, 20), (5, 15, 5)]) == late


def test_no_more_lateness_than_enough_is_looked_for() -> None:
    """10 by 8 are 2 late, 10 more by 9 are 11 late; where one minute is enough, 2 it is."""
    wanting = [(0, 8, 10), (0, 9, 10)]
    assert (lateness(wanting), lateness(wanting, enough=1)) == (11, 2)


def test_the_last_of_a_set() -> None:
    """10 and 20 from 0 by 35, and 10 from 0 by 100: 40 do not fit by 35, so the third comes last, after 30."""
    assert last_after([(0, 35, 10), (0, 35, 20), (0, 100, 10)]) == [(2, 30)]


ENTRIES = st.lists(st.tuples(st.integers(0, 6), st.integers(0, 16), st.integers(1, 5)), min_size=2, max_size=5)


@settings(max_examples=400)
@given(ENTRIES)
def test_the_last_of_all_sets(entries: list[tuple[int, int, int]]) -> None:
    """Set by set, as the rule says: work with heads from h on and deadlines by d, and one more with a later deadline.

    If they do not fit between the earlier of the two heads and d, that one comes after all the others, which are done
    at the earliest when, from some head of theirs on, their work follows without a gap.
    """
    found: dict[int, int] = {}
    for d in {deadline for _, deadline, _ in entries}:
        for h in {head for head, _, _ in entries}:
            others = [(head, amount) for head, deadline, amount in entries if head >= h and deadline <= d]
            work = sum(amount for _, amount in others)
            done = max((begin + sum(a for head, a in others if head >= begin) for begin, _ in others), default=0)
            for k, (head, deadline, amount) in enumerate(entries):
                if others and deadline > d and min(h, head) + work + amount > d and done > head:
                    found[k] = max(found.get(k, 0), done)
    assert dict(last_after(entries)) == found


@settings(max_examples=25)
@given(problems())
def test_never_above_the_optimum(asked: Problem) -> None:
    """Neither just above the optimum of an independent solver nor far above it is the optimum refuted."""
    answer = ask(asked, effort=2.0)
    assume(answer.status == "optimal")
    for known, effort in ((1, 8_000), (1, 200), (300, 8_000), (300, 0)):
        assert lower_bound(asked, answer.finish + known, effort) <= answer.finish


@settings(max_examples=25)
@given(problems(), st.integers(-30, 30))
def test_whoever_asks_for_the_finish_alone_is_told_nothing_that_is_not_so(asked: Problem, more: int) -> None:
    """Asked for the finish, or only whether it can be by some minute: a proof never says more than the solver."""
    answer = ask(asked, effort=2.0)
    assume(answer.status == "optimal")
    assert not Prover(asked).refutes(answer.finish, Refuter(200))
    goal = answer.finish + more
    for found in (search(asked, 2_000, needed=0), search(asked, 2_000, needed=0, goal=goal)):
        if not isinstance(found, Stuck):
            assert found.finish_not_before <= answer.finish <= found.placement.finish
    short = search(asked, 2_000, needed=0, goal=goal)
    if more >= 0 and not isinstance(short, Stuck):
        assert short.finish_not_before <= goal


def test_what_wants_it_clean_waits_for_the_only_one_that_cleans() -> None:
    """30 minutes of dust, then 20 that want it clean; who cleans, for 10 minutes, can't come before 200: 230."""
    soil = Soil(soils=frozenset({0}), cleans=frozenset({2}), wants_clean=frozenset({1}))
    asked = problem([work(30), work(20), work(10, release=200)], [wait(0, 1)], soils=(soil,))
    assert bound(asked) == 230


def test_who_cleans_waits_for_the_first_piece_of_dust_that_is_certain_to_come_before() -> None:
    """Hours 0-60 and 100-160. 60 minutes of dust, in two, begin in the first hours if they are done by 130. The 20
    that want it clean can't be before that: the wipe of 10 comes after 30 minutes of dust, and they start at 40.
    """
    soil = Soil(soils=frozenset({0}), cleans=frozenset({2}), wants_clean=frozenset({1}))
    barrier = Barrier(by=1, until=Lag(), bars=frozenset({0}))
    steps = [work(60, 30), work(20, release=15), work(10)]
    asked = problem(steps, soils=(soil,), barriers=(barrier,), slots=slots((0, 60), (100, 160)))
    state = State(ProofInstance(asked))
    state.begin()
    state.done_by(130)
    state.raise_start(BACK, 1, -60)
    state.look_closer()
    settle(state)
    assert (state.start[FORE][2], state.start[FORE][1]) == (30, 40)


@settings(max_examples=80)
@given(problems(), st.integers(0, 400))
def test_alternatives_left_alone_until_something_changes_are_decided_alike(asked: Problem, finish: int) -> None:
    """The same is known at the end if all of them are gone through every time."""

    def known(*, everything: bool) -> list[list[int]] | None:
        def decide(state: State) -> None:
            state.changed = -1
            decided(state)

        decided = refuting._decide_forced
        state = State(ProofInstance(asked))
        with pytest.MonkeyPatch.context() as patch:
            if everything:
                patch.setattr(refuting, "_decide_forced", decide)
            try:
                state.begin()
                state.done_by(finish)
                state.look_closer()
                settle(state)
            except Refuted:
                return None
        return [*state.start, *state.end]

    assert known(everything=False) == known(everything=True)
