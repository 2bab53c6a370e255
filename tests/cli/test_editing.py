"""`add` and `drop`: a step more or less, written into the job file at its place, and planned anew."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.running import run
from tests.living.test_commands import done, plan_of
from tests.support.lives import SHELF, shelf

ROOM = """\
job: One wall
start: 2027-01-09
zone: UTC
measures: metric
hours: {on: weekends, from: 9:00, to: 17:00}
rooms:
  den: {length: 4 m, width: 3 m, height: 2.4 m, air: {day: 20 °C, night: 18 °C, humidity: 45 %}}
scope:
  walls: [patch, prime]   # the long ones
"""
FRIDAY = ("--as-of", "2027-01-08")


def starts(job: Path) -> list[str]:
    """The steps in the order in which they begin."""
    steps: list[dict[str, object]] = plan_of(job, *FRIDAY)["steps"]  # type: ignore[assignment]
    return [str(step["id"]) for step in sorted(steps, key=lambda step: step["pieces"][0]["start"])]  # type: ignore[index]


def test_a_step_more_takes_its_place_in_the_order_of_the_trade(tmp_path: Path) -> None:
    """The stain is blocked after the patching and before the primer, which would let it through."""
    job = shelf(tmp_path, ROOM)
    done(run("plan", str(job), "--effort", "30", *FRIDAY))
    words = ("block the stain", "--after", "patch the cracks", "--work", "20 min", "--lays", "shellac-based-primer")
    ran = done(run("add", str(job), *words, *FRIDAY))
    line = "  block the stain: {work: 20 min, part: walls, phase: patch, lays: shellac-based-primer}"
    assert f"+ {line}" in ran.out
    assert "new: block the stain (20 min)" in ran.out
    assert job.read_text("utf-8") == f"{ROOM}\nsteps:\n{line}\n"
    order = starts(job)
    assert order.index("walls-patch") < order.index("block-the-stain") < order.index("walls-prime")
    ran = done(run("drop", str(job), "block the stain", *FRIDAY))
    assert "no longer: block the stain (20 min)" in ran.out


def test_a_step_of_a_method_less(tmp_path: Path) -> None:
    job = shelf(tmp_path, ROOM)
    done(run("drop", str(job), "walls-prime", *FRIDAY))
    assert job.read_text("utf-8") == f"{ROOM}\ndrop: [walls-prime]\n"
    assert "walls-prime" not in starts(job)


def test_a_look_at_it_writes_nothing(tmp_path: Path) -> None:
    job = shelf(tmp_path)
    ran = done(run("add", str(job), "look at it", "--after", "sand", "--dry-run", *FRIDAY))
    assert "+   look at it: {work: 30 min, room: den, follows: [sand]}" in ran.out
    assert job.read_text("utf-8") == SHELF
    assert [path.name for path in tmp_path.iterdir() if "trial" in path.name] == []


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("add", "sand"), "TITLE: the job has a step `sand`; give it another name\n"),
        (("add", "look", "--after", "xyz"), "STEP: the job has no step “xyz”; "),
        (("add", "look", "--work", "long"), "--work: `long` "),
        (("add", "  "), "TITLE: it is missing; write what is done, in a few words\n"),
        (("add", "look", "--lays", "mud"), "{job}:"),
        (("drop", "sand"), "{job}:"),
    ],
)
def test_an_edit_that_makes_no_job_leaves_the_file_as_it_is(
    tmp_path: Path, words: tuple[str, ...], said: str
) -> None:
    """`wipe` follows `sand`, so that one can't just go: the line at fault is named, of the file as it would be."""
    job = shelf(tmp_path)
    ran = run(words[0], str(job), *words[1:], *FRIDAY)
    assert (ran.code, job.read_text("utf-8")) == (2, SHELF)
    assert ran.err.startswith(said.format(job=job)), ran.err
