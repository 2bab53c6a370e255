"""The air of a room: day and night by the clock on the wall, dated changes, readings and their gaps."""

from __future__ import annotations

from dataclasses import replace
from datetime import UTC, date, datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.drying.air import AirPiece, room_air, shifted
from scheduler.model.basics import Span
from scheduler.model.job import AirPeriod, Reading, Room
from scheduler.wallclock import DAY
from tests.drying.airs import constant_air
from tests.support.builders import local, minute
from tests.support.spoken import spoken

NEW_YORK = "America/New_York"


def pair(since: str | None = None, day: float = 20.0, night: float = 10.0) -> AirPeriod:
    return AirPeriod(
        since=date.fromisoformat(since) if since else None,
        day_temp=day,
        night_temp=night,
        day_humidity=0.4,
        night_humidity=0.6,
    )


def a_room(*air: AirPeriod, readings: tuple[Reading, ...] = (), day: tuple[int, int] = (480, 1200)) -> Room:
    return Room(id="room", title="Room", air=air, readings=readings, day_hours=(day,) * 7)


def span(start: str, end: str, zone: str = "UTC") -> Span:
    return Span(minute(start, zone), minute(end, zone))


def told(pieces: tuple[AirPiece, ...], zone: str = "UTC") -> list[tuple[str, str, float]]:
    """(start, end, temperature) in local time, to be read at a glance."""
    return [(local(piece.start, zone), local(piece.end, zone), piece.temp) for piece in pieces]


def air(room: Room, over: Span, zone: str = "UTC") -> tuple[AirPiece, ...]:
    return room_air(room, ZoneInfo(zone), over).pieces


def test_day_from_8_to_20_and_night_from_20_to_8() -> None:
    assert told(air(a_room(pair()), span("2027-01-09 12:00", "2027-01-10 12:00"))) == [
        ("2027-01-09 12:00", "2027-01-09 20:00", 20.0),
        ("2027-01-09 20:00", "2027-01-10 08:00", 10.0),
        ("2027-01-10 08:00", "2027-01-10 12:00", 20.0),
    ]


def test_humidity_goes_with_day_and_night() -> None:
    assert [piece.humidity for piece in air(a_room(pair()), span("2027-01-09 12:00", "2027-01-09 23:00"))] == [
        0.4,
        0.6,
    ]


@pytest.mark.parametrize(
    ("evening", "hours"),
    [("2027-03-13 20:00", 11), ("2027-03-20 20:00", 12), ("2027-11-06 20:00", 13)],
    ids=["clocks go forward", "no change", "clocks go back"],
)
def test_a_night_in_which_the_clocks_change_has_11_or_13_hours(evening: str, hours: int) -> None:
    """US clocks change on 2027-03-14 and 2027-11-07 (15 U.S.C. 260a). Counted apart, by Python's UTC arithmetic."""
    zone = ZoneInfo(NEW_YORK)
    begin = datetime.fromisoformat(evening).replace(tzinfo=zone)
    morning = begin.replace(day=begin.day + 1, hour=8)
    assert (morning.astimezone(UTC) - begin.astimezone(UTC)).total_seconds() == hours * 3600
    start = minute(evening, NEW_YORK)
    night = next(piece for piece in air(a_room(pair()), Span(start - 60, start + DAY), NEW_YORK) if piece.temp == 10)
    assert (night.start, night.end) == (start, start + hours * 60)


def test_a_dated_pair_holds_from_the_midnight_of_its_date_on() -> None:
    changed = a_room(pair(night=10), pair("2027-01-10", night=15))
    assert told(air(changed, span("2027-01-09 20:00", "2027-01-10 09:00"))) == [
        ("2027-01-09 20:00", "2027-01-10 00:00", 10.0),
        ("2027-01-10 00:00", "2027-01-10 08:00", 15.0),
        ("2027-01-10 08:00", "2027-01-10 09:00", 20.0),
    ]


def test_the_order_of_the_pairs_does_not_matter() -> None:
    over = span("2027-01-05", "2027-01-20")
    pairs = (pair(night=10), pair("2027-01-10", night=15), pair("2027-01-15", night=5))
    assert air(a_room(*pairs), over) == air(a_room(*reversed(pairs)), over)


