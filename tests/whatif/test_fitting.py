"""A wish that the hours do not fit: what makes it fit is told, and whoever does it is done by the day promised."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from scheduler.model.foresight import Fit
from scheduler.wallclock import DAY
from tests.cli.running import run
from tests.living.test_commands import done
from tests.support.builders import minute
from tests.support.editing import apply_edit
from tests.whatif.jobs import Case, written

LIVING_ROOM = """\
job: Two walls before the guests come
start: 2027-01-09              # a Saturday
zone: Europe/Vienna
measures: metric
done by: BY
hours:
  - {on: [Saturday, Sunday], from: 9:00, to: 16:00}
rooms:
  living room: {air: {day: 20 °C, night: 17 °C, humidity: 50 %}}
steps:
  fill: {work: 1 h, lays: {material: lightweight-spackling, thickness: 2 mm}}
  sand: {work: 40 min, kind: dusty, follows: {fill: sand}}
  wipe: {work: 20 min, kind: wipes, follows: sand}
colours:
  ochre: {material: acrylic-latex-wall-paint, coats: 2, one coat: 3 h, follows: wipe}
  white: {material: acrylic-latex-wall-paint, coats: 2, one coat: 3 h, follows: wipe}
borders:
  - {between: [ochre, white], tape off: 1 h}
"""


def planned(text: str, folder: Path) -> Case:
    """The job planned as of a Tuesday before it begins, with little effort."""
    folder.mkdir(exist_ok=True)
    return written(text, folder, "2027-01-05", effort=2_000)


@pytest.fixture(scope="module", params=["2027-01-10", "2027-01-16"])
def wish(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> tuple[str, int, Case]:
    """The job to be done by a day, the end of that day, and its plan, which ends on Sunday the 17th."""
    text = LIVING_ROOM.replace("BY", request.param)
    return text, minute(request.param, "Europe/Vienna") + DAY, planned(text, tmp_path_factory.mktemp("wish"))


@pytest.fixture(scope="module")
def fits(wish: tuple[str, int, Case]) -> tuple[Fit, ...]:
    """What makes that fit."""
    return wish[2].fits()


def test_whoever_makes_the_change_is_done_in_time(
    wish: tuple[str, int, Case], fits: tuple[Fit, ...], tmp_path: Path
) -> None:
    """The file with that edit in it, planned from nothing but the file, ends when it was told, in time."""
    text, limit, one = wish
    assert one.made.plan.finish > limit, "it does not fit as it stands"
    assert fits
    for fit in fits:
        made = planned(apply_edit(text, fit.edit), tmp_path).made
        assert made.plan.finish <= fit.finish <= limit
        assert not any(promise.late for promise in made.plan.promises)


def test_each_of_several_changes_is_needed(
    wish: tuple[str, int, Case], fits: tuple[Fit, ...], tmp_path: Path
) -> None:
    """Left out of those that are told together, any one is missing: the plan ends too late again."""
    text, limit, _ = wish
    several = [fit for fit in fits if len(fit.changes) > 1]
    assert bool(several) == ("2027-01-10" in text), "by the first Sunday no one change is enough"
    for fit in several:
        for left_out in fit.edit:
            fewer = tuple(part for part in fit.edit if part is not left_out)
            assert planned(apply_edit(text, fewer), tmp_path).made.plan.finish > limit


def test_nothing_is_told_that_is_not_enough(tmp_path: Path) -> None:
    """In the four hours of one Saturday there is no place for it, whatever is changed."""
    text = LIVING_ROOM.replace("BY", "2027-01-09").replace("to: 16:00", "to: 13:00")
    assert planned(text, tmp_path).fits() == ()


@pytest.mark.long
def test_the_first_screen_tells_what_makes_it_fit(tmp_path: Path) -> None:
    """By how much the wish is missed, and below it each change with its price and what to write."""
    file = tmp_path / "job.yaml"
    file.write_text(LIVING_ROOM.replace("BY", "2027-01-16"), encoding="utf-8")
    out = " ".join(done(run("plan", str(file), "--as-of", "2027-01-05", "--effort", "300")).out.split())
    late = "LATE Promised by Sat 16 Jan 2027: missed by 1 day. fits with: "
    assert f"{late}ochre in 1 coat instead of 2 (one coat hides only what is near it in colour)." in out
    assert "colours → ochre → coats: 1 or with: " in out


def test_a_promise_that_the_plan_keeps_is_told_with_its_chance(tmp_path: Path) -> None:
    """Whoever follows the advice learns how likely it is to come true: the promise and the draws that keep it."""
    file = tmp_path / "job.yaml"
    file.write_text(LIVING_ROOM.replace("BY", "2027-01-17"), encoding="utf-8")
    text = file.read_text("utf-8").replace("coats: 2, one coat: 3 h, follows: wipe}", "coats: 1, one coat: 3 h}", 1)
    file.write_text(text, encoding="utf-8")
    out = " ".join(done(run("plan", str(file), "--as-of", "2027-01-05", "--effort", "300")).out.split())
    assert re.search(r"KEPT Promised by Sun 17 Jan 2027: kept as planned, in \d+ % of the draws\.", out)
    assert "LATE" not in out
