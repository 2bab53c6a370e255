"""Seven ordinary edits of a job file of rooms after something was recorded: what is recorded stays, the plan goes on.

Each says what it changed, once. The room is invented.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.running import Ran, run
from tests.living.test_commands import done, lines, plan_of
from tests.support.lives import shelf

ROOM = """\
job: Back bedroom
start: 2027-01-09
zone: America/Denver
clock: 24 h
measures: metric
hours:
  - {on: Saturday, from: 9:00, to: 17:00}
  - {on: Sunday, from: 10:00, to: 16:00}
rooms:
  bedroom:
    length: 4 m
    width: 3 m
    height: 2.4 m
    air: {day: 20 °C, night: 17 °C, humidity: 45 %}
on order:
  lamp: {title: New lamp, comes: 2027-01-12}
steps:
  blinds: {title: Measure the blinds, work: 15 min}
  hang lamp: {title: Hang it, work: 30 min, needs: lamp}
scope:
  ceiling:
    - patch: {share: 5, stains: 2}
    - prime: {primer: acrylic-bonding-primer}
  window wall:
    surface: walls
    on: north wall
    do:
      - patch: {share: 5}
      - prime: {primer: acrylic-bonding-primer}
  long wall:
    surface: walls
    on: east wall
    do:
      - patch: {share: 5}
      - prime: {primer: acrylic-bonding-primer}
colours:
  warm white: {on: [window wall, long wall], material: acrylic-latex-wall-paint, coats: 3}
