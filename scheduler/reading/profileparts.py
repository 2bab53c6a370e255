"""What the forms of profiles are made of: single values, and how a mapping becomes a form or faults."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields
from typing import Annotated, Any, TypeVar

from pydantic import (
    AfterValidator,
    BaseModel,
    BeforeValidator,
    ConfigDict,
    GetCoreSchemaHandler,
    ValidationError,
    WithJsonSchema,
)
from pydantic_core import CoreSchema, core_schema

from scheduler.errors import InputError, brief
from scheduler.model.beware import Beware
from scheduler.model.names import meant
from scheduler.reading.positions import Positions
from scheduler.reading.scalars import LONGEST_TEXT, Share, SomeMinutes, Text, Thickness, reads
from scheduler.reading.shapefaults import fault_of
from scheduler.reading.shorthand import OneOrMore, Short
from scheduler.reading.yamlfile import YamlValue
from scheduler.told import told
from scheduler.units import UnclearQuantityError, parse_spread, parse_temp

FormT = TypeVar("FormT", bound="Form")
Record = TypeVar("Record")

SOURCE_HINT = "say where the number was read, or `from memory`, or `common practice, no source`"


class Form(BaseModel):
    """One mapping of a file: no key but its own, nothing changed once it is read."""

    model_config = ConfigDict(extra="forbid", frozen=True)


def carried(kind: type[Record], form: Form, **other: object) -> Record:
    """The record of a form: its fields of the same name, and all `other` ones. A field that is still a form, or one
    of `other` that the record has not, is a mistake of this program (TypeError)."""
    record: Any = kind
    shared = type(form).model_fields.keys() - other.keys()
    names = [each.name for each in fields(record) if each.name in shared]
    same = {name: getattr(form, name) for name in names}
    if unread := [name for name, value in same.items() if isinstance(value, Form | dict)]:
        raise TypeError(f"{kind.__name__}: no record has been made of {', '.join(unread)}")
    return kind(**same, **other)


@dataclass(frozen=True, slots=True)
class ReadBy:
    """Marks a record in a form: it is written as `form` says, and the record stands there once it is read. `more` are
    its fields that are not called, or not laid down, as in the form."""

    form: type[Form]
    more: Callable[[Any], Mapping[str, object]] | None = None

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Read the form, then make the record of it."""

        def made(form: Form) -> object:
            record: object = carried(source, form, **(self.more(form) if self.more else {}))
            return record

        return core_schema.no_info_after_validator_function(made, handler.generate_schema(self.form))


def one_of(known: Iterable[str], what: str) -> BeforeValidator:
    """A validator for a word out of a few; the nearest one is offered for a wrong one."""
    words = tuple(known)

    def read(text: str) -> str:
        if text not in words:
            raise UnclearQuantityError(
                told("`{text}` is no {what}", text=brief(text, 40), what=what), meant(text, words)
            )
        return text

    return reads(read, told("write one of {names}", names=", ".join(words)))


def _source(text: str) -> str:
    if not any(sign.isalpha() for sign in text):
        raise UnclearQuantityError("the source is empty", SOURCE_HINT)
    return " ".join(text.split())


def number_from(least: float, most: float) -> Callable[[str], float]:
    """A reader of a number between two others, these included."""

    def number(text: str) -> float:
        try:
            value = float(text)
        except ValueError:
            raise UnclearQuantityError(
                told("`{text}` is no number", text=brief(text, 40)), "write one such as `1.5`"
            ) from None
        if not least <= value <= most:  # not a number is refused as well
            said = told(
                "`{text}` is not from {least} to {most}", text=brief(text, 40), least=f"{least:g}", most=f"{most:g}"
            )
            raise UnclearQuantityError(said, "check the number")
        return value

    return number


def _degrees_apart(text: str) -> float:
    """`5 °F` as a difference, in kelvin."""
    degrees = parse_temp(text) - parse_temp("0 °F" if "f" in text.lower() else "0 °C")
    if not 0 <= degrees <= 20:
        raise UnclearQuantityError(
            told("`{text}` is no margin above the dew point", text=text), "write one such as `5 °F` or `3 °C`"
        )
    return degrees


