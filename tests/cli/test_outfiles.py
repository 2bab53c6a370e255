"""`--ics FILE` and `--page FILE` never write over anything but an earlier calendar or page of the tool."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import JOB
from tests.cli.running import run

NOW = ("--as-of", "2026-12-01")


@pytest.mark.parametrize("option", ["--ics", "--page"])
def test_the_job_file_stays(job: Path, option: str) -> None:
    """Naming the job file as the file to write leaves it as it is: it was written over once."""
    file = job / "job.yaml"
    ran = run("plan", str(job), *NOW, option, str(file))
    assert (ran.code, ran.out, ran.err.count("\n")) == (2, "", 1)
    assert ran.err.startswith(f"{option} {file}: this is there already")
    assert file.read_text(encoding="utf-8") == JOB


def test_it_stays_when_something_is_recorded(job: Path) -> None:
    """The same with a command that records: nothing is recorded either."""
    ran = run("lost", str(job), "2027-01-09", *NOW, "--ics", str(job / "job.yaml"))
    assert ran.code == 2
    assert (job / "job.yaml").read_text(encoding="utf-8") == JOB
    assert not (job / "job.diary.jsonl").exists()


def test_a_calendar_of_somebody_else_stays(job: Path) -> None:
    """The household's calendar is no earlier calendar of this tool."""
    theirs = job / "home.ics"
    theirs.write_bytes(b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//home//EN\r\nEND:VCALENDAR\r\n")
    before = theirs.read_bytes()
    assert run("plan", str(job), *NOW, "--ics", str(theirs)).code == 2
    assert theirs.read_bytes() == before


def test_written_again(job: Path) -> None:
    """An earlier calendar and an earlier page are written again, and an empty file is filled."""
    ics, page = job / "plan.ics", job / "plan.html"
    ics.touch()
    for _ in range(2):
        assert run("plan", str(job), *NOW, "--ics", str(ics), "--page", str(page)).code == 0
    assert ics.read_bytes().startswith(b"BEGIN:VCALENDAR")


@pytest.mark.parametrize("option", ["--ics", "--page"])
def test_no_folder(job: Path, option: str) -> None:
    """A folder that is missing is named, before a plan is made and kept."""
    ran = run("plan", str(job), *NOW, option, str(job / "no" / "such"))
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == f"{option} {job}/no/such: there is no folder {job}/no; make it first, or name another\n"
    assert sorted(file.name for file in job.iterdir()) == ["job.yaml"]


@pytest.mark.parametrize("option", ["--ics", "--page"])
def test_a_folder(job: Path, option: str) -> None:
    """A folder is no file."""
    assert "this is a folder; name a file in it" in run("plan", str(job), *NOW, option, str(job)).err


@pytest.mark.parametrize("option", ["--ics", "--page"])
def test_no_file_is_called_for_the_screen(job: Path, option: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """`-` stands for the screen elsewhere; here it would be a file of that name, which nobody means."""
    monkeypatch.chdir(job)
    ran = run("plan", str(job), *NOW, option, "-")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith(
        f"{option} -: a file is written, and nothing goes to the screen; name it, such as plan."
    )
    assert sorted(file.name for file in job.iterdir()) == ["job.yaml"]


def test_a_link_that_leads_to_itself(job: Path) -> None:
    """It is no name of a file, and stays what it is."""
    (job / "plan.ics").symlink_to("plan.ics")
    assert (
        "this is a link that leads to itself; name another"
        in run("plan", str(job), *NOW, "--ics", str(job / "plan.ics")).err
    )
    assert (job / "plan.ics").is_symlink()


def test_two_in_one(job: Path) -> None:
    """Calendar and page are two files."""
    same = str(job / "plan")
    assert run("plan", str(job), *NOW, "--ics", same, "--page", same).code == 2
    assert not Path(same).exists()


def test_a_link_stays_a_link(job: Path, tmp_path: Path) -> None:
    """What a link names is written; a folder that is shared with the phone keeps getting the calendar."""
    there = tmp_path / "shared.ics"
    there.touch()
    (job / "plan.ics").symlink_to(there)
    assert run("plan", str(job), *NOW, "--ics", str(job / "plan.ics")).code == 0
    assert (job / "plan.ics").is_symlink()
    assert there.read_bytes().startswith(b"BEGIN:VCALENDAR")
