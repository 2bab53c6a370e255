from __future__ import annotations

import json
from dataclasses import replace

import jsonschema
import pytest
from rich.cells import cell_len

from scheduler.model.basics import Span
from scheduler.model.diary import Did, Entry, Skipped
from scheduler.model.learned import Lesson
from scheduler.model.message import as_written
from scheduler.model.moves import WorkEdit
from scheduler.model.plan import Plan
from scheduler.reading.jobfile import read_job_text
from scheduler.telling.machine.plan import plan_json, schema_text
from scheduler.telling.text.diary import Teller
from scheduler.telling.text.edits import what_was_edited
from scheduler.telling.text.moves import mostly_earlier, moves_brief, moves_json, moves_text, what_moves
from scheduler.telling.views.index import Book
from tests.support.plans import at, hobby_room, plan, step, with_step, with_steps
from tests.telling.texts import HOSTILE, shows_cleanly

JOB = """\
job: Room
start: 2027-01-09
zone: America/New_York
hours: {on: Saturday, from: 9:00, to: 12:00}
rooms: {room: {air: {day: 68 °F, night: 60 °F, humidity: 40 %}}}
steps: {prime: {work: 1 h}}
"""


def test_nothing_moves_when_nothing_changed() -> None:
    moves = what_moves(hobby_room(), hobby_room())
    assert moves.nothing
    assert moves.stayed == 5
    assert moves_text(moves, hobby_room()) == "Nothing moves. Done on Saturday 23 January 2027, 12:00, as before.\n"


def test_a_late_delivery_moves_what_waits_for_it_and_nothing_else() -> None:
    after = with_step(hobby_room(), "hang-the-doors", "2027-01-30 09:00 12:00")
    moves = what_moves(hobby_room(), after)
    assert (moves.finish_before, moves.finish_after) == (at("2027-01-23 12:00"), at("2027-01-30 12:00"))
    assert [(move.step, move.before.start, move.after.start) for move in moves.moved] == [
        ("hang-the-doors", at("2027-01-23 09:00"), at("2027-01-30 09:00"))
    ]
    assert [(move.before.start, move.after.start) for move in moves.sessions_moved] == [
        (at("2027-01-23 08:45"), at("2027-01-30 08:45"))
    ]
    assert (moves.stayed, moves.new, moves.gone, moves.sessions_new, moves.sessions_gone) == (4, (), (), (), ())
    text = moves_text(moves, after, width=200)
    assert (
        "The end moves from Saturday 23 January 2027, 12:00 to Saturday 30 January 2027, 12:00: 7 days later." in text
    )
    assert "  Hang the doors: Saturday 23 January, 09:00 → Saturday 30 January, 09:00\n" in text
    assert text.endswith("4 steps stay where they are.\n")


def test_what_went_as_planned_is_no_cause_of_a_move() -> None:
    """The primer went on as planned, the doors are hung on the day of the colour: that takes a day less, and no
    record is called the cause of it. What ended later is one."""
    before = hobby_room()
    after = with_step(before, "hang-the-doors", "2027-01-17 13:00 16:00")
    done = before.steps[0]
    job = read_job_text(JOB, "job.yaml")
    teller = Teller(job, {done.id: "Prime"}, face=Book(before).face)
    later = tuple(Span(start, end + 30) for start, end in done.pieces)
    as_planned, longer = (
        Entry(line=1, at=done.end, event=Did(step=done.id, pieces=pieces)) for pieces in (done.pieces, later)
    )
    assert teller.first_cause([as_planned], before, after) == "that takes 1 day fewer on site"
    assert teller.first_cause([as_planned], before, before) == ""
    assert teller.first_cause([as_planned, longer], before, after).startswith("“Prime” ended ")


