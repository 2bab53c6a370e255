"""112 calendars of 28 zones, on the days around both changes of clocks (or, where there is none, at the same season),
in UTC and in local times: all readers see what was meant."""

from __future__ import annotations

from datetime import UTC, date, datetime, timedelta
from functools import cache
from itertools import pairwise
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from scheduler.calendar.write import calendar
from scheduler.model.basics import Span
from tests.calendar.readers import READERS
from tests.readers.outside import OUTSIDE, Outside, Seen
from tests.readers.test_read_alike import meant
from tests.support.plans import film, plan, step

ZONES = (
    *("Africa/Cairo", "Africa/Casablanca", "America/Asuncion", "America/Havana", "America/New_York", "America/Nuuk"),
    *("America/Phoenix", "America/Santiago", "America/St_Johns", "Antarctica/Troll", "Asia/Beirut", "Asia/Gaza"),
    *(
        "Asia/Kathmandu",
        "Asia/Kolkata",
        "Asia/Tehran",
        "Atlantic/Azores",
        "Australia/Adelaide",
        "Australia/Lord_Howe",
    ),
    *("Australia/Sydney", "Europe/Berlin", "Europe/Chisinau", "Europe/Dublin", "Europe/Helsinki", "Europe/London"),
    *("Pacific/Apia", "Pacific/Auckland", "Pacific/Chatham", "Pacific/Easter"),
)
HOURS = ((0, 1), (1, 3), (2, 4), (5, 9), (18, 23))
"""From and to, of work on each of the days."""
CASES = [(zone, season, zoned) for zone in ZONES for season in (0, 1) for zoned in (False, True)]


def changes(zone: ZoneInfo) -> list[date]:
    """The last two days of 2027 on which clocks change, or two days of spring and autumn where they never do."""
    first = datetime(2027, 1, 1, tzinfo=UTC)
    moments = [(first + timedelta(hours=hours)).astimezone(zone) for hours in range(24 * 365)]
    days = [after.date() for before, after in pairwise(moments) if before.utcoffset() != after.utcoffset()]
    return days[-2:] if len(days) > 1 else [date(2027, 3, 28), date(2027, 10, 31)]


@cache
def written(name: str, season: int, zoned: bool) -> tuple[bytes, dict[str, Seen]]:
    """A calendar around one change: work through the night and the day, films and alarms."""
    zone = ZoneInfo(name)
    middle = changes(zone)[season]
    steps = []
    for days in (-2, -1, 0, 1, 2):
        day = middle + timedelta(days=days)
        for number, hours in enumerate(HOURS):
            begin, end = (
                int(datetime(day.year, day.month, day.day, hour, 15, tzinfo=zone).timestamp()) // 60 for hour in hours
            )
            if end - begin < 30:
                continue  # in the hour that is skipped
            laid = film({"touch": f"{day + timedelta(days=1)} 12:00"}, zone=name) if number == 3 else None
            steps.append(step(f"work-{days + 2}-{number}", Span(begin, end), zone=name, film=laid))
    file, ledger = calendar(plan(*steps, zone=name), remind=60, zoned=zoned, detail="steps")
    return file, meant(ledger)


@pytest.mark.long
def test_there_are_112_and_many_have_local_times() -> None:
    """And a time within a day of a change of clocks is in UTC: where clocks change by half an hour readers differ."""
    assert len(CASES) == 112
    local = [case for case in CASES if b"BEGIN:VTIMEZONE" in written(*case)[0]]
    assert len(local) >= 30
    howe = written("Australia/Lord_Howe", 0, True)[0].decode()
    day = changes(ZoneInfo("Australia/Lord_Howe"))[0]
    assert f"DTSTART;TZID=Australia/Lord_Howe:{day:%Y%m%d}" not in howe
    assert f"DTSTART;TZID=Australia/Lord_Howe:{day - timedelta(days=2):%Y%m%d}" in howe


@pytest.mark.long
@pytest.mark.parametrize("name", READERS)
def test_python_readers_see_what_was_meant_in_every_zone(name: str) -> None:
    for case in CASES:
        file, wanted = written(*case)
        assert {uid: (*each[:5], tuple(each[7])) for uid, each in READERS[name](file).items()} == wanted, case


@pytest.mark.long
@pytest.mark.parametrize("reader", OUTSIDE, ids=lambda reader: reader.name)
def test_other_readers_see_what_was_meant_in_every_zone(reader: Outside, tmp_path: Path) -> None:
    missing = reader.missing()
    if missing:
        pytest.skip(f"{reader.name} was not asked: {missing}")
    for case in CASES:
        content, wanted = written(*case)
        file = tmp_path / "one.ics"
        file.write_bytes(content)
        assert reader.read(file) == wanted, case
