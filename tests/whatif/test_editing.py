"""An edit in a job file leaves everything else as the person wrote it."""

from __future__ import annotations

import difflib

import pytest

from scheduler.model.foresight import Add, Drop, Edit, Put
from scheduler.reading.jobfile import read_job_text
from tests.support.editing import apply_edit

TEXT = """\
# What I want done.
job: Study
start: 2027-01-09   # a Saturday
zone: UTC
hours: {on: Saturday, from: 9:00, to: 17:00}
away:
  - 2027-02-13 to 2027-02-14   # the lake
rooms:
  study:
    air: {day: 20 °C, night: 12 °C, humidity: 60 %}   # cold
steps:
  prime:
    work: 90 min
    lays: acrylic-bonding-primer
"""


def changed_lines(edit: Edit) -> list[str]:
    """The lines that come and go."""
    diff = difflib.ndiff(TEXT.splitlines(), apply_edit(TEXT, edit).splitlines())
    return [line for line in diff if line[0] in "+-"]


def test_without_an_edit_nothing_changes() -> None:
    """Comments, order and quotes stay."""
    assert apply_edit(TEXT, ()) == TEXT


def test_a_value_is_put_in_its_place() -> None:
    """One line changes, and its comment stays."""
    assert changed_lines((Put(("rooms", "study", "air", "night"), "15 °C"),)) == [
        "-     air: {day: 20 °C, night: 12 °C, humidity: 60 %}   # cold",
        "+     air: {day: 20 °C, night: 15 °C, humidity: 60 %}   # cold",
    ]


def test_dates_and_numbers_need_no_quotes() -> None:
    """They are written as a person would."""
    assert changed_lines((Put(("start",), "2027-01-02"),)) == [
        "- start: 2027-01-09   # a Saturday",
        "+ start: 2027-01-02   # a Saturday",
    ]


def test_one_entry_becomes_a_list_when_another_is_added() -> None:
    """Hours that stood alone are the first of two."""
    edit = (Add(("hours",), {"on": "Sunday", "from": "10:00", "to": "16:00", "quiet": "yes"}),)
    job = read_job_text(apply_edit(TEXT, edit), "job.yaml")
    assert [sorted(rule.weekdays) for rule in job.hours] == [[5], [6]]
    assert job.hours[1].quiet


def test_what_is_dropped_takes_its_empty_list_along() -> None:
    """`away` without a day is no key any more."""
    job = read_job_text(apply_edit(TEXT, (Drop(("away", 0)),)), "job.yaml")
    assert job.away == ()


def test_a_mapping_that_is_missing_is_made() -> None:
    """`changes` for a step that a method brought."""
    assert "changes:\n  walls-prime:\n    lays: shellac-based-primer\n" in apply_edit(
        TEXT, (Put(("changes", "walls-prime", "lays"), "shellac-based-primer"),)
    )


@pytest.mark.parametrize("edit", [Drop(("colour order",)), Put(("away", 5, "why"), "x"), Drop(("steps", "sand"))])
def test_a_path_that_leads_nowhere_is_refused(edit: Put | Drop) -> None:
    """Nothing is made up for it."""
    with pytest.raises(KeyError):
        apply_edit(TEXT, (edit,))
