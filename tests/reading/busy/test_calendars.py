"""Small calendars after the shapes that real programs write, each with its busy minutes worked out by hand.

Unless a test says otherwise they are read for January 2027 (the 1st is a Friday) on the clock of New York, which is
UTC-5 then. Where the standard decides, its section is named (RFC 5545, 2009); where only habit does, the docstring
says so.
"""

from __future__ import annotations

from pathlib import Path

from tests.reading.busy.calendars import busy, calendar, read, told

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


# --- single events


def test_a_time_in_utc_is_read_on_the_local_clock(tmp_path: Path) -> None:
    """14:00Z is 09:00 in winter."""
    text = calendar("UID:a\nDTSTART:20270109T140000Z\nDTEND:20270109T153000Z\nSUMMARY:Dentist")
    assert busy(tmp_path, text) == ["01-09 09:00-10:30"]


def test_a_time_with_an_iana_zone_is_read_without_a_vtimezone_too(tmp_path: Path) -> None:
    """Chicago is an hour behind New York."""
    text = calendar("UID:a\nDTSTART;TZID=America/Chicago:20270109T090000\nDTEND;TZID=America/Chicago:20270109T100000")
    assert busy(tmp_path, text) == ["01-09 10:00-11:00"]


def test_a_windows_name_is_a_zone(tmp_path: Path) -> None:
    """Pacific Standard Time is the Windows name of the zone of Los Angeles (Unicode CLDR, windowsZones):
    three hours behind.
    """
    text = calendar(
        "UID:a\nDTSTART;TZID=Pacific Standard Time:20270109T090000\nDTEND;TZID=Pacific Standard Time:20270109T100000"
    )
    assert busy(tmp_path, text) == ["01-09 12:00-13:00"]


def test_a_name_behind_a_makers_prefix_is_a_zone(tmp_path: Path) -> None:
    """Section 3.2.19: a name that begins with a slash is from somebody's registry; its end tells the zone."""
    text = calendar("UID:a\nDTSTART;TZID=/example.org/20270101_1/America/Denver:20270109T090000\nDURATION:PT1H")
    assert busy(tmp_path, text) == ["01-09 11:00-12:00"]


def test_a_zone_of_the_files_own_is_built_from_its_vtimezone(tmp_path: Path) -> None:
    """Before 14 March 2027 UTC-5, after it UTC-4: 09:00 there is 15:00 and 14:00 on the clock of Berlin (UTC+1)."""
    text = calendar(
        'UID:a\nDTSTART;TZID="Customized, my zone":20270312T090000\nDTEND;TZID="Customized, my zone":20270312T100000',
        'UID:b\nDTSTART;TZID="Customized, my zone":20270315T090000\nDTEND;TZID="Customized, my zone":20270315T100000',
        before=EASTERN.format(name="Customized, my zone"),
    )
    assert busy(tmp_path, text, ("2027-03-01", "2027-03-20"), "Europe/Berlin") == [
        "03-12 15:00-16:00",
        "03-15 14:00-15:00",
    ]


def test_a_zone_written_out_date_by_date_is_followed(tmp_path: Path) -> None:
    """Onsets by RDATE are read in the offset before them (section 3.6.5): from 2027-03-14 02:00 on UTC-4."""
    zone = """
        BEGIN:VTIMEZONE
        TZID:By the book
        BEGIN:STANDARD
        DTSTART:20261101T020000
        TZOFFSETFROM:-0400
        TZOFFSETTO:-0500
        RDATE:20271107T020000
        END:STANDARD
        BEGIN:DAYLIGHT
        DTSTART:20260308T020000
        TZOFFSETFROM:-0500
        TZOFFSETTO:-0400
        RDATE:20270314T020000,20280312T020000
        END:DAYLIGHT
        END:VTIMEZONE
    """
    text = calendar(
        "UID:a\nDTSTART;TZID=By the book:20270314T013000\nDTEND;TZID=By the book:20270314T033000",
        "UID:b\nDTSTART;TZID=By the book:20270601T090000\nDTEND;TZID=By the book:20270601T100000",
        before=zone,
    )
    # 01:30 to 03:30 is one hour in that night: 06:30 to 07:30 in UTC.
    assert busy(tmp_path, text, ("2027-03-01", "2027-07-01"), "UTC") == ["03-14 06:30-07:30", "06-01 13:00-14:00"]


def test_a_known_name_beats_what_the_file_says_of_it(tmp_path: Path) -> None:
    """No standard; nine of sixteen readers that were compared for this package do so, the others follow the file.

    The file claims that New York is UTC+9.
    """
    lying = """
        BEGIN:VTIMEZONE
        TZID:America/New_York
        BEGIN:STANDARD
        DTSTART:19700101T000000
        TZOFFSETFROM:+0900
        TZOFFSETTO:+0900
        END:STANDARD
        END:VTIMEZONE
    """
    text = calendar("UID:a\nDTSTART;TZID=America/New_York:20270109T090000\nDURATION:PT1H", before=lying)
    assert busy(tmp_path, text) == ["01-09 09:00-10:00"]


