"""A garage whose night is too cold for the enamel: the plan waits and says what would cure it, and the cure works."""

from __future__ import annotations

import json
from datetime import datetime, timedelta
from pathlib import Path

import pytest

from tests.cli.running import run

# Waterborne alkyd enamel may be laid from 50 °F on and needs that until it may be recoated, 16 h at 77 °F (its
# profile): longer than any day has left, so that the night decides. From 6 February on the nights have 55 °F.
JOB = """\
job: Garage shelf
start: 2027-01-09
zone: America/Denver
measures: US
hours:
  - {on: [Saturday, Sunday], from: 8:30, to: 17:00}
rooms:
  garage:
    air:
      - {day: 64 °F, night: 40 °F, humidity: 50 %, night humidity: 50 %}
      - {since: 2027-02-06, day: 64 °F, night: 55 °F, humidity: 50 %, night humidity: 50 %}
steps:
  door:
    title: Paint the door
    work: 30 min
    lays: waterborne-alkyd-enamel
  shelf:
    title: Paint the shelf
    work: 1 h
    lays: waterborne-alkyd-enamel
"""
SPRING = "      - {since: 2027-02-06, day: 64 °F, night: 55 °F, humidity: 50 %, night humidity: 50 %}\n"


def planned(folder: Path, job: str) -> tuple[list[str], list[str]]:
    """(starts of the steps, warnings)."""
    (folder / "job.yaml").write_text(job, encoding="utf-8")
    ran = run("plan", str(folder), "--as-of", "2027-01-02", "--json")
    assert ran.code == 0, ran.err
    plan = json.loads(ran.out)
    return sorted(step["pieces"][0]["start"] for step in plan["steps"]), plan["warnings"]


def test_the_plan_waits_and_names_the_cure_and_the_cure_makes_both_go_away(tmp_path: Path) -> None:
    """The first session is Saturday 9 January, the first one whose night is fit Saturday 6 February."""
    starts, warnings = planned(tmp_path, JOB)
    assert starts[0] == "2027-02-06T08:30:00-07:00"
    waiting = [warning for warning in warnings if "waits for fit air" in warning]
    assert len(waiting) == 1
    assert "the night falls to 40 °F on Saturday 9 January, 8:00 pm" in waiting[0]
    assert "heat the room to at least 50 °F at night until " in waiting[0]

    starts, warnings = planned(tmp_path, JOB.replace("night: 40 °F", "night: 50 °F"))
    assert starts[0] == "2027-01-09T08:30:00-07:00"
    assert not [warning for warning in warnings if "fit air" in warning]


def test_the_cure_need_not_last_longer_than_it_says(tmp_path: Path) -> None:
    """Heated to 50 °F until that morning, and cold again from the midnight after it, both steps go on the first
    Saturday (a pair that holds from a date on holds from midnight)."""
    _, warnings = planned(tmp_path, JOB)
    until = next(warning for warning in warnings if "fit air" in warning).split("at night until ")[1].split(", ")[0]
    heated = "      - {day: 64 °F, night: 50 °F, humidity: 50 %, night humidity: 50 %}\n"
    after = datetime.strptime(f"{until} 2027", "%A %d %B %Y").date() + timedelta(days=1)
    cold = f"      - {{since: {after}, day: 64 °F, night: 40 °F, humidity: 50 %, night humidity: 50 %}}\n"
    job = JOB.replace("      - {day: 64 °F, night: 40 °F, humidity: 50 %, night humidity: 50 %}\n", heated + cold)
    starts, _ = planned(tmp_path, job)
    assert starts[0] == "2027-01-09T08:30:00-07:00"


def test_no_plan_at_all_names_the_cure(tmp_path: Path) -> None:
    """Without a spring no night is ever warm enough; the entries that cannot hold together follow, a line each."""
    (tmp_path / "job.yaml").write_text(JOB.replace(SPRING, ""), encoding="utf-8")
    ran = run("plan", str(tmp_path), "--as-of", "2027-01-02")
    assert (ran.code, ran.out) == (1, "")
    first, *entries = ran.err.splitlines()
    assert first.startswith("No plan is possible. “Paint the door”") and entries
    assert "the night falls to 40 °F on Saturday 9 January, 8:00 pm" in ran.err
    assert "heat the room to at least 50 °F at night" in ran.err


@pytest.mark.parametrize(("frost", "told"), [("2027-01-25", True), ("2027-06-01", False)])
def test_a_frost_matters_only_while_a_film_lives(tmp_path: Path, frost: str, told: bool) -> None:
    """The enamel is cured three weeks after it is laid at 77 °F, on 30 January: a frost from 25 January on is outside
    what its sources cover, one in June is no concern of this plan."""
    air = "      - {day: 77 °F, night: 77 °F, humidity: 50 %, night humidity: 50 %}\n"
    cold = f"      - {{since: {frost}, day: 20 °F, night: 20 °F, humidity: 50 %, night humidity: 50 %}}\n"
    winter = "      - {day: 64 °F, night: 40 °F, humidity: 50 %, night humidity: 50 %}\n"
    job = JOB.replace(winter, air).replace(SPRING, cold)
    _, warnings = planned(tmp_path, job)
    cold_said = [warning for warning in warnings if "20 °F" in warning]
    assert bool(cold_said) is told
    if told:
        assert len(cold_said) == 1
        assert "“Paint the door”" in cold_said[0] and "“Paint the shelf”" in cold_said[0]
        assert "touch" not in cold_said[0]  # long since dry to the touch by then
