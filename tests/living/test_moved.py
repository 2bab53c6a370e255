"""Sessions that a person moved in their own calendar: listed, planned around, and left there from then on."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable
from datetime import datetime
from functools import cache
from pathlib import Path
from typing import Any

import icalendar
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from scheduler.living.moving import take_moves
from scheduler.living.site import Site, open_site, replan
from scheduler.verifying import verify
from scheduler.wallclock import to_datetime
from tests.cli.running import Ran, run
from tests.support.lives import SHELF, ZONE, moment, shelf

AS_OF = "2027-01-08"
FIRST, SECOND = "shelf-wall-session-20270109-1@tackfree", "shelf-wall-session-20270116-1@tackfree"
"""As planned: on Saturday 9 the wall is sanded, wiped and primed; on Saturday 16 the boards are cut and hung."""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The shelf wall, planned and in a calendar."""
    file = shelf(tmp_path)
    assert run("plan", str(file), "--ics", str(tmp_path / "plan.ics"), "--as-of", AS_OF).code == 0
    return file


def back(job: Path, change: Callable[[icalendar.Calendar, dict[str, Any]], None]) -> Path:
    """The calendar as it comes back from a calendar program in which somebody has changed something."""
    whole = icalendar.Calendar.from_ical((job.parent / "plan.ics").read_bytes())
    change(whole, {str(event["uid"]): event for event in whole.walk("VEVENT")})
    file = job.parent / "back.ics"
    file.write_bytes(whole.to_ical())
    return file


def put(event: Any, start: str, end: str, sequence: int = 1) -> None:
    for name, text in (("dtstart", start), ("dtend", end)):
        del event[name]
        event.add(name, to_datetime(moment(text), ZONE))
    event["sequence"] = int(event["sequence"]) + sequence


def moved(job: Path, start: str, end: str, uid: str = SECOND, *more: str, as_of: str = AS_OF) -> Ran:
    file = back(job, lambda _, events: put(events[uid], start, end))
    return run("plan", str(job), "--moved", str(file), "--as-of", as_of, *more)


def steps(job: Path, as_of: str = AS_OF) -> dict[str, list[tuple[str, str]]]:
    """Where the pieces of each step are, in local time."""
    done = run("plan", str(job), "--json", "--as-of", as_of)
    assert done.code == 0, done.err
    return {
        step["id"]: [(_wall(piece["start"]), _wall(piece["end"])) for piece in step["pieces"]]
        for step in json.loads(done.out)["steps"]
    }


def _wall(text: str) -> str:
    return f"{datetime.fromisoformat(text).astimezone(ZONE):%Y-%m-%d %H:%M}"


def in_order(said: str) -> str:
    return " ".join(said.split())


def test_a_session_moved_into_an_evening_of_its_own_is_planned_there(job: Path) -> None:
    """Saturday 16 to Wednesday 20, when nobody works by the job file; Saturday's hours are gone."""
    assert steps(job)["fit"] == [("2027-01-16 09:10", "2027-01-16 11:10")]
    done = moved(job, "2027-01-20 18:00", "2027-01-20 21:05")
    assert done.code == 0, done.err
    assert done.out.startswith(
        "Moved by hand: Shelf wall: Cut and fit the boards, Hang the boards: Saturday 16 January, 09:00–12:35 → "
        "Wednesday 20 January, 18:00–21:05.\n"
    )
    after = steps(job)
    assert after["fit"] == [("2027-01-20 18:10", "2027-01-20 20:10")]  # ten minutes to set up
    assert after["hang"] == [("2027-01-20 20:10", "2027-01-20 20:55")]
    assert not [piece for pieces in after.values() for piece in pieces if piece[0].startswith("2027-01-16")]
    assert "breaks a rule" not in done.out


def test_the_calendar_written_then_holds_the_same_event_where_it_was_put(job: Path) -> None:
    ics = job.parent / "plan.ics"
    moved(job, "2027-01-20 18:00", "2027-01-20 21:05", SECOND, "--ics", str(ics))
    event = next(e for e in icalendar.Calendar.from_ical(ics.read_bytes()).walk("VEVENT") if e["uid"] == SECOND)
    assert event.decoded("dtstart") == to_datetime(moment("2027-01-20 18:00"), ZONE)
    assert event.decoded("dtend") == to_datetime(moment("2027-01-20 21:05"), ZONE)
    assert int(event["sequence"]) == 1


