"""Files are written before text is printed: who closes a pipe loses no file, and a file that fails stops no plan."""

from __future__ import annotations

import os
import resource
import shlex
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path

import pytest

from scheduler.telling.marks import is_calendar, is_page
from tests.cli.running import Ran, run

NOW = ("--as-of", "2026-12-01")
CODE = "from scheduler.cli import main; main()"


def into(reader: str, *args: str) -> tuple[int, str]:
    """Exit code and standard error of a command whose text goes into that reader."""
    command = shlex.join([sys.executable, "-c", CODE, *args])
    shell = f"{command} | {reader}; exit ${{PIPESTATUS[0]}}"
    ran = subprocess.run(["bash", "-c", shell], capture_output=True, text=True, check=False)
    return ran.returncode, ran.stderr


@contextmanager
def no_file_larger_than(size: int) -> Iterator[None]:
    """As on a disk that is full (RLIMIT_FSIZE, setrlimit(2)): what is written beyond that is refused."""
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))


@pytest.mark.parametrize("form", [(), ("--json",)])
def test_a_closed_pipe_loses_no_file(job: Path, form: tuple[str, ...]) -> None:
    """`tackfree plan JOB --page F --ics G | head`: exit code 0, and both files are there and said to be."""
    page, ics = job / "plan.html", job / "plan.ics"
    code, said = into("true", "plan", str(job), *NOW, "--page", str(page), "--ics", str(ics), *form)
    assert code == 0
    assert is_page(page.read_bytes()) and is_calendar(ics.read_bytes())
    assert f"Wrote {page}." in said and f"Wrote {ics}." in said
    assert "Traceback" not in said and "Exception" not in said


def test_a_closed_pipe_keeps_no_record_from_being_planned(job: Path) -> None:
    """`tackfree lost JOB DAY --ics F | true`: recorded, the plan kept and the calendar written, exit code 0."""
    ics = job / "plan.ics"
    assert into("true", "lost", str(job), "2027-01-09", *NOW, "--ics", str(ics))[0] == 0
    assert "2027-01-09" in (job / "job.diary.jsonl").read_text("utf-8")
    assert (job / "job.plan.json").exists()
    assert "DTSTART:20270116T" in ics.read_text("utf-8")  # the Saturday after, the only day of work


def test_a_closed_pipe_is_no_success_if_a_file_is_missing(job: Path) -> None:
    """The page can't be written (no file may be so large), and nobody reads the text: that is told, exit code 2."""
    page = job / "plan.html"
    with no_file_larger_than(20_000):
        code, said = into("true", "plan", str(job), *NOW, "--page", str(page))
    assert code == 2
    assert f"{page}: File too large; " in said and "the page is not written anew" in said
    assert not page.exists()


def test_the_plan_is_printed_though_a_file_fails(job: Path) -> None:
    """The text is what it would be; then one line says what is missing, and the other file is there."""
    page, ics = job / "plan.html", job / "plan.ics"
    text = run("plan", str(job), *NOW).out
    with no_file_larger_than(20_000):
        ran = run("plan", str(job), *NOW, "--page", str(page), "--ics", str(ics))
    assert (ran.code, ran.out) == (2, text)
    assert ics.exists() and not page.exists()
    assert ran.err.splitlines()[-1].startswith(f"{page}: File too large; the page is not written anew; make room")


def recorded_on_a_full_disk(job: Path, *more: str) -> Ran:
    """A day is lost while the diary can still be written, and the plan kept no more."""
    assert run("plan", str(job), *NOW).code == 0
    with no_file_larger_than(1000):
        return run("lost", str(job), "2027-01-09", *NOW, *more)


def test_a_disk_that_fills_after_recorded_says_what_holds_and_what_is_old(job: Path) -> None:
    """The record holds, the plan and the calendar are old, and what to do; the moves are printed all the same."""
    ics = job / "plan.ics"
    ran = recorded_on_a_full_disk(job, "--ics", str(ics))
    assert ran.code == 2
    assert "Recorded: " in ran.out and "The end moves from" in ran.out
    assert ran.err.splitlines() == [
        f"{job}/job.plan.json: File too large; what was recorded holds, the plan kept and the calendar are old; "
        f"make room or see to its rights, then: tackfree plan {job} --ics {ics}"
    ]
    assert "2027-01-09" in (job / "job.diary.jsonl").read_text("utf-8")
    assert not ics.exists()
    assert run("plan", str(job), *NOW, "--ics", str(ics)).code == 0
    assert "DTSTART:20270116T" in ics.read_text("utf-8")


