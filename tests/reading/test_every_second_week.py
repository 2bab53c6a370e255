"""Hours that hold every so many weeks, as those of a helper who comes on every second Sunday."""

from __future__ import annotations

from datetime import date

import pytest

from scheduler.errors import InputError
from scheduler.reading.jobfile import read_job_text
from scheduler.reading.times import parse_every
from scheduler.whatif.changes_hours import hours_written

JOB = """\
job: Test
start: 2027-01-09
zone: Europe/Berlin
hours:
  - {on: Saturday, from: 9:00, to: 17:00}
  - {on: Sunday, from: 10:00, to: 16:00, people: 2, %s}
rooms: {den: {air: {day: 20 °C, night: 18 °C, humidity: 50 %%}}}
steps: {sweep: {work: 1 h}}
"""


@pytest.mark.parametrize("said", ["second week", "every second week", "other week", "2 weeks", "2", "zweite Woche"])
def test_it_is_written_as_people_say_it(said: str) -> None:
    assert parse_every(said) == 2
    rule = read_job_text(JOB % f"every: {said}, since: 2027-01-10", "job.yaml").hours[1]
    days = [date(2027, 1, 10), date(2027, 1, 17), date(2027, 1, 24)]
    assert [rule.holds_on(day) for day in days] == [True, False, True]


@pytest.mark.parametrize(
    ("said", "fault"),
    [
        (
            "every: second week",
            "`every` counts weeks, and nothing says from which; write `since: ` and its first day",
        ),
        ("every: now and then, since: 2027-01-10", "is no number of weeks from 1 to 8"),
        ("every: 3 weeks, since: 2027-01-10, until: 2027-01-09", "`until` is before `since`"),
        ("every: 3 weeks, since: 2027-01-11, until: 2027-01-16", "there is no such day from"),
    ],
)
def test_what_counts_for_nothing_is_told_at_its_line(said: str, fault: str) -> None:
    with pytest.raises(InputError) as told:
        read_job_text(JOB % said, "job.yaml")
    assert fault in str(told.value)


def test_a_change_that_is_proposed_says_it_too() -> None:
    rule = read_job_text(JOB % "every: second week, since: 2027-01-10", "job.yaml").hours[1]
    assert hours_written(rule) | {"every": "2 weeks", "since": "2027-01-10"} == hours_written(rule)
