"""Files that are no calendars, several files at once, and what reading a file must never do."""

from __future__ import annotations

import json
import subprocess
import sys
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from scheduler.errors import InputError
from scheduler.model.basics import Span
from scheduler.reading.busy import Busy, read_busy
from tests.reading.busy.calendars import JANUARY, NEW_YORK, calendar, told, write
from tests.support.builders import minute

SPAN = Span(*(minute(day, NEW_YORK) for day in JANUARY))
HINT = "export or download the calendar itself; its file begins with BEGIN:VCALENDAR"


def of(*paths: Path, margin: int = 0) -> Busy:
    return read_busy(paths, SPAN, ZoneInfo(NEW_YORK), margin)


@pytest.mark.parametrize(
    ("text", "message"),
    [
        (
            b"\r\n<!DOCTYPE html>\n<html><head><title>Sign in</title></head></html>",
            "this is a web page (perhaps one to sign in on), no calendar",
        ),
        (
            b"\xef\xbb\xbf<?xml version='1.0'?><icalendar/>",
            "this is a web page (perhaps one to sign in on), no calendar",
        ),
        (b'{"error": 401}', "this is no calendar"),
        (b"BEGIN:VCARD\nFN:Somebody\nEND:VCARD\n", "this is no calendar"),
        (b"", "this file is empty"),
        ("BEGIN:VCALENDAR".encode("utf-16-be"), "this is UTF-16 or no text, so no calendar"),
    ],
)
def test_what_is_no_calendar_is_one_fault_at_its_first_letter(tmp_path: Path, text: bytes, message: str) -> None:
    path = write(tmp_path, text)
    with pytest.raises(InputError) as raised:
        of(path)
    assert str(raised.value) == f"{path}:1:1: {message}; {HINT}"


def test_a_missing_file_and_a_folder_are_faults_and_all_files_are_looked_at(tmp_path: Path) -> None:
    good, page = write(tmp_path, calendar()), write(tmp_path, b"<html>", "page.ics")
    with pytest.raises(InputError) as raised:
        of(tmp_path / "gone.ics", good, tmp_path, page)
    said = [str(fault).removeprefix(str(tmp_path)) for fault in raised.value.faults]
    assert [one.partition(";")[0] for one in said] == [
        ": this is a folder, no file",
        "/gone.ics: there is no such file",
        "/page.ics:1:1: this is a web page (perhaps one to sign in on), no calendar",
    ]
    assert raised.value.exit_code == 2


def test_no_file_and_a_calendar_without_events_are_never_busy(tmp_path: Path) -> None:
    assert of() == Busy((), ())
    assert of(write(tmp_path, calendar())) == Busy((), ())


def test_a_negative_margin_is_a_slip_of_the_caller(tmp_path: Path) -> None:
    with pytest.raises(ValueError, match="margin"):
        of(margin=-1)


def test_warnings_come_file_by_file_and_line_by_line(tmp_path: Path) -> None:
    one = write(tmp_path, calendar("UID:a", "UID:b"), "one.ics")
    two = write(tmp_path, calendar("UID:c"), "two.ics")
    assert [warning.partition(": ")[0] for warning in of(two, one).warnings] == [f"{two}:4", f"{one}:4", f"{one}:7"]


def test_a_calendar_of_other_days_is_passed_over_aloud(tmp_path: Path) -> None:
    hour = "UID:a\nDTSTART:20270109T140000Z\nDTEND:20270109T150000Z"
    lunar = calendar(hour, before="CALSCALE:CHINESE")
    found = of(write(tmp_path, lunar))
    assert found.spans == ()
    assert [warning.partition(": ")[2] for warning in found.warnings] == [
        "this calendar does not count days as the Gregorian one does; it is left out",
    ]


def test_two_files_are_busy_when_either_is(tmp_path: Path) -> None:
    one = write(tmp_path, calendar("UID:a\nDTSTART:20270109T140000Z\nDTEND:20270109T150000Z"), "one.ics")
    two = write(tmp_path, calendar("UID:a\nDTSTART:20270109T143000Z\nDTEND:20270109T160000Z"), "two.ics")
    assert told(of(one, two)) == ["01-09 09:00-11:00"]


WATCHED = """
import json, sys
from pathlib import Path
from zoneinfo import ZoneInfo
from scheduler.model.basics import Span
from scheduler.reading.busy import read_busy
done = []
def watch(event, arguments):
    if event == "open" or event.partition(".")[0] in ("socket", "subprocess", "os", "urllib", "ctypes", "exec"):
        done.append([event, str(arguments[0]) if arguments else ""])
sys.addaudithook(watch)
read_busy([Path(sys.argv[1])], Span(int(sys.argv[2]), int(sys.argv[3])), ZoneInfo("America/New_York"))
print(json.dumps(done))
"""


def test_nothing_that_a_file_names_is_fetched_opened_or_run(tmp_path: Path) -> None:
    """Python tells an audit hook (PEP 578) of whatever is opened, run or connected to while the file is read."""
    bait = tmp_path / "bait"
    bait.write_text("do not touch")
    path = write(
        tmp_path,
        calendar(
            f"""
            UID:a
            DTSTART;TZID={bait}:20270109T090000
            RRULE:FREQ=WEEKLY
            EXDATE;ALTREP="file://{bait}":20270116T090000
            URL:file://{bait}
            ATTACH:file://{bait}
            ATTACH:http://127.0.0.1:9/
            IMAGE;VALUE=URI:http://127.0.0.1:9/a.png
            CONFERENCE;VALUE=URI:http://127.0.0.1:9/b
            BEGIN:VALARM
            ACTION:PROCEDURE
            TRIGGER:-PT0S
            ATTACH:file://{bait}
            END:VALARM
            """,
            before=f"SOURCE;VALUE=URI:http://127.0.0.1:9/\nTZURL:file://{bait}\nX-WR-TIMEZONE:{bait}",
        ),
    )
    done = subprocess.run(
        [sys.executable, "-c", WATCHED, str(path), str(SPAN.start), str(SPAN.end)],
        capture_output=True,
        text=True,
        check=True,
    )
    events = json.loads(done.stdout)
    opened = [name for event, name in events if event == "open"]
    assert str(path) in opened
    assert not [name for name in opened if "bait" in name]
    # Folders are listed where libraries and zones live; nothing else happens.
    assert {event for event, _ in events} <= {"open", "os.listdir", "os.scandir", "os.walk", "exec"}
    assert not [name for event, name in events if event != "exec" and str(tmp_path) in name and name != str(path)]
