"""On a terminal the sessions that passed are asked about one by one, and the answers go into the diary."""

from __future__ import annotations

import json
import os
import pty
import subprocess
import sys
from pathlib import Path

from tests.cli.running import run
from tests.support.lives import shelf


def test_yes_and_no_write_the_diary(tmp_path: Path) -> None:
    """Saturday took place: sand, wipe and prime are done as planned. Sunday did not: its hours are lost."""
    job = shelf(tmp_path)
    assert run("plan", str(job), "--as-of", "2027-01-08").code == 0
    ours, theirs = pty.openpty()
    code = "import sys; from scheduler.cli import main; sys.argv[0] = 'tackfree'; main()"
    command = [sys.executable, "-c", code, "plan", str(job), "--as-of", "2027-01-11T08:00"]
    with subprocess.Popen(command, stdin=theirs, stdout=theirs, stderr=subprocess.PIPE, close_fds=True) as asking:
        os.write(ours, b"y\nn\n")
        os.close(theirs)
        shown = b""
        while True:
            try:
                shown += os.read(ours, 4096)
            except OSError:  # the other end is closed: everything has been said
                break
        assert asking.stderr is not None
        said = asking.stderr.read().decode()
    os.close(ours)
    assert asking.returncode == 0, said
    assert b"Did they take place as planned?" in b" ".join(shown.split())  # lines end at the width
    entries = [json.loads(line) for line in job.with_name("job.diary.jsonl").read_text("utf-8").splitlines()]
    assert [(entry["what"], entry.get("step")) for entry in entries] == [
        ("did", "sand"),
        ("did", "wipe"),
        ("did", "prime"),
        ("lost", None),
    ]
    assert entries[0]["pieces"] == [["2027-01-09T09:10:00-07:00", "2027-01-09T10:10:00-07:00"]]
    assert "unrecorded" not in said


def test_of_a_day_of_which_something_is_recorded_nobody_says_that_there_is_no_record(tmp_path: Path) -> None:
    """On Saturday two of three steps were done, and said so. What is asked is whether it was more, and what moves
    moves because not all of it is recorded."""
    job = shelf(tmp_path)
    assert run("plan", str(job), "--as-of", "2027-01-08").code == 0
    ran = run("did", str(job), "sand", "wipe", "--as-of", "2027-01-09T20:00")
    assert ran.code == 0, ran.err
    said = " ".join((ran.out + ran.err).split())
    assert "There is no record of it" not in said
    assert "nothing is recorded" not in said
    assert "Was more done on Saturday 9 January than is recorded?" in said
    assert "because not all the work of Saturday 9 January is recorded" in said


def test_of_a_session_less_a_step_nobody_asks_again(tmp_path: Path) -> None:
    """`--but` says of the step that it was left out: that is what moves it, and nothing is left to be asked."""
    job = shelf(tmp_path)
    assert run("plan", str(job), "--as-of", "2027-01-08").code == 0
    ran = run("did", str(job), "--session", "--but", "prime", "--as-of", "2027-01-09T20:00")
    assert (ran.code, ran.err) == (0, "")
    assert "because “Prime the wall” was left out Saturday 9 January, 09:00–11:50" in " ".join(ran.out.split())
    again = run("diary", str(job), "--as-of", "2027-01-09T21:00")
    assert again.err == ""
    assert "Prime the wall: left out Saturday 9 January" in " ".join(again.out.split())
    seen = run("plan", str(job), "--as-of", "2027-01-09T21:00")
    assert "2 steps on another day, because “Prime the wall” was left out Saturday 9 January" in " ".join(
        seen.out.split()
    )
    undone = run("did", str(job), "prime", "--undo", "--as-of", "2027-01-09T21:00")
    assert undone.out.startswith("Undone: Prime the wall: left out")
