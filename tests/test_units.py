"""Quantities as people write them: each unit held against pint, each reading against arithmetic by hand."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from fractions import Fraction

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler import units
from scheduler.units import UnclearQuantityError

PINT = pint.UnitRegistry()
# Our word -> pint's word, where they differ.
PINT_WORDS = {
    "mil": "thou",
    "m2": "m**2",
    "sq yd": "yard**2",
    "sq ft": "foot**2",
    "sq in": "inch**2",
    "in": "inch",
    "gal": "gallon",
    "qt": "quart",
    "pt": "pint",
    "fl oz": "fluid_ounce",
    "lb": "pound",
    "oz": "ounce",
    "min": "minute",
    "h": "hour",
}


@pytest.mark.parametrize(
    ("table", "base"),
    [
        (units.LENGTHS, "m"),
        (units.AREAS, "m**2"),
        (units.VOLUMES, "liter"),
        (units.MASSES, "kg"),
        (units.MINUTES, "minute"),
    ],
)
def test_every_factor_is_pints_factor(table: Mapping[str, Fraction], base: str) -> None:
    """The table of factors agrees with pint's registry, unit by unit, as far as pint's floats go."""
    for word, factor in table.items():
        theirs = PINT.Quantity(1.0, PINT_WORDS.get(word, word)).to(base).magnitude
        assert float(factor) == pytest.approx(theirs, rel=1e-12), word


@given(st.integers(-400, 1000))
def test_fahrenheit_is_pints_fahrenheit(degrees: int) -> None:
    """°F to °C agrees with pint over the whole range above absolute zero (−459.67 °F)."""
    theirs = PINT.Quantity(float(degrees), "degF").to("degC").magnitude
    assert units.parse_temp(f"{degrees} °F") == pytest.approx(theirs, abs=1e-9)


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("1 h 30 min", 90),
        ("1h30min", 90),
        ("1.5 h", 90),
        ("1 1/2 h", 90),
        ("1½ h", 90),
        ("90 min", 90),
        ("90 minutes", 90),
        ("2 days", 2880),  # 2 · 24 · 60
        ("3 weeks", 30240),  # 3 · 7 · 24 · 60
        ("1 day 2 hrs.", 1560),  # 1440 + 120
        ("0.4 min", 0),  # rounded
        ("0.5 min", 1),
        ("0 min", 0),
    ],
)
def test_durations_in_minutes(text: str, minutes: int) -> None:
    """A duration is the sum of its parts, in whole minutes."""
    assert units.parse_duration(text) == minutes


@pytest.mark.parametrize(
    ("text", "metres"),
    [
        ("13 ft 2 in", 158 * 0.0254),  # 13 · 12 + 2 = 158 in
        ("13' 2\"", 158 * 0.0254),
        ("13′ 2″", 158 * 0.0254),
        ("3.9 m", 3.9),
        ("4 mil", 4 * 25.4e-6),
        ("1/16 in", 25.4e-3 / 16),
        ("1 1/2 in", 0.0381),
        ("0.1 mm", 1e-4),
        ("100 µm", 1e-4),
        ("100 μm", 1e-4),  # the Greek letter instead of the micro sign
        ("2 yd", 1.8288),
    ],
)
def test_lengths_in_metres(text: str, metres: float) -> None:
    """A length may be in feet and inches, decimals, fractions, mil or millimetres."""
    assert units.parse_length(text) == pytest.approx(metres, rel=1e-12)


def test_areas_volumes_weights_and_spread() -> None:
    """Areas in m², volumes in litres (US measure), weights in kg, spread in m² per litre."""
    assert units.parse_area("120 sq ft") == pytest.approx(120 * 0.3048**2)
    assert units.parse_area("11 m²") == units.parse_area("11 m2") == 11
    assert units.parse_volume("1 gal") == pytest.approx(3.785411784)  # 231 · 2.54³ cm³
    assert units.parse_volume("12 fl. oz.") == pytest.approx(12 * 3.785411784 / 128)
    assert units.parse_mass("1 lb 4 oz") == pytest.approx(1.25 * 0.45359237)
    assert units.parse_spread("350 sq ft/gal") == pytest.approx(350 * 0.3048**2 / 3.785411784)
    assert units.parse_spread("9 m² per l") == pytest.approx(9)


@pytest.mark.parametrize(
    ("text", "celsius"), [("68 °F", 20), ("68 F", 20), ("20 C", 20), ("-40 F", -40), ("−5 °C", -5), ("68℉", 20)]
)
def test_temperatures_in_celsius(text: str, celsius: float) -> None:
    """A temperature names its scale; −40 is the same in both."""
    assert units.parse_temp(text) == pytest.approx(celsius)


def test_percent_is_a_fraction() -> None:
    """45 % is 0.45."""
    assert units.parse_fraction("45 %") == units.parse_fraction("45%") == pytest.approx(0.45)


@pytest.mark.parametrize(
    ("parse", "text", "message", "hint"),
    [
        (units.parse_temp, "68", "`68` does not say of which scale", "write its scale, such as `68 °F` or `20 °C`"),
        (units.parse_temp, "20°", "`20°` does not say of which scale", "write its scale, such as `68 °F` or `20 °C`"),
        (
            units.parse_temp,
            "-300 °C",
            "`-300 °C` is below absolute zero",
            "write its scale, such as `68 °F` or `20 °C`",
        ),
        (
            units.parse_duration,
            "1,5 h",
            "a comma stands in `1,5 h`",
            "write `1.5 h`",
        ),
        (
            units.parse_length,
            "1,500 mm",
            "the comma in `1,500 mm` may stand before decimals or between thousands",
            "write `1.500 mm` or `1500 mm`",
        ),
        (units.parse_duration, "1:30", "`1:30` is a time of day", "write a duration such as `1 h 30 min`"),
        (units.parse_duration, "5 m", "`m` may be minutes or metres", "write `min` for minutes"),
        (units.parse_duration, "1 month", "a month has no fixed length", "write weeks or days"),
        (units.parse_duration, "-5 min", "`-5 min` is negative", "write it without the minus"),
        (
            units.parse_duration,
            "30 min 1 h",
            "`30 min 1 h` is no duration",
            "write the large unit first, each unit once",
        ),
        (
            units.parse_duration,
            "99999999 h",
            "`99999999 h` is longer than ten years",
            "check the number and its unit",
        ),
        (units.parse_fraction, "45", "`45` has no unit", "write it in percent, such as `45 %`"),
        (units.parse_fraction, "145 %", "`145 %` is more than 100 %", "write it in percent, such as `45 %`"),
        (units.parse_volume, "8 oz", "`oz` may be weight or volume", "write `fl oz` for the volume"),
        (
            units.parse_length,
            "1/0 in",
            "`1/0 in` divides by zero",
            "write it with its unit, such as `13 ft 2 in`, `3.9 m`, `4 mil`",
        ),
    ],
)
def test_what_can_be_read_in_two_ways_is_refused(
    parse: Callable[[str], float], text: str, message: str, hint: str
) -> None:
    """An unclear quantity says what is wrong and what would be right."""
    with pytest.raises(UnclearQuantityError) as caught:
        parse(text)
    assert (caught.value.message, caught.value.hint) == (message, hint)
    assert str(caught.value) == f"{message}; {hint}"


PARSERS = (
    units.parse_temp,
    units.parse_fraction,
    units.parse_duration,
    units.parse_length,
    units.parse_area,
    units.parse_volume,
    units.parse_mass,
    units.parse_spread,
)


@given(st.sampled_from(PARSERS), st.text(max_size=80) | st.text("0123456789 .,/-'\"°%hminftFC²½", max_size=30))
def test_any_text_is_a_quantity_or_unclear(parse: Callable[[str], float], text: str) -> None:
    """No text brings a parser to anything but a number or UnclearQuantityError."""
    try:
        assert parse(text) == parse(text)
    except UnclearQuantityError as unclear:
        assert unclear.message
        assert unclear.hint


def test_quantities_in_both_measures() -> None:
    """A quantity is printed in US or metric units; values by hand."""
    assert units.format_temp(20, metric=False) == "68 °F"
    assert units.format_temp(20, metric=True) == "20 °C"
    assert units.format_temp(-0.2, metric=True) == "0 °C"
    assert units.format_length(158 * 0.0254, metric=False) == "13 ft 2 in"
    assert units.format_length(1.5 * 0.0254, metric=False) == "1 1/2 in"
    assert units.format_length(0.3048, metric=False) == "1 ft"
    assert units.format_length(0, metric=False) == "0 in"
    assert units.format_length(3.9, metric=True) == "3.9 m"


def test_what_is_cut_is_told_in_whole_millimetres_however_long() -> None:
    """Of 2.33 m and 975.4 mm in one list nobody reads off at a rule which is longer; inches stay as they are."""
    assert [units.format_cut(each, metric=True) for each in (2.33, 0.9754)] == ["2330 mm", "975 mm"]
    assert units.format_cut(0.9754, metric=False) == units.format_length(0.9754, metric=False) == "3 ft 2 3/8 in"


def test_what_is_bought_by_the_roll_is_said_in_whole_feet() -> None:
    """148 ft 3 in of tape is 149 ft; a short length stays as it is."""
    assert units.format_run(148.25 * 0.3048, metric=False) == "149 ft"
    assert units.format_run(148 * 0.3048, metric=False) == "148 ft"
    assert units.format_run(3.5 * 0.3048, metric=False) == "3 ft 6 in"
    assert (units.format_run(45.2, metric=True), units.format_run(2.2, metric=True)) == ("45.5 m", "2.2 m")
    assert units.format_length(0.019, metric=True) == "19 mm"
    assert units.format_thickness(4 * 25.4e-6, metric=False) == "4 mil"
    assert units.format_thickness(1e-4, metric=True) == "100 µm"
    assert units.format_thickness(25.4e-3 / 16, metric=False) == "1/16 in"
    assert units.format_area(120 * 0.3048**2, metric=False) == "120 sq ft"
    assert units.format_area(11.148, metric=True) == "11.1 m²"
    assert units.format_volume(3.785411784, metric=False) == "1 gal"
    assert units.format_volume(3.785411784 / 4, metric=False) == "1 qt"
    assert units.format_volume(0.3, metric=True) == "300 ml"
    assert units.format_mass(0.45359237, metric=False) == "1 lb"
    assert units.format_fraction(0.45) == "45 %"


@given(st.integers(0, units.LONGEST))
def test_a_printed_duration_reads_back(minutes: int) -> None:
    """What is printed can be written into a job file again."""
    assert units.parse_duration(units.format_duration(minutes)) == minutes


@given(st.integers(1, 40 * 12 * 16))
def test_a_printed_length_reads_back(sixteenths: int) -> None:
    """A length in sixteenths of an inch survives printing and reading."""
    metres = sixteenths * 0.0254 / 16
    assert units.parse_length(units.format_length(metres, metric=False)) == pytest.approx(metres)


@pytest.mark.parametrize(
    ("text", "metres"),
    [("2 dm", 0.2), ("1 furlong", 660 * 0.3048), ("3 chalks", None), ("2 c", None), ("1 l", None)],
)
def test_a_rare_unit_of_length_is_read_and_any_other_is_refused(text: str, metres: float | None) -> None:
    """A furlong is 660 feet (NIST Handbook 44, appendix C, from memory); a litre is none.

    By the survey foot of before 2023 (1200/3937 m, from memory) it is 2 in a million longer: pint has had both.
    """
    if metres is None:
        with pytest.raises(UnclearQuantityError, match="is no unit of length"):
            units.parse_length(text)
    else:
        assert units.parse_length(text) == pytest.approx(metres, rel=3e-6)
