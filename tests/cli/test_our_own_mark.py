"""Only a file that bears our own mark is written over, and none under a name that the record of a job needs."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from scheduler.telling.marks import CALENDAR, PAGE, is_calendar, is_page
from tests.cli.conftest import JOB
from tests.cli.running import run

NOW = ("--as-of", "2026-12-01")
FOREIGN_PAGE = (
    b'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n<title>My diary</title></head></html>'
)
AROUND_OURS = (
    f"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//home//EN\r\nBEGIN:VEVENT\r\nPRODID:{CALENDAR}\r\nEND:VEVENT\r\n"
    "END:VCALENDAR\r\n"
).encode()
"""A calendar of the household into which an event of ours was copied, with all that stood around it."""


def refused(job: Path, option: str, file: Path) -> str:
    """The one line that refuses it; nothing is kept beside the job, and what was there is as it was."""
    before = {path.name: path.read_bytes() for path in job.iterdir() if path.is_file()}
    ran = run("plan", str(job), *NOW, option, str(file))
    assert (ran.code, ran.out, ran.err.count("\n")) == (2, "", 1), ran.err
    assert {path.name: path.read_bytes() for path in job.iterdir() if path.is_file()} == before
    return ran.err


@pytest.mark.parametrize(
    ("option", "content"),
    [
        ("--page", FOREIGN_PAGE),
        ("--page", b"<!doctype html><p>notes"),
        ("--page", f"<!DOCTYPE html><p>It says {PAGE} in each.".encode()),
        ("--ics", AROUND_OURS),
        ("--ics", b"BEGIN:VCALENDAR\r\nX-NOTE:-//tackfree//\r\nPRODID:-//home//EN\r\nEND:VCALENDAR\r\n"),
    ],
)
def test_a_foreign_file_of_the_same_kind_is_left_as_it_is(job: Path, option: str, content: bytes) -> None:
    """A page is known by its generator and a calendar by its PRODID, not by being a page or a calendar."""
    file = job / "theirs"
    file.write_bytes(content)
    assert "this is there already" in refused(job, option, file)


def test_each_kind_replaces_its_own_kind_alone(job: Path) -> None:
    """A page is no calendar to be written over, nor the other way round."""
    ics, page = job / "plan.ics", job / "plan.html"
    assert run("plan", str(job), *NOW, "--ics", str(ics), "--page", str(page)).code == 0
    assert is_calendar(ics.read_bytes()) and is_page(page.read_bytes())
    assert "no calendar file of tackfree" in refused(job, "--ics", page)
    assert "no page of tackfree" in refused(job, "--page", ics)


def test_a_page_of_an_earlier_version_is_written_again(job: Path) -> None:
    """Pages had no mark of their own once: they are known by the key under which their script keeps the ticks."""
    page = job / "plan.html"
    assert run("plan", str(job), *NOW, "--page", str(page)).code == 0
    new = page.read_text("utf-8")
    page.write_text(new.replace(f"{PAGE}\n", ""), "utf-8")
    assert PAGE not in page.read_text("utf-8")
    assert run("plan", str(job), *NOW, "--page", str(page)).code == 0
    assert page.read_text("utf-8") == new


@pytest.mark.parametrize("line_end", [b"\n", b"\r\n"])
def test_line_ends_of_another_system_hide_no_mark(job: Path, line_end: bytes) -> None:
    """A folder that is shared, or under version control, may have changed them."""
    ics, page = job / "plan.ics", job / "plan.html"
    again = ("plan", str(job), *NOW, "--ics", str(ics), "--page", str(page))
    assert run(*again).code == 0
    for file in (ics, page):
        file.write_bytes(file.read_bytes().replace(b"\r\n", b"\n").replace(b"\n", line_end))
    assert run(*again).code == 0


@pytest.mark.parametrize("option", ["--ics", "--page"])
@pytest.mark.parametrize(
    "name",
    ["job.diary.jsonl", "job.plan.json", "job.diary.jsonl.broken", ".job.lock", "JOB.Plan.JSON", "other.plan.json"],
)
def test_names_of_the_record_are_refused_before_there_is_such_a_file(job: Path, option: str, name: str) -> None:
    """Also in other letters, for folders that take them for the same, and of a job that may come to lie there."""
    said = refused(job, option, job / name)
    assert "under such a name the record of a job is kept; name another, such as plan." in said


def test_they_are_refused_through_a_link(job: Path) -> None:
    """What the link names counts, though it is not there yet."""
    (job / "plan.html").symlink_to("job.plan.json")
    assert "under such a name the record of a job is kept" in refused(job, "--page", job / "plan.html")


@pytest.mark.parametrize("option", ["--ics", "--page"])
def test_what_the_job_reads_is_refused(job: Path, option: str) -> None:
    """A calendar of the household, be it one that tackfree wrote for another job: it would be read as ours then."""
    text = JOB + "busy: ../other.ics\n"
    (job / "job.yaml").write_text(text, "utf-8")
    other = job.parent / "other.ics"
    other.write_bytes(f"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:{CALENDAR}\r\nEND:VCALENDAR\r\n".encode())
    before = other.read_bytes()
    ran = run("plan", str(job), *NOW, option, str(job.parent / "other.ics"))
    assert ran.code == 2
    assert ("this job reads that file" if option == "--ics" else "no page of tackfree") in ran.err
    ran = run("lost", str(job), "2027-01-09", *NOW, "--ics", str(other))
    assert ran.code == 2
    assert not (job / "job.diary.jsonl").exists()
    assert other.read_bytes() == before


def test_a_calendar_named_on_the_command_line_is_refused_as_well(job: Path) -> None:
    other = job.parent / "other.ics"
    other.write_bytes(f"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:{CALENDAR}\r\nEND:VCALENDAR\r\n".encode())
    ran = run("plan", str(job), *NOW, "--ics", str(other), "--busy", str(job / ".." / "other.ics"))
    assert (ran.code, ran.out) == (2, "")
    assert "this job reads that file as a calendar of the household; name another" in ran.err


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
@pytest.mark.parametrize("option", ["--ics", "--page"])
def test_a_named_pipe_is_left_alone_and_waits_for_nobody(job: Path, option: str) -> None:
    os.mkfifo(job / "pipe")
    assert "this is there already" in refused(job, option, job / "pipe")


@pytest.mark.skipif(not Path("/dev/stdout").exists(), reason="no such name here")
@pytest.mark.parametrize("name", ["out.html", "/dev/stdout"])
def test_the_file_that_the_text_goes_into_is_no_page(job: Path, name: str) -> None:
    """`tackfree plan JOB --page out.html > out.html`: the shell has emptied it, and the text would be lost."""
    code = "from scheduler.cli import main; main()"
    with (job / "out.html").open("w") as out:
        ran = subprocess.run(
            [sys.executable, "-c", code, "plan", str(job), *NOW, "--page", str(job / name)],
            stdout=out,
            stderr=subprocess.PIPE,
            text=True,
            check=False,
        )
    assert ran.returncode == 2
    assert "what is printed goes into this file; give each its own name" in ran.stderr
    assert (job / "out.html").read_bytes() == b""
