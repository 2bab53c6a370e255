"""How late things may be: every number is that of a full plan. The job is that of `lives`, counted by hand.

As planned the boards come on Saturday 16 January; fit and hang take that Saturday until 11:55. Hours are Saturday,
Sunday and Tuesday evening; `hang` needs the paint of Sunday the 10th only.
"""

from __future__ import annotations

import json
from datetime import date
from pathlib import Path

import jsonschema
import pytest

from scheduler.model.leeway import Ending
from scheduler.telling.machine.plan import schema_text
from scheduler.whatif.last_free_day import Endings, EndingsByDay, last_free
from tests.cli.running import run
from tests.support.lives import shelf

FRIDAY = ("--as-of", "2027-01-08")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return shelf(tmp_path)


def test_an_item_may_come_until_it_is_needed_and_then_costs_a_week_a_week(job: Path) -> None:
    """Boards on Sunday the 17th would end the job on Sunday, so Saturday is the last free day.

    A week later: fit and hang on Saturday the 23rd, to 11:55; two weeks: on the 30th.
    """
    ran = run("leeway", str(job), "--weeks", "2", "--json", *FRIDAY)
    assert ran.code == 0, ran.err
    found = json.loads(ran.out)
    jsonschema.validate(found, json.loads(schema_text("leeway")))
    (boards,) = [each for each in found if "item" in each]
    assert boards == {
        "item": "boards",
        "free_until": "2027-01-16",
        "curve": [
            {"comes": "2027-01-23", "finish": "2027-01-23T11:55:00-07:00", "proven": True},
            {"comes": "2027-01-30", "finish": "2027-01-30T11:55:00-07:00", "proven": True},
        ],
    }


def test_a_session_may_wait_as_long_as_the_end_stays(job: Path) -> None:
    """Nothing on Saturday the 9th: sand, wipe and prime on Sunday the 10th (150 of 160 minutes), paint on Tuesday,
    and the end stays. Nothing until Tuesday: sand, wipe by Tuesday, prime on Saturday the 16th: too late.
    """
    found = json.loads(run("leeway", str(job), "--weeks", "1", "--json", *FRIDAY).out)
    first, second, third = (each for each in found if "session" in each)
    assert first["free_until"] == "2027-01-10"
    # Paint (90 of 100 minutes) fits into Tuesday evening too, and is fit for use on Thursday.
    assert second["free_until"] == "2027-01-12"
    assert third["free_until"] == "2027-01-16"
    assert third["curve"] == [{"comes": "2027-01-23", "finish": "2027-01-23T11:55:00-07:00", "proven": True}]


def test_each_point_of_the_curve_is_the_finish_of_the_plan(job: Path) -> None:
    """`late` with the day of a point gives just that finish."""
    (point,) = json.loads(run("leeway", str(job), "--weeks", "1", "--json", *FRIDAY).out)[0]["curve"]
    moves = json.loads(run("late", str(job), "boards", point["comes"], "--dry-run", "--json", *FRIDAY).out)
    assert moves["finish_after"] == point["finish"]


def test_it_is_said_within_eighty_columns(job: Path) -> None:
    """A row for the item: as planned, its last free day, and what a week costs (16 January to the 23rd: 7 days)."""
    out = run("leeway", str(job), "--weeks", "1", *FRIDAY).out
    row = next(line for line in out.splitlines() if line.startswith("Shelf boards"))
    assert row.split() == ["Shelf", "boards", *["Sat", "16", "Jan", "Sat", "16", "Jan", "+7"]]
    assert max(map(len, out.splitlines())) <= 80


def test_what_one_plan_knows_is_not_asked_again() -> None:
    """Ends: day 1 to 5 end at 100, from day 6 on at 200, all proven. Asked by doubling and halving: 1, 3, 7, 5, 6."""
    asked_days: list[int] = []

    def end_if(day: date, _needed: int, _goal: int | None) -> tuple[int, int]:
        asked_days.append(day.day)
        end = 100 if day.day <= 5 else 200
        return end, end

    planned = Ending(finish=100, proven=True)
    asked = EndingsByDay(end_if, Endings(planned))
    days = [date(2027, 1, number) for number in range(1, 21)]
    assert last_free(asked, days, planned) == date(2027, 1, 5)
    assert asked_days == [1, 3, 7, 5, 6]
    # A shorter delay than one that costs nothing costs nothing: no plan is made for it.
    assert asked(date(2027, 1, 4)).finish == 100
    assert asked_days == [1, 3, 7, 5, 6]


def test_an_end_that_a_harder_pause_beats_is_mended() -> None:
    """A search that missed an earlier end learns of it from a later delivery."""
    ends = {1: 150, 2: 120}
    asked = EndingsByDay(lambda day, *_: (ends[day.day], 0), Endings(Ending(finish=100, proven=False)))
    assert asked(date(2027, 1, 1)).finish == 150
    assert asked(date(2027, 1, 2)).finish == 120
    assert asked(date(2027, 1, 1)).finish == 120


def test_whether_it_ends_in_time_is_asked_where_no_more_has_to_be_known() -> None:
    """By day 3 the job must end at 100 or later, which is all that a question for its leeway finds out: then a whole
    answer is sought for the curve. Of a later day it is known from that, without a question, that it ends too late.
    """
    goals: list[int | None] = []

    def end_if(_day: date, _needed: int, goal: int | None) -> tuple[int, int]:
        goals.append(goal)
        return (180, 101) if goal is not None else (150, 150)

    asked = EndingsByDay(end_if, Endings(Ending(finish=100, proven=True)))
    assert not asked.ends_by(date(2027, 1, 3), 100)
    assert not asked.ends_by(date(2027, 1, 4), 100)
    assert asked(date(2027, 1, 3)) == Ending(finish=150, proven=True)
    assert goals == [100, None]


def test_a_pause_that_somebody_else_asked_about_mends_an_easier_one() -> None:
    """From minute 50 to day 9 it ends at 300; who begins to pause at 80 and goes on by day 8 needs no longer, and as
    that one is known to need 300, it is proven."""
    mine, others = Endings(Ending(finish=100, proven=False)), Endings(Ending(finish=100, proven=False))
    mine.learn(80, date(2027, 1, 8), 400, 300)
    others.learn(50, date(2027, 1, 9), 300, 200)
    mine.learn_all(others)
    assert mine.ending(80, date(2027, 1, 8)) == Ending(finish=300, proven=True)
