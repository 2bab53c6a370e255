"""Single events: on whose clock they are, how long they last, and which of them take time at all."""

from __future__ import annotations

from pathlib import Path

from tests.reading.busy.calendars import EASTERN, busy, calendar, read


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
