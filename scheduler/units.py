"""Quantities as people write them <-> °C, minutes, metres, square metres, litres, kilograms, fractions.

What can be read in two ways is refused, with what would be clear: a plan made of a guess is worth nothing.
The factors are exact by definition: the international yard and pound of 1959 (1 in = 0.0254 m, 1 lb = 0.45359237 kg)
and the US gallon of 231 cubic inches (NIST Handbook 44, appendix C, section 4; the digits from memory). A test holds
each factor of these tables against pint. To load pint takes longer (0.2 s) than to read a whole job, so it is asked
only for a unit that stands in none of these tables.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING

from scheduler.told import either, told

if TYPE_CHECKING:
    import pint

INCH = Fraction("0.0254")
FOOT = 12 * INCH
GALLON = 231 * INCH**3 * 1000
POUND = Fraction("0.45359237")

MINUTES = {"min": Fraction(1), "h": Fraction(60), "day": Fraction(24 * 60), "week": Fraction(7 * 24 * 60)}
LENGTHS = {
    **{"m": Fraction(1), "cm": Fraction(1, 100), "mm": Fraction(1, 1000), "µm": Fraction(1, 10**6)},
    **{"yd": 3 * FOOT, "ft": FOOT, "in": INCH, "mil": INCH / 1000},
}
AREAS = {"m2": Fraction(1), "sq yd": (3 * FOOT) ** 2, "sq ft": FOOT**2, "sq in": INCH**2}
VOLUMES = {
    **{"l": Fraction(1), "ml": Fraction(1, 1000)},
    **{"gal": GALLON, "qt": GALLON / 4, "pt": GALLON / 8, "fl oz": GALLON / 128},
}
MASSES = {"kg": Fraction(1), "g": Fraction(1, 1000), "lb": POUND, "oz": POUND / 16}

LONGEST = 10 * 365 * 24 * 60
"""Minutes; a longer duration is a slip of the hand."""
COLDEST = -273.15
"""Absolute zero, °C."""


class UnclearQuantityError(ValueError):
    """A quantity that can't be read, or can be read in two ways: what is wrong, and what would be right."""

    def __init__(self, message: str, hint: str) -> None:
        self.message, self.hint = message, hint
        super().__init__(f"{message}; {hint}")


class CommaError(UnclearQuantityError):
    """A comma in a quantity; `readings` are the same without it, as the person may have meant it.

    Three digits behind it may be thousands or decimals, any other number of them are decimals; behind a nought it
    stands before decimals; several of them, or a point behind it, make thousands of it; before a blank it only parts.
    """

    def __init__(self, text: str, readings: tuple[str, ...] | None = None) -> None:
        self.text = text
        self.readings = _without_comma(text) if readings is None else readings
        said = told("a comma stands in `{text}`", text=text)
        if len(self.readings) > 1:
            said = told("the comma in `{text}` may stand before decimals or between thousands", text=text)
        super().__init__(said, told("write {names}", names=either(f"`{each}`" for each in self.readings)))


def _without_comma(text: str) -> tuple[str, ...]:
    apart = re.sub(r"\s*,(?![0-9])\s*|(?<![0-9])\s*,\s*", " ", text).strip()
    if "," not in apart:
        return (" ".join(apart.split()),)
    point, thousands = apart.replace(",", "."), apart.replace(",", "")
    is_grouped = re.search(r"(?<![0-9,.])[1-9][0-9]{0,2}(?:,[0-9]{3})+(?![0-9])", apart) is not None
    if not is_grouped:
        return (point,) if point.count(".") == 1 else (thousands,)
    if apart.count(",") > 1 or "." in apart or _INCH_POUND.search(apart.lower()):
        return (thousands,)
    return point, thousands


_INCH_POUND = re.compile(r"\b(?:ft|feet|foot|in|inch|inches|yd|yards?|sq|gal|gallons?|qt|pt|oz|lbs?|mils?|f)\b|['\"]")
"""Units of countries that write decimals with a point: there a comma before three digits parts thousands."""


