"""A session of which something is recorded while it lasts is one session, whatever hours each plan gave it.

By hand, for the wall of `lives` as planned on Friday: on Saturday sand 9:10-10:10, wipe until 10:40, prime until
11:40. At 10:20 the sanding is recorded as done then, so wiping is planned until 10:50 and priming until 11:50.
"""

from __future__ import annotations

import json
import os
import pty
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.running import run
from tests.living.test_commands import FRIDAY, done, lines
from tests.support.lives import shelf

SUNDAY = ("--as-of", "2027-01-10T08:00")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """Saturday is over, and only the sanding is recorded."""
    file = shelf(tmp_path)
    done(run("plan", str(file), *FRIDAY))
    done(run("did", str(file), "sand", "--at", "10:20", "--as-of", "2027-01-09T10:45"))
    return file


def asked(job: Path) -> list[str]:
    return [line for line in done(run("plan", str(job), *SUNDAY)).err.splitlines() if "If you did" in line]


def test_a_session_that_was_planned_anew_on_its_day_is_asked_about_once(job: Path) -> None:
    """It was listed twice, under the hours of either plan."""
    (session,) = asked(job)
    assert "Wipe the wall; Prime the wall" in session


def test_who_says_that_it_did_not_take_place_is_not_asked_again(job: Path) -> None:
    """The sanding stands; what is left of the session after it is lost."""
    done(run("lost", str(job), "2027-01-09", *SUNDAY))
    assert lines(job)[-1]["from"] == "2027-01-09T10:20:00-07:00"
    assert asked(job) == []


def test_no_is_an_answer_on_a_terminal_too(job: Path) -> None:
    """It was refused, for work was recorded in these hours."""
    ours, theirs = pty.openpty()
    code = "import sys; from scheduler.cli import main; sys.argv[0] = 'tackfree'; main()"
    command = [sys.executable, "-c", code, "plan", str(job), *SUNDAY]
    with subprocess.Popen(command, stdin=theirs, stdout=theirs, stderr=subprocess.PIPE, close_fds=True) as asking:
        os.write(ours, b"n\n")
        os.close(theirs)
        while True:
            try:
                os.read(ours, 4096)
            except OSError:  # the other end is closed: everything has been said
                break
    os.close(ours)
    assert asking.returncode == 0
    assert lines(job)[-1]["from"] == "2027-01-09T10:20:00-07:00"
    assert asked(job) == []


def test_what_was_planned_before_the_work_that_is_recorded_may_be_lost(tmp_path: Path) -> None:
    """Only the priming is recorded, as planned. The sanding and the wiping before it did not take place."""
    job = shelf(tmp_path)
    done(run("plan", str(job), *FRIDAY))
    done(run("did", str(job), "prime", *SUNDAY))
    hint = next(line for line in run("plan", str(job), *SUNDAY).err.splitlines() if "if not: tackfree lost" in line)
    done(run(*hint.split("tackfree ")[1].split(), *SUNDAY))
    lost = [json.dumps([line["from"], line["to"]]) for line in lines(job) if line["what"] == "lost"]
    assert [(span[13:18], span[42:47]) for span in lost] == [("09:00", "10:40"), ("11:40", "15:00")]
    assert asked(job) == []


def test_what_was_recorded_by_mistake_and_taken_back_is_not_asked_about(tmp_path: Path) -> None:
    """Painted, somebody said in the morning, and took it back. That was never planned for Saturday."""
    job = shelf(tmp_path)
    done(run("plan", str(job), *FRIDAY))
    early = ("--as-of", "2027-01-09T09:05")
    done(run("did", str(job), "paint", "--at", "9:03", *early))
    done(run("did", str(job), "paint", "--undo", *early))
    (session,) = asked(job)
    assert "(Sand the wall; Wipe the wall; Prime the wall)" in session