def test_what_can_only_hold_up_is_no_cause_of_an_earlier_day() -> None:
    """The doors are hung six days earlier, in hours that came free because a step was left out: that it was is no
    reason to come earlier. That it moves something later is told, and a step that ended is a cause both ways."""
    before = hobby_room()
    sooner, later = (
        with_step(before, "hang-the-doors", when) for when in ("2027-01-17 13:00 16:00", "2027-01-30 09:00 12:00")
    )
    assert mostly_earlier(what_moves(before, sooner), sooner)
    assert not mostly_earlier(what_moves(before, later), later)
    done = before.steps[0]
    teller = Teller(read_job_text(JOB, "job.yaml"), {done.id: "Prime"}, face=Book(before).face)
    skipped = Entry(line=1, at=done.end, event=Skipped(step=done.id, span=done.pieces[0]))
    ended = Entry(line=2, at=done.end, event=Did(step=done.id, pieces=(Span(done.start, done.end + 9),)))
    assert "was left out" in teller.first_cause([skipped], before, later)
    assert teller.first_cause([skipped], before, sooner, earlier=True) == ""
    assert teller.first_cause([skipped, ended], before, sooner, earlier=True).startswith("“Prime” ended ")


def test_a_remedy_is_new_with_its_reason_and_goes_again() -> None:
    scuff = step(
        "scuff", "2027-01-17 08:50 09:00", title="Scuff sand", added=as_written("the primer waited too long")
    )
    after = with_steps(hobby_room(), (*hobby_room().steps, scuff))
    there = what_moves(hobby_room(), after)
    assert there.new == (("scuff", "Scuff sand", "the primer waited too long"),)
    assert "Scuff sand (the primer waited too long)" in moves_text(there, after)
    back = what_moves(after, hobby_room())
    assert [name for name, _, _ in back.gone] == ["scuff"]
    assert "Steps no longer needed\n  Scuff sand\n" in moves_text(back, hobby_room())


def test_a_step_that_is_done_at_another_time_was_recorded_not_moved() -> None:
    after = with_step(hobby_room(), "sand-the-filler", "2027-01-16 09:00 11:10", state="done")
    moves = what_moves(hobby_room(), after)
    assert (moves.moved, [move.step for move in moves.recorded], moves.stayed) == ((), ["sand-the-filler"], 4)


def test_equal_starts_with_another_end_say_so() -> None:
    after = with_step(hobby_room(), "put-up-the-shelves", "2027-01-17 11:00 12:00", "2027-01-20 18:30 20:30")
    text = moves_text(what_moves(hobby_room(), after), after, width=200)
    assert (
        "Put up the shelves: starts the same, ends Wednesday 20 January, 20:00 → Wednesday 20 January, 20:30" in text
    )


def test_sessions_that_come_and_go() -> None:
    """Saturday's work is squeezed into Sunday: Saturday goes; a new evening comes without a shared step."""
    before = plan(step("a", "2027-01-16 09:00 10:00"), step("b", "2027-01-17 09:00 10:00"))
    after = with_steps(
        before,
        (
            step("a", "2027-01-17 08:00 09:00"),
            step("b", "2027-01-17 09:00 10:00"),
            step("c", "2027-01-20 18:00 19:00"),
        ),
    )
    moves = what_moves(before, after)
    assert moves.sessions_gone == (Span(at("2027-01-16 08:45"), at("2027-01-16 10:15")),)
    assert moves.sessions_new == (Span(at("2027-01-20 17:45"), at("2027-01-20 19:15")),)
    text = moves_text(moves, after)
    assert "no longer: Saturday 16 January, 08:45–10:15" in text
    assert "new: Wednesday 20 January, 17:45–19:15" in text


def test_a_session_that_has_taken_place_is_not_gone() -> None:
    before = plan(step("a", "2027-01-16 09:00 10:00"), step("b", "2027-01-17 09:00 10:00"))
    done = (replace(before.steps[0], state="done"), before.steps[1])
    after = replace(before, steps=done, sessions=before.sessions[1:], as_of=at("2027-01-16 20:00"))
    assert what_moves(before, after).sessions_gone == ()


def three_weeks(*days: int) -> Plan:
    """A step on each of these days of January 2027, the last of three hours."""
    return plan(*(step(f"s{n}", f"2027-01-{day:02} 09:00 1{n}:00") for n, day in enumerate(days)))


def brief(before: Plan, after: Plan, cause: str = "") -> list[str]:
    return moves_brief(what_moves(before, after), after, cause, width=100).splitlines()


