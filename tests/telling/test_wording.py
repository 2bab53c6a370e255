from __future__ import annotations

import unicodedata
from datetime import datetime
from zoneinfo import ZoneInfo

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from rich.cells import cell_len

from scheduler.telling.wording import Clockface, columns, length_words, one_line, to_ascii, wrap
from scheduler.telling.words import Words
from scheduler.wallclock import to_minutes
from tests.support.plans import at
from tests.telling.texts import HOSTILE, titles

BERLIN = "Europe/Berlin"


@settings(derandomize=True, max_examples=300)
@given(titles)
def test_no_control_character_survives_and_blanks_come_singly(text: str) -> None:
    clean = one_line(text)
    assert not any(unicodedata.category(sign) in ("Cc", "Cs", "Zl", "Zp") for sign in clean)
    assert clean == " ".join(clean.split())
    clean.encode("utf-8")


def test_a_line_end_becomes_a_blank_and_direction_marks_go() -> None:
    assert one_line("a\r\nb\x00c\u202ed") == "a b cd"


@settings(derandomize=True, max_examples=300)
@given(titles)
@example("❤️")
def test_a_text_is_never_wider_than_it_is_counted(text: str) -> None:
    """Held against the width tables of the library rich."""
    clean = one_line(text)
    assert columns(clean) >= cell_len(clean)


@settings(derandomize=True, max_examples=300)
@given(titles, st.integers(20, 100), st.integers(0, 12))
def test_wrapped_lines_keep_to_the_width_and_lose_no_sign(text: str, width: int, indent: int) -> None:
    clean = one_line(text)
    lines = wrap(clean, width, " " * indent)
    assert all(columns(line) <= width for line in lines)
    assert "".join("".join(lines).split()) == "".join(clean.split())


@pytest.mark.parametrize("text", HOSTILE)
def test_ascii_is_ascii(text: str) -> None:
    assert to_ascii(one_line(text)).isascii()


@pytest.mark.parametrize(
    ("moment", "on_24", "on_12"),
    [
        ("2027-01-16 00:00", "00:00", "midnight"),
        ("2027-01-16 00:05", "00:05", "12:05 am"),
        ("2027-01-16 08:30", "08:30", "8:30 am"),
        ("2027-01-16 12:00", "12:00", "noon"),
        ("2027-01-16 12:40", "12:40", "12:40 pm"),
        ("2027-01-16 23:59", "23:59", "11:59 pm"),
    ],
)
def test_the_time_on_both_kinds_of_clock(moment: str, on_24: str, on_12: str) -> None:
    """12 hours: noon and midnight by name, for 12 am and 12 pm are read both ways (common practice, no source)."""
    zone = ZoneInfo(BERLIN)
    assert Clockface(zone, True).time(at(moment, BERLIN)) == on_24
    assert Clockface(zone, False).time(at(moment, BERLIN)) == on_12


def test_the_hour_that_comes_twice_is_told_apart() -> None:
    """On 31 October 2027 clocks in Berlin go back at 03:00 (01:00 UTC; Directive 2000/84/EC: last Sunday)."""
    face = Clockface(ZoneInfo(BERLIN), True)
    assert face.time(at("2027-10-31 02:30", BERLIN)) == "02:30 CEST"
    assert face.time(at("2027-10-31 02:30 fold", BERLIN)) == "02:30 CET"
    assert at("2027-10-31 02:30 fold", BERLIN) - at("2027-10-31 02:30", BERLIN) == 60
    assert face.time(at("2027-10-31 03:00", BERLIN)) == "03:00"


def test_spans_name_the_day_of_the_end_only_where_it_is_another() -> None:
    face = Clockface(ZoneInfo(BERLIN), True)
    day = "2027-01-16"
    assert face.span(at(f"{day} 08:30", BERLIN), at(f"{day} 12:00", BERLIN)) == "08:30–12:00"
    assert face.span(at(f"{day} 22:00", BERLIN), at("2027-01-17 00:00", BERLIN)) == "22:00–24:00"
    assert face.span(at(f"{day} 22:00", BERLIN), at("2027-01-17 01:00", BERLIN)) == "22:00 – Sunday 17 January, 01:00"
    twelve = Clockface(ZoneInfo(BERLIN), False)
    assert twelve.span(at(f"{day} 08:30", BERLIN), at(f"{day} 11:15", BERLIN)) == "8:30–11:15 am"
    assert twelve.span(at(f"{day} 11:30", BERLIN), at(f"{day} 12:30", BERLIN)) == "11:30 am–12:30 pm"


@pytest.mark.parametrize(
    ("minutes", "words"),
    [(0, "0 min"), (40, "40 min"), (60, "1 h"), (185, "3 h 5 min"), (1440, "1 day"), (2 * 1440 + 240, "2 days 4 h")],
)
def test_lengths(minutes: int, words: str) -> None:
    assert length_words(minutes) == words


def test_lists_read_as_a_sentence() -> None:
    listing = Words().listing
    assert [listing([]), listing(["a"]), listing(["a", "b"]), listing("abc")] == ["", "a", "a and b", "a, b and c"]


def test_two_weeks_across_a_change_of_clocks_are_fourteen_days() -> None:
    """From one Saturday 10:25 to the next but one, over 14 March 2027: 335 hours, but 14 days to anybody."""
    zone = ZoneInfo("America/Denver")
    one, other = (to_minutes(datetime(2027, 3, day, 10, 25, tzinfo=zone)) for day in (6, 20))
    assert other - one == 14 * 24 * 60 - 60
    assert Clockface(zone, False).apart(one, other) == "2 weeks"


@pytest.mark.parametrize(
    ("minutes", "said"),
    [
        (40, "40 min"),
        (2 * 1440 - 10, "1 day 23 h 50 min"),
        (2 * 1440 + 350, "2 days"),
        (7 * 1440, "7 days"),
        (13 * 1440 + 21 * 60 + 10, "2 weeks"),
        (15 * 1440, "15 days"),
        (21 * 1440, "3 weeks"),
    ],
)
def test_how_far_apart_is_said_as_people_say_it(minutes: int, said: str) -> None:
    """Nobody counts the minutes of two weeks."""
    assert Clockface(ZoneInfo("UTC"), False).apart(0, minutes) == said
