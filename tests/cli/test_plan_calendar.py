"""`tackfree plan` and the calendar file: its form, kept for what follows, and how it gets into a calendar."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import icalendar
import pytest

from scheduler.telling.words import PATTERNS
from tests.cli.running import Ran, run
from tests.support.lives import shelf

AS_OF = "2027-01-08"


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return shelf(tmp_path)


def plan(job: Path, *more: str) -> Ran:
    done = run("plan", str(job), "--ics", str(job.parent / "plan.ics"), "--as-of", AS_OF, *more)
    assert done.code == 0, done.err
    return done


def late(job: Path, day: str) -> None:
    done = run("late", str(job), "boards", day, "--ics", str(job.parent / "plan.ics"), "--as-of", AS_OF)
    assert done.code == 0, done.err


def content(job: Path) -> bytes:
    return (job.parent / "plan.ics").read_bytes()


def events(job: Path) -> dict[str, Any]:
    return {str(e["uid"]): e for e in icalendar.Calendar.from_ical(content(job)).walk("VEVENT")}


def test_a_new_file_says_how_it_gets_into_a_calendar(job: Path) -> None:
    first, again = plan(job), plan(job)
    assert first.err == f"Wrote {job.parent}/plan.ics.\n{PATTERNS['en']['cli.ways in']}\n"
    assert again.err == f"Wrote {job.parent}/plan.ics.\n"


def test_an_unchanged_plan_writes_the_same_bytes(job: Path) -> None:
    plan(job)
    before = content(job)
    plan(job)
    assert content(job) == before


def test_the_file_keeps_its_form(job: Path) -> None:
    """Reminders, steps and local times asked for once hold for the files that other commands write."""
    plan(job, "--remind", "45", "--detail", "steps", "--zoned")
    late(job, "2027-01-18")
    found = events(job)
    assert any("-step-" in uid and event["status"] == "CONFIRMED" for uid, event in found.items())
    assert b"TZID=America/Denver" in content(job)
    alarms = [alarm for event in found.values() for alarm in event.walk("VALARM")]
    assert alarms
    plan(job, "--detail", "sessions", "--utc")
    assert b"TZID" not in content(job)
    assert {str(event["status"]) for uid, event in events(job).items() if "-step-" in uid} == {"CANCELLED"}


def test_withdrawn_events_can_be_left_out_for_a_first_import(job: Path) -> None:
    plan(job)
    text = job.read_text()
    job.write_text(text[: text.index("  fit:")])
    plan(job)
    assert b"CANCELLED" in content(job)
    plan(job, "--without-cancelled")
    assert b"CANCELLED" not in content(job)
    plan(job)
    assert b"CANCELLED" in content(job), "it holds for one file: who has subscribed must hear of them"


def test_an_unknown_detail_is_refused(job: Path) -> None:
    assert run("plan", str(job), "--detail", "everything").code == 2
