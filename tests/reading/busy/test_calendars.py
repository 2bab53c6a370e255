"""Whole files: how lines are written, what an office program, a phone and a web calendar write, what is left out."""

from __future__ import annotations

from pathlib import Path

from tests.reading.busy.calendars import EASTERN, busy, calendar, read, told

PLAIN = calendar("UID:a\nSUMMARY:Zahnarzt für Zoë\nDTSTART:20270109T140000Z\nDTEND:20270109T150000Z")


def test_lines_may_end_in_any_way(tmp_path: Path) -> None:
    """Section 3.1 wants CR LF; editors write LF, very old programs CR, twofold conversion CR CR LF."""
    for end in ("\r\n", "\n", "\r", "\r\r\n"):
        assert busy(tmp_path, PLAIN.replace("\n", end).encode()) == ["01-09 09:00-10:00"]


def test_a_byte_order_mark_and_other_encodings_of_a_title_do_no_harm(tmp_path: Path) -> None:
    assert busy(tmp_path, b"\xef\xbb\xbf" + PLAIN.encode()) == ["01-09 09:00-10:00"]
    assert busy(tmp_path, PLAIN.encode("latin-1")) == ["01-09 09:00-10:00"]


def test_lines_may_be_folded_anywhere_even_in_a_letter(tmp_path: Path) -> None:
    """Section 3.1: folds may part a name, a value, and the two bytes of an "ü"."""
    folded = (
        PLAIN.encode().replace(b"f\xc3\xbcr", b"f\xc3\r\n \xbcr").replace(b"DTSTART:2027", b"DTS\r\n TART:20\r\n\t27")
    )
    assert b"\n TART" in folded
    assert busy(tmp_path, folded) == ["01-09 09:00-10:00"]


def test_a_line_break_in_a_title_makes_no_property(tmp_path: Path) -> None:
    """A lone CR in a file of LF lines is a letter of the title, not the end of a line."""
    sly = PLAIN.replace("Zoë", "Zoë\rTRANSP:TRANSPARENT").encode()
    assert busy(tmp_path, sly) == ["01-09 09:00-10:00"]


def test_names_are_read_in_any_case(tmp_path: Path) -> None:
    text = """
        begin:vcalendar
        begin:vevent
        dtstart;tzid=America/New_York:20270109t090000
        duration:pt1h
        end:vevent
        end:vcalendar
    """
    assert busy(tmp_path, text) == ["01-09 09:00-10:00"]


def test_a_file_may_hold_several_calendars_each_with_its_own_zones(tmp_path: Path) -> None:
    """The same name means UTC-5 in the first and UTC+3 in the second; the same UID does not make one event of two."""
    east = (
        "BEGIN:VTIMEZONE\nTZID:Here\nBEGIN:STANDARD\nDTSTART:19700101T000000\nTZOFFSETFROM:+0300\nTZOFFSETTO:+0300\n"
    )
    hour = "UID:a\nSEQUENCE:{}\nDTSTART;TZID=Here:20270109T090000\nDTEND;TZID=Here:20270109T100000"
    text = calendar(hour.format(1), before=EASTERN.format(name="Here")) + calendar(
        hour.format(2), before=east + "END:STANDARD\nEND:VTIMEZONE"
    )
    assert busy(tmp_path, text) == ["01-09 01:00-02:00", "01-09 09:00-10:00"]


def test_only_events_are_read(tmp_path: Path) -> None:
    """To-dos, journals and alarms, and what an alarm says of time, are no appointments."""
    text = """
        BEGIN:VCALENDAR
        BEGIN:VTODO
        DTSTART:20270105T140000Z
        DUE:20270105T150000Z
        END:VTODO
        BEGIN:VEVENT
        DTSTART:20270109T140000Z
        DTEND:20270109T150000Z
        BEGIN:VALARM
        TRIGGER;VALUE=DATE-TIME:20270108T140000Z
        DURATION:PT90H
        REPEAT:100
        ATTACH:file:///etc/passwd
        ACTION:PROCEDURE
        END:VALARM
        END:VEVENT
        END:VCALENDAR
    """
    assert busy(tmp_path, text) == ["01-09 09:00-10:00"]