def test_without_a_calendar_only_the_plan_is_old(job: Path) -> None:
    ran = recorded_on_a_full_disk(job)
    assert "what was recorded holds, the plan kept is old; make room" in ran.err


def test_a_disk_that_is_full_before_that_says_that_nothing_is_recorded(job: Path) -> None:
    """Not even the line of the diary fits."""
    with no_file_larger_than(10):
        ran = run("diary", str(job), "--note", "the second bucket is opened")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == (
        f"{job}/job.diary.jsonl: File too large; nothing is recorded; make room or see to its rights, and say it "
        "again\n"
    )
    assert not (job / "job.diary.jsonl").read_bytes()


def test_ctrl_c_once_something_is_recorded_says_what_holds(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Somebody does not want to wait for the plan: the record holds, and the command for the plan is named."""

    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("scheduler.living.change.settle", interrupted)
    ran = run("lost", str(job), "2027-01-09", *NOW)
    assert ran.code == 130
    assert "Recorded: " in ran.out
    said = f"Stopped: what was recorded holds, the plan kept is old. To plan anew: tackfree plan {job}"
    assert ran.err.strip() == said
    assert "2027-01-09" in (job / "job.diary.jsonl").read_text("utf-8")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_text_that_cannot_be_printed_takes_nothing_back(job: Path) -> None:
    """The output goes into a file on a full disk: recorded, planned, written; and that is what is said."""
    ics = job / "plan.ics"
    code, said = into("cat > /dev/null", "plan", str(job), *NOW)
    assert code == 0, said
    command = shlex.join([sys.executable, "-c", CODE, "lost", str(job), "2027-01-09", *NOW, "--ics", str(ics)])
    ran = subprocess.run(["bash", "-c", f"{command} > /dev/full"], capture_output=True, text=True, check=False)
    assert ran.returncode == 2
    assert "what was recorded holds, the plan kept and the calendar are new" in ran.stderr
    assert "DTSTART:20270116T" in ics.read_text("utf-8")


def test_what_a_killed_page_left_is_swept_by_the_next(job: Path) -> None:
    """Half a page lies beside it under a name of ours; what others have left there stays."""
    page = job / "plan.html"
    left = [job / ".plan.html.0a1b2c3d.part", job / ".plan.html.w_x9yz12.part", job / ".plan.ics.0a1b2c3d.part"]
    theirs = [job / "plan.html.part", job / ".plan.html.notes.part", job / ".other.html.0a1b2c3d.part"]
    for file in (*left, *theirs):
        file.write_text("<!DOCTYPE html>", "utf-8")
    assert run("plan", str(job), *NOW, "--page", str(page), "--ics", str(job / "plan.ics")).code == 0
    assert not any(file.exists() for file in left)
    assert all(file.exists() for file in theirs)


@pytest.mark.skipif(os.name != "posix", reason="rights as POSIX knows them")
@pytest.mark.parametrize(("umask", "mode"), [(0o077, 0o600), (0o022, 0o644), (0o002, 0o664)])
def test_new_files_get_the_rights_of_the_umask(job: Path, umask: int, mode: int) -> None:
    """Calendar, page, plan kept and diary: the rights are what the umask leaves of read and write for all."""
    before = os.umask(umask)
    try:
        done = run("plan", str(job), *NOW, "--ics", str(job / "plan.ics"), "--page", str(job / "plan.html"))
        noted = run("diary", str(job), "--note", "x")
    finally:
        os.umask(before)
    assert (done.code, noted.code) == (0, 0)
    made = ("plan.ics", "plan.html", "job.plan.json", "job.diary.jsonl")
    assert {name: (job / name).stat().st_mode & 0o777 for name in made} == dict.fromkeys(made, mode)


@pytest.mark.skipif(os.name != "posix", reason="rights as POSIX knows them")
def test_a_file_keeps_its_rights(job: Path) -> None:
    """One that only its owner may read stays so, and one that all may write as well."""
    modes = {"plan.ics": 0o600, "plan.html": 0o666, "job.plan.json": 0o640}
    again = ("plan", str(job), "--ics", str(job / "plan.ics"), "--page", str(job / "plan.html"))
    assert run(*again, *NOW).code == 0
    for name, mode in modes.items():
        (job / name).chmod(mode)
    assert run(*again, "--as-of", "2026-12-02").code == 0
    assert {name: (job / name).stat().st_mode & 0o777 for name in modes} == modes