"""

SATURDAY = ("--as-of", "2027-01-09T17:00")
SUNDAY = ("--as-of", "2027-01-10T09:00")
DONE = ("blinds", "ceiling-block-stains", "ceiling-patch", "window-wall-patch", "long-wall-patch")
"""What is recorded on Saturday, beside news of the lamp."""


@pytest.fixture(scope="module")
def recorded(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """The files of the room on Saturday evening."""
    job = shelf(tmp_path_factory.mktemp("room"), ROOM)
    done(run("plan", str(job), "--as-of", "2027-01-08", "--effort", "300"))
    done(run("did", str(job), *DONE, "--at", "2027-01-09", *SATURDAY))
    done(run("late", str(job), "lamp", "2027-01-14", *SATURDAY))
    return {path.name: path.read_bytes() for path in job.parent.iterdir() if path.is_file()}


@pytest.fixture
def job(recorded: dict[str, bytes], tmp_path: Path) -> Path:
    for name, data in recorded.items():
        (tmp_path / name).write_bytes(data)
    return tmp_path / "job.yaml"


def edited(job: Path, *changes: tuple[str, str]) -> Ran:
    """`plan` on Sunday, after an edit; what stood in the diary stands there still, and is told once only."""
    text = job.read_text("utf-8")
    for old, new in changes:
        assert old in text, old
        text = text.replace(old, new)
    job.write_text(text, "utf-8")
    before = lines(job)
    ran = done(run("plan", str(job), *SUNDAY))
    assert lines(job)[: len(before)] == before
    assert ran.out.startswith("The job file has changed since the plan of Saturday 9 January"), ran.out
    assert "The job file has changed" not in done(run("plan", str(job), *SUNDAY)).out, "once"
    return ran


def stands(job: Path) -> tuple[set[str], set[str]]:
    """The steps that are done, and those that are done and no longer in the job."""
    plan = plan_of(job, *SUNDAY)
    steps: list[dict[str, str]] = plan["steps"]  # type: ignore[assignment]
    former: list[dict[str, str]] = plan["former"]  # type: ignore[assignment]
    return {step["id"] for step in steps if step["state"] == "done"}, {each["step"] for each in former}


def test_a_part_renamed_is_known_by_all_else_that_it_is(job: Path) -> None:
    """What was done to the window wall was done to what is called the street wall now, and nothing else moves."""
    ran = edited(job, ("window wall", "street wall"))
    assert "`window-wall-patch` is `street-wall-patch` now" in ran.err
    assert stands(job) == ({*DONE, "street-wall-patch"} - {"window-wall-patch"}, set())
    assert "the same amount of work; the end stays on" in " ".join(ran.out.split())


def test_stains_set_to_none_leave_what_was_blocked_as_done(job: Path) -> None:
    ran = edited(job, ("stains: 2", "stains: 0"))
    assert stands(job) == ({*DONE} - {"ceiling-block-stains"}, {"ceiling-block-stains"})
    assert "no longer in the job: Block the stains and knots: ceiling" in " ".join(ran.out.split())


def test_a_wall_dropped_leaves_its_work_as_done(job: Path) -> None:
    """What was still to be done of it is no longer, with its minutes."""
    text = job.read_text("utf-8")
    wall = text[text.index("  long wall:") : text.index("colours:")]
    ran = edited(job, (wall, ""), ("on: [window wall, long wall]", "on: window wall"))
    assert stands(job) == ({*DONE} - {"long-wall-patch"}, {"long-wall-patch"})
    assert "no longer: Prime: long wall (" in ran.out


def test_an_own_step_deleted_stays_as_done(job: Path) -> None:
    ran = edited(job, ("  blinds: {title: Measure the blinds, work: 15 min}\n", ""))
    assert stands(job) == ({*DONE} - {"blinds"}, {"blinds"})
    assert "Recorded, and no longer in the job: `blinds`. It stays recorded." in ran.err


def test_an_item_renamed_with_its_title_is_asked_about(job: Path) -> None:
    """One item has gone and one has come: the command that carries the news over is there to be copied, and works."""
    ran = edited(job, ("lamp: {title: New lamp", "light: {title: Ceiling light"), ("needs: lamp", "needs: light"))
    assert f"tackfree diary {job} --renamed lamp=light" in ran.err
    assert plan_of(job, *SUNDAY)["items"][0]["expected"] == "2027-01-12"  # type: ignore[index]
    done(run("diary", str(job), "--renamed", "lamp=light", *SUNDAY))
    assert plan_of(job, *SUNDAY)["items"][0]["expected"] == "2027-01-14"  # type: ignore[index]


def test_a_coat_less_is_said_with_its_hours_and_the_end(job: Path) -> None:
    ran = edited(job, ("coats: 3", "coats: 2"))
    said = " ".join(ran.out.split())
    assert "no longer: warm white: coat 3 of 3 (" in said
    assert "less work; the end moves to" in said
    assert stands(job) == ({*DONE}, set())


def test_a_colour_renamed_before_it_was_begun_moves_nothing(job: Path) -> None:
    """None of it is recorded, so the diary has nothing to say of it; its coats stay where they were."""
    before = {step["id"]: step["pieces"] for step in plan_of(job, *SUNDAY)["steps"]}  # type: ignore[attr-defined]
    ran = edited(job, ("warm white:", "cream:"))
    assert "the same amount of work; the end stays on" in " ".join(ran.out.split())
    after = {step["id"]: step["pieces"] for step in plan_of(job, *SUNDAY)["steps"]}  # type: ignore[attr-defined]
    assert {name.replace("warm-white", "cream"): pieces for name, pieces in before.items()} == after


def test_a_step_that_passed_unrecorded_and_left_the_file_is_asked_about_no_more(job: Path) -> None:
    """Nobody said whether the ceiling was primed; without that step there is nothing to say of it."""
    monday = ("--as-of", "2027-01-18T08:00")
    edited(job, ("    - prime: {primer: acrylic-bonding-primer}\n  window", "  window"))
    assert "ceiling-prime" not in done(run("plan", str(job), *monday)).err


def test_a_record_after_an_edit_says_both(job: Path) -> None:
    """Whoever records first after an edit hears of it there."""
    job.write_text(job.read_text("utf-8").replace("coats: 3", "coats: 2"), "utf-8")
    ran = done(run("did", str(job), "ceiling-sand-patches", "--at", "10:30", "--as-of", "2027-01-10T11:00"))
    assert "no longer: warm white: coat 3 of 3 (" in ran.out
    assert "The job file has changed" not in done(run("plan", str(job), "--as-of", "2027-01-10T11:00")).out