def test_a_meeting_series_of_an_office_program(tmp_path: Path) -> None:
    """Every other Thursday; Windows name with its VTIMEZONE; one date moved; alarm, HTML text, people."""
    series = """
        CLASS:PUBLIC
        DESCRIPTION:Agenda\\n\\nBEGIN:VEVENT\\n
        ORGANIZER;CN="Doe; Jane: Finance":mailto:jane@example.org
        ATTENDEE;CN="Roe, Rick";RSVP=TRUE:mailto:rick@example.org
        DTEND;TZID="Eastern Standard Time":20261203T120000
        DTSTART;TZID="Eastern Standard Time":20261203T110000
        RRULE:FREQ=WEEKLY;UNTIL=20270225T160000Z;INTERVAL=2;BYDAY=TH;WKST=SU
        SEQUENCE:3
        TRANSP:OPAQUE
        UID:040000008200E00074C5B7101A82E008
        X-ALT-DESC;FMTTYPE=text/html:<html><body>DTSTART:20270101T000000Z</body></html>
        X-MICROSOFT-CDO-BUSYSTATUS:BUSY
        BEGIN:VALARM
        TRIGGER:-PT15M
        ACTION:DISPLAY
        DESCRIPTION:Reminder
        END:VALARM
    """
    moved = """
        UID:040000008200E00074C5B7101A82E008
        RECURRENCE-ID;TZID="Eastern Standard Time":20270114T110000
        DTSTART;TZID="Eastern Standard Time":20270115T140000
        DTEND;TZID="Eastern Standard Time":20270115T150000
        SEQUENCE:4
    """
    # 3, 17, 31 December, 14 and 28 January.
    text = calendar(series, moved, before=EASTERN.format(name="Eastern Standard Time"))
    assert busy(tmp_path, text) == ["01-15 14:00-15:00", "01-28 11:00-12:00"]


def test_a_series_of_a_web_calendar(tmp_path: Path) -> None:
    """Weekdays until the end of a local day, written in UTC: 04:59:59Z on the 9th is 23:59:59 on the 8th."""
    text = calendar(
        """
        DTSTART;TZID=America/New_York:20270104T083000
        DTEND;TZID=America/New_York:20270104T090000
        RRULE:FREQ=WEEKLY;WKST=SU;UNTIL=20270109T045959Z;BYDAY=FR,MO,TH,TU,WE
        EXDATE;TZID=America/New_York:20270106T083000
        DTSTAMP:20261220T101112Z
        UID:abc123@example.com
        SEQUENCE:0
        STATUS:CONFIRMED
        SUMMARY:School run
        TRANSP:OPAQUE
        """,
        before="CALSCALE:GREGORIAN\nMETHOD:PUBLISH\nX-WR-CALNAME:Family\nX-WR-TIMEZONE:America/New_York",
    )
    days = ("04", "05", "07", "08")
    assert busy(tmp_path, text) == [f"01-{day} 08:30-09:00" for day in days]


def test_a_bad_event_is_left_out_with_its_line_and_without_a_word_of_it(tmp_path: Path) -> None:
    text = calendar(
        "UID:secret-uid\nSUMMARY:Secret title\nLOCATION:Secret place\nATTENDEE:mailto:secret@example.org",
        "UID:b\nSUMMARY:Secret\nDTSTART:20270109T140000Z\nDTEND:20270109T150000Z",
        "UID:c\nSUMMARY:Secret\nDTSTART:Secret",
        "UID:d\nSUMMARY:Secret\nDTSTART:20270110T140000Z\nDTEND:20270110T130000Z",
        "UID:e\nSUMMARY:Secret\nDTSTART:20270111T140000Z\nDURATION:PT1H\nRRULE:FREQ=SECRET",
        "UID:f\nDTSTART;TZID=Secret zone:20270112T140000\nDTEND;TZID=Secret zone:20270112T150000",
    )
    found = read(tmp_path, text)
    assert told(found) == ["01-09 09:00-10:00", "01-12 14:00-15:00"]
    file = tmp_path / "home.ics"
    assert [warning.partition(": ")[0] for warning in found.warnings] == [
        f"{file}:{line}" for line in (4, 16, 21, 27, 36)
    ]
    assert [warning.partition(": ")[2] for warning in found.warnings] == [
        "this event has no DTSTART; it is left out",
        "a date of this event is none (20270109 or 20270109T083000 would be one); it is left out",
        "this event ends before it begins; it is left out",
        "the rule by which this event repeats does not say how often (FREQ) as calendars do (RFC 5545); "
        "it is left out",
        "nobody knows the time zone named here; its times are read in the zone of the job",
    ]
    assert "secret" not in "".join(found.warnings).lower()


def test_a_file_that_stops_in_the_middle_says_so(tmp_path: Path) -> None:
    text = PLAIN.replace("END:VCALENDAR\n", "BEGIN:VEVENT\nDTSTART:20270110T140000Z\nDTE")
    found = read(tmp_path, text)
    assert told(found) == ["01-09 09:00-10:00"]
    assert [warning.partition(": ")[2] for warning in found.warnings] == [
        "this calendar has no end (END:VCALENDAR); a part of it may be missing",
        "this event has no end of its own (END:VEVENT); it is left out",
    ]


def test_many_warnings_are_told_in_few_lines(tmp_path: Path) -> None:
    """20 one by one, the other 5 as a number."""
    found = read(tmp_path, calendar(*[f"UID:{number}" for number in range(25)]))
    assert len(found.warnings) == 21
    assert found.warnings[-1].endswith("home.ics: 5 more warnings like these")