def test_where_all_moves_alike_one_line_says_so_with_its_cause() -> None:
    """Saturdays 16 and 23 January become 23 and 30; the 9th stays."""
    said = brief(three_weeks(9, 16, 23), three_weeks(9, 23, 30), "the boards come late")
    assert "Everything from Saturday 16 January on is 7 days later, because the boards come late." in said
    assert "1 step stays where it is. --all names every move." in said


def test_everything_is_said_only_of_everything() -> None:
    """Something after the first that moves stays where it is: two steps move, not everything."""
    said = brief(three_weeks(9, 10, 16), three_weeks(16, 17, 16))
    assert "2 steps from Saturday 9 January on are 7 days later." in said


def test_what_moves_otherwise_is_named_the_most_of_it_first() -> None:
    """Two steps move by 7 days, one by 14."""
    said = brief(three_weeks(9, 10, 16), three_weeks(16, 17, 30))
    assert "2 steps from Saturday 9 January on are 7 days later." in said
    assert "  1 step 14 days later: S2" in said


def test_what_moves_otherwise_in_many_ways_is_counted() -> None:
    """Six steps move, by 1, 2, 3, 4, 5 and 6 days: three lines and "3 more"."""
    before, after = three_weeks(1, 2, 3, 4, 5, 6), three_weeks(2, 4, 6, 8, 10, 12)
    assert "  3 more steps move otherwise." in brief(before, after)


def test_an_earlier_finish_is_called_earlier() -> None:
    before = with_step(hobby_room(), "hang-the-doors", "2027-01-30 09:00 12:00")
    assert ": 7 days earlier." in moves_text(what_moves(before, hobby_room()), hobby_room(), width=200)


def test_json_has_the_form_that_is_promised() -> None:
    after = with_step(hobby_room(), "hang-the-doors", "2027-01-30 09:00 12:00")
    text = moves_json(what_moves(hobby_room(), after), after)
    whole = json.loads(text)
    schema = json.loads(schema_text("moves"))
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.Draft202012Validator(schema).validate(whole)
    assert list(whole) == ["finish_before", "finish_after", "moved", "stayed", "new", "gone", "broke", "plan"]
    assert whole["moved"] == [
        {"step": "hang-the-doors", "from": "2027-01-23T09:00:00-05:00", "to": "2027-01-30T09:00:00-05:00"}
    ]
    assert whole["plan"] == json.loads(plan_json(after))
    whole["plan"]["surplus"] = 1
    assert not jsonschema.Draft202012Validator(schema).is_valid(whole)


@pytest.mark.parametrize("title", HOSTILE)
def test_hostile_titles_keep_to_the_width(title: str) -> None:
    after = with_step(hobby_room(), "hang-the-doors", "2027-01-30 09:00 12:00", title=title)
    text = moves_text(what_moves(hobby_room(), after), after)
    assert all(cell_len(line) <= 80 and shows_cleanly(line) for line in text.splitlines())


def test_a_pace_that_was_learned_is_no_edit_of_the_file() -> None:
    """At 1.3 times the time 100 minutes are 130, and 61 are 79.3, in whole minutes 79 or 80. Written into the file as
    200 minutes (260 at that pace) the first is 130 minutes more; a step of another kind is as it was."""
    pace = Lesson(about="pace", of="painting", factor=1.3, found=1.3, low=1.1, high=1.5)
    kinds = {"prime": ("painting", False), "blue": ("painting", False), "sand": ("sanding", False)}

    def taking(prime: int, blue: int, *learned: Lesson) -> Plan:
        minutes = {"prime": prime, "blue": blue, "sand": 45}
        steps = (step(name, "2027-01-16 09:00 10:00", labour=labour) for name, labour in minutes.items())
        return plan(*steps, learned=learned)

    assert what_was_edited(taking(100, 61), taking(130, 80, pace), kinds).work == ()
    assert what_was_edited(taking(100, 61), taking(100, 80), kinds).work == (
        WorkEdit(title="Blue", before=61, after=80),
    )
    assert what_was_edited(taking(100, 61), taking(260, 79, pace), kinds).work == (
        WorkEdit(title="Prime", before=130, after=260),
    )
