from __future__ import annotations

import io
import re
from datetime import UTC, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo, available_timezones

import icalendar
import pytest
from dateutil.tz import tzical

from scheduler.calendar.zones import vtimezone, yearly_pair
from tests.cli.running import run
from tests.support.lives import SHELF, shelf

FIRST, LAST = 2026, 2028


def text_of(zone: ZoneInfo) -> str | None:
    pair = yearly_pair(zone, FIRST, LAST)
    if pair is None:
        return None
    calendar = icalendar.Calendar()
    calendar.add_component(vtimezone(zone, pair))
    return calendar.to_ical().decode()


def test_new_york_is_the_second_sunday_of_march_and_the_first_of_november() -> None:
    """15 U.S.C. 260a (Energy Policy Act of 2005, section 110)."""
    text = text_of(ZoneInfo("America/New_York")) or ""
    assert "RRULE:FREQ=YEARLY;BYDAY=2SU;BYMONTH=3" in text
    assert "RRULE:FREQ=YEARLY;BYDAY=1SU;BYMONTH=11" in text
    assert text.count("BEGIN:DAYLIGHT") == text.count("BEGIN:STANDARD") == 1
    assert "RDATE" not in text and "COMMENT" not in text


def test_both_halves_of_the_year_have_the_names_that_people_know() -> None:
    """EDT and EST, CEST and CET: the names of the time zone database, which calendars show (RFC 5545, 3.8.3.2)."""
    for zone, names in {"America/New_York": ["EDT", "EST"], "Europe/Berlin": ["CEST", "CET"]}.items():
        assert re.findall(r"TZNAME:(\w+)", text_of(ZoneInfo(zone)) or "") == names


def test_berlin_is_the_last_sunday_of_march_and_october() -> None:
    """Directive 2000/84/EC: 01:00 UTC, which is 02:00 CET and 03:00 CEST."""
    text = text_of(ZoneInfo("Europe/Berlin")) or ""
    daylight, standard = text.split("END:DAYLIGHT")
    assert "BYDAY=-1SU;BYMONTH=3" in daylight and "T020000" in daylight
    assert "BYDAY=-1SU;BYMONTH=10" in standard and "T030000" in standard


@pytest.mark.parametrize("name", ["America/Phoenix", "UTC", "Asia/Kolkata", "Africa/Casablanca"])
def test_zones_that_two_rules_do_not_describe_are_refused(name: str) -> None:
    """No change of clocks, or one that follows the moon (Morocco, around Ramadan)."""
    assert text_of(ZoneInfo(name)) is None


class FirstFridayOfTheYear(ZoneInfo):
    """Summer time from the first Friday of January, 01:00, until the last Sunday of July, 01:00 UTC both."""

    @classmethod
    def made(cls) -> FirstFridayOfTheYear:
        return cls("UTC")

    def utcoffset(self, moment: datetime | None) -> timedelta:
        assert moment is not None
        friday = 1 + (4 - datetime(moment.year, 1, 1).weekday()) % 7
        sunday = 31 - (datetime(moment.year, 7, 31).weekday() + 1) % 7
        begin, end = datetime(moment.year, 1, friday, 1), datetime(moment.year, 7, sunday, 1)
        return timedelta(hours=1 if begin <= moment.replace(tzinfo=None) < end else 0)

    def fromutc(self, moment: datetime) -> datetime:
        return moment + self.utcoffset(moment)

    def tzname(self, moment: datetime | None) -> str:
        return "summer" if self.utcoffset(moment) else "winter"


def test_a_change_of_clocks_in_the_first_night_of_a_year_is_one_of_that_year() -> None:
    """The first Friday of January is the 2nd in 2026, the 1st in 2027 and the 7th in 2028."""
    text = text_of(FirstFridayOfTheYear.made()) or ""
    daylight, standard = text.split("END:DAYLIGHT")
    assert "BYDAY=1FR;BYMONTH=1" in daylight
    assert "BYDAY=-1SU;BYMONTH=7" in standard


