"""The odds of a job: what is drawn, and what the draws say."""

from __future__ import annotations

import math
import statistics
from datetime import date
from pathlib import Path

import pytest

from scheduler.model.basics import Span
from scheduler.model.facts import Facts
from scheduler.model.foresight import Odds
from scheduler.model.learned import Took
from scheduler.pipeline import make_plan, read
from scheduler.solver.draws import Draws
from scheduler.whatif.odds import Sampling, odds
from scheduler.whatif.uncertainty import doubts, in_other_air
from tests.whatif.jobs import HOBBY_ROOM, STUDY, Case, case, written


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> tuple[Case, Odds]:
    """The study and its odds."""
    one = written(STUDY, tmp_path_factory.mktemp("study"))
    return one, odds(one.made, Sampling(draws=400))


def test_the_same_question_has_the_same_answer(study: tuple[Case, Odds]) -> None:
    """Same input and seed: the same odds. Another seed: others, and not far off."""
    one, found = study
    assert odds(one.made, Sampling(draws=400)) == found
    other = odds(one.made, Sampling(draws=400, seed=1))
    assert other.days != found.days


def test_shares_add_up(study: tuple[Case, Odds]) -> None:
    """All draws end on some day, or are told as lost; what the spread comes from is no more than all of it."""
    found = study[1]
    assert sum(share for _, share in found.days) + found.lost == pytest.approx(1)
    assert 0 < sum(share for _, share in found.spread) <= 1 + 1e-9
    assert [day for day, _ in found.days] == sorted(day for day, _ in found.days)


def test_dates_are_those_of_the_distribution(study: tuple[Case, Odds]) -> None:
    """The 80 % date is the first day by which 80 % of the draws are done."""
    found = study[1]
    for percent, told in found.dates:
        until = [day for day, _ in found.days if sum(s for d, s in found.days if d <= day) >= percent / 100 - 1e-9]
        assert told == min(until)


def test_the_chance_of_the_day_that_was_wanted(study: tuple[Case, Odds]) -> None:
    """`done by: 2027-02-07`: the share of the draws that end on or before it."""
    found = study[1]
    assert found.done_by == date(2027, 2, 7)
    assert found.in_time == pytest.approx(sum(share for day, share in found.days if day <= date(2027, 2, 7)))


def test_every_step_and_film_has_a_number_of_its_own_and_causes_that_it_shares(study: tuple[Case, Odds]) -> None:
    """Nobody knows how long a step takes, be it said as a range or not; a slow hand is slow at all of them.

    The study has caulking, painting and cleaning with minutes of the person's own, the shelf and the tapes beside.
    """
    uncertain = doubts(study[0].made).uncertain
    names = set(uncertain.names)
    assert {name for name in names if name.startswith("work: ")} >= {"work: wipe-down", "work: gaps", "work: shelf"}
    assert {name for name in names if name.startswith("pace")} == {
        "pace",
        "pace: own caulking",
        "pace: own painting",
        "pace: own cleaning",
        "pace: own preparing",
        "pace: own other work",
    }
    assert {name for name in names if name.startswith(("room: ", "dries: "))} == {
        "room: study",
        "dries: study, acrylic-latex-caulk",
        "dries: study, solvent-alkyd-primer",
        "dries: study, acrylic-latex-wall-paint",
        "dries: study, waterborne-alkyd-enamel",
    }
    assert names >= {"coat: white-coat-1", "coat: white-coat-2", "comes: paint", "air: temperature", "air: humidity"}


def test_the_spread_is_told_by_cause(study: tuple[Case, Odds]) -> None:
    """Shares of single causes, none of them more than the whole; the pace is one of them."""
    told = dict(study[1].spread)
    assert sum(told.values()) <= 1 + 1e-9
    assert any(name.startswith("how fast you work") for name in told)


TWO = """
job: Two
start: 2027-01-11
zone: UTC
clock: 24 h
hours: {on: every day, from: "8:00", to: "16:00"}
rooms: {den: {air: {day: 68 °F, night: 68 °F, humidity: 50 %}}}
steps:
  one: {work: 4 h}
  two: {work: 4 h, follows: one}
  three: {work: 4 h, follows: two}
  four: {work: 4 h, follows: three}
"""


def test_a_common_cause_does_not_cancel_out_over_the_steps(tmp_path: Path) -> None:
    """Four steps of four hours. By themselves, with 0.2 each, their sum would have the deviation 0.2 / √4 = 0.1 in
    the logarithm; with the pace of the household (0.25) and of the kind (0.2) it has √(0.25² + 0.2² + 0.1²) =
    0.335."""
    uncertain = doubts(written(TWO, tmp_path, "2027-01-11").made).uncertain
    run = Draws(uncertain, 0)
    sums = [math.log(sum(activity.minutes for activity in run.replanned(draw).activities)) for draw in range(600)]
    assert statistics.stdev(sums) == pytest.approx(0.335, rel=0.1)
    assert statistics.median(sums) == pytest.approx(math.log(960), abs=0.05)


