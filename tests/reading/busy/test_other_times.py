"""Busy times that are no events, invitations that were declined, and zones by the names that people see."""

from __future__ import annotations

import os
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from scheduler.errors import InputError
from scheduler.model.basics import Span
from scheduler.reading.busy import read_busy
from tests.reading.busy.calendars import NEW_YORK, calendar, read, told


def whole(*parts: str) -> str:
    return "BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//test//EN\n" + "".join(parts) + "END:VCALENDAR\n"


def test_a_list_of_busy_times_is_read_less_what_is_free(tmp_path: Path) -> None:
    """RFC 5545, section 3.2.9: without FBTYPE a period is busy. A period has an end or a length (section 3.3.9)."""
    text = whole(
        "BEGIN:VFREEBUSY\nFREEBUSY:20270109T140000Z/PT1H,20270110T140000Z/20270110T153000Z\n"
        "FREEBUSY;FBTYPE=BUSY-UNAVAILABLE:20270111T140000Z/PT30M\n"
        "FREEBUSY;FBTYPE=FREE:20270112T140000Z/PT1H\nFREEBUSY:nonsense/PT1H\nEND:VFREEBUSY\n"
    )
    found = read(tmp_path, text)
    assert told(found) == ["01-09 09:00-10:00", "01-10 09:00-10:30", "01-11 09:00-09:30"]
    assert [warning.partition(": ")[2] for warning in found.warnings] == [
        "a period of this list of busy times can't be read; it is left out"
    ]


EVENINGS = """BEGIN:VAVAILABILITY
UID:hours
DTSTART:20270104T050000Z
DTEND:20270111T050000Z{more}
BEGIN:AVAILABLE
UID:evenings
DTSTART;TZID=America/New_York:20270104T180000
DTEND;TZID=America/New_York:20270104T220000
RRULE:FREQ=WEEKLY;BYDAY=MO,WE
END:AVAILABLE
END:VAVAILABILITY
"""


def test_outside_of_the_hours_that_are_said_nobody_is_free(tmp_path: Path) -> None:
    """RFC 7953, section 3.1: from Monday 4 to Monday 11 January, free on Monday and Wednesday evening alone."""
    assert told(read(tmp_path, whole(EVENINGS.format(more="")))) == [
        "01-04 00:00-18:00",
        "01-04 22:00-01-06 18:00",
        "01-06 22:00-01-11 00:00",
    ]


def test_hours_of_a_higher_priority_overrule_the_others(tmp_path: Path) -> None:
    """1 is the highest priority; 0, or none, the lowest (RFC 7953, section 3.1): that week somebody is away."""
    head, tail = "BEGIN:VAVAILABILITY\nUID:away\n", "PRIORITY:1\nEND:VAVAILABILITY\n"
    away = f"{head}DTSTART:20270104T050000Z\nDTEND:20270111T050000Z\n{tail}"
    for parts in ((EVENINGS.format(more=""), away), (away, EVENINGS.format(more="\nPRIORITY:5"))):
        assert told(read(tmp_path, whole(*parts))) == ["01-04 00:00-01-11 00:00"]


def invitation(day: int, *people: str) -> str:
    said = [person.split(" ") for person in people]
    lines = "\n".join(f"ATTENDEE;PARTSTAT={answer}:mailto:{who}@example.com" for who, answer in said)
    return f"UID:{day}\nDTSTART:202701{day:02}T140000Z\nDURATION:PT1H\n{lines}"


def test_an_invitation_that_was_declined_takes_no_time(tmp_path: Path) -> None:
    """Sam is invited to all of them, so it is Sam's calendar: what Jo declined takes Sam's time."""
    text = calendar(
        invitation(9, "sam DECLINED", "jo ACCEPTED"),
        invitation(10, "sam ACCEPTED", "jo DECLINED"),
        invitation(11, "sam NEEDS-ACTION", "kim DECLINED"),
        "UID:x\nDTSTART:20270112T140000Z\nDURATION:PT1H",
    )
    assert told(read(tmp_path, text)) == ["01-10 09:00-10:00", "01-11 09:00-10:00", "01-12 09:00-10:00"]


def test_where_nobody_can_tell_whose_calendar_it_is_only_what_all_declined_is_free(tmp_path: Path) -> None:
    text = calendar(invitation(9, "sam DECLINED", "jo ACCEPTED"), invitation(10, "sam DECLINED", "jo DECLINED"))
    assert told(read(tmp_path, text)) == ["01-09 09:00-10:00"]


@pytest.mark.parametrize(
    ("name", "hour"),
    [
        ("GMT+0100", "08"),
        ("UTC+01:00", "08"),
        ("UTC-08:00", "17"),
        ("GMT", "09"),
        ("(UTC+01:00) Amsterdam, Berlin, Bern, Rome", "08"),
        ("(UTC-05:00) Eastern Time (US & Canada)", "14"),
        ("(GMT-08:00) Pacific Time (US & Canada); Tijuana", "17"),
    ],
)
def test_zones_by_the_names_that_people_see(name: str, hour: str, tmp_path: Path) -> None:
    """14:00 there on 9 January is in New York (UTC-5): 8:00 of UTC+1, 9:00 of UTC, 14:00 of UTC-5, 17:00 of UTC-8."""
    text = calendar(f'UID:a\nDTSTART;TZID="{name}":20270109T140000\nDURATION:PT1H')
    found = read(tmp_path, text)
    assert told(found)[0].startswith(f"01-09 {hour}:00")
    assert found.warnings == ()


def test_with_cities_the_clocks_change_with_theirs(tmp_path: Path) -> None:
    """On 1 July Berlin is at UTC+2 (directive 2000/84/EC), though the name says +1: 14:00 is 8:00 in New York."""
    text = calendar('UID:a\nDTSTART;TZID="(UTC+01:00) Amsterdam, Berlin":20270701T140000\nDURATION:PT1H')
    assert told(read(tmp_path, text, span=("2027-07-01", "2027-07-02"))) == ["07-01 08:00-09:00"]


def test_a_rule_of_the_gregorian_calendar_may_say_so(tmp_path: Path) -> None:
    """RFC 7529, section 4.1. Another calendar, or days put elsewhere (SKIP), are left out aloud."""
    rule = "UID:a\nDTSTART:20270109T140000Z\nDURATION:PT1H\nRRULE:{};FREQ=WEEKLY;COUNT=2"
    gregorian = read(tmp_path, calendar(rule.format("RSCALE=GREGORIAN")))
    assert told(gregorian) == ["01-09 09:00-10:00", "01-16 09:00-10:00"]
    for other, said in (
        ("RSCALE=HEBREW", "another calendar than the"),
        ("RSCALE=GREGORIAN;SKIP=FORWARD", "to another"),
    ):
        found = read(tmp_path, calendar(rule.format(other)))
        assert found.spans == ()
        assert said in found.warnings[0]


def test_a_pipe_is_named_as_what_it_is(tmp_path: Path) -> None:
    """And nobody waits for whoever writes into it."""
    pipe = tmp_path / "busy.ics"
    os.mkfifo(pipe)
    with pytest.raises(InputError, match=r"this is a pipe \(FIFO\), no file; name a text file"):
        read_busy([pipe], Span(0, 1), ZoneInfo(NEW_YORK))
