"""A loud step's quiet share runs in quiet hours; what a trade does takes no hands of ours, and is done before it is
covered."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.errors import InputError
from scheduler.model.facts import Facts
from scheduler.pipeline import Wish, make_plan
from scheduler.reading.methods import read_methods
from tests.support.scoped import unfolded
from tests.support.told import breaks

HALL = """\
job: Doors in the evening
start: 2027-01-11
zone: Europe/London
hours: {on: weekdays, from: 18:00, to: 22:00, people: 2}
quiet hours: {on: every day, from: 20:00, to: 7:00}
rooms:
  hall:
    length: 6 m
    width: 1.4 m
    height: 2.4 m
    openings:
      a: {on: north wall, width: 80 cm, height: 2 m}
      b: {on: south wall, width: 80 cm, height: 2 m}
    air: {day: 19 °C, night: 17 °C, humidity: 50 %}
scope:
  frames: {surface: trim, around: [a, b], do: hang a door}
"""
CELLAR = """\
job: Cellar
start: 2027-01-09
zone: Europe/London
hours: {on: Saturday, from: 9:00, to: 17:00, people: 2}
rooms:
  cellar:
    length: 4 m
    width: 3 m
    height: 2.4 m
    air: {day: 19 °C, night: 17 °C, humidity: 50 %}
scope:
  walls: [drywall: {wiring: by an electrician}]
steps:
  sort the screws: {room: cellar, work: 3 h, people: 2}
"""


def test_only_the_loud_share_of_a_step_keeps_out_of_quiet_hours() -> None:
    """Two leaves take 2 × 85 min for two; 60 % of it is holding and fitting: 102 min (rounded: 105), and 68 (70).

    The frames are plumbed until eight; the leaves are held and fitted in quiet hours, what is loud waits for the next
    evening.
    """
    job, trade = unfolded(HALL)
    steps = {step.id: step for step in job.steps}
    assert (steps["frames-hang-quiet"].work.likely, steps["frames-hang"].work.likely) == (105, 70)
    assert steps["frames-hang"].noisy and not steps["frames-hang-quiet"].noisy
    plan = make_plan(job, trade, Facts(now=job.start), Wish(effort=1)).plan
    assert breaks(plan) == []
    quiet = [window for window in plan.windows if window.quiet]
    held = plan.step("frames-hang-quiet").pieces
    assert any(piece.start < window.end and window.start < piece.end for piece in held for window in quiet)
    assert plan.step("frames-hang").start >= plan.step("frames-hang-quiet").end


def test_what_a_trade_does_takes_no_hands_and_comes_before_it_is_covered() -> None:
    """Four hours of an electrician, during which two of us do something for two; no board goes up before that."""
    job, trade = unfolded(CELLAR)
    plan = make_plan(job, trade, Facts(now=job.start), Wish(effort=1)).plan
    wired, sorted_ = plan.step("walls-wire"), plan.step("sort-the-screws")
    assert (wired.people, wired.title[-23:]) == (0, " (licensed electrician)")
    assert breaks(plan) == []
    assert plan.step("walls-hang").start >= wired.end
    assert any("accepted in writing" in caution.text for caution in wired.cautions)
    busy = [piece for step in (sorted_, plan.step("walls-carry-boards")) for piece in step.pieces]
    assert any(one.start < other.end and other.start < one.end for one in wired.pieces for other in busy)


METHOD = """\
title: drill
source: invented
steps:
  drill:
    title: Drill
    phase: carpentry
    {more}
    work: {{per: count, takes: 10 min, source: invented}}
"""


@pytest.mark.parametrize(
    ("more", "said"),
    [
        ("quiet: {title: Hold, share: 50 %, source: invented}", "this step is not loud; write `kind: noisy`"),
        (
            "quiet: {title: Hold, share: 100 %, source: invented}\n    kind: noisy",
            "a share lies between nothing and all",
        ),
        ("trade: electrician\n    people: 2", "a trade's work takes none of your hands; leave `people` out"),
    ],
)
def test_what_can_not_be_meant_is_a_fault_at_its_line(more: str, said: str, tmp_path: Path) -> None:
    folder = tmp_path / "profiles" / "methods"
    folder.mkdir(parents=True)
    (folder / "drill.yaml").write_text(METHOD.format(more=more), encoding="utf-8")
    with pytest.raises(InputError) as caught:
        read_methods(tmp_path)
    assert said in str(caught.value)
