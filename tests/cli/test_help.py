"""The help of every command shows an example that can be typed as it stands."""

from __future__ import annotations

import re
import shlex
from pathlib import Path

import pytest
import typer.main

from scheduler.cli.app import application
from tests.cli.running import run

ROOT = Path(__file__).parents[2]
COMMANDS = sorted(typer.main.get_command(application()).commands)  # type: ignore[attr-defined]
QUICK = ("check", "dry", "schema", "starter")
"""Those whose example is done in a moment."""


def example(name: str) -> list[str]:
    """The words of the example in a command's help."""
    ran = run(name, "--help")
    assert ran.code == 0
    found = re.search(r"Example:\s+(tackfree .+?)\n\n", ran.out, re.S)
    assert found is not None, f"no example in tackfree {name} --help"
    return shlex.split(" ".join(found[1].split()).partition(" > ")[0])


def test_the_commands_are_there() -> None:
    """Those of the manual, and nothing by accident."""
    assert len(COMMANDS) == 21


def test_no_command_is_described_by_half_a_sentence() -> None:
    """The list of commands stands whole on a terminal of 80 columns."""
    ran = run("--help")
    listed = ran.out.partition("Commands:")[2]
    assert listed
    assert [line for line in listed.splitlines() if line.rstrip().endswith("...")] == []
    assert all(re.search(rf"^  {name} +\S.*\.$", ran.out, re.M) for name in COMMANDS)


@pytest.mark.parametrize("name", COMMANDS)
def test_the_example_can_be_typed(name: str) -> None:
    """It calls its own command with words that the command takes, and the job in it is there."""
    program, command, *words = example(name)
    assert (program, command) == ("tackfree", name)
    taken = typer.main.get_command(application()).commands[name].make_context(name, words)  # type: ignore[attr-defined]
    job = taken.params.get("job")
    assert job is None or (ROOT / job / "job.yaml").is_file()


@pytest.mark.parametrize("name", QUICK)
def test_the_example_does_what_it_says(name: str, monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """It runs without a fault where README says that it does: in the folder that holds `examples`."""
    (tmp_path / "examples").symlink_to(ROOT / "examples")
    monkeypatch.chdir(tmp_path)
    ran = run(*example(name)[1:])
    assert (ran.code, ran.err) == (0, "")
    assert ran.out
