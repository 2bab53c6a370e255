"""Events that repeat: their hours across the change of clocks, and dates taken out, added, changed, called off."""

from __future__ import annotations

from pathlib import Path

from tests.reading.busy.calendars import EASTERN, busy, calendar


def test_a_weekly_series_keeps_its_hour_across_the_change_of_clocks(tmp_path: Path) -> None:
    """Section 3.8.5.3: the local time repeats. 17:00 in New York is 22:00Z before 2027-03-14 and 21:00Z after."""
    text = calendar(
        """
        UID:training
        DTSTART;TZID=Eastern Standard Time:20260901T170000
        DTEND;TZID=Eastern Standard Time:20260901T183000
        RRULE:FREQ=WEEKLY;BYDAY=TU
        """,
        before=EASTERN.format(name="Eastern Standard Time"),
    )
    assert busy(tmp_path, text, ("2027-03-08", "2027-03-22"), "UTC") == ["03-09 22:00-23:30", "03-16 21:00-22:30"]


def test_a_series_in_a_zone_of_the_files_own_keeps_its_hour_too(tmp_path: Path) -> None:
    text = calendar(
        """
        UID:training
        DTSTART;TZID=Ours:20260901T170000
        DTEND;TZID=Ours:20260901T183000
        RRULE:FREQ=WEEKLY;UNTIL=20270316T210000Z
        """,
        before=EASTERN.format(name="Ours"),
    )
    assert busy(tmp_path, text, ("2027-03-08", "2027-04-22"), "UTC") == ["03-09 22:00-23:30", "03-16 21:00-22:30"]


def test_the_end_of_a_night_that_repeats_is_counted_in_exact_hours(tmp_path: Path) -> None:
    """Section 3.8.5.3: what DTEND ends has the same exact length each time: eight hours from 22:00, in the night of
    the change until 07:00. What DURATION ends in days has the same reading of the clock.
    """
    nightly = "DTSTART;TZID=America/New_York:20270312T220000\nRRULE:FREQ=DAILY;COUNT=2"
    shift = calendar(f"UID:a\n{nightly}\nDTEND;TZID=America/New_York:20270313T060000")
    week = ("2027-03-10", "2027-03-20")
    assert busy(tmp_path, shift, week) == ["03-12 22:00-03-13 06:00", "03-13 22:00-03-14 07:00"]
    assert busy(tmp_path, calendar(f"UID:a\n{nightly}\nDURATION:P1D"), week) == ["03-12 22:00-03-14 22:00"]


def test_dates_are_taken_out_in_any_form(tmp_path: Path) -> None:
    """Mondays at 18:00 are 4, 11, 18, 25 January. EXDATE in UTC (23:00Z), as a date, in Chicago (17:00)."""
    text = calendar(
        """
        UID:choir
        DTSTART;TZID=America/New_York:20270104T180000
        DTEND;TZID=America/New_York:20270104T193000
        RRULE:FREQ=WEEKLY
        EXDATE:20270104T230000Z
        EXDATE;VALUE=DATE:20270111
        EXDATE;TZID=America/Chicago:20270118T170000
        """
    )
    assert busy(tmp_path, text) == ["01-25 18:00-19:30"]


def test_single_dates_are_added_to_a_series(tmp_path: Path) -> None:
    """RDATE as a time, as a period with a length of its own, and in another zone (12:00Z is 07:00)."""
    text = calendar(
        """
        UID:a
        DTSTART;TZID=America/New_York:20270104T180000
        DURATION:PT1H
        RDATE;TZID=America/New_York:20270106T090000,20270107T090000
        RDATE;VALUE=PERIOD:20270108T120000Z/PT3H,20270109T120000Z/20270109T123000Z
        EXDATE;TZID=America/New_York:20270107T090000
        """
    )
    assert busy(tmp_path, text) == [
        "01-04 18:00-19:00",
        "01-06 09:00-10:00",
        "01-08 07:00-10:00",
        "01-09 07:00-07:30",
    ]