def test_it_stays_there_through_what_happens_later(job: Path) -> None:
    """A delivery that comes later, but still in time for it, moves nothing; nor does planning again."""
    moved(job, "2027-01-20 18:00", "2027-01-20 21:05")
    there = steps(job)
    late = run("late", str(job), "boards", "2027-01-19", "--as-of", "2027-01-09")
    assert late.code == 0, late.err
    assert steps(job, "2027-01-09")["hang"] == there["hang"]
    lost = run("lost", str(job), "2027-01-20", "--as-of", "2027-01-09")
    assert "Recorded" in lost.out  # the day has hours now: those of the session
    assert "You moved the session of “Cut and fit the boards” to Wednesday 20 January" in in_order(lost.out)


def test_a_day_away_is_worked_on_if_a_session_was_put_there(tmp_path: Path) -> None:
    file = shelf(tmp_path, SHELF + "away: [2027-01-20]\n")
    run("plan", str(file), "--ics", str(tmp_path / "plan.ics"), "--as-of", AS_OF)
    moved(file, "2027-01-20 18:00", "2027-01-20 21:05")
    assert steps(file)["fit"][0][0] == "2027-01-20 18:10"


def test_what_a_rule_forbids_goes_elsewhere_and_the_rule_is_said(job: Path) -> None:
    """Hanging the boards an hour after painting: the paint is not fit for use before Tuesday 12."""
    done = moved(job, "2027-01-10 14:00", "2027-01-10 18:00", SECOND, "--all")
    after = steps(job)
    said = in_order(done.out)
    for step in ("Cut and fit the boards", "Hang the boards"):
        assert f"You moved the session of “{step}” to Sunday 10 January, 14:00, but it can't be done then" in said
    assert "It waits for the delivery of “Shelf boards”, expected Saturday 16 January" in said
    assert after["fit"][0][0] >= "2027-01-16"
    assert "breaks a rule" not in said


def test_of_a_session_only_what_a_rule_forbids_leaves_it(job: Path) -> None:
    """Put into 110 minutes, 20 of them to set up and clear up: an hour of sanding and half an hour of wiping fit.

    The hour of priming, one piece, goes to hours of the job after that.
    """
    done = moved(job, "2027-01-10 18:00", "2027-01-10 19:50", FIRST)
    after = steps(job)
    assert after["sand"] == [("2027-01-10 18:10", "2027-01-10 19:10")]
    assert after["wipe"] == [("2027-01-10 19:10", "2027-01-10 19:40")]
    ((start, _),) = after["prime"]
    assert start >= "2027-01-12 18:40"
    said = in_order(done.out)
    assert "You moved the session of “Prime the wall” to Sunday 10 January, 18:00, but it can't be done then" in said
    assert said.count("You moved the session") == 1
    assert "breaks a rule" not in said


def test_a_session_moved_again_and_back(job: Path) -> None:
    """What counts is where it is now; Saturday's hours are free again only where it is put back."""
    first = steps(job)
    ics = str(job.parent / "plan.ics")
    moved(job, "2027-01-20 18:00", "2027-01-20 21:05", SECOND, "--ics", ics)
    moved(job, "2027-01-21 17:00", "2027-01-21 20:05", SECOND, "--ics", ics)
    assert steps(job)["fit"] == [("2027-01-21 17:10", "2027-01-21 19:10")]
    moved(job, "2027-01-16 09:00", "2027-01-16 12:35", SECOND, "--ics", ics)
    assert steps(job) == first


def test_anew_lets_go_of_what_was_moved(job: Path) -> None:
    first = steps(job)
    moved(job, "2027-01-20 18:00", "2027-01-20 21:05")
    assert run("plan", str(job), "--anew", "--as-of", AS_OF).code == 0
    assert steps(job) == first


def test_nothing_moved(job: Path) -> None:
    done = run("plan", str(job), "--moved", str(job.parent / "plan.ics"), "--as-of", AS_OF)
    assert done.out.startswith(f"No session was moved in {job.parent}/plan.ics.\n")


