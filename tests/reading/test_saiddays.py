"""Days as people say them on a command line. All are counted from Wednesday 9 December 2026, by the calendar."""

from __future__ import annotations

from datetime import date

import pytest

from scheduler.reading.saiddays import Way, said_day, said_moment
from scheduler.units import UnclearQuantityError

TODAY = date(2026, 12, 9)


@pytest.mark.parametrize(
    ("text", "way", "day"),
    [
        ("today", "back", "2026-12-09"),
        ("yesterday", "back", "2026-12-08"),
        ("Tomorrow", "ahead", "2026-12-10"),
        ("sunday", "back", "2026-12-06"),
        ("Sun", "ahead", "2026-12-13"),
        ("on sunday", "near", "2026-12-06"),
        ("saturday", "near", "2026-12-12"),
        ("wednesday", "back", "2026-12-09"),
        ("last wednesday", "back", "2026-12-02"),
        ("next wednesday", "ahead", "2026-12-16"),
        ("Mittwoch", "back", "2026-12-09"),
        ("am Sonntag", "near", "2026-12-06"),
        ("nächsten mittwoch", "ahead", "2026-12-16"),
        ("vorgestern", "back", "2026-12-07"),
        ("5.12.", "back", "2026-12-05"),
        ("5.12.", "ahead", "2027-12-05"),
        ("05.01.", "near", "2027-01-05"),
        ("5. 1. 2027", "back", "2027-01-05"),
        ("5.1.27", "back", "2027-01-05"),
        ("25/12", "ahead", "2026-12-25"),
        ("12/12", "ahead", "2026-12-12"),
        ("5 December", "back", "2026-12-05"),
        ("Dec 5th", "back", "2026-12-05"),
        ("january 8, 2027", "ahead", "2027-01-08"),
        ("2 weeks", "ahead", "2026-12-23"),
        ("in a week", "ahead", "2026-12-16"),
        ("3 days ago", "back", "2026-12-06"),
        ("10 days", "ahead", "2026-12-19"),
        ("2027-01-08", "back", "2027-01-08"),
    ],
)
def test_a_day_is_the_one_that_a_person_means(text: str, way: Way, day: str) -> None:
    """What has been said of the past looks back, of a delivery ahead; today is both."""
    assert said_day(text, TODAY, way, us=False) == date.fromisoformat(day)


def test_in_the_us_the_month_comes_first() -> None:
    assert said_day("12/5", TODAY, "back", us=True) == date(2026, 12, 5)


@pytest.mark.parametrize(
    ("text", "day", "clock"),
    [
        ("16:40", "2026-12-09", 16 * 60 + 40),
        ("4 pm", "2026-12-09", 16 * 60),
        ("noon", "2026-12-09", 12 * 60),
        ("tomorrow 11:20", "2026-12-10", 11 * 60 + 20),
        ("sunday at 4:30 pm", "2026-12-06", 16 * 60 + 30),
        ("5.12. 11:20", "2026-12-05", 11 * 60 + 20),
        ("sunday", "2026-12-06", None),
    ],
)
def test_a_moment_is_a_day_and_an_hour_or_either(text: str, day: str, clock: int | None) -> None:
    assert said_moment(text, TODAY, "back", us=False) == (date.fromisoformat(day), clock)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("5/12", "leaves open which number is the day"),
        ("weekend", "is more than one day"),
        ("soon", "is no day"),
        ("31.2.", "is no day of the calendar"),
        ("0 weeks", "is no day"),
        ("29.2.", "is a day of some years only"),
        ("1/2/3/4", "is no day"),
        ("", "is no day"),
    ],
)
def test_what_leaves_the_day_open_is_asked_back(text: str, said: str) -> None:
    with pytest.raises(UnclearQuantityError, match=said):
        said_day(text, TODAY, "back", us=False)


def test_half_a_time_is_no_time() -> None:
    with pytest.raises(UnclearQuantityError, match="which half of the day"):
        said_moment("4", TODAY, "back", us=False)
