"""The household's calendar on a server: asked by whatever plans; while it is away what was seen there last holds."""

from __future__ import annotations

import json
from datetime import UTC, datetime
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

import icalendar
import pytest

from scheduler.errors import InputError
from scheduler.model.basics import Span
from scheduler.reading.busy import busy_on_server, guard
from scheduler.wallclock import to_minutes
from tests.calendar.server.radicale import Collection, Radicale
from tests.calendar.server.test_server import publish
from tests.cli.running import run

DENVER = ZoneInfo("America/Denver")
AS_OF = ("--as-of", "2027-01-04")


def event(uid: str, start: datetime, end: datetime, **more: Any) -> icalendar.Event:
    found = icalendar.Event()
    for name, value in {"uid": uid, "dtstamp": start, "dtstart": start, "dtend": end, **more}.items():
        found.add(name, value)
    return found


def choir(collection: Collection) -> None:
    """Every Saturday, from long before the job."""
    start, end = datetime(2026, 9, 5, 9, tzinfo=DENVER), datetime(2026, 9, 5, 11, tzinfo=DENVER)
    collection.put("choir.ics", event("choir", start, end, summary="Choir", rrule={"freq": "weekly"}))


def worked_on(plan: Any, days: set[str], until: int) -> list[str]:
    """The steps that are worked on before that hour of one of these days."""
    starts = [(step["id"], piece["start"]) for step in plan["steps"] for piece in step["pieces"]]
    return [name for name, start in starts if start[:10] in days and int(start[11:13]) < until]


SATURDAYS = {"2027-01-09", "2027-01-16", "2027-01-23", "2027-01-30"}


def test_nobody_works_while_the_calendar_on_the_server_says_so(job: Path, collection: Collection) -> None:
    """Nor in hours that were added there since; and the plan's own sessions in it stand in nobody's way."""
    publish(job, collection)
    before = json.loads(run("plan", str(job), "--json", *AS_OF).out)
    assert worked_on(before, SATURDAYS, 11)
    choir(collection)
    url = collection.url.replace("://", "://sam:not%20a%20word%20of%20this@")
    done = run("plan", str(job), "--busy", url, "--no-publish", *AS_OF)
    assert done.code == 0, done.err
    plan = json.loads((job.parent / "job.plan.json").read_text())["plan"]
    kept = (job.parent / "job.plan.json").read_text()
    assert collection.url in kept
    assert not any(word in kept + done.out + done.err for word in ("Choir", "not%20", "a word"))
    assert plan["sessions"]
    start, end = datetime(2027, 1, 23, 9, tzinfo=DENVER), datetime(2027, 1, 24, 13, tzinfo=DENVER)
    collection.put("guests.ics", event("guests", start, end))
    late = run("late", str(job), "brackets", "2027-01-22", "--json", "--no-publish", *AS_OF)
    assert late.code == 0, late.err
    after = json.loads(late.out)["plan"]
    assert worked_on(after, SATURDAYS, 11) == []
    assert worked_on(after, {"2027-01-23", "2027-01-24"}, 24) == []


def test_where_the_server_is_away_what_was_seen_there_last_holds(job: Path, tmp_path: Path) -> None:
    """With one line that says so; a calendar that nobody has ever seen keeps no plan from being made in silence."""
    folder = tmp_path / "server"
    folder.mkdir()
    server = Radicale(folder).start()
    try:
        collection = server.new_calendar("family")
        choir(collection)
        assert run("plan", str(job), "--busy", collection.url, *AS_OF).code == 0
    finally:
        server.kill()
    late = run("late", str(job), "brackets", "2027-01-22", "--json", *AS_OF)
    assert late.code == 0, late.err
    assert worked_on(json.loads(late.out)["plan"], SATURDAYS, 11) == []
    assert f"{collection.url}: the server can't be reached" in late.err
    assert late.err.count("the busy times that were seen there last hold") == 1
    other = run("plan", str(job), "--busy", collection.url.replace("family", "choir"), *AS_OF)
    assert (other.code, len(other.err.splitlines())) == (1, 1)
    assert "the server can't be reached; check the address" in other.err


def test_a_job_file_names_files_alone(job: Path) -> None:
    """So that a job that came from somebody else asks no server, and shows it no password."""
    job.write_text(job.read_text() + "busy: https://calendar.example/family/\n")
    done = run("plan", str(job), *AS_OF)
    assert done.code == 2
    assert (
        "this is an address, and a job file names files alone; name it when you plan: tackfree plan JOB" in done.err
    )


def test_all_parts_of_a_calendar_together_stay_within_the_limits_of_one_file(monkeypatch: pytest.MonkeyPatch) -> None:
    part = (
        "BEGIN:VCALENDAR\nBEGIN:VEVENT\nUID:{0}\nDTSTART:20270109T1{0}0000Z\nDTEND:20270109T1{0}3000Z\nEND:VEVENT\n"
        "END:VCALENDAR\n"
    )
    parts = [(f"https://calendar.example/{number}.ics", part.format(number).encode()) for number in range(4)]
    span = Span(*(to_minutes(datetime(2027, month, 1, tzinfo=UTC)) for month in (1, 2)))
    busy = busy_on_server("https://calendar.example/", parts, span, DENVER)
    assert [one.minutes for one in busy.spans] == [30] * 4
    monkeypatch.setattr(guard, "MAX_COMPONENTS", 7)
    with pytest.raises(InputError, match=r"https://calendar.example/3.ics:2:1: more than 7 parts up to here"):
        busy_on_server("https://calendar.example/", parts, span, DENVER)
    monkeypatch.setattr(guard, "MAX_LINES", 20)
    with pytest.raises(InputError, match="more than 20 lines"):
        busy_on_server("https://calendar.example/", parts, span, DENVER)
