"""The verifier on the edges of its rules: last minutes, touching spans, ties, and what a record excuses."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

import pytest

from scheduler.model.basics import Estimate, Span
from scheduler.model.clock import StageClock
from scheduler.model.graph import Choice, ColourOrder, Link
from scheduler.model.hours import Window
from scheduler.model.plan import Ready
from tests.support.sound import CASE, PIECES, at, moved, run, sound
from tests.support.written import Case
from tests.verifying.siblings import only, with_graph, with_session, with_step


def with_amount(name: str, stage: str, amount: float) -> Case:
    """The case in which one stage of one film takes so many reference minutes."""
    film = CASE.films[name]
    stages = {**film.stages, stage: StageClock(film.stages[stage].clock, amount, "film", "invented")}
    return replace(CASE, films={**CASE.films, name: replace(film, stages=stages)})


def cut_window(case: Case, text: str, before: dict[str, object], after: dict[str, object]) -> Case:
    """The case with one window cut in two at a moment; the fields given hold on either side."""
    cut = at(text)
    windows = [
        new
        for w in case.windows
        for new in (
            (replace(w, end=cut, **before), replace(w, start=cut, **after))  # type: ignore[arg-type]
            if w.start < cut < w.end
            else (w,)
        )
    ]
    return replace(case, windows=tuple(windows))


# --- Where spans touch -----------------------------------------------------------------------------------------


def test_from_the_minute_on_which_people_leave_only_the_others_count() -> None:
    """Three until 9:30, one from then on. The den keeps one busy all morning, so the lamp hangs by 9:30 or not."""
    case = cut_window(CASE, "4 9:30", {"people": 3}, {"people": 1}).task("prime", people=1)
    assert case.broken(moved(case, lamp=run(4, "9:00", "9:30"))) == ()
    found = case.broken(moved(case, lamp=run(4, "9:30", "10:00")))
    assert {(broken.rule, broken.step) for broken in found} == {("enough people", "lamp"), ("enough people", "drill")}


def test_from_the_minute_on_which_people_come_they_count() -> None:
    """One until 9:00, three from then on: the lamp and the cutting both begin at 9:00."""
    windows = tuple(replace(w, people=1) if w.start == at("4 8:00") else w for w in CASE.windows)
    case = replace(CASE, windows=windows)
    assert case.broken(moved(case, lamp=run(4, "9:00", "9:30"))) == ()


def test_a_noisy_piece_may_end_when_quiet_begins_and_begin_when_it_ends() -> None:
    """Loud until 8:45, quiet until 9:00."""
    case = cut_window(CASE, "4 8:45", {"quiet": False}, {"quiet": True}).task("lamp", noisy=True)
    assert case.broken(moved(case)) == ()
    assert case.broken(moved(case, lamp=run(4, "9:00", "9:30"))) == ()
    only("quiet hours", moved(case, lamp=run(4, "8:16", "8:46")), "lamp", case)
    only("quiet hours", moved(case, lamp=run(4, "8:59", "9:29")), "lamp", case)


def test_a_wipe_down_may_end_when_the_wet_step_starts() -> None:
    assert CASE.broken(moved(wipe=run(4, "10:25", "10:45"))) == ()


def test_a_wipe_down_may_start_when_the_dust_ends() -> None:
    """The second piece of cutting ends at 10:20. Wiping from 10:20 on is right, a minute before is too soon."""
    case = with_graph(links=tuple(link for link in CASE.graph.links if link.after != "wipe"))
    assert case.broken(moved(case)) == ()
    found = case.broken(moved(case, wipe=run(4, "10:19", "10:39")))
    assert {(each.rule, each.step) for each in found} == {
        ("wiped before wet", "prime"),
        ("no dust while wiping", "cut"),
    }


def test_air_may_turn_fit_on_the_minute_of_the_start_and_unfit_on_that_of_the_stage() -> None:
    """Primed from 10:45, touch-dry at 12:30."""
    films = {**CASE.films, "prime": replace(CASE.films["prime"], fit=(run(4, "10:45", "12:30"),))}
    assert replace(CASE, films=films).broken(sound()) == ()
    late = {**CASE.films, "prime": replace(CASE.films["prime"], fit=(run(4, "10:46", "12:30"),))}
    only("air limits", sound(), "prime", replace(CASE, films=late))


def test_a_film_that_never_gets_there_is_not_held_by_any_air() -> None:
    """The clock knows 60 days; a touch that takes longer is never reached, and no span of fit air holds it."""
    case = with_amount("prime", "touch", 10**6)
    case = replace(case, graph=replace(case.graph, closed={}))
    only("air limits", moved(case), "prime", case)


def test_sessions_bear_numbers_of_their_own() -> None:
    only("sessions in order", with_session(sound(), 1, number=1))


def test_two_sessions_that_touch_are_two() -> None:
    """One stretch of Saturday ends at 12:30 and another begins: each is set up and cleared up for itself."""
    first, second = at("11 12:00"), at("11 12:30")
    windows = tuple(
        replace(w, end=second if w.end == first else w.end, work_end=second)
        if at("11 8:00") <= w.start < first
        else replace(w, session=9, work_start=second)
        if w.start == second
        else w
        for w in CASE.windows
    )
    case = replace(CASE, job=replace(CASE.job, set_up=0, clear_up=0), windows=windows)
    plan = moved(case)
    assert [session.start for session in plan.sessions][2:4] == [at("11 8:00"), second]
    assert case.broken(plan) == ()
    bridging = moved(case, door=(*PIECES["door"][:1], run(11, "11:15", "12:45")))
    assert {"set up and clear up", "in one session"} <= {broken.rule for broken in case.broken(bridging)}


def test_an_item_is_there_from_the_first_minute_of_its_day() -> None:
    """The doors come on the 8th; work from midnight to 2:15 on that day, one minute earlier is the 7th."""
    night = Window(at("7 23:00"), at("8 3:00"), 1, False, 9, at("7 23:15"), at("8 2:45"), date(2026, 4, 7))
    case = replace(CASE, windows=tuple(sorted((*CASE.windows, night))))
    assert case.broken(moved(case, door=run(8, "0:00", "2:15"))) == ()
    only("items there", moved(case, door=Span(at("7 23:59"), at("8 2:14"))), "door", case)


def test_dust_of_another_room_needs_no_wipe_down() -> None:
    """The drill ends in the hall at 10:40, the den was wiped from 10:20 on, and is primed from 10:45 on."""
    links = tuple(link for link in CASE.graph.links if link.before != "drill")
    case = with_graph(links=links).task("drill", room="hall")
    assert case.broken(moved(case, drill=run(4, "10:20", "10:40"))) == ()


# --- Windows and remedies --------------------------------------------------------------------------------------


def test_a_window_that_does_not_end_is_not_missed() -> None:
    """Too slow for the 60 days that the clock knows: the window stays open, and nothing is scuffed."""
    case = with_amount("prime", "recoat_by", 10**6)
    assert case.broken(moved(case, scuff=None)) == ()
    only("remedies needed", moved(case), "scuff", case)


def test_of_two_ends_of_a_window_the_earlier_counts() -> None:
    """`recoat_by` is Tuesday the 7th at 4:00; twenty days after the end are far beyond, one day is before."""
    for days, ends in ((20, at("7 4:00")), (1, at("5 12:00"))):
        links = tuple(
            replace(link, within=days * 1440) if link.remedy == "scuff" else link for link in CASE.graph.links
        )
        case = with_graph(links=links)
        told = next(t for t in moved(case).step("cream-coat").after if t.latest and t.step == "prime")
        assert told.latest == ends
        assert case.broken(moved(case)) == ()


def test_a_remedy_may_start_when_the_film_is_ready_and_end_when_the_next_step_starts() -> None:
    """Cream is touch-dry at 11:00: scored from 11:00. Cream is coated at 9:30: scuffed until 9:30."""
    late = run(11, "14:00", "14:15")
    assert CASE.broken(moved(score=run(11, "11:00", "11:10"), cream_pull=late)) == ()
    only("windows kept", moved(score=run(11, "10:59", "11:09"), cream_pull=late), "cream-pull")
    assert CASE.broken(moved(scuff=run(11, "9:05", "9:30"))) == ()


def test_on_the_last_minute_the_remedy_may_be_there_or_not() -> None:
    """The window of the tape ends at 13:30."""
    score = run(11, "13:00", "13:10")
    assert CASE.broken(moved(score=score, cream_pull=run(11, "13:30", "13:45"))) == ()
    only("remedies needed", moved(score=score, cream_pull=run(11, "13:29", "13:44")), "score")


# --- Choices ---------------------------------------------------------------------------------------------------


def _choice(*leaders: tuple[str, tuple[Link, ...]]) -> Choice:
    one, other = (ColourOrder(name=name, leader=name, links=links) for name, links in leaders)
    return Choice(id="tie", options=(one, other))


def test_of_two_leaders_that_start_together_the_one_whose_links_hold_is_first() -> None:
    """Shelf and note both at 14:30: that the lamp follows the note is not so, that grey follows the shelf is."""
    note = ("note", (Link(before="note", after="lamp"),))
    shelf = ("shelf", (Link(before="shelf", after="grey-pull"),))
    for pair in ((note, shelf), (shelf, note)):
        case = with_graph(choices=(CASE.graph.choices[0], _choice(*pair)))
        plan = moved(CASE, shelf=run(11, "14:30", "15:10"))
        waits = (*plan.step("grey-pull").after, Ready(step="shelf", stage="end", ready=at("11 15:10"), latest=None))
        assert case.broken(with_step(plan, "grey-pull", after=waits)) == ()


def test_a_leader_without_work_leads_by_what_follows_it() -> None:
    """Cream needs no taping of its own: by its coat (Saturday 9:30) cream is still before grey (Sunday)."""
    case = CASE.task("cream-tape", work=Estimate.sure(0))
    assert case.broken(moved(case, cream_tape=None)) == ()  # nor does the day run within which tape is coated


def test_a_step_without_work_may_be_told_with_an_empty_piece() -> None:
    case = CASE.task("note", work=Estimate.sure(0))
    assert case.broken(moved(case, note=run(11, "14:30", "14:30"))) == ()


# --- What a record excuses -------------------------------------------------------------------------------------


def test_what_began_too_early_by_the_record_is_not_the_plan_s_fault() -> None:
    """The tape was begun to be pulled at 10:40, before touch (11:00), and its window is none of the plan's doing. The
    rest of it is: that waits for touch."""
    done = {
        name: PIECES[name] for name in ("lamp", "cut", "drill", "wipe", "prime", "scuff", "cream-tape", "cream-coat")
    }
    begun = {"cream-pull": ((run(11, "10:40", "10:45"),), 10)}
    facts = replace(CASE.facts, now=at("11 10:45"), done=done, begun=begun)
    case = replace(CASE, facts=facts)
    door = (run(11, "11:15", "12:00"), run(11, "12:30", "14:00"))
    plan = moved(case, cream_pull=(run(11, "10:40", "10:45"), run(11, "11:00", "11:10")), door=door)
    assert [str(broken) for broken in case.broken(plan)] == []
    early = moved(case, cream_pull=(run(11, "10:40", "10:45"), run(11, "10:45", "10:55")), door=door)
    only("order kept", early, "cream-pull", case)


def _door_after(case: Case) -> tuple[Span, ...]:
    """The doors all in one on the second Saturday: none of it lies before now."""
    assert case.facts.now <= at("11 11:15")
    return (run(11, "11:00", "12:00"), run(11, "12:30", "13:45"))


def test_wet_work_begun_in_the_dust_by_the_record_is_not_the_plan_s_fault() -> None:
    """The primer was begun at 10:45 and no wipe-down was done; but no dust may be made while it is wet."""
    done = {name: PIECES[name] for name in ("lamp", "cut", "drill")}
    begun = {"prime": ((run(4, "10:45", "11:00"),), 60)}
    case = replace(CASE, facts=replace(CASE.facts, now=at("4 11:00"), done=done, begun=begun))
    primed = (run(4, "10:45", "11:00"), run(4, "11:00", "12:00"))
    assert case.broken(moved(case, prime=primed, wipe=run(4, "12:30", "12:50"))) == ()


def test_a_wet_step_that_wipes_begins_with_a_wipe_down() -> None:
    """Without the wipe-down the primer goes on in the dust, unless priming itself begins by wiping."""
    links = tuple(link for link in CASE.graph.links if "wipe" not in (link.before, link.after))
    case = with_graph(links=links).task("wipe", wipes=False)
    only("wiped before wet", moved(case), "prime", case)
    assert case.task("prime", wipes=True).broken(moved(case.task("prime", wipes=True))) == ()


# --- What is told ----------------------------------------------------------------------------------------------


def test_usable_is_told_as_the_last_use_or_as_no_earlier_than_the_finish() -> None:
    """Every film fit for use 31 reference minutes after it was laid: the last at 12:31, the finish at 12:45."""
    case = CASE
    for name in CASE.films:
        case = replace(case, films={**case.films, name: with_amount(name, "use", 31).films[name]})
    plan = moved(case)
    assert plan.usable == at("12 12:31")
    assert case.broken(plan) == ()
    assert case.broken(replace(plan, usable=at("12 12:45"))) == ()
    only("sums", replace(plan, usable=at("12 12:40")), case=case)
    only("sums", replace(plan, usable=at("4 8:45")), case=case)


def test_without_a_film_the_room_is_usable_at_the_finish() -> None:
    case = replace(with_graph(links=(), choices=(), closed={}), films={})
    for name in CASE.films:
        case = case.task(name, film=None, wet=False)
    pieces = {name: spans for name, spans in PIECES.items() if name not in ("scuff", "grey-tape")}
    pieces["grey-tape"] = (run(12, "10:15", "10:45"),)
    plan = moved(case, pieces)
    assert (plan.usable, plan.cured) == (at("12 12:45"), at("12 12:45"))
    assert case.broken(plan) == ()
    only("sums", replace(plan, usable=plan.steps[0].end), case=case)


def test_links_between_the_same_steps_may_be_told_as_one() -> None:
    """Prime 0 and 5 minutes after wiping (10:40): told as 10:40 and 10:45, or as 10:45 alone."""
    case = with_graph(links=(*CASE.graph.links, Link(before="wipe", after="prime", wait=5)))
    assert case.broken(moved(case)) == ()
    one = Ready(step="wipe", stage="end", ready=at("4 10:45"), latest=None)
    assert case.broken(with_step(moved(case), "prime", after=(one,))) == ()
    only("waits told", with_step(moved(case), "prime", after=(replace(one, ready=at("4 10:43")),)), "prime", case)


def test_a_wait_may_be_told_past_a_step_without_work() -> None:
    """Prime, then the stripes that nobody marks, then the lamp: the lamp may say that it waits for the primer."""
    idle = CASE.task("note", work=Estimate.sure(0))
    more = (Link(before="prime", after="note", stage="recoat"), Link(before="note", after="lamp"))
    case = replace(idle, graph=replace(idle.graph, links=(*idle.graph.links, *more)))
    plan = moved(case, note=None, lamp=run(11, "8:15", "8:45"))
    told = (Ready(step="prime", stage="recoat", ready=at("5"), latest=None),)
    assert case.broken(with_step(plan, "lamp", after=told)) == ()
    assert case.broken(plan) == ()
    other = (replace(told[0], ready=at("5 1:00")),)
    only("waits told", with_step(plan, "lamp", after=other), "lamp", case)


def test_the_window_of_a_step_without_work_is_told_of_nothing_else() -> None:
    """The stripes could be marked for a day after the primer is dry. Nobody does; the lamp may hang for ever."""
    idle = CASE.task("note", work=Estimate.sure(0))
    more = (
        Link(before="prime", after="note", stage="recoat", within=2880),
        Link(before="note", after="lamp"),
        Link(before="prime", after="lamp", stage="recoat"),
    )
    case = replace(idle, graph=replace(idle.graph, links=(*idle.graph.links, *more)))
    plan = moved(case, note=None, lamp=run(11, "8:15", "8:45"))
    (told,) = (each for each in plan.step("lamp").after if each.step == "prime")
    assert told.latest is None and case.broken(plan) == ()
    only("waits told", with_step(plan, "lamp", after=(replace(told, latest=told.ready + 2880),)), "lamp", case)


@pytest.mark.parametrize("stage", ["touch", "tape"])
def test_a_wait_that_no_link_asks_for_is_not_told(stage: str) -> None:
    told = (Ready(step="cream-coat", stage=stage, ready=at("11 11:00"), latest=None),)
    only("waits told", with_step(sound(), "shelf", after=told), "shelf")


def test_a_wait_for_another_stage_is_another_wait() -> None:
    """The minutes are those of touch, the word is not."""
    told = (
        *sound().step("cream-pull").after,
        Ready(step="cream-coat", stage="sand", ready=at("11 11:00"), latest=None),
    )
    only("waits told", with_step(sound(), "cream-pull", after=told), "cream-pull")


@pytest.mark.parametrize(("follower", "stage"), [("note", "end"), ("cream-coat", "touch")])
def test_only_what_a_remedy_mends_may_name_it(follower: str, stage: str) -> None:
    """Scuffing ends at 9:25. The note has nothing to do with it, and scuffing has no stage but its end."""
    wrong = Ready(step="scuff", stage=stage, ready=at("11 9:25"), latest=None)
    told = (*sound().step(follower).after, wrong)
    only("waits told", with_step(sound(), follower, after=told), follower)


def test_a_step_in_the_plan_has_a_time() -> None:
    found = CASE.broken(with_step(sound(), "shelf", pieces=()))
    assert ("complete", "shelf") in {(broken.rule, broken.step) for broken in found}


def test_the_smallest_piece_is_told_as_it_is_or_as_the_whole_if_that_is_shorter() -> None:
    """The doors take 135 minutes in pieces of 45 or more."""
    only("as the job says", with_step(sound(), "door", smallest_piece=60), "door")
    case = CASE.task("note", smallest_piece=60)
    for told in (60, 15):
        assert case.broken(with_step(moved(case), "note", smallest_piece=told)) == ()
