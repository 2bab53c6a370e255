"""A brake that keeps what there is: who stops a search gets the best plan found by then, nothing half written."""

from __future__ import annotations

import json
import os
import signal
import time
from pathlib import Path
from unittest.mock import patch

import pytest

from scheduler.cli.waiting import Waiting
from scheduler.model.watch import SoFar
from tests.cli.running import Ran, run
from tests.support.lives import shelf

AS_OF = ("--as-of", "2027-01-09T20:00")
HEAR = Waiting.hear


def stopped_by(number: int, *args: str, found: bool = True) -> Ran:
    """A command that gets a signal once its search has found a plan, or before it has found one."""
    sent = []

    def hear(self: Waiting, so_far: SoFar) -> None:
        if not sent and (so_far.finish is not None) is found:
            sent.append(number)
            os.kill(os.getpid(), number)
        HEAR(self, so_far)

    with patch.object(Waiting, "hear", hear):
        ran = run(*args)
    assert sent
    return ran


def out_of_time(*args: str) -> Ran:
    """Run a command whose time is up as soon as a first plan is there."""

    def hear(self: Waiting, so_far: SoFar) -> None:
        if not self._over:
            self._time_is_up()
        HEAR(self, so_far)

    with patch.object(Waiting, "hear", hear):
        return run(*args)


def test_what_is_recorded_may_have_its_plan_within_a_time_too(tmp_path: Path) -> None:
    """`late --within` records, ends the search with the best plan by then, and is no failure: exit code 0."""
    job = shelf(tmp_path)
    ran = out_of_time("late", str(job), "boards", "2027-01-30", "--within", "5 min", *AS_OF)
    assert ran.code == 0, ran.err
    assert "Recorded: Shelf boards" in ran.out
    assert json.loads(job.with_name("job.plan.json").read_text("utf-8"))["plan"]["bound"]["stopped"]
    assert run("lost", str(job), "2027-01-23", "--within", "soon", *AS_OF).code == 2


@pytest.mark.parametrize("name", ["SIGINT", "SIGHUP"])
def test_a_stopped_search_ends_with_the_best_plan_so_far(tmp_path: Path, name: str) -> None:
    """Ctrl-C, or the end of the terminal: printed and written like any other plan, and said; exit code 130."""
    job, ics = shelf(tmp_path), tmp_path / "wall.ics"
    ran = stopped_by(getattr(signal, name), "plan", str(job), "--json", "--ics", str(ics), *AS_OF)
    assert ran.code == 130, ran.err
    plan = json.loads(ran.out)
    assert plan["bound"]["stopped"]
    assert all(step["pieces"] for step in plan["steps"])
    assert ics.read_bytes().endswith(b"END:VCALENDAR\r\n")


def test_a_stopped_search_goes_on_the_next_time(tmp_path: Path) -> None:
    """What was kept of a stopped one is no answer yet: the next plan is sought, and said to be whole."""
    job = shelf(tmp_path)
    assert stopped_by(signal.SIGINT, "plan", str(job), *AS_OF).code == 130
    ran = run("plan", str(job), "--json", *AS_OF)
    assert ran.code == 0
    assert not json.loads(ran.out)["bound"]["stopped"]


def test_what_was_recorded_holds_though_the_search_was_stopped(tmp_path: Path) -> None:
    job = shelf(tmp_path)
    ran = stopped_by(signal.SIGINT, "late", str(job), "boards", "2027-01-30", *AS_OF)
    assert ran.code == 130
    assert "Recorded: Shelf boards" in ran.out
    assert "30 January" in run("diary", str(job), *AS_OF).out
    assert json.loads(job.with_name("job.plan.json").read_text("utf-8"))["plan"]["bound"]["stopped"]


def test_the_end_of_the_time_ends_the_search_and_nothing_else(tmp_path: Path) -> None:
    """`--within` is what the person asked for: exit code 0, and the plan says that there may be a better one."""
    job = shelf(tmp_path)
    ran = out_of_time("plan", str(job), "--json", "--within", "5 min", *AS_OF)
    assert ran.code == 0, ran.err
    assert json.loads(ran.out)["bound"]["stopped"]


def test_the_time_runs_out_by_itself() -> None:
    """A search that has found a plan and goes on for longer than 50 ms is ended, whatever else happens."""
    with Waiting(within=0.05) as waiting, pytest.raises(KeyboardInterrupt):
        waiting.begin()
        for _ in range(100):
            waiting.hear(SoFar(0.1, 1000, 500))
            time.sleep(0.05)


def test_without_a_plan_there_is_nothing_to_keep(tmp_path: Path) -> None:
    """A key pressed before the search began: the command ends at once, and leaves no file."""
    job = shelf(tmp_path)
    with patch("scheduler.planning.answering.search", side_effect=KeyboardInterrupt):
        ran = run("plan", str(job), *AS_OF)
    assert (ran.code, ran.out) == (130, "")
    assert not job.with_name("job.plan.json").exists()


@pytest.mark.parametrize("text", ["soon", "0 s", "-3 s", ""])
def test_a_limit_in_time_is_a_time(tmp_path: Path, text: str) -> None:
    ran = run("plan", str(shelf(tmp_path)), "--within", text)
    assert (ran.code, ran.out) == (2, "")
    assert "write 10 s or 2 min" in ran.err
