"""The odds of a job: what is drawn, and what the draws say."""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from scheduler.model.foresight import Odds
from scheduler.whatif.odds import Asked, odds
from scheduler.whatif.uncertainty import doubts, in_other_air
from tests.whatif.jobs import HOBBY_ROOM, IDLE, STUDY, Case, case, written


@pytest.fixture(scope="module")
def study(tmp_path_factory: pytest.TempPathFactory) -> tuple[Case, Odds]:
    """The study and its odds."""
    one = written(STUDY, tmp_path_factory.mktemp("study"))
    return one, odds(one.made, Asked(draws=400))


def test_the_same_question_has_the_same_answer(study: tuple[Case, Odds]) -> None:
    """Same input and seed: the same odds. Another seed: others, and not far off."""
    one, found = study
    assert odds(one.made, Asked(draws=400)) == found
    other = odds(one.made, Asked(draws=400, seed=1))
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


def test_what_has_a_range_is_drawn_and_nothing_else(study: tuple[Case, Odds]) -> None:
    """Three steps and a colour's coats have a range in the file, all four films have one in their profiles."""
    names = set(doubts(study[0].made).uncertain.names)
    assert {name for name in names if name.startswith("work: ")} == {
        "work: wipe-down",
        "work: prime",
        "work: white-coat-1",
        "work: white-coat-2",
        "work: white-coat-3",
    }
    assert {name for name in names if name.startswith("dry: ")} == {
        "dry: acrylic-latex-caulk",
        "dry: acrylic-bonding-primer",
        "dry: acrylic-latex-wall-paint",
        "dry: waterborne-alkyd-enamel",
    }
    assert names >= {"comes: paint", "air: temperature", "air: humidity"}


def test_a_job_without_ranges_is_done_as_planned(tmp_path: Path) -> None:
    """Nothing to draw: one day, no draws."""
    found = odds(written(IDLE, tmp_path, "2027-01-11").made, Asked())
    assert found.draws == 0
    assert found.days == ((date(2027, 1, 11), 1.0),)
    assert found.dates == tuple((percent, date(2027, 1, 11)) for percent in (50, 80, 95))


def test_draws_go_on_until_the_date_is_sure(study: tuple[Case, Odds]) -> None:
    """Without a number the 80 % date is drawn until its error is below a day, or 2,000 draws are over."""
    found = odds(study[0].made, Asked())
    assert found.error is not None
    assert found.draws >= 400
    assert found.error < 1 or found.draws == 2000


def test_a_promise_with_less_doubt_has_less_spread(tmp_path: Path) -> None:
    """The same job with a sure delivery: the 95 % date is no later, and the item is no cause any more."""
    wide = odds(written(STUDY, tmp_path).made, Asked(draws=300))
    sure = STUDY.replace(", between: 2027-01-20 and 2027-02-12", "")
    narrow = odds(written(sure, tmp_path).made, Asked(draws=300))
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
    found = odds(case(HOBBY_ROOM).made, Asked(draws=200))
    windows = [risk for risk in found.risks if risk.kind == "window"]
    assert windows
    assert all(0 < risk.share <= 1 and "Then: " in risk.said for risk in windows)
    assert list(found.risks) == sorted(found.risks, key=lambda risk: (-risk.share, risk.kind, risk.step))
