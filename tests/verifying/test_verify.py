"""The verifier: the sound plan passes; each sibling that changes one thing is refused for just that thing."""

from __future__ import annotations

import ast
from dataclasses import replace
from pathlib import Path

import pytest

from scheduler import verifying as verifier
from scheduler.model.basics import Estimate
from scheduler.model.graph import Link
from scheduler.model.material import Remedy, Tape
from scheduler.verifying import CHECKS, rule_name
from tests.support.builders import colour
from tests.support.sound import CASE, LATER, PIECES, PIECES_LATER, STAGES, at, moved, run, sound
from tests.support.written import Case, written
from tests.verifying.siblings import only, with_graph, with_step

# --- The sound plan --------------------------------------------------------------------------------------------


def test_the_sound_plan_breaks_no_rule() -> None:
    assert CASE.broken(sound()) == ()


def test_the_sound_plan_in_the_midst_of_the_work_breaks_no_rule() -> None:
    """What is recorded may lie outside the hours; a step under way keeps its pieces and gets its rest."""
    assert LATER.broken(moved(LATER, PIECES_LATER)) == ()


def test_the_films_of_the_sound_plan_are_those_counted_by_hand() -> None:
    """Full rate by day, half by night; the sums stand beside the table."""
    told = {step.id: dict(step.film.stages) for step in sound().steps if step.film}
    assert told == STAGES
    assert (sound().finish, sound().usable, sound().cured) == (at("12 12:45"), at("13 4:00"), at("16 12:00"))


def test_every_rule_has_a_broken_sibling() -> None:
    text = "".join(path.read_text(encoding="utf-8") for path in Path(__file__).parent.glob("test_verify*.py"))
    assert [rule_name(check) for check in CHECKS if f'only("{rule_name(check)}"' not in text] == []


def test_every_rule_says_what_must_hold() -> None:
    assert [rule_name(check) for check in CHECKS if not check.__doc__] == []


def test_the_verifier_shares_nothing_with_the_planner() -> None:
    """It imports the vocabulary and the clock on the wall, its own files, and nothing else of the package."""
    allowed = ("scheduler.model.", "scheduler.wallclock", "scheduler.verifying")
    files = list(Path(verifier.__file__).parent.glob("*.py"))
    nodes = [node for file in files for node in ast.walk(ast.parse(file.read_text(encoding="utf-8")))]
    imported = {node.module or "" for node in nodes if isinstance(node, ast.ImportFrom)}
    imported |= {alias.name for node in nodes if isinstance(node, ast.Import) for alias in node.names}
    ours = {name for name in imported if name.startswith("scheduler")}
    assert ours
    assert [name for name in sorted(ours) if not name.startswith(allowed)] == []


# --- Hours and people ------------------------------------------------------------------------------------------


def test_a_piece_must_not_bridge_a_break() -> None:
    """The break is from 12:00 to 12:30; 12:20 lies in it."""
    plan = moved(door=(*PIECES["door"][:2], run(11, "12:20", "13:05")))
    said = only("work hours", plan, "door")
    assert said == (
        "works Saturday 11 April, 12:20 to Saturday 11 April, 13:05, but nobody is there at Saturday 11 April, 12:20"
    )


def test_a_piece_may_run_across_windows_that_touch() -> None:
    """Quiet ends at 9:00 and the work goes on: 8:50 to 9:20 is one piece."""
    assert CASE.broken(moved(lamp=run(4, "8:50", "9:20"))) == ()


def test_work_where_there_are_no_hours_at_all_lies_in_no_session_either() -> None:
    found = CASE.broken(moved(lamp=run(9, "9:00", "9:30")))
    assert {broken.rule for broken in found} == {"work hours", "in one session"}


@pytest.mark.parametrize(("start", "end"), [("8:14", "8:44"), ("8:00", "8:30")])
def test_no_step_runs_during_set_up(start: str, end: str) -> None:
    """The session begins at 8:00; 15 minutes of set-up last until 8:15."""
    only("set up and clear up", moved(lamp=run(4, start, end)), "lamp")


def test_no_step_runs_during_clear_up() -> None:
    """The session ends at 17:00; 15 minutes of clear-up begin at 16:45."""
    only("set up and clear up", moved(note=run(11, "16:31", "16:46")), "note")
    assert CASE.broken(moved(note=run(11, "16:30", "16:45"))) == ()


def test_two_steps_at_once_need_two_people() -> None:
    """On Sunday one person is there, and is coating from 11:00 to 12:00."""
    plan = moved(door=(*PIECES["door"][:2], run(12, "11:15", "12:00")))
    said = only("enough people", plan, "door")
    assert said.endswith("take 2 people, and 1 are there")


def test_a_two_person_step_needs_two_people() -> None:
    """On Wednesday evening one person is there."""
    only("enough people", moved(shelf=run(8, "19:00", "19:40")), "shelf")


