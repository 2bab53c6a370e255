"""The verifier on random jobs: a sound plan passes whatever the job, and what is pushed too early is seen."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import HealthCheck, assume, given, settings
from hypothesis import strategies as st

from scheduler.model.basics import Span
from tests.planning.strategies import fresh_jobs, small_jobs
from tests.support.sound import CASE, PIECES, at, minutes_of_work, moved, run
from tests.support.written import Case, Pieces, written
from tests.verifying.witness import Witness

FEW = settings(
    max_examples=40,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large],
)
MANY = settings(max_examples=200, deadline=None, derandomize=True)


def with_facts(case: Case, pieces: Pieces) -> Pieces:
    """The pieces, cut at now where a step is under way."""
    cut: dict[str, tuple[Span, ...]] = {}
    for name, spans in pieces.items():
        so_far, _ = case.facts.begun.get(name, ((), 0))
        rest = [Span(max(span.start, case.facts.now), span.end) for span in spans if span.end > case.facts.now]
        cut[name] = (*so_far, *rest) if name in case.facts.begun else spans
    return cut


def plain(case: Case) -> Case:
    """The case as it was before anything was done."""
    return replace(case, facts=replace(case.facts, now=case.job.start, done={}, begun={}, before={}))


@FEW
@given(small_jobs())
def test_a_sound_plan_of_any_job_breaks_no_rule(case: Case) -> None:
    """One step after the other, each when all it needs is there: dull, but sound; at the start and under way."""
    built = Witness(plain(case)).build()
    plan = written(case, with_facts(case, built.pieces), built.chosen)
    assert case.broken(plan) == ()


@FEW
@given(fresh_jobs(), st.data())
def test_a_step_a_minute_before_its_link_allows_is_seen(case: Case, data: st.DataObject) -> None:
    """Any link of any job: its follower starts one minute before what it follows is ready."""
    built = Witness(case).build()
    links = [link for link in built.links() if link.before in built.pieces and link.after in built.pieces]
    assume(links)
    link = data.draw(st.sampled_from(links))
    start = built.ready(link) - 1
    length = sum(piece.minutes for piece in built.pieces[link.after])
    pieces = {**built.pieces, link.after: (Span(start, start + length),)}
    found = {(broken.rule, broken.step) for broken in case.broken(written(case, pieces, built.chosen))}
    assert found & {("links", link.after), ("choices", link.after)}


@FEW
@given(fresh_jobs(), st.data())
def test_a_step_that_is_left_out_is_missed(case: Case, data: st.DataObject) -> None:
    built = Witness(case).build()
    gone = data.draw(st.sampled_from([name for name in built.pieces if not case.graph.task(name).remedy_of]))
    pieces = {name: spans for name, spans in built.pieces.items() if name != gone}
    assume(pieces)
    assert ("complete", gone) in {(b.rule, b.step) for b in case.broken(written(case, pieces, built.chosen))}


@FEW
@given(fresh_jobs())
def test_a_remedy_that_is_due_and_left_out_is_missed(case: Case) -> None:
    built = Witness(case).build()
    remedies = {name for name in built.pieces if case.graph.task(name).remedy_of}
    pieces = {name: spans for name, spans in built.pieces.items() if name not in remedies}
    broken = case.broken(written(case, pieces, built.chosen))
    # a step without minutes has no pieces: the witness mends no window of it, and the verifier rightly tells of it
    found = {b.step for b in broken if b.rule == "windows kept" and b.step in built.pieces}
    assert found == {(case.graph.task(name).remedy_of or ("", ""))[1] for name in remedies}


def hours_broken(case: Case, pieces: Pieces) -> bool:
    rules = {broken.rule for broken in case.broken(written(case, pieces, {"cream|grey": "cream"}))}
    return bool(rules & {"work hours", "set up and clear up"})


@MANY
@given(st.sampled_from(sorted(PIECES)), st.integers(0, 2), st.integers(-4 * 1440, 7 * 1440))
def test_a_piece_shifted_out_of_the_hours_is_caught_and_one_inside_is_not(name: str, which: int, by: int) -> None:
    """Counted minute by minute: does every minute of the piece lie in hours, after set-up and before clear-up?"""
    spans = list(PIECES[name])
    piece = spans[which % len(spans)]
    spans[which % len(spans)] = Span(piece.start + by, piece.end + by)
    inside = set(range(piece.start + by, piece.end + by)) <= minutes_of_work()
    assert hours_broken(CASE, {**PIECES, name: tuple(spans)}) is not inside


WET = (run(4, "10:45", "13:00"), run(11, "9:30", "11:30"), run(12, "11:00", "13:00"))
"""From the start of each wet step of the sound plan until its film is free of dust, counted by hand in `sound`."""


@MANY
@given(st.integers(at("4 8:15"), at("4 16:25")) | st.integers(at("11 8:15"), at("12 15:25")))
def test_dust_is_seen_in_just_those_minutes_in_which_a_film_is_wet(start: int) -> None:
    """The drill takes 20 minutes. Counted minute by minute: does any of them fall on a wet film?"""
    drill = Span(start, start + 20)
    on_wet = any(minute in range(*wet) for minute in range(*drill) for wet in WET)
    rules = {broken.rule for broken in CASE.broken(moved(drill=drill)) if broken.step == "drill"}
    assert ("dust and wet film" in rules) is on_wet