@dataclass(frozen=True, slots=True)
class _Kind:
    """One kind of quantity: its base unit in pint's words, its units, other spellings, how it is written."""

    name: str
    base: str
    factors: Mapping[str, Fraction]
    spellings: Mapping[str, str]
    write: str
    unclear: Mapping[str, tuple[str, str]]


def _spelled(words: str) -> dict[str, str]:
    """`"h: hour hours hr"` and so on, split at `;` -> every spelling and the unit it stands for."""
    table: dict[str, str] = {}
    for entry in words.split(";"):
        unit, others = (part.strip() for part in entry.split(":"))
        table |= {word.strip().replace("_", " "): unit for word in [unit, *others.split()]}
    return table


_DURATION = _Kind(
    "duration",
    "min",
    MINUTES,
    _spelled("min: mins minute minutes; h: hr hrs hour hours; day: d days; week: wk wks weeks"),
    "write it with its unit, such as `1 h 30 min`, `45 min`, `2 days`",
    {
        "m": ("`m` may be minutes or metres", "write `min` for minutes"),
        "month": ("a month has no fixed length", "write weeks or days"),
        "months": ("a month has no fixed length", "write weeks or days"),
        **dict.fromkeys(("s", "sec", "second", "seconds"), ("seconds are too fine for a plan", "write minutes")),
    },
)
_LENGTH = _Kind(
    "length",
    "m",
    LENGTHS,
    _spelled(
        "m: metre metres meter meters; cm: centimetre centimetres centimeter centimeters;"
        "mm: millimetre millimetres millimeter millimeters; µm: um micron microns micrometre micrometres;"
        "yd: yard yards; ft: foot feet '; in: inch inches \"; mil: mils"
    ),
    "write it with its unit, such as `13 ft 2 in`, `3.9 m`, `4 mil`",
    {},
)
_AREA = _Kind(
    "area",
    "m**2",
    AREAS,
    _spelled(
        "m2: sq_m sqm square_metre square_metres square_meter square_meters; sq in: in2 square_inch square_inches;"
        "sq ft: ft2 sqft square_foot square_feet; sq yd: yd2 square_yard square_yards"
    ),
    "write it with its unit, such as `120 sq ft`, `11 m²`",
    {},
)
_VOLUME = _Kind(
    "volume",
    "l",
    VOLUMES,
    _spelled(
        "l: litre litres liter liters; ml: millilitre millilitres milliliter milliliters;"
        "gal: gallon gallons; qt: quart quarts; pt: pint pints; fl oz: fluid_ounce fluid_ounces floz"
    ),
    "write it with its unit, such as `1 gal`, `2.5 l`",
    {"oz": ("`oz` may be weight or volume", "write `fl oz` for the volume")},
)
_MASS = _Kind(
    "weight",
    "kg",
    MASSES,
    _spelled("kg: kilogram kilograms; g: gram grams; lb: lbs pound pounds; oz: ounce ounces"),
    "write it with its unit, such as `12 lb`, `5 kg`",
    {},
)

# One sign for what looks or means alike on paper; halves and quarters become written fractions.
_ALIKE = str.maketrans(
    {
        **dict.fromkeys("\u00a0\u2009\u202f\u2007", " "),
        **dict.fromkeys("−‒–", "-"),
        **dict.fromkeys("′’‘", "'"),
        **dict.fromkeys("″“”", '"'),
        "μ": "µ",
        "²": "2",
        "º": "°",
        "℃": "°C",
        "℉": "°F",
        "⁄": "/",
        **{sign: f" {top}/{bottom}" for sign, top, bottom in zip("½¼¾⅓⅔⅛⅜⅝⅞", "113121357", "244338888", strict=True)},
    }
)
_DIGITS = "[0-9]{1,15}"
_NUMBER = (
    rf"(?P<number>{_DIGITS} [0-9]{{1,4}}/[0-9]{{1,4}}|[0-9]{{1,4}}/[0-9]{{1,4}}|[0-9]{{0,15}}\.{_DIGITS}|{_DIGITS})"
)
_UNIT = r"[a-zµ'\"]+(?:[ .]+[a-zµ'\"]+)*"
_PART = re.compile(rf" ?{_NUMBER} ?(?P<unit>{_UNIT})?\.? ?")
_AREA_PART = re.compile(rf" ?{_NUMBER} ?(?P<unit>{_UNIT}2?)?\.? ?")
_TEMPERATURE = re.compile(rf"(?P<sign>[-+]?) ?{_NUMBER} ?(?:°|degrees?|deg\.?)? ?(?P<unit>[a-z]*)")
_PERCENT = re.compile(rf"{_NUMBER} ?(?P<unit>%|percent)?")
_LONGEST_TEXT = 60
"""Letters of a quantity."""
_FAHRENHEIT, _CELSIUS = ("f", "fahrenheit"), ("c", "celsius")


