"""The calendar file and the page of before are written again by every command that changes the plan.

Whoever forgot `--ics` once had nine sessions missing. The wall is that of `lives`.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.calendar.readers import with_icalendar
from tests.cli.running import run
from tests.living.test_commands import FRIDAY, SATURDAY_NIGHT, done
from tests.support.lives import shelf


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The wall with its plan of Friday: a calendar file in its folder, and a page beside that."""
    folder = tmp_path / "wall"
    folder.mkdir()
    job = shelf(folder)
    page = str(tmp_path / "wall.html")
    done(run("plan", str(job), "--effort", "60", "--ics", str(folder / "wall.ics"), "--page", page, *FRIDAY))
    return job


def calendar(job: Path) -> bytes:
    return (job.parent / "wall.ics").read_bytes()


def page(job: Path) -> str:
    return (job.parent.parent / "wall.html").read_text("utf-8")


def test_what_is_recorded_is_in_the_calendar_and_on_the_page(job: Path) -> None:
    """Ten days late the boards come on the 26th; both files have it, and the command names them."""
    before, shown = calendar(job), page(job)
    ran = done(run("late", str(job), "boards", "2027-01-26", *SATURDAY_NIGHT))
    assert calendar(job) != before
    assert page(job) != shown
    assert "26 January" in page(job)
    assert "wall.ics" in ran.err and "wall.html" in ran.err
    without = (calendar(job), page(job))
    done(run("plan", str(job), *SATURDAY_NIGHT))
    assert calendar(job) == without[0], "nothing has changed since"


def test_for_once_they_are_left_as_they_are(job: Path) -> None:
    """`--no-files`, and a look at what would be, and JSON for a program."""
    before = (calendar(job), page(job))
    done(run("late", str(job), "boards", "2027-01-26", "--dry-run", *SATURDAY_NIGHT))
    done(run("late", str(job), "boards", "2027-01-26", "--no-files", *SATURDAY_NIGHT))
    done(run("plan", str(job), "--no-files", *SATURDAY_NIGHT))
    done(run("plan", str(job), "--json", *SATURDAY_NIGHT))
    assert (calendar(job), page(job)) == before
    done(run("plan", str(job), *SATURDAY_NIGHT))
    assert calendar(job) != before[0], "they are remembered all the same"


def test_a_file_that_was_deleted_is_not_made_again(job: Path) -> None:
    (job.parent / "wall.ics").unlink()
    ran = done(run("plan", str(job), *FRIDAY))
    assert not (job.parent / "wall.ics").exists()
    assert "wall.ics is gone, and is not written again; name it with --ics to have it back." in ran.err


def test_a_file_that_is_something_else_by_now_is_left_alone(job: Path) -> None:
    (job.parent / "wall.ics").write_text("my notes", "utf-8")
    ran = done(run("plan", str(job), *FRIDAY))
    assert calendar(job) == b"my notes"
    assert "no calendar file of tackfree" in ran.err


def test_a_folder_that_moves_takes_its_calendar_along(job: Path) -> None:
    """What lies in the folder of the job is known by its place in it."""
    moved = job.parent.rename(job.parent.with_name("elsewhere")) / "job.yaml"
    before = calendar(moved)
    done(run("late", str(moved), "boards", "2027-01-26", *SATURDAY_NIGHT))
    assert calendar(moved) != before


def test_a_server_that_cannot_be_reached_keeps_nothing_from_being_recorded(job: Path) -> None:
    """The address of before leads nowhere today: it is recorded, planned and written; that much is said."""
    kept = job.with_name("job.plan.json")
    kept.write_text(kept.read_text("utf-8").replace('"server": ""', '"server": "http://127.0.0.1:9/cal/"'), "utf-8")
    ran = run("did", str(job), "sand", "--at", "10:10", *SATURDAY_NIGHT)
    assert ran.code == 0, ran.err
    assert "Recorded: Sand the wall" in ran.out
    assert "the calendar there is behind; the next command brings it up to date" in ran.err
    ran = run("did", str(job), "wipe", "--at", "10:40", "--no-publish", *SATURDAY_NIGHT)
    assert "http://127.0.0.1:9/cal/: the calendar there is behind" in ran.err
    assert "can't be reached" not in ran.err


def test_a_calendar_for_others_is_written_again_as_well(job: Path) -> None:
    """For the household: what dries and what comes, and not a session."""
    house = job.parent / "house.ics"
    done(run("plan", str(job), "--ics", str(house), "--for", "household", *FRIDAY))
    first = house.read_bytes()
    assert {name.removeprefix("shelf-wall-").split("-")[0] for name in with_icalendar(first)} == {
        "film",
        "room",
        "item",
    }
    done(run("late", str(job), "boards", "2027-01-26", *SATURDAY_NIGHT))
    assert house.read_bytes() != first
    both = run("plan", str(job), "--ics", str(job.parent / "wall.ics"), "--for", "helper", *SATURDAY_NIGHT)
    assert (both.code, "another calendar or page of this job is written there" in both.err) == (2, True)
    alone = run("plan", str(job), "--for", "helper", *SATURDAY_NIGHT)
    assert (alone.code, alone.err.splitlines()[-1]) == (
        2,
        "--for: there is no calendar file that it could be; add one: --ics helper.ics",
    )