def test_no_noise_in_quiet_hours() -> None:
    """Saturday is quiet until 9:00. The piece of 40 minutes begins at 8:45."""
    only("quiet hours", moved(cut=(run(4, "8:45", "9:25"), run(4, "10:00", "10:20"))), "cut")


def test_nothing_is_planned_before_now() -> None:
    case = replace(CASE, facts=replace(CASE.facts, now=at("4 8:16")))
    only("not in the past", moved(case), "lamp", case)


def test_nothing_is_planned_before_the_job_starts() -> None:
    case = replace(CASE, job=replace(CASE.job, start=at("4 8:16")))
    only("not in the past", moved(case), "lamp", case)


# --- Labour ----------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("end", ["8:40", "8:50"])
def test_a_task_gets_the_labour_it_takes(end: str) -> None:
    """The lamp takes 30 minutes: not 25, not 35."""
    only("labour", moved(lamp=run(4, "8:15", end)), "lamp")


def test_an_estimate_is_planned_at_its_mean() -> None:
    """Cutting takes (40 + 4 · 60 + 80) / 6 = 60 minutes, not the 80 of a bad day."""
    only("labour", moved(cut=(run(4, "9:00", "9:40"), run(4, "9:40", "10:20"))), "cut")


def test_taping_along_a_border_that_is_there_takes_its_extra_time() -> None:
    """Grey comes second: 30 + 10 minutes."""
    only("labour", moved(grey_tape=run(12, "10:15", "10:45")), "grey-tape")


def test_more_hands_take_the_minutes_of_their_number() -> None:
    """The lamp takes one person 30 minutes. Where one takes 40, or only two or three can do it, that is no plan."""

    def case(*table: tuple[int, int]) -> Case:
        return CASE.task("lamp", hands=tuple((people, Estimate.sure(minutes)) for people, minutes in table))

    assert case((1, 30), (2, 20)).broken(sound()) == ()
    said = only("hands", sound(), "lamp", case((1, 40), (2, 20)))
    assert said == "is given 30 minutes with 1 people; they take 40"
    said = only("hands", sound(), "lamp", case((2, 30), (3, 20)))
    assert said == "is done by 1 people, and can be done by 2, 3"


def test_the_labour_told_is_that_of_the_pieces() -> None:
    only("labour", with_step(sound(), "lamp", labour=31), "lamp")


def test_pieces_ascend() -> None:
    first, second, third = PIECES["door"]
    only("pieces in order", with_step(sound(), "door", pieces=(second, first, third)), "door")


def test_no_piece_is_empty() -> None:
    nothing = run(11, "13:15", "13:15")
    found = CASE.broken(with_step(sound(), "door", pieces=(*PIECES["door"], nothing)))
    assert {broken.rule for broken in found} == {"pieces in order", "smallest piece"}


def test_what_cannot_pause_runs_in_one_piece() -> None:
    only("one piece", moved(lamp=(run(4, "8:15", "8:30"), run(4, "8:35", "8:50"))), "lamp")


def test_no_piece_is_shorter_than_the_smallest() -> None:
    """60 + 45 + 30 = 135 minutes, and the smallest piece is 45."""
    plan = moved(door=(run(8, "18:15", "19:15"), run(11, "11:15", "12:00"), run(11, "12:30", "13:00")))
    only("smallest piece", plan, "door")


def test_a_task_shorter_than_its_smallest_piece_is_one_piece() -> None:
    """The lamp takes 30 minutes. With a smallest piece of 60 one piece of 30 is right, two are not."""
    case = CASE.task("lamp", smallest_piece=60)
    assert case.broken(moved(case)) == ()
    plan = moved(case, lamp=(run(4, "8:15", "8:30"), run(4, "8:35", "8:50")))
    only("smallest piece", plan, "lamp", case)


# --- Order -----------------------------------------------------------------------------------------------------


def test_a_step_waits_for_the_stage_of_the_film_it_follows() -> None:
    """The coat ends at 10:30 and is touch-dry 30 minutes later, at 11:00."""
    said = only("links", moved(cream_pull=run(11, "10:59", "11:14")), "cream-pull")
    assert said == "starts Saturday 11 April, 10:59; “Coat cream” is at touch at Saturday 11 April, 11:00"


def test_a_step_waits_for_the_end_of_the_step_it_follows() -> None:
    """No dust, no film: the wipe-down must wait for the drill, 9:40 to 10:00, by its link alone."""
    case = CASE.task("drill", dusty=False).task("cut", dusty=False)
    found = case.broken(moved(case, wipe=run(4, "9:50", "10:10")))
    assert {(broken.rule, broken.step) for broken in found} == {("links", "wipe")}
    assert len(found) == 2  # before the end of the drill, and of the cutting (10:20)


def test_a_step_waits_out_its_minutes() -> None:
    """Tape until 10:55, then 5 minutes: not before 11:00."""
    only("links", moved(grey_coat=run(12, "10:59", "11:59")), "grey-coat")