def test_the_first_dated_pair_stands_in_for_the_days_before_and_a_warning_says_so() -> None:
    found = room_air(a_room(pair("2027-01-10")), ZoneInfo("UTC"), span("2027-01-08", "2027-01-12"))
    assert found.pieces[0].start == minute("2027-01-08")
    assert len(found.warnings) == 1
    assert "before Sunday 10 January" in spoken(found.warnings[0])


@pytest.mark.parametrize(
    ("clocks", "day_hours"),
    [
        ((0, DAY), 24),
        ((480, DAY), 16),
        ((0, 600), 10),
        ((18 * 60, 6 * 60), 12),
        ((480, 480), 24),
    ],
    ids=["all day", "until midnight", "from midnight", "past midnight", "never ends"],
)
def test_any_hours_may_be_the_day(clocks: tuple[int, int], day_hours: int) -> None:
    pieces = air(a_room(pair(), day=clocks), span("2027-01-09", "2027-01-12"))
    assert sum(piece.end - piece.start for piece in pieces if piece.temp == 20) == 3 * day_hours * 60
    assert sum(piece.end - piece.start for piece in pieces) == 3 * DAY


def test_the_day_may_have_other_hours_on_other_days_of_the_week() -> None:
    """The 8th of January 2027 is a Friday: 17-22 on it, 8-22 on Saturday and Sunday; and where Friday's day runs
    until 3 in the morning, those three hours are the Saturday's first."""
    weekend = ((8 * 60, 22 * 60),) * 2
    for friday, hours in (((17 * 60, 22 * 60), 5), ((17 * 60, 3 * 60), 10)):
        room = replace(a_room(pair()), day_hours=((17 * 60, 22 * 60),) * 4 + (friday,) + weekend)
        pieces = air(room, span("2027-01-08", "2027-01-11"))
        warm = [(piece.start, piece.end) for piece in pieces if piece.temp == 20]
        assert warm[0] == (minute("2027-01-08 17:00"), minute("2027-01-08 17:00") + hours * 60)
        assert warm[1:] == [(minute(f"{day} 08:00"), minute(f"{day} 22:00")) for day in ("2027-01-09", "2027-01-10")]


def test_day_and_night_alike_are_one_piece() -> None:
    same = AirPeriod(since=None, day_temp=20, night_temp=20, day_humidity=0.5, night_humidity=0.5)
    over = span("2027-01-01", "2027-07-01")
    assert air(a_room(same), over) == constant_air(20, 0.5, over)


def reading(time: str, temp: float) -> Reading:
    return Reading(minute=minute(time), temp=temp, humidity=0.5)


def test_a_reading_holds_half_way_to_its_neighbours() -> None:
    """10:00, 10:20 and 11:00: turns at 10:10 and 10:40; 30 minutes before the first and after the last."""
    logged = (reading("2027-01-09 10:00", 15), reading("2027-01-09 10:20", 16), reading("2027-01-09 11:00", 17))
    pieces = air(a_room(pair(), readings=logged), span("2027-01-09 09:00", "2027-01-09 12:00"))
    assert told(pieces) == [
        ("2027-01-09 09:00", "2027-01-09 09:30", 20.0),
        ("2027-01-09 09:30", "2027-01-09 10:10", 15.0),
        ("2027-01-09 10:10", "2027-01-09 10:40", 16.0),
        ("2027-01-09 10:40", "2027-01-09 11:30", 17.0),
        ("2027-01-09 11:30", "2027-01-09 12:00", 20.0),
    ]


def test_readings_an_hour_apart_leave_no_gap() -> None:
    logged = tuple(reading(f"2027-01-09 {hour:02}:00", 10 + hour) for hour in range(24))
    found = room_air(a_room(pair(), readings=logged), ZoneInfo("UTC"), span("2027-01-09 01:00", "2027-01-09 23:00"))
    assert found.warnings == ()
    assert 20.0 in {piece.temp for piece in found.pieces}  # the reading of 10:00
    assert len(found.pieces) == 23