def test_a_time_without_a_zone_is_read_on_the_persons_clock(tmp_path: Path) -> None:
    """Section 3.3.5: a floating time is the same reading of the clock everywhere."""
    text = calendar("UID:a\nDTSTART:20270109T090000\nDTEND:20270109T100000")
    assert busy(tmp_path, text) == ["01-09 09:00-10:00"]
    assert busy(tmp_path, text, zone="Asia/Tokyo") == ["01-09 09:00-10:00"]


def test_a_calendar_may_say_on_which_clock_its_floating_times_are(tmp_path: Path) -> None:
    """X-WR-TIMEZONE, no standard but common practice. Times in UTC stay what they are."""
    text = calendar(
        "UID:a\nDTSTART:20270109T090000\nDTEND:20270109T100000",
        "UID:b\nDTSTART:20270110T140000Z\nDTEND:20270110T150000Z",
        before="X-WR-TIMEZONE:Europe/London",
    )
    assert busy(tmp_path, text) == ["01-09 04:00-05:00", "01-10 09:00-10:00"]


def test_whole_days_run_from_midnight_to_midnight_on_the_persons_clock(tmp_path: Path) -> None:
    """Section 3.6.1: the end is not included; without an end it is one day."""
    text = calendar(
        "UID:a\nDTSTART;VALUE=DATE:20270105\nDTEND;VALUE=DATE:20270107",
        "UID:b\nDTSTART;VALUE=DATE:20270112",
        "UID:c\nDTSTART:20270115\nDURATION:P1D",
    )
    assert busy(tmp_path, text) == ["01-05 00:00-01-07 00:00", "01-12 00:00-01-13 00:00", "01-15 00:00-01-16 00:00"]


def test_a_whole_day_that_ends_on_itself_is_one_day(tmp_path: Path) -> None:
    """Against the standard, but written by programs that count the last day in."""
    text = calendar("UID:a\nDTSTART;VALUE=DATE:20270105\nDTEND;VALUE=DATE:20270105")
    assert busy(tmp_path, text) == ["01-05 00:00-01-06 00:00"]


def test_a_whole_day_in_which_clocks_change_has_23_hours(tmp_path: Path) -> None:
    text = calendar("UID:a\nDTSTART;VALUE=DATE:20270314\nDTEND;VALUE=DATE:20270315")
    found = read(tmp_path, text, ("2027-03-01", "2027-04-01"))
    assert [span.minutes for span in found.spans] == [23 * 60]


def test_an_event_over_midnight_takes_both_evenings(tmp_path: Path) -> None:
    text = calendar("UID:a\nDTSTART:20270109T220000\nDTEND:20270110T013000")
    assert busy(tmp_path, text) == ["01-09 22:00-01-10 01:30"]


def test_seconds_count_as_the_whole_minute(tmp_path: Path) -> None:
    """A day written as 00:00:00 to 23:59:59 is the whole day."""
    text = calendar(
        "UID:a\nDTSTART:20270109T000000\nDTEND:20270109T235959", "UID:b\nDTSTART:20270112T100030\nDURATION:PT45S"
    )
    assert busy(tmp_path, text) == ["01-09 00:00-01-10 00:00", "01-12 10:00-10:02"]


def test_an_event_without_an_end_takes_no_time(tmp_path: Path) -> None:
    """Section 3.6.1: a time without DTEND and DURATION ends when it starts; a margin makes nothing of it."""
    assert busy(tmp_path, calendar("UID:a\nDTSTART:20270109T090000Z"), margin=30) == []


def test_hours_of_a_duration_are_exact_and_days_are_those_of_the_calendar(tmp_path: Path) -> None:
    """Section 3.3.6. Clocks go from 02:00 to 03:00 on 2027-03-14: 12 hours from 22:00 are over at 11:00."""
    text = calendar(
        "UID:a\nDTSTART;TZID=America/New_York:20270313T220000\nDURATION:PT12H",
        "UID:b\nDTSTART;TZID=America/New_York:20270314T120000\nDURATION:P1DT1H",
    )
    spans = ("2027-03-01", "2027-04-01")
    assert busy(tmp_path, text, spans) == ["03-13 22:00-03-14 11:00", "03-14 12:00-03-15 13:00"]
    text = calendar("UID:a\nDTSTART;TZID=America/New_York:20270313T220000\nDURATION:P1D")
    assert busy(tmp_path, text, spans) == ["03-13 22:00-03-14 22:00"]