def test_a_changed_date_replaces_that_date_however_it_is_named(tmp_path: Path) -> None:
    """Fridays at 9: 8 January is named in UTC and moved to the afternoon, 15 January as a date and made longer,
    22 January in another zone and called off.
    """
    text = calendar(
        """
        UID:a
        DTSTART;TZID=America/New_York:20270101T090000
        DTEND;TZID=America/New_York:20270101T100000
        RRULE:FREQ=WEEKLY;COUNT=5
        """,
        "UID:a\nRECURRENCE-ID:20270108T140000Z\nDTSTART:20270108T200000Z\nDTEND:20270108T210000Z",
        """
        UID:a
        RECURRENCE-ID;VALUE=DATE:20270115
        DTSTART;TZID=America/New_York:20270115T090000
        DTEND;TZID=America/New_York:20270115T113000
        """,
        """
        UID:a
        RECURRENCE-ID;TZID=America/Chicago:20270122T080000
        DTSTART;TZID=America/New_York:20270122T090000
        DTEND;TZID=America/New_York:20270122T100000
        STATUS:CANCELLED
        """,
    )
    assert busy(tmp_path, text) == [
        "01-01 09:00-10:00",
        "01-08 15:00-16:00",
        "01-15 09:00-11:30",
        "01-29 09:00-10:00",
    ]


def test_a_date_may_be_moved_into_the_window_and_out_of_it(tmp_path: Path) -> None:
    """Yearly on 1 June: that of 2026 is held on 9 January 2027. Monthly on the 20th: January's is held in March."""
    text = calendar(
        "UID:a\nDTSTART:20200601T140000Z\nDURATION:PT1H\nRRULE:FREQ=YEARLY",
        "UID:a\nRECURRENCE-ID:20260601T140000Z\nDTSTART:20270109T140000Z\nDURATION:PT1H",
        "UID:b\nDTSTART:20201220T140000Z\nDURATION:PT1H\nRRULE:FREQ=MONTHLY",
        "UID:b\nRECURRENCE-ID:20270120T140000Z\nDTSTART:20270309T140000Z\nDURATION:PT1H",
    )
    assert busy(tmp_path, text) == ["01-09 09:00-10:00"]


def test_this_and_all_following_are_moved_together(tmp_path: Path) -> None:
    """Section 3.2.13: from 13 January on two hours later and half an hour long; the 20th is on its own."""
    text = calendar(
        """
        UID:a
        DTSTART;TZID=America/New_York:20270106T090000
        DTEND;TZID=America/New_York:20270106T100000
        RRULE:FREQ=WEEKLY
        """,
        """
        UID:a
        RECURRENCE-ID;RANGE=THISANDFUTURE;TZID=America/New_York:20270113T090000
        DTSTART;TZID=America/New_York:20270113T110000
        DTEND;TZID=America/New_York:20270113T113000
        """,
        """
        UID:a
        RECURRENCE-ID;TZID=America/New_York:20270120T090000
        DTSTART;TZID=America/New_York:20270120T150000
        DTEND;TZID=America/New_York:20270120T160000
        """,
    )
    assert busy(tmp_path, text) == [
        "01-06 09:00-10:00",
        "01-13 11:00-11:30",
        "01-20 15:00-16:00",
        "01-27 11:00-11:30",
    ]


def test_this_and_all_following_may_be_moved_far(tmp_path: Path) -> None:
    """Wednesdays until 2 December; from 25 November on 44 days later: 8 January, and 15 January for 2 December."""
    text = calendar(
        "UID:a\nDTSTART:20260902T140000Z\nDURATION:PT1H\nRRULE:FREQ=WEEKLY;COUNT=14",
        "UID:a\nRECURRENCE-ID;RANGE=THISANDFUTURE:20261125T140000Z\nDTSTART:20270108T140000Z\nDURATION:PT1H",
    )
    assert busy(tmp_path, text) == ["01-08 09:00-10:00", "01-15 09:00-10:00"]


def test_of_two_changes_of_one_date_the_newer_one_counts(tmp_path: Path) -> None:
    """RFC 5546, section 2.1.5, wherever they stand in the file, and however they name the date."""
    series = "UID:a\nDTSTART;TZID=America/New_York:20270106T090000\nDURATION:PT1H\nRRULE:FREQ=WEEKLY;COUNT=2"
    newer = "UID:a\nSEQUENCE:2\nRECURRENCE-ID:20270113T140000Z\nDTSTART:20270114T140000Z\nDURATION:PT1H"
    older = "UID:a\nSEQUENCE:1\nRECURRENCE-ID;VALUE=DATE:20270113\nDTSTART:20270115T140000Z\nDURATION:PT1H"
    for events in ((series, newer, older), (older, newer, series)):
        assert busy(tmp_path, calendar(*events)) == ["01-06 09:00-10:00", "01-14 09:00-10:00"]


def test_this_and_all_following_may_be_called_off(tmp_path: Path) -> None:
    text = calendar(
        "UID:a\nDTSTART:20270106T140000Z\nDURATION:PT1H\nRRULE:FREQ=WEEKLY",
        "UID:a\nRECURRENCE-ID;RANGE=THISANDFUTURE:20270120T140000Z\nDTSTART:20270120T140000Z\nSTATUS:CANCELLED",
    )
    assert busy(tmp_path, text) == ["01-06 09:00-10:00", "01-13 09:00-10:00"]