def test_a_link_to_a_stage_that_the_film_does_not_have_is_no_link() -> None:
    case = with_graph(links=(*CASE.graph.links, Link(before="lamp", after="note", stage="sand")))
    found = case.broken(sound())
    assert {(broken.rule, broken.step) for broken in found} == {("links", "note"), ("waits told", "note")}


def test_a_colour_is_taped_over_only_when_its_film_bears_it() -> None:
    """Cream ends at 10:30 and bears tape 480 minutes later, at 18:30. Taping grey at 16:00 is too early."""
    said = only("choices", moved(grey_tape=run(11, "16:00", "16:40")), "grey-tape")
    assert said.endswith("by the plan cream comes first where cream and grey touch")


def test_the_colour_whose_leader_starts_first_is_first() -> None:
    """Grey taped on Saturday the 4th: grey is first. Then cream is taped over grey, which bears no tape yet (Sunday
    20:00 of the next week), and takes the 10 minutes more.
    """
    plan = written(CASE, {**PIECES, "grey-tape": (run(4, "15:00", "15:30"),)}, {"cream|grey": "grey"})
    found = CASE.broken(plan)
    assert {(b.rule, b.step) for b in found} == {("choices", "cream-tape"), ("labour", "cream-tape")}


def test_a_hard_window_is_kept() -> None:
    """Cream is coated within a day of its taping. Taped on Wednesday, coated on Saturday: too late, and no remedy."""
    said = only("windows kept", moved(cream_tape=run(8, "19:00", "19:30")), "cream-coat")
    assert said.endswith("ended Thursday 9 April, 19:30, and nothing can mend that")


def test_past_the_recoat_window_the_remedy_is_in_the_plan() -> None:
    """The primer's window ended on Tuesday the 7th at 4:00, and cream comes on the 11th."""
    said = only("windows kept", moved(scuff=None), "cream-coat")
    assert "ended Tuesday 7 April, 04:00, and the remedy “Scuff sand and wipe” is not planned" in said


def test_the_remedy_runs_after_the_film_is_ready_for_it() -> None:
    """The primer may be recoated from Sunday the 5th, 0:00. Scuffing on Saturday at 14:00 mends nothing."""
    only("windows kept", moved(scuff=run(4, "14:00", "14:25")), "cream-coat")


def test_the_remedy_runs_before_what_it_makes_possible() -> None:
    """Cream is coated from 9:30 on. Scuffing until 9:35 is too late; without dust nothing else is broken."""
    case = CASE.task("scuff", dusty=False)
    only("windows kept", moved(case, scuff=run(11, "9:10", "9:35")), "cream-coat", case)


def test_a_remedy_that_is_not_called_for_is_not_planned() -> None:
    """The tape comes off at 11:15, within 180 minutes of the coat (10:30): no scoring."""
    plan = moved(score=run(11, "11:00", "11:10"), cream_pull=run(11, "11:15", "11:30"))
    only("remedies needed", plan, "score")


def test_a_missed_tape_window_is_mended_by_scoring() -> None:
    """180 minutes after 10:30 is 13:30; pulled at 13:31 the edge is scored first."""
    late = run(11, "14:00", "14:15")
    only("windows kept", moved(cream_pull=late), "cream-pull")
    assert CASE.broken(moved(cream_pull=late, score=run(11, "13:45", "13:55"))) == ()


def test_on_the_last_minute_of_a_window_it_is_still_kept() -> None:
    assert CASE.broken(moved(cream_pull=run(11, "13:30", "13:45"))) == ()
    only("windows kept", moved(cream_pull=run(11, "13:31", "13:46")), "cream-pull")


def test_no_window_is_wider_than_the_tape_allows() -> None:
    """The job gives 180 minutes after the coat; a tape that must be pulled within 120 allows no such plan.

    Nor does one that comes off cleanly for an hour allow the window of a day from sticking it on.
    """
    mend = Remedy(title="score the edge", work=10, source="invented")
    tape = Tape(clean_for=60, pull_by=120, remedy=mend, source="invented")
    cream = colour("cream", room="den")
    case = replace(CASE, job=replace(CASE.job, colours=(cream,))).task("cream-coat", colour="cream")
    said = only("tape time", sound(), "cream-pull", case=case, tape=tape)
    assert said == "may come 180 minutes after “Coat cream”; tape allows 120 minutes"
    assert case.broken(sound(), replace(tape, pull_by=180)) == ()
    stuck = Link(before="cream-tape", after="cream-pull", within=24 * 60)
    day = replace(case, graph=replace(case.graph, links=(*case.graph.links, stuck)))
    plan = written(day, PIECES, {"cream|grey": "cream"})
    only("tape time", plan, "cream-pull", case=day, tape=replace(tape, pull_by=180))
    assert day.broken(plan, replace(tape, pull_by=180, clean_for=24 * 60)) == ()
