"""The household's calendars: named in the job file or on the command line, and the plan keeps clear of them."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest

from scheduler.living.household import household
from scheduler.living.site import open_site, replan
from scheduler.model.basics import Span
from scheduler.pipeline import HORIZONS
from tests.cli.running import run
from tests.reading.busy.calendars import calendar, write
from tests.support.lives import SHELF, moment, shelf

AS_OF = "2027-01-08"
NOW = moment(AS_OF)
NEXT = SHELF.count("\n") + 1
"""The first line that a test adds to the job file."""
CHOIR = """
    UID:choir@home.example
    SUMMARY:Choir in Springfield
    LOCATION:Elm Street
    DTSTART;TZID=America/Denver:20270109T110000
    DTEND;TZID=America/Denver:20270109T120000
    RRULE:FREQ=WEEKLY;BYDAY=SA
"""


def job(folder: Path, *lines: str) -> Path:
    return shelf(folder, SHELF + "".join(f"{line}\n" for line in lines))


def busy_work(plan: dict[str, object], *spans: tuple[str, str]) -> list[str]:
    """The steps that run in one of these spans of local time, and the sessions that touch it."""
    found = []
    for start, end in spans:
        span = Span(moment(start), moment(end))
        for kind in ("steps", "sessions"):
            for each in plan[kind]:  # type: ignore[attr-defined]
                pieces = each.get("pieces", [each])
                found += [f"{kind} {each.get('id')}" for p in pieces if _touches(p, span)]
    return found


def _touches(piece: dict[str, str], span: Span) -> bool:
    start, end = (moment(piece[name][:16].replace("T", " ")) for name in ("start", "end"))
    return start < span.end and end > span.start


def planned(file: Path, *more: str) -> dict[str, object]:
    done = run("plan", str(file), "--json", "--as-of", AS_OF, *more)
    assert done.code == 0, done.err
    plan: dict[str, object] = json.loads(done.out)
    return plan


SATURDAYS = tuple((f"2027-01-{day} 11:00", f"2027-01-{day} 12:00") for day in ("09", "16", "23", "30"))


def test_nobody_works_during_what_the_job_file_names(tmp_path: Path) -> None:
    write(tmp_path, calendar(CHOIR))
    assert busy_work(planned(job(tmp_path)), *SATURDAYS)
    assert busy_work(planned(job(tmp_path, "busy: home.ics")), *SATURDAYS) == []


def test_the_margin_is_taken_on_both_sides(tmp_path: Path) -> None:
    """11:00 to 12:00 and 30 min to get there and back: nothing from 10:30 to 12:30."""
    write(tmp_path, calendar(CHOIR))
    wide = tuple((f"{day} 10:30", f"{day} 12:30") for day in ("2027-01-09", "2027-01-16", "2027-01-23"))
    assert busy_work(planned(job(tmp_path, "busy: [home.ics]", "travel margin: 30 min")), *wide) == []


def test_on_the_command_line_and_kept_for_what_follows(tmp_path: Path) -> None:
    """`late` plans around the calendar that `plan` was given; a `plan` without it lets go of it."""
    choir = write(tmp_path, calendar(CHOIR), "choir.ics")
    file = job(tmp_path)
    done = run("plan", str(file), "--as-of", AS_OF, "--busy", str(choir), "--margin", "15 min")
    assert done.code == 0, done.err
    wide = tuple((f"{day} 10:45", f"{day} 12:15") for day in ("2027-01-09", "2027-01-16", "2027-01-23"))
    late = run("late", str(file), "boards", "2027-01-20", "--as-of", AS_OF, "--json")
    assert busy_work(json.loads(late.out)["plan"], *wide) == []
    choir.unlink()
    gone = run("late", str(file), "boards", "2027-01-21", "--as-of", AS_OF)
    assert gone.code == 0
    assert "this calendar is gone; the plan is made without it" in " ".join((gone.out + gone.err).split())
    assert run("plan", str(file), "--as-of", AS_OF).code == 0
    again = run("late", str(file), "boards", "2027-01-22", "--as-of", AS_OF)
    assert "calendar is gone" not in " ".join((again.out + again.err).split())


def test_no_word_of_the_calendar_is_shown_and_warnings_name_the_line(tmp_path: Path) -> None:
    """The second event has no start: it is left out, and only its file and line are told."""
    broken = "UID:b@home.example\nSUMMARY:Secret birthday\nDTEND:20270110T120000Z"
    path = write(tmp_path, calendar(CHOIR, broken))
    line = path.read_text().splitlines().index("UID:b@home.example")  # BEGIN:VEVENT is the line before, from 1
    done = run("plan", str(job(tmp_path, "busy: home.ics")), "--as-of", AS_OF)
    said = "".join((done.out + done.err).split())  # a long path is cut at the width of the terminal
    assert f"home.ics:{line}:thiseventhasnoDTSTART;itisleftout" in said
    kept = (tmp_path / "job.plan.json").read_text()
    for word in ("Choir", "Springfield", "Elm", "birthday", "home.example"):
        assert word not in said + kept


def test_check_is_asked_as_of_a_day_like_any_other_command(tmp_path: Path) -> None:
    """The calendars are read as far ahead as a plan of that day would ask; no day is one clear line."""
    write(tmp_path, calendar(CHOIR))
    file = job(tmp_path, "busy: home.ics")
    assert run("check", str(file), "--as-of", "2027-12-01").code == 0
    wrong = run("check", str(file), "--as-of", "soon")
    assert (wrong.code, wrong.err) == (2, "--as-of: “soon” is no time; write 2027-01-16 or 2027-01-16T09:30\n")


def test_the_plans_own_sessions_in_a_calendar_stand_in_nobodys_way(tmp_path: Path) -> None:
    """The calendar of the household holds the plan itself: it is not taken for an appointment."""
    file = job(tmp_path)
    own = tmp_path / "own.ics"
    assert run("plan", str(file), "--ics", str(own), "--as-of", AS_OF).code == 0
    before = planned(file)
    assert planned(file, "--busy", str(own))["sessions"] == before["sessions"]
    other = own.read_text().replace("UID:shelf-wall-", "UID:other-job-")
    own.write_text(other)
    assert planned(file, "--busy", str(own))["sessions"] != before["sessions"]


@pytest.mark.parametrize(
    ("lines", "said"),
    [
        (("busy: away.ics",), f"job.yaml:{NEXT}:7: there is no file `away.ics`; check the name"),
        (("busy: [home.ics, away.ics]",), f"job.yaml:{NEXT}:18: there is no file `away.ics`"),
        (("busy: home.ics", "travel margin: soon"), f"job.yaml:{NEXT + 1}:16: "),
        (("busy: page.ics",), "page.ics:1:1: this is a web page"),
    ],
)
@pytest.mark.parametrize("command", ["plan", "check"])
def test_wrong_input_is_one_line(command: str, lines: tuple[str, ...], said: str, tmp_path: Path) -> None:
    write(tmp_path, calendar(CHOIR))
    write(tmp_path, b"<html>sign in</html>", "page.ics")
    done = run(command, str(job(tmp_path, *lines)))
    assert done.code == 2
    assert said in done.err
    assert len(done.err.splitlines()) == 1


def test_wrong_options_are_one_line(tmp_path: Path) -> None:
    file = job(tmp_path)
    missing = run("plan", str(file), "--busy", str(tmp_path / "none.ics"))
    assert (missing.code, missing.err) == (2, f"{tmp_path}/none.ics: there is no such file; check the name\n")
    margin = run("plan", str(file), "--margin", "soon")
    assert margin.code == 2
    assert margin.err.startswith("--margin: ")


@pytest.mark.parametrize("named", ["in the job file", "with --busy"])
def test_a_pipe_is_named_as_what_it_is(named: str, tmp_path: Path) -> None:
    """And nobody waits for what may never come out of it."""
    os.mkfifo(tmp_path / "home.ics")
    lines, more = (
        (["busy: home.ics"], []) if named == "in the job file" else ([], ["--busy", str(tmp_path / "home.ics")])
    )
    done = run("plan", str(job(tmp_path, *lines)), "--as-of", AS_OF, *more)
    assert done.code == 2
    assert "this is a pipe (FIFO), no file; name a text file" in done.err


def test_it_is_read_for_as_long_as_the_plan_needs(tmp_path: Path) -> None:
    """Busy from the very beginning for 40 weeks: the plan that comes after that keeps clear of the choir as well."""
    year = "UID:y@home.example\nDTSTART;VALUE=DATE:20270101\nDTEND;VALUE=DATE:20271010"
    write(tmp_path, calendar(CHOIR, year))
    site = open_site(job(tmp_path, "busy: home.ics"))
    made = replan(site, NOW)
    assert made.plan.sessions[0].start >= moment("2027-10-10")
    taken = household(site.job, tmp_path, NOW, HORIZONS[-1]).spans
    work = [piece for step in made.plan.steps for piece in step.pieces]
    assert not [piece for piece in work for span in taken if piece.start < span.end and piece.end > span.start]


def test_the_same_question_is_asked_the_whole_half_year(tmp_path: Path) -> None:
    """So that a plan handed out is found again, and nothing is sought anew, as the days go by."""
    write(tmp_path, calendar(CHOIR))
    site = open_site(job(tmp_path, "busy: home.ics"))
    first = household(site.job, tmp_path, NOW, HORIZONS[0])
    assert household(site.job, tmp_path, moment("2027-06-01"), HORIZONS[0]) == household(
        site.job, tmp_path, moment("2027-01-30"), HORIZONS[0]
    )
    assert first.until >= NOW + HORIZONS[0] * 7 * 24 * 60