def test_a_free_series_may_have_a_busy_date_and_a_busy_one_a_free_date(tmp_path: Path) -> None:
    text = calendar(
        "UID:a\nDTSTART:20270106T140000Z\nDURATION:PT1H\nRRULE:FREQ=WEEKLY;COUNT=3\nTRANSP:TRANSPARENT",
        "UID:a\nRECURRENCE-ID:20270113T140000Z\nDTSTART:20270113T140000Z\nDURATION:PT2H",
        "UID:b\nDTSTART:20270107T140000Z\nDURATION:PT1H\nRRULE:FREQ=WEEKLY;COUNT=3",
        "UID:b\nRECURRENCE-ID:20270114T140000Z\nDTSTART:20270114T140000Z\nDURATION:PT1H\nTRANSP:TRANSPARENT",
    )
    assert busy(tmp_path, text) == ["01-07 09:00-10:00", "01-13 09:00-11:00", "01-21 09:00-10:00"]


def test_one_date_of_a_series_may_come_without_the_series(tmp_path: Path) -> None:
    """An invitation to one meeting of many, as it is written when it is saved from a mail."""
    text = calendar("UID:a\nRECURRENCE-ID:20270108T140000Z\nDTSTART:20270108T160000Z\nDTEND:20270108T170000Z")
    assert busy(tmp_path, text) == ["01-08 11:00-12:00"]


def test_whole_days_repeat_and_lose_dates(tmp_path: Path) -> None:
    """The second Saturday and the Sunday after it, each month; and a birthday "without a year", written as 1604."""
    text = calendar(
        "UID:a\nDTSTART;VALUE=DATE:20260912\nDTEND;VALUE=DATE:20260914\nRRULE:FREQ=MONTHLY;BYDAY=2SA",
        "UID:b\nDTSTART;VALUE=DATE:16040120\nRRULE:FREQ=YEARLY",
        "UID:c\nDTSTART;VALUE=DATE:20270101\nRRULE:FREQ=WEEKLY;UNTIL=20270115\nEXDATE;VALUE=DATE:20270101\n"
        "EXDATE:20270108T000000Z",
    )
    assert busy(tmp_path, text) == ["01-09 00:00-01-11 00:00", "01-15 00:00-01-16 00:00", "01-20 00:00-01-21 00:00"]


def test_a_whole_day_of_a_series_may_become_an_hour(tmp_path: Path) -> None:
    text = calendar(
        "UID:a\nDTSTART;VALUE=DATE:20270102\nRRULE:FREQ=WEEKLY;COUNT=3",
        "UID:a\nRECURRENCE-ID;VALUE=DATE:20270109\nDTSTART:20270109T140000Z\nDTEND:20270109T150000Z",
    )
    assert busy(tmp_path, text) == ["01-02 00:00-01-03 00:00", "01-09 09:00-10:00", "01-16 00:00-01-17 00:00"]


def test_a_series_ends_with_its_until_included(tmp_path: Path) -> None:
    """In UTC: 14:00Z on the 9th is the start itself. As a date (against the standard): that day too."""
    in_utc = (
        "UID:a\nDTSTART;TZID=America/New_York:20270107T090000\nDURATION:PT1H\nRRULE:FREQ=DAILY;UNTIL=20270109T140000Z"
    )
    as_date = "UID:a\nDTSTART;TZID=America/New_York:20270107T090000\nDURATION:PT1H\nRRULE:FREQ=DAILY;UNTIL=20270109"
    wanted = ["01-07 09:00-10:00", "01-08 09:00-10:00", "01-09 09:00-10:00"]
    assert busy(tmp_path, calendar(in_utc)) == wanted
    assert busy(tmp_path, calendar(as_date)) == wanted


def test_a_series_that_ended_before_its_start_has_no_dates(tmp_path: Path) -> None:
    """No standard; so a program leaves a series whose every date was deleted as "this and all following"."""
    text = calendar("UID:a\nDTSTART:20270109T140000Z\nDURATION:PT1H\nRRULE:FREQ=DAILY;UNTIL=20270108T140000Z")
    assert busy(tmp_path, text) == []


def test_a_long_event_from_before_the_window_reaches_in(tmp_path: Path) -> None:
    """Three weeks from 20 December, yearly: until 10 January."""
    text = calendar("UID:a\nDTSTART;VALUE=DATE:20201220\nDURATION:P3W\nRRULE:FREQ=YEARLY")
    assert busy(tmp_path, text) == ["01-01 00:00-01-10 00:00"]
