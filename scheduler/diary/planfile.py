"""A plan as plain JSON values and back, field by field, without a list of the fields to be kept in step."""

from __future__ import annotations

import types
from collections.abc import Mapping
from dataclasses import MISSING, fields, is_dataclass
from datetime import date
from functools import cache
from math import isfinite
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

from scheduler.errors import untyped_character
from scheduler.model.basics import Span
from scheduler.wallclock import NEVER

Record = TypeVar("Record")

YEARS = Span(15 * 10**6, 160 * 10**6)
"""Minutes in which a job, its films and its calendar can lie: from 1998 to 2274."""
_WHOLE = range(-(10**6), 1 << 31)
"""What a whole number of a plan can be: a moment that has a date, or a count."""


class ForeignError(ValueError):
    """What stands somewhere in a kept plan can't have been written there by this program."""

    def __init__(self) -> None:
        self.path: list[str] = []
        super().__init__()

    def __str__(self) -> str:
        under = " under " + ", ".join(f"`{name}`" for name in self.path) if self.path else ""
        return f"what stands{under} is not what tackfree writes"


def plain(value: object) -> object:
    """Records become objects, tuples lists, dates texts; whole numbers, texts and the like stay what they are."""
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(part) for key, part in value.items()}
    if isinstance(value, tuple):
        return [plain(part) for part in value]
    return value.isoformat() if isinstance(value, date) else value


def rich(kind: type[Record], value: object) -> Record:
    """The record of that kind which `plain` turned into this. Raises ForeignError if it can't be one.

    A field that is missing takes its default.
    """
    found: Record = _rich(kind, value)
    return found


def _rich(kind: Any, value: object) -> Any:
    origin, arguments = get_origin(kind), get_args(kind)
    if origin in (Union, types.UnionType):
        one = next(part for part in arguments if part is not type(None))
        return None if value is None else _rich(one, value)
    if origin is tuple:
        return _tuple(arguments, value)
    if origin is Mapping:
        return {key: _rich(arguments[1], part) for key, part in _object(value).items()}
    if is_dataclass(kind):
        return _record(kind, _object(value))
    return _single(kind, value)


def _single(kind: Any, value: object) -> Any:
    if kind is Span:
        return _span(value)
    if kind is date and isinstance(value, str):
        return _date(value)
    if kind is float and type(value) is int:
        value = float(value) if value in _WHOLE else None
    if type(value) is not kind or not _is_written(value):
        raise ForeignError
    return value


def _is_written(value: object) -> bool:
    """Whether this program writes such a value."""
    if type(value) is int:
        return value in _WHOLE or value == NEVER
    if isinstance(value, float):
        return isfinite(value)
    return not isinstance(value, str) or untyped_character(value) is None


def _record(kind: Any, value: Mapping[str, object]) -> Any:
    hints = _hints(kind)
    found = {}
    for field in fields(kind):
        try:
            if field.name in value:
                found[field.name] = _rich(hints[field.name], value[field.name])
            elif field.default is MISSING and field.default_factory is MISSING:
                raise ForeignError
        except ForeignError as error:
            error.path.insert(0, field.name)
            raise
    try:
        return kind(**found)
    except ValueError:
        raise ForeignError from None


@cache
def _hints(kind: Any) -> dict[str, Any]:
    return get_type_hints(kind)


def _tuple(arguments: tuple[Any, ...], value: object) -> tuple[Any, ...]:
    if not isinstance(value, list):
        raise ForeignError
    if len(arguments) == 2 and arguments[1] is Ellipsis:
        return tuple(_rich(arguments[0], part) for part in value)
    if len(arguments) != len(value):
        raise ForeignError
    return tuple(_rich(kind, part) for kind, part in zip(arguments, value, strict=True))


def _object(value: object) -> Mapping[str, object]:
    if not isinstance(value, dict):
        raise ForeignError
    return value


def _span(value: object) -> Span:
    if not isinstance(value, list) or len(value) != 2 or not all(type(part) is int for part in value):
        raise ForeignError
    if not YEARS.start <= value[0] <= value[1] <= YEARS.end:
        raise ForeignError
    return Span(*value)


def _date(value: str) -> date:
    try:
        return date.fromisoformat(value)
    except ValueError:
        raise ForeignError from None