def test_an_older_version_tells_nothing(job: Path) -> None:
    """The calendar has not been updated since the plan changed: that is no move by hand."""
    old = (job.parent / "plan.ics").read_bytes()
    run("late", str(job), "boards", "2027-01-23", "--ics", str(job.parent / "plan.ics"), "--as-of", AS_OF)
    (job.parent / "old.ics").write_bytes(old)
    done = run("plan", str(job), "--moved", str(job.parent / "old.ics"), "--as-of", AS_OF)
    assert "No session was moved" in done.out
    assert "that calendar has an older version of it, which tells nothing" in done.err


def test_a_move_into_the_past_is_no_plan(job: Path) -> None:
    done = moved(job, "2027-01-07 10:00", "2027-01-07 12:00")
    assert "it was moved to Thursday 7 January, 10:00, which has passed; record what was done" in done.err
    assert "No session was moved" in done.out


def test_other_events_and_made_over_ones_are_passed_over(job: Path) -> None:
    """A stranger's event is not even mentioned; one of ours that was made to repeat is, by its line."""

    def change(whole: icalendar.Calendar, events: dict[str, Any]) -> None:
        events[FIRST].add("rrule", {"freq": "daily"})
        other = icalendar.Event()
        other.add("uid", "x@elsewhere.example")
        other.add("summary", "Dentist")
        other.add("dtstart", to_datetime(moment("2027-01-16 09:00"), ZONE))
        whole.add_component(other)

    done = run("plan", str(job), "--moved", str(back(job, change)), "--as-of", AS_OF)
    assert "this event of the plan was made to repeat or to fill whole days; it is left out" in done.err
    assert "Dentist" not in done.out + done.err


def test_what_was_cancelled_or_deleted_there_is_named_with_what_to_do(job: Path) -> None:
    """A session that was cancelled and not deleted stands in the file all the same; a delivery that was deleted is
    asked about; of what follows from the plan nothing follows. What is over already is nobody's concern."""

    def change(whole: icalendar.Calendar, events: dict[str, Any]) -> None:
        events[SECOND]["status"] = "CANCELLED"
        titles = ("should come", "do not recoat", "not to be used yet")
        gone = [event for event in events.values() if any(title in event["summary"] for title in titles)]
        assert len(gone) == 3
        whole.subcomponents = [part for part in whole.subcomponents if part not in gone]

    file = str(back(job, change))
    done = run("plan", str(job), "--moved", file, "--as-of", AS_OF)
    said = in_order(done.err)
    assert done.code == 0
    assert (
        "Hang the boards: it was cancelled in that calendar, and the plan has it still on Saturday 16 January, "
        f"09:00; if nobody can work then: tackfree lost {job} 2027-01-16"
    ) in said
    assert (
        "Shelf boards should come: it was deleted in that calendar, and the plan counts on it still; if it comes on "
        f"another day: tackfree late {job} boards DATE"
    ) in said
    assert "and 1 more were deleted in that calendar; nothing follows from that" in said
    assert "No session was moved" in done.out
    later = run("plan", str(job), "--moved", file, "--as-of", "2027-03-30", "--no-files")
    assert "deleted in that calendar" not in later.err


def test_an_appointment_that_was_moved_or_deleted_there_is_asked_about(tmp_path: Path) -> None:
    """To another day it is told with `late`; to another hour in the job file, where its hours stand."""
    visit = "appointments:\n  electrician: {on: 2027-01-20, from: 8:00, to: 10:00, in: den}\n"
    file = shelf(tmp_path, SHELF + visit)
    assert run("plan", str(file), "--ics", str(tmp_path / "plan.ics"), "--as-of", AS_OF).code == 0
    name = "shelf-wall-visit-electrician@tackfree"

    def said(change: Callable[[icalendar.Calendar, dict[str, Any]], None]) -> str:
        return in_order(run("plan", str(file), "--moved", str(back(file, change)), "--as-of", AS_OF).err)

    late = f"tackfree late {file} electrician"
    days = said(lambda _, events: put(events[name], "2027-01-21 08:00", "2027-01-21 10:00"))
    assert f"it was moved to Thursday 21 January; if it comes then: {late} 2027-01-21" in days
    hours = said(lambda _, events: put(events[name], "2027-01-20 13:00", "2027-01-20 15:00"))
    assert "it was moved to Wednesday 20 January, 13:00; if it comes then, change its time in the job file" in hours
    gone = said(lambda whole, events: whole.subcomponents.remove(events[name]))
    assert f"the plan counts on it still; if it comes on another day: {late} DATE" in gone


