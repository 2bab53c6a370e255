"""What is wrong with the words of the command line is said in one line, with exit code 2 and where to read on."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli.conftest import JOB
from tests.cli.running import run

TACKFREE = (sys.executable, "-c", "from scheduler.cli import main; main()")


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["--nope"], "tackfree: No such option: --nope"),
        (["nope"], "tackfree: No such command 'nope'"),
        (["plan"], "tackfree plan: Missing argument 'JOB'"),
        (["plan", "x", "--seed", "y"], "tackfree plan: Invalid value for '--seed'"),
        (["plan", "x", "--remind", "-5"], "tackfree plan: Invalid value for '--remind'"),
        (["plan", "x", "--remind", "9" * 24], "tackfree plan: Invalid value for '--remind'"),
        (["plan", "x", "--lang", "xx"], "tackfree plan: Invalid value for '--lang'"),
        (["plan", "x", "--ics"], "tackfree"),
    ],
)
def test_one_line(words: list[str], said: str) -> None:
    """An unknown option, a missing argument, a value that is none: one line, nothing printed, exit 2."""
    ran = run(*words)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith(said)
    assert ran.err.count("\n") == 1
    assert "--help" in ran.err


def test_a_record_without_a_step_says_what_may_be_named() -> None:
    ran = run("did", "x")
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == "STEP: it is missing; name the steps that are done, or say --session for all of it\n"


def test_no_words_at_all() -> None:
    """Without a word the help is shown, and that is no mistake."""
    ran = run()
    assert ran.code == 0
    assert "Commands:" in ran.out


@pytest.mark.parametrize("time", ["9999-12-31", "0001-01-01", "1969-12-31", "2200-01-01", "9999-12-31T23:59+14:00"])
@pytest.mark.parametrize("command", [["plan"], ["odds"], ["diary", "--note", "ok"]])
def test_times_that_no_file_can_hold(job: Path, command: list[str], time: str) -> None:
    """A time outside 2000 to 2199 is refused before anything is written: the diary could not be read again."""
    ran = run(command[0], str(job), *command[1:], "--as-of", time)
    assert ran.code == 2
    assert ran.err == f"--as-of: “{time}” is too far away to plan for; write a year from 2000 to 2199\n"
    assert not (job / "job.diary.jsonl").exists()


def test_a_line_break_in_a_name(tmp_path: Path) -> None:
    """A name with a line break in it does not make two lines of one fault."""
    assert run("check", str(tmp_path / "a\nb")).err.count("\n") == 1


def test_the_same_fault_once(job: Path) -> None:
    """A wrong word that many steps come from is shown once."""
    scope = "scope: {floor: [varnish floor: {finish: nope}]}\n"
    room = (
        "rooms: {study: {length: 9 ft, width: 9 ft, height: 8 ft, air: {day: 68 °F, night: 60 °F, humidity: 45 %}}}"
    )
    lines = [room if line.startswith("rooms:") else line for line in JOB.splitlines() if "steps:" not in line]
    (job / "job.yaml").write_text("\n".join([*lines, scope]), encoding="utf-8")
    said = [line for line in run("check", str(job)).err.splitlines() if "no material is called `nope`" in line]
    assert len(said) == 1


def test_a_closed_output(job: Path) -> None:
    """With standard output closed (`>&-`) a plan is made, nothing is printed, and nothing goes wrong."""
    shell = f'{sys.executable} -c "from scheduler.cli import main; main()" plan "{job}" --as-of 2026-12-01 >&-'
    ran = subprocess.run(["/bin/sh", "-c", shell], capture_output=True, check=False)
    assert (ran.returncode, ran.stderr) == (0, b"")


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="no device that is always full")
def test_a_full_disk(job: Path) -> None:
    """What is printed and can't be written is told, also if it is short."""
    with Path("/dev/full").open("wb") as full:
        ran = subprocess.run([*TACKFREE, "check", str(job)], stdout=full, stderr=subprocess.PIPE, check=False)
    assert ran.returncode == 2
    assert ran.stderr.startswith(b"what is printed: No space left on device")


def test_a_reader_that_goes_away() -> None:
    """A pipe that is closed early (`| head -1`) is no mistake."""
    read, write = os.pipe()
    os.close(read)
    ran = subprocess.run([*TACKFREE, "schema"], stdout=write, stderr=subprocess.PIPE, check=False)
    os.close(write)
    assert (ran.returncode, ran.stderr) == (0, b"")


@pytest.mark.parametrize("words", [["schema"], ["schema", "plan"], ["starter", "Küche"]])
def test_letters_that_the_terminal_has_not(tmp_path: Path, words: list[str]) -> None:
    """On a terminal of ASCII alone everything is printed somehow."""
    environ = {**os.environ, "PYTHONIOENCODING": "ascii"}
    ran = subprocess.run([*TACKFREE, *words], capture_output=True, env=environ, cwd=tmp_path, check=False)
    assert (ran.returncode, ran.stderr) == (0, b"")
    assert ran.stdout.isascii()
