"""No plan: the sentence names what stands in the way, with its date, and what would make a plan possible."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.living.site import open_site, replan
from scheduler.model.refusal import NoPlanError
from scheduler.telling.refused import refused
from tests.support.lives import SHELF, moment, shelf


def why_not(folder: Path, *changes: tuple[str, str], day: str = "2027-01-08") -> str:
    """What is said of the shelf wall with these passages changed, on a day."""
    text = SHELF
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    site = open_site(shelf(folder, text))
    with pytest.raises(NoPlanError) as caught:
        replan(site, moment(day))
    return refused(caught.value).short


@pytest.mark.parametrize("day", ["2033-06-01", "2199-12-31"])
def test_an_item_that_comes_after_all_that_can_be_planned(tmp_path: Path, day: str) -> None:
    """It is named with its date and the limit: five years of 52 weeks from the first hours (Saturday 9 January 2027:
    5 * 364 = 1820 days later it is Saturday 3 January 2032). More hours would be of no use."""
    assert why_not(tmp_path, ("comes: 2027-01-16", f"comes: {day}")) == (
        f"“Cut and fit the boards”: it needs “Shelf boards”, which comes on {day}, and a plan reaches five years "
        "ahead at most, to 2032-01-03; check the date: `comes:` of “Shelf boards” in the job file, or `tackfree late`"
    )


def test_no_hours_at_all(tmp_path: Path) -> None:
    """All hours lie in the past: nothing is to be said of dates."""
    gone = [(f"on: {day},", f"on: {day}, until: 2027-01-24,") for day in ("Saturday", "Sunday", "Tuesday")]
    said = "“Cut and fit the boards”: no work hours are left from now on; add hours that go on for longer"
    assert why_not(tmp_path, *gone, day="2027-02-01") == said


def test_an_item_that_comes_after_the_last_hours(tmp_path: Path) -> None:
    """Hours that end before it comes are named with their end; here more hours are of use."""
    until = [(f"on: {day},", f"on: {day}, until: 2027-01-30,") for day in ("Saturday", "Sunday", "Tuesday")]
    assert why_not(tmp_path, ("comes: 2027-01-16", "comes: 2027-03-01"), *until) == (
        "“Cut and fit the boards”: it needs “Shelf boards”, which comes on 2027-03-01, and the last work hours end "
        "on 2027-01-30; add hours that go on for longer, or check the date: `comes:` of “Shelf boards” in the job "
        "file, or `tackfree late`"
    )