def _activation(text: str) -> float:
    """J/mol of `48 kJ/mol`."""
    number, _, unit = text.strip().partition(" ")
    if unit.strip() != "kJ/mol" or number_from(0, 200)(number) == 0:
        raise UnclearQuantityError(
            told("`{text}` is no activation", text=brief(text, 40)), "write one up to 200, such as `48 kJ/mol`"
        )
    return float(number) * 1000


def three(what: str, write: str) -> BeforeValidator:
    """A validator for three of something, or for one that stands for all three."""

    def read(value: object) -> object:
        values = [value] if isinstance(value, str) else value
        if isinstance(values, list) and len(values) in (1, 3):
            return values * 3 if len(values) == 1 else values
        raise UnclearQuantityError(told("this is neither one {what} nor three", what=what), write)

    return BeforeValidator(read)


_THREE_VALUES = three("value", "write low, typical and high, such as `[1 h, 2 h, 4 h]`")


def _two(value: object) -> object:
    if isinstance(value, list) and len(value) == 2:
        return value
    raise UnclearQuantityError("these are not two values", "write the lowest and the highest, such as `[a, b]`")


def _humidities(value: object) -> object:
    """`85 %` is the highest; two are the lowest and the highest."""
    return ["0 %", value] if isinstance(value, str) else value


def _nothing(value: object) -> object:
    return None if value == "none" else value


def _rising(values: tuple[Any, ...]) -> tuple[Any, ...]:
    if list(values) != sorted(values):
        raise UnclearQuantityError("these values do not rise", "write the lowest first and the highest last")
    return values


Source = Annotated[
    str,
    reads(_source, SOURCE_HINT, LONGEST_TEXT),
    WithJsonSchema({"type": "string", "examples": ["the sheet of the product, 2026"]}),
]
Exponent = Annotated[float, reads(number_from(0, 3), "write a number from 0 to 3")]
Yield = Annotated[float, reads(number_from(0, 10), "write a number such as `1.1`")]
Celsius = Annotated[float, reads(parse_temp, "write a temperature such as `77 °F`")]
Apart = Annotated[float, reads(_degrees_apart, "write a difference such as `5 °F`, or `none`")]
Margin = Annotated[Apart | None, BeforeValidator(_nothing)]
Activation = Annotated[float, reads(_activation, "write one such as `48 kJ/mol`")]
Spread = Annotated[float, reads(parse_spread, "write area per volume, such as `350 sq ft/gal`")]

MinutesThree = Annotated[tuple[SomeMinutes, SomeMinutes, SomeMinutes], _THREE_VALUES, AfterValidator(_rising)]
SpreadThree = Annotated[tuple[Spread, Spread, Spread], _THREE_VALUES, AfterValidator(_rising)]
Temps = Annotated[tuple[Celsius, Celsius], BeforeValidator(_two), AfterValidator(_rising)]
Shares = Annotated[tuple[Share, Share], BeforeValidator(_two), AfterValidator(_rising)]
UpToShares = Annotated[Shares, BeforeValidator(_humidities)]
Thicknesses = Annotated[tuple[Thickness, Thickness], BeforeValidator(_two), AfterValidator(_rising)]
Texts = Annotated[tuple[Text, ...], OneOrMore()]


class BewareForm(Form):
    """What to beware of: all of it, and in a few words."""

    text: Text
    short: Text = ""


Cautions = Annotated[
    tuple[Annotated[Beware, ReadBy(BewareForm), Short(lambda text: {"text": text}, ("open the window",))], ...],
    OneOrMore(),
]


def form_of(form: type[FormT], data: dict[str, YamlValue], positions: Positions) -> FormT:
    """The form of a mapping. Raises InputError with a fault for everything that does not fit."""
    try:
        return form.model_validate(data)
    except ValidationError as error:
        found = (fault_of(detail, positions, form) for detail in error.errors(include_url=False))
        raise InputError(dict.fromkeys(found)) from None  # one value that stands for three is wrong once
