"""What is recorded in one breath, or in the wrong order: by hand for the wall of `lives`, nothing planned before.

Sanding takes an hour and makes dust, wiping takes half an hour, priming one. "Sanded and wiped by two", said in one
command, was recorded as ending at two both times, and no plan could be made: the dust fell into the wiping.
"""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from tests.cli.running import run
from tests.living.test_commands import done, lines, pieces, plan_of
from tests.support.lives import shelf

AFTERNOON = ("--as-of", "2027-01-09T14:30")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return shelf(tmp_path)


def recorded(job: Path) -> dict[str, tuple[str, str]]:
    """Step -> from when to when it is recorded, as clock times."""
    entries = [line for line in lines(job) if line["what"] == "did"]
    return {
        str(line["step"]): (str(line["pieces"][0][0])[11:16], str(line["pieces"][-1][1])[11:16])  # type: ignore[index]
        for line in entries
    }


@pytest.mark.parametrize("named", [("sand", "wipe"), ("wipe", "sand")])
def test_steps_that_follow_one_another_end_one_before_the_other(job: Path, named: tuple[str, str]) -> None:
    """Done by 14:00: wiped from 13:30 on, so sanded from 12:30 on. The break from 12:00 to 12:30 plays no part."""
    done(run("did", str(job), *named, "--at", "14:00", *AFTERNOON))
    assert recorded(job) == {"sand": ("12:30", "13:30"), "wipe": ("13:30", "14:00")}
    assert pieces(plan_of(job, *AFTERNOON), "prime") == ["01-10T11:40 12:40"], "after sanding and wiping, as before"


def test_steps_that_do_not_follow_one_another_may_end_together(job: Path) -> None:
    """Somebody sanded while somebody else cut the boards."""
    done(run("did", str(job), "sand", "fit", "--at", "14:00", *AFTERNOON))
    assert {end for _, end in recorded(job).values()} == {"14:00"}


def test_what_was_forgotten_was_done_before_what_is_recorded_already(job: Path) -> None:
    """Wiped from 14:00 on, by the record; then the sanding is recorded without a time: it had ended by 14:00."""
    done(run("did", str(job), "wipe", *AFTERNOON))
    done(run("did", str(job), "sand", *AFTERNOON))
    assert recorded(job) == {"wipe": ("14:00", "14:30"), "sand": ("13:00", "14:00")}


def test_a_time_that_the_person_names_stands(job: Path) -> None:
    """Sanded until 14:30, though wiped before: the room is wiped again, which can be recorded and taken back."""
    done(run("did", str(job), "wipe", "--at", "12:00", *AFTERNOON))
    ran = done(run("did", str(job), "sand", "--at", "14:30", *AFTERNOON))
    assert recorded(job)["sand"] == ("13:30", "14:30")
    assert "6 steps stay where they are." in ran.out
    assert pieces(plan_of(job, *AFTERNOON), "wipe-again") == ["01-10T11:10 11:40"], (
        "after the sanding as it was planned"
    )
    evening = ("--as-of", "2027-01-09T20:00")
    done(run("did", str(job), "wall, again", "--at", "15:00", *evening))
    assert recorded(job)["wipe-again"] == ("14:30", "15:00")
    done(run("did", str(job), "sand", "--undo", *evening))
    done(run("did", str(job), "wipe-again", "--undo", *evening))
    again = json.loads(done(run("plan", str(job), "--json", *evening)).out)
    assert [step["id"] for step in again["steps"] if step["state"] == "planned"][:3] == [
        "sand",
        "wipe-again",
        "prime",
    ]


def test_by_the_time_that_is_named_for_several_what_was_planned_before_ended_as_planned(job: Path) -> None:
    """Saturday and Sunday are told together on Sunday evening: what was to be over on Saturday was, so that nothing
    is sanded, wiped and primed within one moment, and no rule is broken that nobody broke."""
    early = ("--as-of", "2027-01-08T12:00")
    done(run("plan", str(job), *early))
    planned = {step["id"]: step["pieces"][-1]["end"] for step in plan_of(job, *early)["steps"]}
    told = done(
        run("did", str(job), "sand", "wipe", "prime", "paint", "--at", "13:00", "--as-of", "2027-01-10T20:00")
    )
    ends = {str(line["step"]): str(line["pieces"][-1][1]) for line in lines(job) if line["what"] == "did"}  # type: ignore[index]
    first = ("sand", "wipe", "prime")
    assert [ends[name][:16] for name in first] == [planned[name][:16] for name in first]
    assert {planned[name][:10] for name in first} == {"2027-01-09"}
    assert ends["paint"][:16] == "2027-01-10T13:00", "the last of them ended when it is said"
    assert "Rules that" not in told.out
