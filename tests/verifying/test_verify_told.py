"""The verifier on the plan as a whole: what is recorded, what it tells of sessions, films, waits and sums."""

from __future__ import annotations

from dataclasses import replace

import pytest

from scheduler.model.basics import Estimate, Span
from scheduler.model.graph import Link, TaskGraph
from scheduler.model.learned import Look
from scheduler.model.message import as_written
from scheduler.model.plan import Bound, Plan, Ready
from tests.support.sound import CASE, LATER, PIECES, PIECES_LATER, at, moved, run, sound
from tests.verifying.siblings import only, with_graph, with_session, with_step

# --- The plan as a whole ---------------------------------------------------------------------------------------


def test_every_task_is_in_the_plan() -> None:
    only("complete", moved(note=None), "note")


def test_no_task_is_in_the_plan_twice() -> None:
    plan = sound()
    only("complete", replace(plan, steps=(*plan.steps, plan.step("note"))), "note")


def test_a_task_without_work_may_be_left_out_and_what_follows_it_still_waits() -> None:
    """No stripes to mark: they come in thought when the primer is at recoat (the 5th, 0:00), the lamp after them."""
    idle = CASE.task("note", work=Estimate.sure(0))
    case = replace(
        idle,
        graph=replace(
            idle.graph,
            links=(
                *idle.graph.links,
                Link(before="prime", after="note", stage="recoat"),
                Link(before="note", after="lamp", wait=30),
            ),
        ),
    )
    only("links", moved(case, note=None), "lamp", case)
    assert case.broken(moved(case, note=None, lamp=run(11, "8:15", "8:45"))) == ()


def test_no_step_is_in_the_plan_that_the_job_does_not_know() -> None:
    plan = sound()
    ghost = replace(plan.step("note"), id="ghost")
    only("nothing unknown", replace(plan, steps=(*plan.steps, ghost)), "ghost")


def test_what_was_done_stays_where_it_was() -> None:
    """The lamp was hung on Thursday; the plan says Saturday."""
    only("recorded", moved(LATER, PIECES_LATER, lamp=run(4, "8:15", "8:45")), "lamp", LATER)


def test_a_step_under_way_keeps_its_pieces() -> None:
    """The doors were begun at 18:15, not at 18:00. The changed piece is the plan's own, and lies in the past."""
    plan = moved(LATER, PIECES_LATER, door=(run(8, "18:00", "19:00"), *PIECES["door"][1:]))
    found = LATER.broken(plan)
    assert ("recorded", "door") in {(broken.rule, broken.step) for broken in found}


def test_a_step_under_way_gets_just_its_rest() -> None:
    """30 minutes are left of the coat; the plan gives it 20."""
    plan = moved(LATER, PIECES_LATER, cream_coat=(run(11, "9:30", "10:00"), run(11, "10:00", "10:20")))
    only("recorded", plan, "cream-coat", LATER)


def test_the_rest_of_a_step_that_cannot_pause_is_one_piece() -> None:
    pieces = (run(11, "9:30", "10:00"), run(11, "10:00", "10:10"), run(11, "10:10", "10:30"))
    only("one piece", moved(LATER, PIECES_LATER, cream_coat=pieces), "cream-coat", LATER)


def test_the_state_told_is_that_of_the_record() -> None:
    only("recorded", with_step(sound(), "lamp", state="done"), "lamp")


def test_a_recorded_step_is_not_left_out() -> None:
    plan = moved(LATER, PIECES_LATER, scuff=None)
    found = LATER.broken(plan)
    assert ("recorded", "scuff") in {(broken.rule, broken.step) for broken in found}


@pytest.mark.parametrize(
    ("field", "value"),
    [
        ("title", "Hang the sign"),
        ("room", "den"),
        ("room_title", "Corridor"),
        ("people", 2),
        ("can_pause", True),
        ("dusty", True),
        ("noisy", True),
        ("wet", True),
        ("wipes", True),
        ("takes", ()),
        ("needs", ("doors",)),
        ("cautions", ()),
        ("added", as_written("why not")),
    ],
)
def test_a_step_is_told_as_the_job_tells_it(field: str, value: object) -> None:
    only("as the job says", with_step(sound(), "lamp", **{field: value}), "lamp")