def test_times_in_another_zone_are_followed(job: Path) -> None:
    """As one common program writes them: under the Windows name of the zone."""
    text = (job.parent / "plan.ics").read_bytes().decode()
    start, end = "DTSTART:20270116T160000Z", "DTEND:20270116T193500Z"
    assert start in text
    text = text.replace(start, "DTSTART;TZID=Mountain Standard Time:20270120T180000")
    text = text.replace(end, "DTEND;TZID=Mountain Standard Time:20270120T210500")
    file = job.parent / "back.ics"
    file.write_bytes(text.encode())
    done = run("plan", str(job), "--moved", str(file), "--as-of", AS_OF)
    assert "→ Wednesday 20 January, 18:00–21:05" in done.out


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (b"BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n", "it holds no session of this job; export the calendar into which"),
        (b"<html></html>", "this is a web page"),
        (None, "there is no such file"),
    ],
)
def test_wrong_input_is_one_line(content: bytes | None, said: str, job: Path) -> None:
    file = job.parent / "wrong.ics"
    if content is not None:
        file.write_bytes(content)
    done = run("plan", str(job), "--moved", str(file), "--as-of", AS_OF)
    assert (done.code, len(done.err.splitlines())) == (2, 1)
    assert said in done.err


def test_nothing_has_been_handed_out_yet(tmp_path: Path) -> None:
    file = shelf(tmp_path)
    (tmp_path / "any.ics").write_text("BEGIN:VCALENDAR\r\nEND:VCALENDAR\r\n")
    done = run("plan", str(file), "--moved", str(tmp_path / "any.ics"), "--as-of", AS_OF)
    assert (done.code, done.err) == (
        2,
        "--moved: no calendar has been handed a session of this job yet; write one first: --ics FILE\n",
    )


def test_on_a_terminal_that_shows_ascii_only(job: Path) -> None:
    file = back(job, lambda _, events: put(events[SECOND], "2027-01-20 18:00", "2027-01-20 21:05"))
    done = run("plan", str(job), "--moved", str(file), "--as-of", AS_OF, encoding="ascii")
    assert done.code == 0
    assert "Moved by hand: Shelf wall: Cut and fit the boards" in done.out


@cache
def planned_once() -> tuple[Site, Path]:
    """The shelf wall, planned in a hurry, and its calendar."""
    folder = Path(tempfile.mkdtemp())
    file, ics = shelf(folder), folder / "plan.ics"
    assert run("plan", str(file), "--ics", str(ics), "--as-of", AS_OF, "--effort", "1").code == 0
    return open_site(file), ics


MINUTES = st.integers(0, 21 * 24 * 4).map(lambda quarter: moment("2027-01-08") + 15 * quarter)


@pytest.mark.long
@settings(max_examples=12)
@given(st.lists(st.tuples(st.sampled_from([FIRST, SECOND]), MINUTES, st.integers(2, 24)), min_size=1, max_size=2))
def test_wherever_sessions_are_put_the_plan_keeps_every_rule(moves: list[tuple[str, int, int]]) -> None:
    """The verifier, which shares no code with the planner, accepts it; and a step is in its span or that is said."""
    site, ics = planned_once()
    whole = icalendar.Calendar.from_ical(ics.read_bytes())
    for uid, start, quarters in moves:
        event = next(event for event in whole.walk("VEVENT") if event["uid"] == uid)
        put(event, *(f"{to_datetime(m, ZONE):%Y-%m-%d %H:%M}" for m in (start, start + 15 * quarters)))
    back = ics.with_name("back.ics")
    back.write_bytes(whole.to_ical())
    site, taken = take_moves(site, "back", [("back", back.read_bytes())], moment(AS_OF))
    made = replan(site, moment(AS_OF))
    ground, plan = made.ground, made.plan
    assert not verify(plan, ground.job, ground.graph, ground.windows, ground.films, ground.facts)
    for _, move in taken.moved:
        for name in move.steps:
            step = plan.step(name)
            inside = move.now.start <= step.start and step.end <= move.now.end
            assert inside or any(each.kind == "warned.moved" and each["step"] == name for each in plan.warnings)
        assert move.uid in {uid for uid, *_ in moves}