def _plain(text: str, write: str) -> str:
    """The text with like signs made one and single spaces; refused if it holds a comma, or far too much."""
    if len(text) > _LONGEST_TEXT:
        raise UnclearQuantityError(told("`{text}…` is too long for a quantity", text=text[:20]), write)
    if "," in text:
        raise CommaError(text)
    plain = " ".join(text.translate(_ALIKE).split())
    if not plain:
        raise UnclearQuantityError("there is nothing here", write)
    return plain


def _number(text: str, said: str, write: str) -> Fraction:
    """`2`, `1.5`, `1/16`, `1 1/2`, exactly."""
    whole, _, rest = text.rpartition(" ")
    try:
        return Fraction(rest) + Fraction(whole or 0)
    except ZeroDivisionError:
        raise UnclearQuantityError(told("`{said}` divides by zero", said=said), write) from None


def _amount(text: str, kind: _Kind, pattern: re.Pattern[str] = _PART) -> Fraction:
    """The sum of a text's parts in the kind's base unit; parts go from the large unit to the small one."""
    plain = _plain(text, kind.write)
    if plain.startswith("-"):
        raise UnclearQuantityError(told("`{text}` is negative", text=text), "write it without the minus")
    total, at = Fraction(0), 0
    smallest: Fraction | float = math.inf
    while at < len(plain):
        found = pattern.match(plain.lower(), at)
        if found is None:
            raise UnclearQuantityError(told("`{text}` is no {name}", text=text, name=kind.name), kind.write)
        unit = re.sub(r"[ .]+", " ", found["unit"] or "")
        factor = _factor(unit, text, kind)
        if factor >= smallest:
            raise UnclearQuantityError(
                told("`{text}` is no {name}", text=text, name=kind.name), "write the large unit first, each unit once"
            )
        total += _number(found["number"], text, kind.write) * factor
        at, smallest = found.end(), factor
    return total


def _factor(unit: str, text: str, kind: _Kind) -> Fraction:
    if not unit:
        raise UnclearQuantityError(told("`{text}` has no unit", text=text), kind.write)
    if unit in kind.unclear:
        raise UnclearQuantityError(*kind.unclear[unit])
    if unit in kind.spellings:
        return kind.factors[kind.spellings[unit]]
    known = any(unit in other.spellings for other in (_DURATION, _LENGTH, _AREA, _VOLUME, _MASS))
    rare = None if known else _factor_of(unit, kind.base)
    if rare is None:
        raise UnclearQuantityError(told("`{unit}` is no unit of {name}", unit=unit, name=kind.name), kind.write)
    return rare


def parse_duration(text: str) -> int:
    """Whole minutes of `1 h 30 min`, `1.5 h`, `2 days`, `3 weeks`; parts of a minute are rounded.

    Raises UnclearQuantityError, as every parser here does.
    """
    if re.fullmatch(r"[0-9]{1,2}:[0-9]{2}", text):
        raise UnclearQuantityError(
            told("`{text}` is a time of day", text=text), "write a duration such as `1 h 30 min`"
        )
    minutes = int(_amount(text, _DURATION) + Fraction(1, 2))
    if minutes > LONGEST:
        raise UnclearQuantityError(
            told("`{text}` is longer than ten years", text=text), "check the number and its unit"
        )
    return minutes