@pytest.mark.parametrize("change", [{"job_id": "x"}, {"job": "x"}, {"zone": "UTC"}, {"as_of": 1}])
def test_the_plan_bears_the_name_of_its_job(change: dict[str, object]) -> None:
    only("heading", replace(sound(), **change))  # type: ignore[arg-type]


# --- What the plan tells ---------------------------------------------------------------------------------------


def test_no_window_that_is_worked_in_is_missing() -> None:
    """Wednesday evening left out, in which the doors are begun."""
    plan = sound()
    wednesday = at("8 18:00")
    shown = tuple(window for window in plan.windows if window.start != wednesday)
    only("windows shown", replace(plan, windows=shown), "door")


def test_no_window_is_made_up() -> None:
    plan = sound()
    only("windows shown", replace(plan, windows=(replace(plan.windows[0], people=9), *plan.windows)))


def test_sessions_come_one_after_the_other() -> None:
    plan = sound()
    only("sessions in order", replace(plan, sessions=plan.sessions[::-1]))


def test_each_piece_lies_in_a_session_that_names_it() -> None:
    only("in one session", _unnamed(), "note")


def _unnamed() -> Plan:
    """The sound plan, with the note struck from the list of its session."""
    plan = sound()
    return with_session(plan, 2, steps=tuple(name for name in plan.sessions[2].steps if name != "note"))


def test_each_piece_lies_in_just_one_session() -> None:
    """Saturday told twice."""
    plan = sound()
    twice = replace(plan, sessions=(*plan.sessions, replace(plan.sessions[3], number=5)))
    assert "in one session" in {broken.rule for broken in CASE.broken(twice)}


def test_a_session_names_no_step_that_does_not_run_in_it() -> None:
    plan = sound()
    only("sessions filled", with_session(plan, 1, steps=(*plan.sessions[1].steps, "lamp")))


def test_a_session_names_its_steps_in_the_order_in_which_they_begin() -> None:
    only("sessions filled", with_session(sound(), 0, steps=sound().sessions[0].steps[::-1]))


def test_a_session_is_one_stretch_of_work_hours() -> None:
    """Sunday's hours begin at 10:00; a session from 9:00 on is longer than that."""
    only("sessions one stretch", with_session(sound(), 3, start=at("12 9:00")))


def test_a_session_has_the_people_it_needs_and_no_more_than_are_there() -> None:
    only("sessions one stretch", with_session(sound(), 0, people=4))
    only("sessions one stretch", with_session(sound(), 0, people=1))


def test_a_session_leaves_time_to_set_up_and_to_clear_up() -> None:
    """Sunday's first piece begins at 10:15, its last ends at 12:45; 15 minutes each."""
    only("sessions set up", with_session(sound(), 3, start=at("12 10:01")))
    only("sessions set up", with_session(sound(), 3, end=at("12 12:59")))
    assert CASE.broken(with_session(sound(), 3, end=at("12 13:00"))) == ()


@pytest.mark.parametrize("what", ["usable", "cured"])
@pytest.mark.parametrize("by", [-2, 2])
def test_the_moments_of_the_whole_are_those_of_the_last_film(what: str, by: int) -> None:
    only("sums", replace(sound(), **{what: getattr(sound(), what) + by}))


def test_the_finish_is_the_end_of_the_last_piece() -> None:
    only("sums", replace(sound(), finish=at("12 12:46")))


@pytest.mark.parametrize(
    "bound",
    [Bound(finish_not_before=at("12 12:46"), proven=False), Bound(finish_not_before=at("12 12:44"), proven=True)],
)
def test_the_bound_is_honest(bound: Bound) -> None:
    """The plan ends at 12:45: it cannot beat its bound, nor be proven by an earlier one."""
    only("bound honest", replace(sound(), bound=bound))


def test_a_proven_plan_ends_on_its_bound() -> None:
    assert CASE.broken(replace(sound(), bound=Bound(finish_not_before=at("12 12:45"), proven=True))) == ()


