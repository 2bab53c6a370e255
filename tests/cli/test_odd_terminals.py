"""Every command on terminals that are narrow, know only ASCII, or take no colour."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from scheduler.cli.shared import width
from tests.cli.running import run
from tests.cli.terminal import at_terminal

JOB = """\
job: Böden und Türen
start: 2027-01-09
zone: Europe/Vienna
measures: metric
hours: {on: Saturday, from: 8:30, to: 17:00}
rooms: {küche: {air: {day: 20 °C, night: 16 °C, humidity: 45 %}}}
on order: {größere türen: {comes: 2027-01-15}}
steps:
  prime: {title: Grund für die Wände, work: 45 min, lays: acrylic-bonding-primer}
  hang: {title: Türen einhängen, work: 45 min, needs: größere türen, follows: [prime: recoat]}
"""
NOW = ("--as-of", "2027-01-02")
COMMANDS = [
    *(["plan", *NOW], ["plan", *NOW, "--by-hand"], ["check"], ["diary"], ["buy", *NOW]),
    *(["did", "prime", *NOW, "--at", "2027-01-01T10:00", "--dry-run"], ["lost", "2027-01-09", *NOW, "--dry-run"]),
    *(["late", "größere türen", "2027-01-20", *NOW, "--dry-run"], ["arrived", "größere türen", *NOW, "--dry-run"]),
    *(["leeway", *NOW, "--weeks", "1"], ["odds", *NOW, "--draws", "20"], ["sooner", *NOW]),
    *(["dry"], ["dry", "acrylic-bonding-primer"], ["schema"], ["schema", "plan"]),
    *(["did", "größe", *NOW], ["late", "tür", "2027-01-20", *NOW], ["dry", "farbe für türen"]),  # wrong words
]
WITHOUT_JOB = ("dry", "schema")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    (tmp_path / "job.yaml").write_text(JOB, encoding="utf-8")
    return tmp_path


def typed(command: list[str], job: Path) -> list[str]:
    """The command with the job behind its name, where it takes one."""
    return command if command[0] in WITHOUT_JOB else [command[0], str(job), *command[1:]]


@pytest.mark.parametrize("command", COMMANDS, ids=" ".join)
def test_letters_and_lines_that_the_terminal_has(
    job: Path, command: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """With 20 columns lines end by the 40th, those of JSON apart; in ASCII everything is said somehow."""
    monkeypatch.setenv("COLUMNS", "20")
    wide, plain = run(*typed(command, job)), run(*typed(command, job), encoding="ascii")
    assert wide.code == plain.code
    assert "\\u" not in plain.err and "\\x" not in plain.err
    assert bool(wide.out) == bool(plain.out) and bool(wide.err) == bool(plain.err)
    if command[0] != "schema":
        assert max([0, *map(len, wide.out.splitlines())]) <= 40


@pytest.mark.parametrize("environ", [{}, {"NO_COLOR": "1"}], ids=["as it is", "NO_COLOR"])
def test_colour_only_where_it_is_wanted(job: Path, environ: dict[str, str]) -> None:
    """A terminal gets colour, unless NO_COLOR is set; a pipe gets none."""
    shown = at_terminal(["plan", str(job), *NOW], [], job, **environ)
    assert shown.code == 0
    assert ("\x1b[" in shown.text) == (not environ)
    assert "\x1b[" not in run("plan", str(job), *NOW).out


@pytest.mark.parametrize("shell", ["bash", "zsh", "fish"])
def test_shells_complete_the_commands(shell: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Each of these shells is given a script, which asks the command what may follow: `plan` after `pl`."""
    monkeypatch.setenv("_TACKFREE_COMPLETE", f"source_{shell}")
    assert f"complete_{shell}" in run().out
    monkeypatch.setenv("_TACKFREE_COMPLETE", f"complete_{shell}")
    for name, value in (("COMP_WORDS", "tackfree pl"), ("COMP_CWORD", "1"), ("_TYPER_COMPLETE_ARGS", "tackfree pl")):
        monkeypatch.setenv(name, value)
    monkeypatch.setenv("_TYPER_COMPLETE_FISH_ACTION", "get-args")
    shown = run()
    assert shown.code == 0
    assert "plan" in shown.out and "check" not in shown.out


@pytest.mark.parametrize(("columns", "wide"), [(None, 80), ("20", 40), ("60", 60), ("300", 100)])
def test_lines_are_as_wide_as_the_terminal_within_reason(
    columns: str | None, wide: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Eighty columns where there is none, forty at least, a hundred at most: longer lines are hard to follow."""

    def none(*_: object) -> os.terminal_size:
        raise OSError

    monkeypatch.setattr(os, "get_terminal_size", none)
    monkeypatch.delenv("COLUMNS", raising=False)
    if columns is not None:
        monkeypatch.setenv("COLUMNS", columns)
    assert width() == wide
