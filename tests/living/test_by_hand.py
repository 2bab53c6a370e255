"""A calendar that is kept by hand: it never has our SEQUENCE, and what is listed is carried over event by event."""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from scheduler.telling.machine.plan import schema_text
from scheduler.wallclock import to_datetime
from tests.cli.running import run
from tests.support.clients import Paper
from tests.support.lives import ZONE, moment, shelf

FRIDAY = ("--as-of", "2027-01-08")


def listed(*arguments: str) -> dict[str, Any]:
    """The list by hand of a command, as programs read it."""
    done = run(*arguments, "--json", "--by-hand")
    assert done.code == 0, done.err
    whole = json.loads(done.out)
    Draft202012Validator(json.loads(schema_text("moves" if "moved" in whole else "plan"))).validate(whole)
    found: dict[str, Any] = whole["by_hand"]
    return found


def of_plan(job: Path) -> list[tuple[str, str, str]]:
    """What a calendar that was never told anything before would be given."""
    file = job.parent / "fresh.ics"
    assert run("plan", str(job), "--ics", str(file), *FRIDAY).code == 0
    return Paper(file.read_bytes()).shown()


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return shelf(tmp_path)


@pytest.fixture
def paper(job: Path) -> Paper:
    """The calendar into which the first file was imported, once."""
    first = job.parent / "first.ics"
    assert run("plan", str(job), "--ics", str(first), *FRIDAY).code == 0
    content = first.read_bytes()
    first.unlink()
    return Paper(content)


def test_moved_by_hand_after_a_list_by_hand(job: Path, paper: Paper) -> None:
    """The delivery comes later; the list is carried over; then one session is moved, and the calendar exported. Its
    events have the SEQUENCE of the first file or none at all: what was moved is known by where it never stood."""
    paper.carry_over(listed("late", str(job), "boards", "2027-01-23", *FRIDAY))
    boards = next(name for name, (title, _) in paper.events.items() if title.endswith("Hang the boards"))
    start, end = (to_datetime(moment(text), ZONE) for text in ("2027-01-27 18:00", "2027-01-27 21:05"))
    paper.events[boards] = (paper.events[boards][0], (start, end))
    back = job.parent / "back.ics"
    back.write_bytes(paper.export())
    done = run("plan", str(job), "--moved", str(back), "--by-hand", *FRIDAY)
    assert done.out.count("Moved by hand:") == 1
    assert "→ Wednesday 27 January, 18:00–21:05." in " ".join(done.out.split())
    assert "older version" not in done.err
    paper.carry_over(listed("plan", str(job), "--moved", str(back), *FRIDAY))
    assert paper.events[boards][1] == (start, end)
    assert paper.shown() == of_plan(job)


def test_with_a_calendar_at_hand_the_list_is_reckoned_from_it(job: Path, paper: Paper) -> None:
    """Two changes, and no list was carried over: by our memory the events stand where the first list would have put
    them; in the calendar they stand where they were imported."""
    for day in ("2027-01-23", "2027-01-30"):
        assert run("late", str(job), "boards", day, "--by-hand", *FRIDAY).code == 0
    back = job.parent / "back.ics"
    back.write_bytes(paper.export())
    paper.carry_over(listed("plan", str(job), "--moved", str(back), *FRIDAY))
    assert paper.shown() == of_plan(job)


def test_a_list_is_shown_again_until_something_moves(job: Path, paper: Paper) -> None:
    """As JSON as well, and that takes nothing away; without a list in between one leads from the last list to now."""
    first = listed("late", str(job), "boards", "2027-01-23", *FRIDAY)
    assert first["move"]
    for _ in range(2):
        assert listed("plan", str(job), *FRIDAY) == first
        assert "In a calendar that takes no file again:\nMove:" in run("plan", str(job), "--by-hand", *FRIDAY).out
    paper.carry_over(first)
    for day in ("2027-01-30", "2027-02-06"):
        assert run("late", str(job), "boards", day, "--ics", str(job.parent / "other.ics"), *FRIDAY).code == 0
    paper.carry_over(listed("plan", str(job), *FRIDAY))
    assert paper.shown() == of_plan(job)


def test_what_was_added_under_another_name_is_known_by_its_title(job: Path, paper: Paper) -> None:
    """Into a program that gives imported events names of its own."""
    renamed = Paper(paper.export())
    renamed.events = {f"{number}@elsewhere.example": event for number, event in enumerate(paper.events.values())}
    boards = next(name for name, (title, _) in renamed.events.items() if title.endswith("Hang the boards"))
    start, end = (to_datetime(moment(text), ZONE) for text in ("2027-01-20 18:00", "2027-01-20 21:05"))
    renamed.events[boards] = (renamed.events[boards][0], (start, end))
    back = job.parent / "back.ics"
    back.write_bytes(renamed.export())
    done = run("plan", str(job), "--moved", str(back), *FRIDAY)
    assert "→ Wednesday 20 January, 18:00–21:05." in " ".join(done.out.split())
    renamed.carry_over(listed("plan", str(job), "--moved", str(back), *FRIDAY))
    assert renamed.shown() == of_plan(job)


def test_what_stands_there_twice_was_deleted_or_can_t_be_moved_is_named(job: Path, paper: Paper) -> None:
    """With what to do: a copy goes, a session that nobody wants is a day that is lost, a delivery on another day is
    one that comes late."""
    names = {title.removeprefix("Shelf wall: "): name for name, (title, _) in paper.events.items()}
    sanding = next(name for title, name in names.items() if title.startswith("Sand the wall"))
    boards = names["Cut and fit the boards, Hang the boards"]
    paper.events["copy@elsewhere.example"] = (paper.events[sanding][0], paper.events[boards][1])
    del paper.events[boards]
    comes = names["Shelf boards should come"]
    paper.events[comes] = (paper.events[comes][0], (date(2027, 1, 19), date(2027, 1, 20)))
    back = job.parent / "back.ics"
    back.write_bytes(paper.export())
    done = run("plan", str(job), "--moved", str(back), *FRIDAY)
    assert done.code == 0
    said = " ".join(done.err.split())
    assert "Sand the wall, Wipe the wall, Prime the wall: it stands in that calendar twice; delete this one" in said
    assert (
        "Hang the boards: it was deleted in that calendar, and the plan has it still on Saturday 16 January" in said
    )
    assert f"tackfree lost {job} 2027-01-16" in said
    assert f"if it comes then: tackfree late {job} boards 2027-01-19" in said


def test_a_step_is_moved_with_its_session(job: Path) -> None:
    file = job.parent / "plan.ics"
    assert run("plan", str(job), "--ics", str(file), "--detail", "steps", *FRIDAY).code == 0
    paper = Paper(file.read_bytes())
    name = next(name for name in paper.events if "-step-hang-" in name)
    start, end = (to_datetime(moment(text), ZONE) for text in ("2027-01-20 18:00", "2027-01-20 18:45"))
    paper.events[name] = (paper.events[name][0], (start, end))
    back = job.parent / "back.ics"
    back.write_bytes(paper.export())
    done = run("plan", str(job), "--moved", str(back), *FRIDAY)
    assert "Hang the boards: a step goes where its session goes; move the session instead" in done.err
    assert "No session was moved" in done.out
