"""The help of every command shows an example that can be typed as it stands."""

from __future__ import annotations

import inspect
import re
import shlex
from pathlib import Path

import pytest
import typer.main

from scheduler.cli.app import application
from scheduler.telling.words.sentences import sentences_in
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


def texts() -> set[str]:
    """Every paragraph of the help of all commands and options, but for the examples."""
    app = typer.main.get_command(application())
    commands = app.commands.values()  # type: ignore[attr-defined]
    said = [app.help, *(each for command in commands for each in (command.help, command.short_help))]
    said += [getattr(param, "help", None) for command in commands for param in command.params]
    paragraphs = (" ".join(each.split()) for text in said if text for each in inspect.cleandoc(text).split("\n\n"))
    return {each for each in paragraphs if not each.startswith("Example:")}


def test_all_help_has_its_german() -> None:
    """Of every command and option; no German is kept of what is not said any more."""
    german = sentences_in("de", "help")
    assert not texts() - german.keys()
    assert not {each for each in german if each[0].isupper() and each.endswith(".")} - texts() - THEIRS


THEIRS = {
    "Show this message and exit.",
    "Install completion for the current shell.",
    "Show completion for the current shell, to copy it or customize the installation.",
    "Missing command.",
    "COMMAND [ARGS]...",
}
"""What the library for the command line says."""


def test_help_is_german_on_a_german_system(monkeypatch: pytest.MonkeyPatch) -> None:
    """The list of the commands, one line each on a terminal of 80 columns, and a command with all it takes."""
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
    whole, one = run("--help").out, run("did", "--help").out
    assert whole.startswith("Aufruf: tackfree [OPTIONEN] BEFEHL")
    assert "\nBefehle:\n" in whole
    assert all(re.search(rf"^  {name} +\S.*\.$", whole, re.M) for name in COMMANDS)
    assert "Beispiel: tackfree did examples/hobby-room" in one
    assert "\nOptionen:\n" in one
    assert "Diese Hilfe zeigen." in one
    assert not re.search(r"\b(?:the|is|and|with|Options|Usage|Show)\b", whole + one)


@pytest.mark.parametrize(
    ("words", "said"),
    [
        ("--nope", "tackfree: eine Option --nope gibt es nicht; seht tackfree --help"),
        ("plna", "tackfree: einen Befehl „plna“ gibt es nicht; meint ihr „plan“?; seht tackfree --help"),
        ("plan", "tackfree plan: JOB fehlt; seht tackfree plan --help"),
        ("plan x y", "tackfree plan: hier stehen mehr Wörter, als der Befehl nimmt; seht tackfree plan --help"),
        ("plan x --seed y", "tackfree plan: --seed nimmt eine ganze Zahl; seht tackfree plan --help"),
        (
            "plan x --remind -5",
            "tackfree plan: --remind nimmt eine ganze Zahl von 0 bis 44640; seht tackfree plan --help",
        ),
        ("plan x --lang xx", "tackfree plan: --lang nimmt eines von en, de; seht tackfree plan --help"),
        ("plan x --ics", "tackfree: hinter --ics fehlt ein Wert; seht tackfree --help"),
        ("plan x --all=3", "tackfree: --all nimmt keinen Wert; seht tackfree --help"),
    ],
)
def test_a_wrong_command_line_is_answered_in_german(words: str, said: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """In one line, with exit code 2, and again in English where the system is."""
    monkeypatch.setenv("LC_ALL", "de_DE.UTF-8")
    ran = run(*words.split())
    assert (ran.code, ran.out, ran.err) == (2, "", f"{said}\n")
    monkeypatch.setenv("LC_ALL", "C.UTF-8")
    assert run(*words.split()).err.endswith("--help\n")
    assert "seht" not in run(*words.split()).err
