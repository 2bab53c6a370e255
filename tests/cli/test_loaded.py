"""What a command does not need is not loaded: libraries that take a tenth of a second each, and rooms of its own."""

from __future__ import annotations

import shutil
import subprocess
import sys
from pathlib import Path

import pytest

EXAMPLE = Path(__file__).parents[2] / "examples" / "hobby-room"
CODE = """
import atexit, sys
atexit.register(lambda: print(*sys.modules, file=sys.stderr))
from scheduler.cli import main
main()
"""
HEAVY = {"icalendar", "jinja2", "pint", "rich", "recurring_ical_events", "httpx", "asyncio", "numpy"}
"""Libraries of ours, or of theirs, that no plan on the terminal has a use for."""
FORMS = {"scheduler.reading.methodform", "scheduler.reading.profileform"}
"""What shipped profiles are read with: not needed once they are remembered."""
ELSEWHERE = {
    "scheduler.whatif",
    "scheduler.calendar.server",
    "scheduler.buying",
    "scheduler.telling.page",
    "scheduler.calendar.write",
    "scheduler.reading.busy",
    "scheduler.reading.starter",
    "scheduler.planning.refusal",
}


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder in which a plan is kept, so that the shipped profiles are remembered as well."""
    folder = tmp_path_factory.mktemp("job")
    shutil.copy(EXAMPLE / "job.yaml", folder)
    loaded("plan", folder, "--effort", "100")
    return folder


def loaded(command: str, job: Path, *more: str) -> set[str]:
    """The modules that a command has loaded by its end."""
    words = [command, *([] if command.startswith("-") else [str(job)]), *more]
    done = subprocess.run([sys.executable, "-c", CODE, *words], capture_output=True, text=True, check=True)
    return set(done.stderr.splitlines()[-1].split())


@pytest.mark.parametrize(
    "words", [["plan", "--effort", "100"], ["late", "doors", "2027-02-26"], ["diary"], ["check"]], ids=lambda w: w[0]
)
def test_a_plan_loads_nothing_that_it_has_no_use_for(words: list[str], job: Path) -> None:
    """Neither heavy libraries, nor what reads profiles that are remembered, nor the rooms of other commands."""
    found = loaded(words[0], job, *words[1:], *(["--as-of", "2026-12-01"] if words[0] != "check" else []))
    assert not found & HEAVY
    assert not found & FORMS
    first_screen = {"scheduler.whatif", "scheduler.buying"} if words[0] == "plan" else set()  # its chances, its list
    assert not found & ELSEWHERE - first_screen


def test_only_the_command_that_is_called_is_loaded(job: Path) -> None:
    """Thirteen others stay where they are."""
    found = loaded("check", job)
    assert "scheduler.cli.checking" in found
    assert not found & {"scheduler.cli.planning", "scheduler.cli.recording", "scheduler.cli.dry"}


def test_help_loads_no_reader_and_no_planner(job: Path) -> None:
    """All commands, and nothing of what they do."""
    found = loaded("--help", job)
    assert "scheduler.cli.planning" in found
    rooms = {name for name in found if name.startswith("scheduler.") and name.count(".") == 1}
    assert not rooms & {f"scheduler.{room}" for room in ("reading", "expanding", "planning", "living", "pipeline")}
    assert not found & {*HEAVY, "pydantic.main", "ruamel.yaml"}