def test_the_draws_are_conditional_on_what_was_learned(tmp_path: Path) -> None:
    """Two steps took 1.5 times as long: the two to come are drawn around more than what was reckoned, and closer."""
    case = written(TWO, tmp_path, "2027-01-11")
    begin = case.job.start + 8 * 60
    done = {
        "one": (Span(begin, begin + 360),),
        "two": (Span(begin + 360, begin + 480), Span(begin + 1440, begin + 1680)),
    }
    took = {name: Took(minutes=360) for name in done}
    spreads = []
    for said in ({}, took):
        facts = Facts(now=begin + 1680, done=done, took=said, recorded=True)
        uncertain = doubts(make_plan(case.job, read(case.file)[1], facts)).uncertain
        run = Draws(uncertain, 0)
        ahead = [i for i, activity in enumerate(uncertain.problem.activities) if not activity.fixed]
        rows = [math.log(sum(run.replanned(draw).activities[i].minutes for i in ahead)) for draw in range(300)]
        spreads.append((statistics.median(rows), statistics.stdev(rows)))
    (usual, wide), (slow, narrow) = spreads
    assert slow > usual + 0.2
    assert narrow < 0.8 * wide


def test_what_comes_from_one_shop_is_late_together(tmp_path: Path) -> None:
    """By half each on the shop: the correlation of two items is ½; without a shop there is none."""
    text = TWO.replace("steps:", "on order:\n  sink: {SINK}\n  tap: {TAP}\nsteps:").replace(
        "four: {", "four: {needs: [sink, tap], "
    )
    item = "comes: 2027-02-01, between: 2027-01-20 and 2027-03-10"
    found = []
    for shop in ("", ", shop: Bathworks"):
        file = text.replace("SINK", item + shop).replace("TAP", item + shop)
        run = Draws(doubts(written(file, tmp_path, "2027-01-11").made).uncertain, 0)
        rows = [
            [run._there(f"comes: {name}", run.uncertain.arrivals[f"comes: {name}"], draw) for draw in range(500)]
            for name in ("sink", "tap")
        ]
        found.append(statistics.correlation(*rows))
    assert found[0] == pytest.approx(0, abs=0.12)
    assert found[1] == pytest.approx(0.5, abs=0.12)


def test_draws_go_on_until_the_date_is_sure(study: tuple[Case, Odds]) -> None:
    """Without a number the 80 % date is drawn until its error is below a day, or 2,000 draws are over."""
    found = odds(study[0].made, Sampling())
    assert found.error is not None
    assert found.draws >= 400
    assert found.error < 1 or found.draws == 2000


def test_a_date_after_the_hours_made_at_first_is_drawn_with_more_of_them(tmp_path: Path) -> None:
    """Hours are made for 26 weeks. A wall of 110 to 160 h, likely 125 h, on Saturdays of 6 h ends about the 22nd of
    them, and where work is slow well after the 26th Saturday, 3 July: there are Saturdays then as well. Where the
    hours do end, no day is told."""
    text = """\
job: Garden wall
start: 2027-01-09
zone: Europe/Dublin
measures: metric
hours:
  - {on: Saturday, from: 9:00, to: 15:00%s}
rooms:
  yard: {air: {day: 15 °C, night: 8 °C, humidity: 60 %%}}
steps:
  lay: {work: "110 h to 160 h, likely 125 h", pause: 1 h}
"""
    asked = Sampling(draws=200)
    dates = dict(odds(written(text % "", tmp_path).made, asked).dates)
    assert date(2027, 5, 1) < dates[50] < date(2027, 7, 3) < dates[80] < dates[95]
    dates = dict(odds(written(text % ", until: 2027-07-03", tmp_path).made, asked).dates)
    assert (dates[80], dates[95]) == (None, None)


def test_a_promise_with_less_doubt_has_less_spread(tmp_path: Path) -> None:
    """The same job with a sure delivery: the 95 % date is no later, and the item is no cause any more."""
    wide = odds(written(STUDY, tmp_path).made, Sampling(draws=300))
    sure = STUDY.replace(", between: 2027-01-20 and 2027-02-12", "")
    narrow = odds(written(sure, tmp_path).made, Sampling(draws=300))
    assert dict(narrow.dates)[95] <= dict(wide.dates)[95]  # type: ignore[operator]
    assert any("delivery" in what for what, _ in wide.spread)
    assert not any("delivery" in what for what, _ in narrow.spread)
    assert any("No range is given" in said for said in narrow.assumed)


def test_the_air_of_a_room_is_shifted_and_its_measurements_are_not() -> None:
    """2 °C and 10 points: 68 °F by day is 20 °C, so 22 °C; humidity stays within 0 to 100 %."""
    room = case(HOBBY_ROOM).job.rooms[0]
    other = in_other_air(room, 2.0, 0.7)
    assert other.air[0].day_temp == pytest.approx(22.0)
    assert other.air[0].day_humidity == 1.0
    assert other.readings == room.readings


def test_windows_that_close_are_told_with_their_remedy() -> None:
    """In the hobby room a late delivery lets recoat windows close: which, how often, and what is due then."""
    found = odds(case(HOBBY_ROOM).made, Sampling(draws=200))
    windows = [risk for risk in found.risks if risk.kind == "window"]
    assert windows
    assert all(0 < risk.share <= 1 and "Then: " in risk.said for risk in windows)
    assert list(found.risks) == sorted(found.risks, key=lambda risk: (-risk.share, risk.kind, risk.step))
