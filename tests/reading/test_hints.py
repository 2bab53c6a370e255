"""A hint says what the person can have meant, or what there is to choose from; never what only looks alike."""

from __future__ import annotations

import pytest

from scheduler.errors import InputError
from scheduler.model.names import meant, nearest
from scheduler.reading import read_job_text
from scheduler.reading.profiles import read_trade
from scheduler.reading.zonenames import zone_meant
from scheduler.units import CommaError, UnclearQuantityError, parse_length, parse_temp
from tests.cli.conftest import JOB


def said_of(text: str) -> list[str]:
    """The lines that a job brings."""
    with pytest.raises(InputError) as caught:
        read_job_text(text, "job.yaml")
    return [str(fault).partition(": ")[2] for fault in caught.value.faults]


@pytest.mark.parametrize(
    ("text", "readings"),
    [
        ("2,4 m", ("2.4 m",)),  # one digit behind a comma is no thousand
        ("1,200 ft", ("1200 ft",)),  # feet are written with a decimal point
        ("1,200 m", ("1.200 m", "1200 m")),
        ("0,125 in", ("0.125 in",)),
        ("1,200,000 m", ("1200000 m",)),
        ("13 ft, 2 in", ("13 ft 2 in",)),
    ],
)
def test_a_comma_is_read_as_it_can_have_been_meant(text: str, readings: tuple[str, ...]) -> None:
    """Decimals, thousands, or a mere break."""
    with pytest.raises(CommaError) as caught:
        parse_length(text)
    assert caught.value.readings == readings


def test_of_two_readings_of_a_comma_only_what_fits_is_suggested() -> None:
    """A room of 1,200 m has 1.2 m: no room is 1200 m long."""
    room = "{length: '1,200 m', width: 2 m, height: 2 m, air: {day: 68 °F, night: 60 °F, humidity: 45 %}}"
    (line,) = said_of(JOB.replace(JOB[JOB.index("rooms:") : JOB.index("steps:")], f"rooms: {{study: {room}}}\n"))
    assert line == "a comma stands in `1,200 m`; write `1.200 m`"


def test_degrees_are_a_word_not_a_scale() -> None:
    """`17 degrees` leaves the scale out; `17 degrees Celsius` says it."""
    with pytest.raises(UnclearQuantityError, match="`17 degrees` does not say of which scale"):
        parse_temp("17 degrees")
    assert parse_temp("17 degrees Celsius") == 17


def test_a_material_of_another_kind_is_not_suggested() -> None:
    """Of what is no slip of the pen the primers are told, or where to see all; short forms are completed."""
    known = read_trade(None, []).known
    assert meant("water-resistant-primer", known).startswith("known are `acrylic-bonding-primer`, ")
    assert all("primer" in part for part in meant("water-resistant-primer", known).split("`")[1::2])
    assert meant("zzyzx", known, "tackfree dry lists them all") == "tackfree dry lists them all"
    assert meant("latex-primer", known) == "did you mean `latex-drywall-primer`?"


@pytest.mark.parametrize(
    ("wrong", "known", "right"),
    [
        ("with", ["girth", "primer"], None),
        ("peple", ["people", "pause"], "people"),
        ("recaot", ["recoat", "touch"], "recoat"),  # neighbours swapped are one slip
        ("folow", ["follows", "from"], "follows"),
    ],
)
def test_a_key_is_suggested_only_if_it_is_spelt_nearly_so(wrong: str, known: list[str], right: str | None) -> None:
    """with → girth takes three letters of five."""
    assert nearest(wrong, known) == right


@pytest.mark.parametrize(
    ("wrong", "hint"),
    [
        ("America/Minneapolis", "write the zone of the large town in the same country whose time is kept there"),
        ("Europe/Munich", "write the zone of the large town in the same country whose time is kept there"),
        ("America/Dever", "did you mean `America/Denver`?"),
        ("Denver", "did you mean `America/Denver`?"),
        ("UK", "did you mean `Europe/London`?"),
    ],
)
def test_a_zone_of_another_country_is_not_suggested(wrong: str, hint: str) -> None:
    """Munich is not Zurich. A town that is in no table brings no zone; a slip of the pen and a country do."""
    assert zone_meant(wrong) == hint


def test_a_country_of_several_times_brings_one_zone_of_each() -> None:
    """The United States keep Eastern, Central, Mountain, Pacific time and others (zone.tab, tz database)."""
    hint = zone_meant("USA")
    for zone in ("America/New_York", "America/Chicago", "America/Denver", "America/Los_Angeles"):
        assert f"`{zone}`" in hint
    assert "Detroit" not in hint


def test_a_decimal_comma_is_told_inside_of_braces_as_outside() -> None:
    """`1,6 m` is written on half of the continent: one line, and it says how it is written here."""
    flow = said_of(JOB.replace("work: 45 min", "work: 1,5 h"))
    assert flow == ["a comma stands in `1,5 h`; write `1.5 h`"]


def test_a_text_that_its_comma_cuts_in_two_has_to_be_quoted() -> None:
    """One line for one mistake, and it says how to write it."""
    (line,) = said_of(JOB.replace("work: 45 min", "work: 2 h to 4 h, likely 3 h"))
    assert line == (
        "between `{` and `}` the comma after `2 h to 4 h` ends the value; "
        'put all of it in quotes: `work: "2 h to 4 h, likely 3 h"`'
    )
    assert "quotes" in said_of(JOB.replace("Hang the shelf", "Hang, then wipe"))[0]
