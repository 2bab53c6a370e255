"""Measured air out of a CSV file: what is clear is read, what is not is shown line by line, nothing is made up."""

from __future__ import annotations

from datetime import datetime
from itertools import pairwise
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.errors import InputError
from scheduler.model.job import Reading
from scheduler.reading.airlog import MOST_FAULTS, parse_air

DENVER = ZoneInfo("America/Denver")
HEAD = "time,temperature °F,humidity %\n"


def read(text: str) -> tuple[Reading, ...]:
    """The readings of a text in Denver."""
    return parse_air(text, "air.csv", DENVER)


def minute(iso: str) -> int:
    """Minutes since the epoch of an ISO 8601 time with its offset."""
    return int(datetime.fromisoformat(iso).timestamp()) // 60


def said_of(text: str) -> list[str]:
    """The lines that a text brings."""
    with pytest.raises(InputError) as caught:
        read(text)
    return [str(fault) for fault in caught.value.faults]


@pytest.mark.parametrize(
    "text",
    [
        "time,temperature °F,humidity %\n2027-01-09 08:00,68,45\n",
        "Timestamp;temp_c;RH\n2027-01-09T08:00:00;20;45\n",
        "date time\ttemp (°C)\trelative humidity (%)\tbattery\n2027-01-09T15:00Z\t20.0\t45.0\t97\n",
        "no,time,temperature,humidity\n1,2027-01-09T08:00-07:00,68 °F,45 %\n",
        "\n\ntime,t [f],humidity\n\n2027-01-09 08:00,68,45\n\n",
        'time,temperature (C),humidity\n"2027-01-09 08:00","20","45"\n',
    ],
)
def test_the_same_reading_in_many_files(text: str) -> None:
    """08:00 in Denver (15:00 UTC), 68 °F = 20 °C, 45 %: whatever the columns, the marks and the scale."""
    assert read(text) == (Reading(minute=minute("2027-01-09T15:00Z"), temp=20, humidity=0.45),)


def test_the_hour_that_comes_twice() -> None:
    """7 November 2027, 2:00 in Denver: back to 1:00 (tzdata). The second 1:30 is an hour later."""
    hours = ("00:30", "01:30", "01:30", "02:30")
    readings = read(HEAD + "".join(f"2027-11-07 {hour},68,45\n" for hour in hours))
    assert readings[0].minute == minute("2027-11-07T00:30-06:00")
    assert [b.minute - a.minute for a, b in pairwise(readings)] == [60, 60, 60]


def test_the_hour_that_is_skipped() -> None:
    """14 March 2027, 2:00 in Denver: forward to 3:00. There is no 2:30, and nobody may guess which was meant."""
    assert said_of(f"{HEAD}2027-03-14 02:30,68,45\n") == [
        "air.csv:2:1: the clocks of America/Denver skip `2027-03-14 02:30`; "
        "write times with their offset, such as `2027-11-07T01:30-06:00`"
    ]


def test_gaps_stay_gaps() -> None:
    """Between two readings nothing is filled in; what holds there is said by the air of the room."""
    readings = read(f"{HEAD}2027-01-09 08:00,68,45\n2027-01-09 18:00,60,50\n")
    assert [b.minute - a.minute for a, b in pairwise(readings)] == [600]


@pytest.mark.parametrize(
    ("text", "line"),
    [
        (f"{HEAD}2027-01-09 08:00,68\n", "2:1: a value is missing in this line; write all of its values"),
        (
            f"{HEAD}yesterday,68,45\n",
            "2:1: `yesterday` is no time; "
            "write it as `2027-01-09 08:00`, or with an offset, `2027-01-09T08:00-07:00`",
        ),
        (
            f"{HEAD}2027-01-09,68,45\n",
            "2:1: `2027-01-09` is no time of a reading; "
            "write it as `2027-01-09 08:00`, or with an offset, `2027-01-09T08:00-07:00`",
        ),
        (
            f"{HEAD}0001-01-01 00:00,68,45\n",
            "2:1: `0001-01-01 00:00` is no time of a reading; "
            "write it as `2027-01-09 08:00`, or with an offset, `2027-01-09T08:00-07:00`",
        ),
        (
            f"{HEAD}2027-01-09 09:00,68,45\n2027-01-09 08:00,68,45\n",
            "3:1: `2027-01-09 08:00` is not after the line before (2027-01-09 09:00); put the lines in order of time",
        ),
        (
            f"{HEAD}2027-01-09 08:00,680,45\n",
            "2:1: `680` is no air to work in; air lies between -40 °C and 60 °C: see the scale",
        ),
        (
            f"{HEAD}2027-01-09 08:00,nan,45\n",
            "2:1: `nan` is no temperature; write its scale, such as `68 °F` or `20 °C`",
        ),
        (
            f"{HEAD}2027-01-09 08:00,68,145\n",
            "2:1: `145 %` is more than 100 %; write it in percent, such as `45 %`",
        ),
        (
            f"{HEAD}2027-01-09 08:00,68,0.45\n",
            "2:1: `0.45` is no humidity of a room; write percent, such as `45`",
        ),
        (
            "time,temperature,humidity\n2027-01-09 08:00,68,45\n",
            "2:1: `68` does not say of which scale; write its scale, such as `68 °F` or `20 °C`",
        ),
        (
            "time,temperature K,humidity\n2027-01-09 08:00,293,45\n",
            "1:1: `temperature K` names no scale that is read here; write `temperature °F` or `temperature °C`",
        ),
        (
            "time,temp °F\n2027-01-09 08:00,68\n",
            "1:1: no column is called `humidity`; write `time,temperature °F,humidity %` as the first line",
        ),
        (
            "2027-01-09 08:00,68,45\n",
            "1:1: no column is called `time`, `temperature` or `humidity`; "
            "write `time,temperature °F,humidity %` as the first line",
        ),
        ("time,temp °F,temp °C,rh\n", "1:1: two columns hold the temperature; keep one of them"),
        (
            'time,temp_f,rh\n"2027-01-09 08:00,68,45\n',
            "2:1: the quotes in this line don't match; close them, or leave them out",
        ),
    ],
)
def test_nonsense_is_shown_at_its_line(text: str, line: str) -> None:
    """A line that can't be meant is a fault at that line."""
    assert said_of(text) == [f"air.csv:{line}"]


@pytest.mark.parametrize("text", ["", "\n", HEAD])
def test_a_file_without_readings(text: str) -> None:
    """A file without a reading says how one looks."""
    assert said_of(text) == [
        "air.csv: there is no reading in this file; write `time,temperature °F,humidity %` as the first line"
    ]


def test_a_wrong_column_is_not_a_thousand_lines() -> None:
    """What is wrong in every line is shown for the first, and counted for the rest."""
    lines = said_of(HEAD + "".join(f"2027-01-{day:02} 08:00,hot,45\n" for day in range(1, 31)))
    assert len(lines) == MOST_FAULTS + 1
    assert lines[-1] == "air.csv:22:1: 10 more lines are wrong; mend those above first"


@given(st.text("time,temp_f,rh\n2027-01-09 08:00,68;45\t\"'°%-.Z", max_size=120) | st.text(max_size=60))
def test_any_text_is_readings_or_faults(tail: str) -> None:
    """No text brings the reader to anything but readings or InputError."""
    for text in (tail, HEAD + tail):
        try:
            assert read(text)
        except InputError as error:
            assert error.faults