def test_a_film_is_told_to_the_minute() -> None:
    """Primer at recoat on Sunday at 0:00: two minutes off is wrong, one is rounding."""
    film = sound().step("prime").film
    assert film is not None
    off = replace(film, stages={**film.stages, "recoat": at("5 0:02")})
    only("films told", with_step(sound(), "prime", film=off), "prime")
    near = replace(film, stages={**film.stages, "recoat": at("5 0:01")})
    assert "films told" not in {broken.rule for broken in CASE.broken(with_step(sound(), "prime", film=near))}


@pytest.mark.parametrize("change", [{"material": "glue"}, {"coat": 2}, {"thickness_factor": 1.1}, {"stages": {}}])
def test_a_film_is_told_as_it_is(change: dict[str, object]) -> None:
    film = sound().step("prime").film
    assert film is not None
    only("films told", with_step(sound(), "prime", film=replace(film, **change)), "prime")  # type: ignore[arg-type]


def test_a_film_is_neither_made_up_nor_kept_back() -> None:
    film = sound().step("prime").film
    only("films told", with_step(sound(), "prime", film=None), "prime")
    only("films told", with_step(sound(), "lamp", film=film), "lamp")


@pytest.mark.parametrize(
    "told",
    [
        Ready(step="cream-coat", stage="touch", ready=at("11 11:02"), latest=at("11 13:30")),
        Ready(step="cream-coat", stage="touch", ready=at("11 11:00"), latest=at("11 13:32")),
        Ready(step="cream-coat", stage="touch", ready=at("11 11:00"), latest=None),
        Ready(step="cream-coat", stage="recoat", ready=at("11 14:30"), latest=at("11 13:30")),
    ],
)
def test_a_wait_is_told_as_it_is(told: Ready) -> None:
    """The tape may be pulled from touch (11:00) until 180 minutes after the coat (10:30 + 3 h = 13:30)."""
    only("waits told", with_step(sound(), "cream-pull", after=(told,)), "cream-pull")


def test_no_wait_is_kept_back() -> None:
    only("waits told", with_step(sound(), "cream-pull", after=()), "cream-pull")


def test_a_remedy_and_what_it_mends_may_name_each_other() -> None:
    """Scuffed until 9:25; the primer may be recoated from the 5th, 0:00."""
    told = (*sound().step("cream-coat").after, Ready(step="scuff", stage="end", ready=at("11 9:25"), latest=None))
    mended = with_step(sound(), "cream-coat", after=told)
    named = with_step(mended, "scuff", after=(Ready(step="prime", stage="recoat", ready=at("5"), latest=None),))
    assert CASE.broken(named) == ()


def test_an_empty_plan_is_not_sound() -> None:
    plan = replace(sound(), steps=(), sessions=())
    missing = {task.id for task in CASE.graph.tasks if not task.remedy_of}
    assert {broken.step for broken in CASE.broken(plan) if broken.rule == "complete"} == missing


def test_the_verifier_has_nothing_to_say_of_no_work() -> None:
    case = with_graph(tasks=(), links=(), choices=(), closed={})
    empty = replace(sound(), steps=(), sessions=(), windows=())
    assert isinstance(case.graph, TaskGraph)
    assert case.broken(empty) == ()


def test_spans_are_half_open() -> None:
    """A piece that ends when another begins does not meet it: the drill from 9:40, the cutting until 9:40."""
    assert PIECES["cut"][0] == Span(at("4 9:00"), at("4 9:40"))
    assert PIECES["drill"][0].start == at("4 9:40")
    one = tuple(replace(w, people=1) if w.start == at("4 9:00") else w for w in CASE.windows)
    case = replace(CASE, windows=one).task("prime", people=1)
    found = case.broken(moved(case))
    assert found == ()


# --- What a finger said -----------------------------------------------------------------------------------------


def test_a_film_that_was_not_yet_there_is_not_told_to_be() -> None:
    """The primer is told to be at recoat on the 5th, 0:00; at 1:00 of that night somebody found it was not."""
    plan = moved(LATER, PIECES_LATER)
    look = Look(step="prime", stage="recoat", minute=at("5 1:00"), reached=False)
    case = replace(LATER, facts=replace(LATER.facts, looks=(look,)))
    assert "it was not yet" in only("as felt", plan, "prime", case)
    later = replace(look, minute=at("5 7:00"), reached=True)
    assert replace(case, facts=replace(case.facts, looks=(look, later))).broken(plan) == ()