def parse_length(text: str) -> float:
    """Metres of `13 ft 2 in`, `13' 2"`, `3.9 m`, `4 mil`, `1/16 in`, `0.1 mm`."""
    return float(_amount(text, _LENGTH))


def parse_area(text: str) -> float:
    """Square metres of `120 sq ft`, `11 m²`."""
    return float(_amount(text, _AREA, _AREA_PART))


def parse_volume(text: str) -> float:
    """Litres of `1 gal` (the US gallon), `2.5 l`, `12 fl oz`."""
    return float(_amount(text, _VOLUME))


def parse_mass(text: str) -> float:
    """Kilograms of `12 lb`, `5 kg`, `1 lb 4 oz`."""
    return float(_amount(text, _MASS))


def parse_spread(text: str) -> float:
    """Square metres per litre of `350 sq ft/gal`, `9 m² per l`."""
    write = "write area per volume, such as `350 sq ft/gal`, `9 m²/l`"
    area, per, volume = _plain(text, write).replace(" per ", "/").rpartition("/")
    if not per or any(sign.isdigit() for sign in volume):
        raise UnclearQuantityError(told("`{text}` is no spread", text=text), write)
    return parse_area(area) / parse_volume(f"1 {volume}")


def parse_temp(text: str) -> float:
    """°C of `68 °F`, `68 F`, `20 C`, `-5 °C`."""
    write = "write its scale, such as `68 °F` or `20 °C`"
    plain = _plain(text, write).lower()
    found = _TEMPERATURE.fullmatch(plain)
    if found is None:
        raise UnclearQuantityError(told("`{text}` is no temperature", text=text), write)
    unit = found["unit"]
    if not unit:
        raise UnclearQuantityError(told("`{text}` does not say of which scale", text=text), write)
    if unit not in _FAHRENHEIT + _CELSIUS:
        raise UnclearQuantityError(told("`{text}` is of no scale that is known here", text=text), write)
    degrees = float(_number(found["number"], text, write)) * (-1 if found["sign"] == "-" else 1)
    celsius = (degrees - 32) / 1.8 if unit in _FAHRENHEIT else degrees
    if celsius < COLDEST:
        raise UnclearQuantityError(told("`{text}` is below absolute zero", text=text), write)
    return celsius


def parse_fraction(text: str) -> float:
    """0..1 of `45 %`."""
    write = "write it in percent, such as `45 %`"
    plain = _plain(text, write)
    found = _PERCENT.fullmatch(plain)
    if found is None:
        raise UnclearQuantityError(told("`{text}` is no share from 0 to 100 %", text=text), write)
    if not found["unit"]:
        raise UnclearQuantityError(told("`{text}` has no unit", text=text), write)
    share = float(_number(found["number"], text, write)) / 100
    if share > 1:
        raise UnclearQuantityError(told("`{text}` is more than 100 %", text=text), write)
    return share


def _trimmed(value: float, decimals: int) -> str:
    """The value with at most so many decimals, without zeros at the end."""
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def format_temp(celsius: float, *, metric: bool) -> str:
    """`68 °F` or `20 °C`, in whole degrees."""
    return f"{round(celsius)} °C" if metric else f"{round(celsius * 1.8 + 32)} °F"


def format_fraction(share: float) -> str:
    """`45 %`, in whole percent."""
    return f"{round(share * 100)} %"


def format_duration(minutes: int) -> str:
    """`1 h 30 min`, `2 days 4 h`; a day is 24 hours."""
    days, rest = divmod(minutes, 24 * 60)
    hours, rest = divmod(rest, 60)
    parts = [f"{days} {'day' if days == 1 else 'days'}"] if days else []
    parts += [f"{hours} h"] if hours else []
    parts += [f"{rest} min"] if rest or not parts else []
    return " ".join(parts)