def test_every_zone_that_is_written_reads_back_as_zoneinfo_has_it() -> None:
    """Held against dateutil, which computes from the component itself, a day and an hour around every change.

    Where readers may differ, in the hours that are skipped or come twice, nothing local is ever written.
    """
    seen: set[tuple[timedelta | None, ...]] = set()
    written = 0
    for name in sorted(available_timezones()):
        zone = ZoneInfo(name)
        clock = tuple(
            (datetime(2027, 1, 1, tzinfo=UTC) + timedelta(days=day)).astimezone(zone).utcoffset()
            for day in range(0, 365, 3)
        )
        if clock in seen:  # the same clock under another name
            continue
        seen.add(clock)
        text = text_of(zone)
        if text is None:
            continue
        written += 1
        read = tzical(io.StringIO(text)).get(name)
        assert read is not None
        for year in range(FIRST, LAST + 1):
            for onset in yearly_pair(zone, FIRST, LAST) or ():
                for hours in (-24, -2, 2, 24, 24 * 60):
                    local = onset.in_year(year) + timedelta(hours=hours)
                    assert local.replace(tzinfo=read).utcoffset() == local.replace(tzinfo=zone).utcoffset(), name
    assert written > 15


@pytest.mark.parametrize(
    ("zone", "start", "said"),
    [
        ("Africa/Casablanca", "2027-01-09", "No yearly rules describe the clocks of Africa/Casablanca: all times in"),
        ("America/Denver", "2027-03-13", "events are in UTC: clocks change within a day of it, and programs differ"),
        ("America/Denver", "2027-01-09", None),
    ],
)
def test_times_that_can_t_be_local_are_in_utc_and_that_is_said(
    zone: str, start: str, said: str | None, tmp_path: Path
) -> None:
    """`--zoned` asks for local times. In Morocco clocks follow the moon; in Denver they change on 14 March 2027, a
    Sunday, and the sessions of that weekend are given in UTC, all others not."""
    job = shelf(tmp_path, SHELF.replace("America/Denver", zone).replace("2027-01-09", start))
    file = tmp_path / "plan.ics"
    done = run("plan", str(job), "--ics", str(file), "--zoned", "--as-of", "2027-01-04", "--effort", "50")
    text = file.read_text()
    utc = len(re.findall(r"^DTSTART:[0-9T]+Z", text, re.MULTILINE))
    local = text.count(f"\nDTSTART;TZID={zone}:")
    assert done.code == 0
    if said is None:
        assert (utc, local > 2) == (0, True)
        assert "in UTC" not in done.err
    else:
        assert said in " ".join(done.err.split())
        assert utc > 0
        assert (local > 0) == (zone == "America/Denver")


def test_changes_are_those_of_zoneinfo() -> None:
    """The offset right before each onset and right after it, in UTC arithmetic."""
    zone = ZoneInfo("Australia/Lord_Howe")  # half an hour of summer time
    for onset in yearly_pair(zone, FIRST, LAST) or pytest.fail("Lord Howe has yearly rules"):
        for year in range(FIRST, LAST + 1):
            moment = (onset.in_year(year) - onset.before).replace(tzinfo=UTC)
            assert moment.astimezone(zone).utcoffset() == onset.after
            assert (moment - timedelta(minutes=1)).astimezone(zone).utcoffset() == onset.before
            assert isinstance(moment, datetime)


@pytest.mark.parametrize(
    ("name", "year", "days"),
    [
        ("Europe/Berlin", 2026, ["03-29 02:00", "10-25 03:00"]),
        ("Europe/Berlin", 2027, ["03-28 02:00", "10-31 03:00"]),
        ("America/New_York", 2026, ["03-08 02:00", "11-01 02:00"]),
        ("America/New_York", 2027, ["03-14 02:00", "11-07 02:00"]),
    ],
)
def test_clocks_change_on_the_days_that_the_law_names(name: str, year: int, days: list[str]) -> None:
    """1 March 2026 is a Sunday, 1 March 2027 a Monday: counted on from there to the Sundays of the two laws above."""
    pair = yearly_pair(ZoneInfo(name), FIRST, LAST) or pytest.fail("there are yearly rules")
    assert [f"{onset.in_year(year):%m-%d %H:%M}" for onset in pair] == days