def test_a_gap_longer_than_an_hour_is_never_bridged_in_silence() -> None:
    """Two readings 61 minutes apart: half an hour each, one minute of the day's own air between, and a warning."""
    logged = (reading("2027-01-09 10:00", 15), reading("2027-01-09 11:01", 17))
    found = room_air(a_room(pair(), readings=logged), ZoneInfo("UTC"), span("2027-01-09 10:00", "2027-01-09 11:31"))
    assert told(found.pieces) == [
        ("2027-01-09 10:00", "2027-01-09 10:30", 15.0),
        ("2027-01-09 10:30", "2027-01-09 10:31", 20.0),
        ("2027-01-09 10:31", "2027-01-09 11:31", 17.0),
    ]
    assert len(found.warnings) == 1
    assert "Saturday 9 January 2027, 10:30 to Saturday 9 January 2027, 10:31" in spoken(found.warnings[0])


def test_the_end_of_the_readings_is_said() -> None:
    logged = (reading("2027-01-09 10:00", 15),)
    found = room_air(a_room(pair(), readings=logged), ZoneInfo("UTC"), span("2027-01-09", "2027-01-20"))
    (said,) = map(spoken, found.warnings)
    assert said == (
        "Room: the readings end Saturday 9 January 2027, 10:30; the day and night values hold from then on"
    )


def test_of_two_readings_of_one_minute_the_later_counts_and_their_order_does_not_matter() -> None:
    logged = (reading("2027-01-09 11:00", 17), reading("2027-01-09 10:00", 99), reading("2027-01-09 10:00", 15))
    pieces = air(a_room(readings=logged), span("2027-01-09 09:00", "2027-01-09 12:00"))
    assert [piece.temp for piece in pieces] == [15, 17]


def test_without_a_day_and_night_pair_a_gap_stays_a_hole() -> None:
    logged = (reading("2027-01-09 10:00", 15), reading("2027-01-09 15:00", 17))
    found = room_air(a_room(readings=logged), ZoneInfo("UTC"), span("2027-01-09", "2027-01-10"))
    assert told(found.pieces) == [
        ("2027-01-09 09:30", "2027-01-09 10:30", 15.0),
        ("2027-01-09 14:30", "2027-01-09 15:30", 17.0),
    ]
    assert all("stand still" in spoken(warning) for warning in found.warnings)
    assert len(found.warnings) == 2


@given(
    minutes=st.lists(st.integers(0, 5 * DAY), max_size=40),
    zone=st.sampled_from(["UTC", NEW_YORK, "Asia/Kathmandu", "Australia/Lord_Howe"]),
    start=st.integers(0, 3 * DAY),
    length=st.integers(1, 3 * DAY),
    clocks=st.tuples(st.integers(0, DAY), st.integers(0, DAY)),
)
def test_pieces_tile_the_span_whatever_the_readings(
    minutes: list[int], zone: str, start: int, length: int, clocks: tuple[int, int]
) -> None:
    """No hole, no overlap, nothing outside; begun on the night in which New York's clocks change."""
    base = minute("2027-03-13")
    logged = tuple(Reading(minute=base + at, temp=5 + at % 7, humidity=0.5) for at in minutes)
    room = a_room(pair(), readings=logged, day=clocks)
    over = Span(base + start, base + start + length)
    pieces = air(room, over, zone)
    assert (pieces[0].start, pieces[-1].end) == over
    assert all(a.end == b.start for a, b in pairwise(pieces))
    assert all(piece.start < piece.end for piece in pieces)


def test_shifted_air_keeps_humidity_possible() -> None:
    pieces = (AirPiece(0, 60, 20, 0.05), AirPiece(60, 120, 20, 0.95))
    assert [piece.humidity for piece in shifted(pieces, damper=-0.10)] == [0.0, pytest.approx(0.85)]
    assert [piece.humidity for piece in shifted(pieces, damper=0.10)] == [pytest.approx(0.15), 1.0]
    assert [piece.temp for piece in shifted(pieces, warmer=5)] == [25, 25]
