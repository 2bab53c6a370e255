"""Dates as people write them in a job file: what names one day is read, what leaves it open is asked back."""

from __future__ import annotations

import calendar
from datetime import date

import pytest

from scheduler.errors import InputError
from scheduler.reading import read_job_text
from scheduler.reading.times import parse_date, parse_days, parse_moment
from scheduler.units import UnclearQuantityError

MAY_23 = date(2027, 5, 23)


@pytest.mark.parametrize(
    "text",
    [
        *("2027-05-23", "23 May 2027", "23rd of May, 2027", "May 23, 2027", "May 23rd 2027", "Sun 23 May 2027"),
        *("Sunday, 23 May 2027", "23. Mai 2027", "23.5.2027", "23.05.2027", "23/5/2027", "5/23/2027"),
    ],
)
def test_a_date_that_names_one_day_is_read(text: str) -> None:
    """With the month in words, with dots (the day stands first), or with a number that can be no month."""
    assert parse_date(text) == MAY_23


@pytest.mark.parametrize(
    ("text", "said", "hint"),
    [
        (
            "3/4/2027",
            "leaves open which number is the day and which the month",
            "write `3 April 2027` or `4 March 2027`",
        ),
        ("23 May", "names no year", "write `23 May 2027`, say"),
        ("Sat 23 May 2027", "is a Sunday", "write another day or date, or leave the day of the week out"),
        ("31 April 2027", "is no day of the calendar", "April 2027 has the days 01 to 30"),
        ("23 Mayy 2027", "is no date", "write it such as `2027-01-09` or `9 January 2027`"),
        ("7 January 27", "is no date", "write it such as `2027-01-09` or `9 January 2027`"),
        ("23 May 1927", "is before 2000", "write a year from 2000 to 2199"),
    ],
)
def test_a_date_that_leaves_it_open_is_asked_back(text: str, said: str, hint: str) -> None:
    with pytest.raises(UnclearQuantityError) as unclear:
        parse_date(text)
    assert unclear.value.message == f"`{text}` {said}"
    assert unclear.value.hint == hint


@pytest.mark.parametrize(
    "text", ["12 March 2027 17:00", "March 12, 2027 at 5 pm", "2027-03-12T17:00", "12.3.2027 17:00"]
)
def test_a_time_may_stand_behind_the_date(text: str) -> None:
    assert parse_moment(text) == (date(2027, 3, 12), 17 * 60)


def test_two_days_need_say_once_what_they_share() -> None:
    assert parse_days("13 to 14 February 2027") == (date(2027, 2, 13), date(2027, 2, 14))
    assert parse_days("27 February to 2 March 2027") == (date(2027, 2, 27), date(2027, 3, 2))
    assert parse_days("15 February 2027 and 10 March 2027", "and") == (date(2027, 2, 15), date(2027, 3, 10))


JOB = """\
job: Hall
start: {}
zone: Europe/London
measures: metric
done by: {}
hours: {{on: Saturday, from: 9:00, to: 17:00, since: {}, until: {}}}
away: {{on: {} to {}}}
rooms:
  hall:
    done by: {}
    air:
      - {{day: 20 °C, night: 17 °C, humidity: 50 %}}
      - {{day: 18 °C, night: 15 °C, humidity: 60 %, since: {}}}
on order:
  door: {{comes: {}, between: {} and {}}}
appointments:
  plumber: {{on: {}, from: 9:00, to: 10:00}}
steps:
  sweep: {{work: 1 h, room: hall, done by: {}, needs: door}}
"""
DAYS = ("1 May", "30 October", "2 May", "30 November", "5 June", "6 June", "29 October", "1 September")
DAYS += ("10 July", "8 July", "20 July", "15 August", "28 October")


def test_every_date_of_a_job_file_is_read_alike() -> None:
    """All thirteen places in which a job file takes a day."""
    months = {name: number for number, name in enumerate(calendar.month_name) if number}
    iso = [f"2027-{months[month]:02}-{int(day):02}" for day, month in (each.split() for each in DAYS)]
    worded = read_job_text(JOB.format(*(f"{each} 2027" for each in DAYS)), "job.yaml")
    assert worded == read_job_text(JOB.format(*iso), "job.yaml")


def test_every_date_that_leaves_its_day_open_is_a_fault_at_its_line() -> None:
    """One line each, wherever it stands."""
    with pytest.raises(InputError) as error:
        read_job_text(JOB.format(*["3/4/2027"] * len(DAYS)), "job.yaml")
    lines = {fault.place.line for fault in error.value.faults}
    assert lines == {2, 5, 6, 7, 10, 13, 15, 17, 19}
    assert all("`3/4/2027` leaves open" in fault.message for fault in error.value.faults)