def test_a_time_that_comes_twice_is_the_first_and_one_that_is_skipped_is_moved(tmp_path: Path) -> None:
    """Section 3.3.5, as in its examples of 2007: 01:30 on the day in autumn is in daylight time (05:30Z), 02:30 on
    the day in spring is read in standard time (07:30Z). A zone of the file's own is no different.
    """
    for name in ("America/New_York", "Ours"):
        text = calendar(
            f"UID:a\nDTSTART;TZID={name}:20271107T013000\nDURATION:PT30M",
            f"UID:b\nDTSTART;TZID={name}:20270314T023000\nDURATION:PT30M",
            before=EASTERN.format(name="Ours"),
        )
        assert busy(tmp_path, text, ("2027-01-01", "2027-12-01"), "UTC") == ["03-14 07:30-08:00", "11-07 05:30-06:00"]


def test_free_and_cancelled_events_take_no_time(tmp_path: Path) -> None:
    """Sections 3.8.2.7 and 3.8.1.11; the last one is how an office program says "free" where TRANSP is missing."""
    hour = "DTSTART:20270109T140000Z\nDTEND:20270109T150000Z"
    text = calendar(
        f"UID:a\n{hour}\nTRANSP:TRANSPARENT",
        f"UID:b\n{hour}\nSTATUS:CANCELLED",
        f"UID:c\n{hour}\nX-MICROSOFT-CDO-BUSYSTATUS:FREE",
    )
    assert busy(tmp_path, text) == []


def test_tentative_and_opaque_events_take_time(tmp_path: Path) -> None:
    text = calendar(
        "UID:a\nDTSTART:20270109T140000Z\nDTEND:20270109T150000Z\nSTATUS:TENTATIVE",
        "UID:b\nDTSTART:20270110T140000Z\nDTEND:20270110T150000Z\nTRANSP:OPAQUE\nX-MICROSOFT-CDO-BUSYSTATUS:FREE",
    )
    assert busy(tmp_path, text) == ["01-09 09:00-10:00", "01-10 09:00-10:00"]


def test_a_file_that_cancels_takes_no_time(tmp_path: Path) -> None:
    """RFC 5546, section 3.2.5: METHOD:CANCEL withdraws every event in it."""
    text = calendar("UID:a\nDTSTART:20270109T140000Z\nDTEND:20270109T150000Z", before="METHOD:CANCEL")
    assert busy(tmp_path, text) == []


def test_of_two_versions_the_newer_one_counts(tmp_path: Path) -> None:
    """RFC 5546, section 2.1.5: the higher SEQUENCE, then the later DTSTAMP."""
    text = calendar(
        "UID:a\nSEQUENCE:2\nDTSTAMP:20261201T000000Z\nDTSTART:20270109T140000Z\nDTEND:20270109T150000Z",
        "UID:a\nSEQUENCE:2\nDTSTAMP:20261202T000000Z\nDTSTART:20270110T140000Z\nDTEND:20270110T150000Z",
        "UID:a\nSEQUENCE:1\nDTSTAMP:20261203T000000Z\nDTSTART:20270111T140000Z\nDTEND:20270111T150000Z",
    )
    assert busy(tmp_path, text) == ["01-10 09:00-10:00"]


def test_events_that_share_a_uid_by_mistake_all_count(tmp_path: Path) -> None:
    """No standard allows it; some programs give one UID to all that they write, and none of it may be lost."""
    text = calendar(
        "UID:1\nDTSTART:20270109T140000Z\nDTEND:20270109T150000Z",
        "UID:1\nDTSTART:20270110T140000Z\nDTEND:20270110T150000Z",
    )
    assert busy(tmp_path, text) == ["01-09 09:00-10:00", "01-10 09:00-10:00"]


# --- margin and window


def test_a_margin_is_kept_before_and_after_and_joins_what_it_bridges(tmp_path: Path) -> None:
    """9:00-10:00 and 10:50-11:30 with half an hour of travel: one span from 8:30 to 12:00."""
    text = calendar(
        "UID:a\nDTSTART:20270109T090000\nDTEND:20270109T100000",
        "UID:b\nDTSTART:20270109T105000\nDTEND:20270109T113000",
    )
    assert busy(tmp_path, text, margin=30) == ["01-09 08:30-12:00"]
    assert busy(tmp_path, text, margin=20) == ["01-09 08:40-10:20", "01-09 10:30-11:50"]


def test_only_the_part_in_the_window_is_told(tmp_path: Path) -> None:
    """The margin of an event outside reaches in: one that ends at 23:50 the day before blocks ten minutes more."""
    text = calendar(
        "UID:a\nDTSTART:20261231T220000\nDTEND:20261231T235000",
        "UID:b\nDTSTART:20270131T230000\nDTEND:20270201T010000",
    )
    assert busy(tmp_path, text, margin=20) == ["01-01 00:00-00:10", "01-31 22:40-02-01 00:00"]
    assert busy(tmp_path, text) == ["01-31 23:00-02-01 00:00"]


# --- series


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


# --- how files are written


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


# --- what an office program, a phone and a web calendar write


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


# --- what is left out, with a warning


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
