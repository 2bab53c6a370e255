"""Small calendars for tests: written to a file, read, and told in the words of the clock on the wall.

They are after the shapes that real programs write, each with its busy minutes worked out by hand. Unless a test says
otherwise they are read for January 2027 (the 1st is a Friday) on the clock of New York, which is UTC-5 then. Where
the standard decides, its section is named (RFC 5545, 2009); where only habit does, the docstring says so.
"""

from __future__ import annotations

import textwrap
from pathlib import Path
from zoneinfo import ZoneInfo

from scheduler.model.basics import Span
from scheduler.reading.busy import Busy, read_busy
from tests.support.builders import local, minute

NEW_YORK = "America/New_York"
JANUARY = ("2027-01-01", "2027-02-01")
"""1 January 2027 is a Friday."""

EASTERN = """
    BEGIN:VTIMEZONE
    TZID:{name}
    BEGIN:STANDARD
    DTSTART:16010101T020000
    TZOFFSETFROM:-0400
    TZOFFSETTO:-0500
    RRULE:FREQ=YEARLY;BYDAY=1SU;BYMONTH=11
    END:STANDARD
    BEGIN:DAYLIGHT
    DTSTART:16010101T020000
    TZOFFSETFROM:-0500
    TZOFFSETTO:-0400
    RRULE:FREQ=YEARLY;BYDAY=2SU;BYMONTH=3
    END:DAYLIGHT
    END:VTIMEZONE
"""
"""The eastern zone as an office program writes it: since ever, by two yearly rules."""


def write(folder: Path, text: str | bytes, name: str = "home.ics") -> Path:
    """The calendar as a file with CR LF; bytes stay as they are."""
    path = folder / name
    if isinstance(text, str):
        text = textwrap.dedent(text).lstrip("\n").replace("\n", "\r\n").encode()
    path.write_bytes(text)
    return path


def calendar(*events: str, before: str = "") -> str:
    """A calendar of events, each given by the lines that are its own."""
    parts = [f"BEGIN:VEVENT\n{textwrap.dedent(event).strip()}\nEND:VEVENT\n" for event in events]
    head = f"{textwrap.dedent(before).strip()}\n" if before else ""
    return f"BEGIN:VCALENDAR\nVERSION:2.0\nPRODID:-//test//EN\n{head}{''.join(parts)}END:VCALENDAR\n"


def read(
    folder: Path, text: str | bytes, span: tuple[str, str] = JANUARY, zone: str = NEW_YORK, margin: int = 0
) -> Busy:
    """What is read of one calendar."""
    bounds = Span(minute(span[0], zone), minute(span[1], zone))
    return read_busy([write(folder, text)], bounds, ZoneInfo(zone), margin)


def told(busy: Busy, zone: str = NEW_YORK) -> list[str]:
    """ "01-09 08:30-09:30", and "01-09 22:00-01-10 06:00" over midnight."""
    found = []
    for span in busy.spans:
        start, end = local(span.start, zone)[5:], local(span.end, zone)[5:]
        found.append(f"{start}-{end[6:] if start[:5] == end[:5] else end}")
    return found


def busy(
    folder: Path, text: str | bytes, span: tuple[str, str] = JANUARY, zone: str = NEW_YORK, margin: int = 0
) -> list[str]:
    """The busy times of a calendar that is read without a warning."""
    found = read(folder, text, span, zone, margin)
    assert found.warnings == ()
    return told(found, zone)
