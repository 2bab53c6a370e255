"""A kill at any instant, a full disk, two commands at once: nothing that was acknowledged is lost, no half file left.

TACKFREE_KILLS sets how many commands are killed (6 if it is not set; 200 for the long form).
"""

from __future__ import annotations

import json
import os
import resource
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.running import run
from tests.living.killing import AS_OF
from tests.support.lives import shelf

pytestmark = pytest.mark.long

ROOT = Path(__file__).parents[2]
KILLS = int(os.environ.get("TACKFREE_KILLS", "6"))


@pytest.mark.skipif(not hasattr(os, "fork"), reason="kills children of a process that forks")
def test_a_kill_at_any_instant_loses_nothing(tmp_path: Path) -> None:
    """After each: every acknowledged entry is there, calendar and plan are whole, the next command works."""
    folder = tmp_path / "wall"
    folder.mkdir()
    shelf(folder)
    command = [sys.executable, "-m", "tests.living.killing", str(folder), str(KILLS)]
    ran = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert ran.returncode == 0, ran.stderr
    seen = json.loads(ran.stdout.splitlines()[-1])
    print(seen)
    assert seen["kills"] == KILLS
    assert seen["acknowledged"] > KILLS // 8  # the kills fall on both sides of the write


def test_a_full_disk_is_said_and_loses_nothing(tmp_path: Path) -> None:
    """No file may grow beyond what the diary has (RLIMIT_FSIZE): exit code 2, one line, the record as it was."""
    job = shelf(tmp_path)
    assert run("plan", str(job), *AS_OF).code == 0
    assert run("late", str(job), "boards", "2027-01-23", *AS_OF).code == 0
    before = {path.name: path.read_bytes() for path in tmp_path.iterdir()}
    most = len(before["job.diary.jsonl"]) + 20
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (most, hard))
    try:
        ran = run("late", str(job), "boards", "2027-01-30", *AS_OF)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert (ran.code, ran.out) == (2, "")
    assert "too large" in ran.err.lower()
    assert ran.err.count("\n") == 1
    assert {path.name: path.read_bytes() for path in tmp_path.iterdir()} == before


def test_a_disk_that_fills_up_after_the_record_keeps_the_record(tmp_path: Path) -> None:
    """The entry fits, the plan does not: what was acknowledged is there, and the plan kept is the one before."""
    job = shelf(tmp_path)
    assert run("plan", str(job), *AS_OF).code == 0
    kept = job.with_name("job.plan.json").read_bytes()
    soft, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (2000, hard))
    try:
        ran = run("late", str(job), "boards", "2027-01-30", *AS_OF)
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (soft, hard))
    assert ran.code == 2
    assert "Recorded: Shelf boards" in ran.out
    assert job.with_name("job.plan.json").read_bytes() == kept
    assert "30 January" in run("diary", str(job), *AS_OF).out
    assert run("plan", str(job), *AS_OF).code == 0


def test_two_commands_at_once_are_both_recorded(tmp_path: Path) -> None:
    """Each waits for the other; neither writes over what the other wrote."""
    job = shelf(tmp_path)
    code = "import sys; from scheduler.cli import main; sys.argv[0] = 'tackfree'; main()"

    def start(*args: str) -> subprocess.Popen[str]:
        command = [sys.executable, "-c", code, args[0], str(job), *args[1:], *AS_OF]
        return subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True)

    both = [start("did", "sand", "--at", "10:10"), start("late", "boards", "2027-01-30")]
    said = [each.communicate() for each in both]
    assert [each.returncode for each in both] == [0, 0], said
    entries = [json.loads(line) for line in job.with_name("job.diary.jsonl").read_text("utf-8").splitlines()]
    assert sorted(entry["what"] for entry in entries) == ["did", "late"]


@pytest.mark.parametrize("cut", [3, 40, 100])
def test_a_half_written_line_is_told_and_set_aside_by_the_next_command(tmp_path: Path, cut: int) -> None:
    """What is left of it is kept apart; what was recorded before it holds; the next entry is on its own line."""
    job = shelf(tmp_path)
    assert run("did", str(job), "sand", "--at", "10:10", *AS_OF).code == 0
    diary = job.with_name("job.diary.jsonl")
    whole = diary.read_bytes()
    diary.write_bytes(whole + whole[:cut])
    looked = run("diary", str(job), *AS_OF)
    assert looked.code == 0
    assert "the last line was cut short" in looked.err
    ran = run("late", str(job), "boards", "2027-01-30", *AS_OF)
    assert ran.code == 0, ran.err
    assert "the last line was cut short" in ran.err
    assert diary.read_bytes().startswith(whole)
    assert [json.loads(line)["what"] for line in diary.read_text("utf-8").splitlines()] == ["did", "late"]
    assert job.with_name("job.diary.jsonl.broken").read_bytes() == whole[:cut] + b"\n"
