"""What the forms of profiles are made of: single values, and complaints turned into faults at their place."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from typing import Annotated, Any, TypeVar

from pydantic import AfterValidator, BaseModel, BeforeValidator, ConfigDict, ValidationError
from pydantic_core import ErrorDetails

from scheduler.errors import Fault
from scheduler.model.names import meant
from scheduler.reading.positions import Positions
from scheduler.reading.scalars import Share, SomeMinutes, Text, Thickness, kind_of
from scheduler.units import UnclearQuantityError, parse_spread, parse_temp

T = TypeVar("T")
Trail = tuple[str | int, ...]
Complaint = tuple[Trail, str, str]
"""Where in the form, what is wrong, what would be right."""

SOURCE_HINT = "say where the number was read, or `from memory`, or `common practice, no source`"


class Form(BaseModel):
    """One mapping of a file: no key but its own, nothing changed once it is read."""

    model_config = ConfigDict(extra="forbid", frozen=True)


def reads(parse: Callable[[str], T], write: str) -> BeforeValidator:
    """A validator that hands a text to `parse`; whatever is no text is refused with `write`."""

    def read(value: object) -> T:
        if not isinstance(value, str):
            raise UnclearQuantityError(f"{kind_of(value)} stands here", write)
        return parse(value)

    return BeforeValidator(read)


def one_of(known: Iterable[str], what: str) -> BeforeValidator:
    """A validator for a word out of a few; the nearest one is offered for a wrong one."""
    words = tuple(known)

    def read(text: str) -> str:
        if text not in words:
            raise UnclearQuantityError(f"`{text[:40]}` is no {what}", meant(text, words))
        return text

    return reads(read, f"write one of {', '.join(words)}")


def _source(text: str) -> str:
    if not any(sign.isalpha() for sign in text):
        raise UnclearQuantityError("the source is empty", SOURCE_HINT)
    return " ".join(text.split())


def _number(most: float) -> Callable[[str], float]:
    def number(text: str) -> float:
        try:
            value = float(text)
        except ValueError:
            raise UnclearQuantityError(f"`{text[:40]}` is no number", "write one such as `1.5`") from None
        if not 0 <= value <= most:  # not a number is refused as well
            raise UnclearQuantityError(f"`{text[:40]}` is not from 0 to {most:g}", "check the number")
        return value

    return number


def _degrees_apart(text: str) -> float:
    """`5 °F` as a difference, in kelvin."""
    degrees = parse_temp(text) - parse_temp("0 °F" if "f" in text.lower() else "0 °C")
    if not 0 <= degrees <= 20:
        raise UnclearQuantityError(f"`{text}` is no margin above the dew point", "write one such as `5 °F` or `3 °C`")
    return degrees


def _activation(text: str) -> float:
    """J/mol of `48 kJ/mol`."""
    number, _, unit = text.strip().partition(" ")
    if unit.strip() != "kJ/mol" or _number(200)(number) == 0:
        raise UnclearQuantityError(f"`{text[:40]}` is no activation", "write one up to 200, such as `48 kJ/mol`")
    return float(number) * 1000


def _listed(value: object) -> object:
    """One value for a list of one."""
    return [value] if isinstance(value, str) else value


def _three(value: object) -> object:
    values = _listed(value)
    if isinstance(values, list) and len(values) in (1, 3):
        return values * 3 if len(values) == 1 else values
    raise UnclearQuantityError(
        "this is neither one value nor three", "write low, typical and high, such as `[1 h, 2 h, 4 h]`"
    )


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


Source = Annotated[str, reads(_source, SOURCE_HINT)]
Exponent = Annotated[float, reads(_number(3), "write a number from 0 to 3")]
Yield = Annotated[float, reads(_number(10), "write a number such as `1.1`")]
Celsius = Annotated[float, reads(parse_temp, "write a temperature such as `77 °F`")]
Apart = Annotated[float, reads(_degrees_apart, "write a difference such as `5 °F`, or `none`")]
Margin = Annotated[Apart | None, BeforeValidator(_nothing)]
Activation = Annotated[float, reads(_activation, "write one such as `48 kJ/mol`")]
Spread = Annotated[float, reads(parse_spread, "write area per volume, such as `350 sq ft/gal`")]

MinutesThree = Annotated[
    tuple[SomeMinutes, SomeMinutes, SomeMinutes], BeforeValidator(_three), AfterValidator(_rising)
]
SpreadThree = Annotated[tuple[Spread, Spread, Spread], BeforeValidator(_three), AfterValidator(_rising)]
Temps = Annotated[tuple[Celsius, Celsius], BeforeValidator(_two), AfterValidator(_rising)]
Shares = Annotated[tuple[Share, Share], BeforeValidator(_two), AfterValidator(_rising)]
UpToShares = Annotated[Shares, BeforeValidator(_humidities)]
Thicknesses = Annotated[tuple[Thickness, Thickness], BeforeValidator(_two), AfterValidator(_rising)]
Texts = Annotated[tuple[Text, ...], BeforeValidator(_listed)]


def complaints(error: ValidationError, form: type[BaseModel]) -> Iterator[Complaint]:
    """What pydantic found, in plain words."""
    for detail in error.errors():
        trail = tuple(part for part in detail["loc"] if part != "[key]")
        yield (trail, *_said(detail, trail, form))


def _said(detail: ErrorDetails, trail: Trail, form: type[BaseModel]) -> tuple[str, str]:
    name = str(trail[-1]) if trail else "this file"
    unclear = detail.get("ctx", {}).get("error")
    if isinstance(unclear, UnclearQuantityError):
        return unclear.message, unclear.hint
    if detail["type"] == "missing":
        return f"`{name}` is missing", SOURCE_HINT if name == "source" else f"add a line `{name}: …`"
    if detail["type"] == "extra_forbidden":
        return f"`{name[:40]}` is no key here", meant(name, _keys(form, trail[:-1]))
    if detail["type"] in ("model_type", "model_attributes_type", "dict_type"):
        return f"{kind_of(detail['input'])} stands here", "write keys and values below it"
    return f"`{name[:40]}` has another form here", detail["msg"][:1].lower() + detail["msg"][1:]


def _keys(form: type[BaseModel], trail: Trail) -> list[str]:
    """The keys that the mapping at `trail` may have."""
    for step in trail:
        field = form.model_fields.get(str(step))
        inner = _form_in(field.annotation) if field is not None else None
        form = inner if inner is not None else form
    return list(form.model_fields)


def _form_in(annotation: Any) -> type[Form] | None:
    """The form inside `Form | None`, `dict[str, Form]`, `tuple[Form, ...]`."""
    if isinstance(annotation, type) and issubclass(annotation, Form):
        return annotation
    found = (_form_in(part) for part in getattr(annotation, "__args__", ()))
    return next((form for form in found if form is not None), None)


def faults(found: Iterable[Complaint], positions: Positions) -> list[Fault]:
    """Complaints at their places: about a key where the key stands, about what is missing where its mapping does."""
    answer: dict[Fault, None] = {}  # one value that stands for three is wrong once
    for trail, message, hint in found:
        at_key = message.endswith(("is no key here", "is missing", "is no stage"))
        answer[Fault(positions.key(trail) if at_key else positions.value(trail), message, hint)] = None
    return list(answer)