def format_length(metres: float, *, metric: bool) -> str:
    """`13 ft 2 1/2 in` to the sixteenth of an inch, or `3.96 m`, below a metre `19 mm`."""
    if metric:
        return f"{_trimmed(metres, 2)} m" if metres >= 1 else f"{_trimmed(metres * 1000, 1)} mm"
    sixteenths = round(metres / float(INCH) * 16)
    feet, rest = divmod(sixteenths, 12 * 16)
    inches, part = divmod(rest, 16)
    words = [str(inches)] if inches else []
    words += [str(Fraction(part, 16))] if part else []
    said = f"{' '.join(words)} in" if words else ""
    return " ".join(filter(None, [f"{feet} ft" if feet else "", said])) or "0 in"


def format_run(metres: float, *, metric: bool) -> str:
    """A length that nobody cuts to measure: from ten feet on in whole feet, from three metres on in half metres."""
    foot = 12 * float(INCH)
    if metric:
        return format_length(math.ceil(metres * 2 - 1e-6) / 2 if metres >= 3 else metres, metric=True)
    return format_length(math.ceil(metres / foot - 1e-6) * foot if metres >= 10 * foot else metres, metric=False)


def format_cut(metres: float, *, metric: bool) -> str:
    """A length that is cut to measure: as a rule shows it, in whole millimetres however long, or to 1/16 in."""
    return f"{round(metres * 1000)} mm" if metric else format_length(metres, metric=False)


def format_thickness(metres: float, *, metric: bool) -> str:
    """A film in mil or µm; from 1/32 in (0.8 mm) on a depth or a bead in inches or mm."""
    if metres >= INCH / 32:
        return format_length(metres, metric=metric)
    return f"{_trimmed(metres * 1e6, 0)} µm" if metric else f"{_trimmed(metres / float(LENGTHS['mil']), 1)} mil"


def format_area(square_metres: float, *, metric: bool) -> str:
    """`120 sq ft` or `11.1 m²`."""
    return (
        f"{_trimmed(square_metres, 1)} m²"
        if metric
        else f"{_trimmed(square_metres / float(AREAS['sq ft']), 0)} sq ft"
    )


def format_volume(litres: float, *, metric: bool) -> str:
    """In US gallons, quarts or fluid ounces, or in litres or millilitres, by size."""
    if metric:
        return f"{_trimmed(litres, 2)} l" if litres >= 1 else f"{_trimmed(litres * 1000, 0)} ml"
    unit = next((unit for unit in ("gal", "qt") if litres >= VOLUMES[unit] * (1 - 1e-9)), "fl oz")
    return f"{_trimmed(litres / float(VOLUMES[unit]), 1)} {unit}"


def format_mass(kilograms: float, *, metric: bool) -> str:
    """In pounds, below one in ounces, or in kilograms, below one in grams."""
    if metric:
        return f"{_trimmed(kilograms, 2)} kg" if kilograms >= 1 else f"{_trimmed(kilograms * 1000, 0)} g"
    pounds = kilograms / float(POUND)
    return f"{_trimmed(pounds, 1)} lb" if pounds >= 1 - 1e-9 else f"{_trimmed(pounds * 16, 1)} oz"


def _factor_of(unit: str, base: str) -> Fraction | None:
    """How many of the unit `base` (in pint's words) make one `unit`; None if it is no unit of that kind.

    For those that are too rare for a table of our own (`dm`, `hl`, `fortnight`, `stone`). Pint is loaded only when
    one is met: it takes longer to load than a whole job takes to read.
    """
    if not unit.replace(" ", "").isalpha() or not unit.isascii():
        return None
    import pint

    try:
        size = _registry().Quantity(Fraction(1), unit.replace(" ", "_")).to(base).magnitude
    except (pint.PintError, AttributeError, TypeError, ValueError, ArithmeticError):
        return None
    return Fraction(size).limit_denominator(10**12)


@cache
def _registry() -> pint.UnitRegistry[Fraction]:
    import pint

    return pint.UnitRegistry(non_int_type=Fraction)
