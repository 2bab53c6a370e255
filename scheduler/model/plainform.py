"""Records as plain JSON values and back, field by field, without a list of the fields to be kept in step."""

from __future__ import annotations

import types
from collections.abc import Callable, Mapping, Sequence
from dataclasses import MISSING, fields, is_dataclass
from datetime import date
from functools import cache
from math import isfinite
from typing import Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

from scheduler.errors import untyped_character
from scheduler.model.basics import Span
from scheduler.wallclock import NEVER

Record = TypeVar("Record")
_Read = Callable[[object], Any]

YEARS = Span(15 * 10**6, 160 * 10**6)
"""Minutes in which a job, its films and its calendar can lie: from 1998 to 2274."""
_WHOLE = range(-(10**6), 1 << 31)
"""What a whole number of a record can be: a moment that has a date, or a count."""


class ForeignError(ValueError):
    """What stands somewhere in kept values can't have been written there by this program."""

    def __init__(self, *path: str) -> None:
        self.path = list(path)
        super().__init__()

    def __str__(self) -> str:
        under = " under " + ", ".join(f"`{name}`" for name in self.path) if self.path else ""
        return f"what stands{under} is not what tackfree writes"


def plain(value: object) -> object:
    """Records become objects, tuples lists, dates texts; whole numbers, texts and the like stay what they are."""
    if isinstance(value, str | int | float | None):
        return value
    if isinstance(value, tuple):
        return [plain(part) for part in value]
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, Mapping):
        return {str(key): plain(part) for key, part in value.items()}
    return value.isoformat() if isinstance(value, date) else value


def rich(kind: type[Record], value: object) -> Record:
    """The record of that kind which `plain` turned into this. Raises ForeignError if it can't be one.

    A field that is missing takes its default.
    """
    any_kind: Any = kind
    found: Record = _reader(any_kind)(value)
    return found


@cache
def _reader(kind: Any) -> _Read:
    """What reads values of a kind: looked up once, as a plan holds thousands of them."""
    origin, arguments = get_origin(kind), get_args(kind)
    if origin in _FAMILIES:
        return _FAMILIES[origin](arguments)
    if kind is Span:
        return _span
    if kind is date:
        return _date
    return _record(kind) if is_dataclass(kind) else _single(kind)


def _one_of(kinds: Sequence[Any]) -> _Read:
    """The first of several kinds that a value can be."""
    readers = [_reader(kind) for kind in kinds if kind is not type(None)]
    maybe = len(readers) < len(kinds)

    def read(value: object) -> Any:
        if value is None and maybe:
            return None
        for reader in readers[:-1]:
            try:
                return reader(value)
            except ForeignError:
                continue
        return readers[-1](value)

    return read


def _among(words: Sequence[Any]) -> _Read:
    def read(value: object) -> Any:
        if not isinstance(value, str) or value not in words:
            raise ForeignError
        return value

    return read


def _single(kind: Any) -> _Read:
    def read(value: object) -> Any:
        if kind is float and type(value) is int:
            value = float(value) if value in _WHOLE else None
        if type(value) is not kind or not _is_written(value):
            raise ForeignError
        return value

    return read


def _is_written(value: object) -> bool:
    """Whether this program writes such a value."""
    if type(value) is int:
        return value in _WHOLE or value == NEVER
    if isinstance(value, float):
        return isfinite(value)
    return not isinstance(value, str) or untyped_character(value) is None


def _record(kind: Any) -> _Read:
    def read(value: object) -> Any:
        said = _object(value)
        found = {}
        for name, part, needed in _parts(kind):
            try:
                if name in said:
                    found[name] = part(said[name])
                elif needed:
                    raise ForeignError
            except ForeignError as error:
                error.path.insert(0, name)
                raise
        try:
            return kind(**found)
        except ValueError:
            raise ForeignError from None

    return read


@cache
def _parts(kind: Any) -> list[tuple[str, _Read, bool]]:
    """The fields of a record: name, how its values are read, and whether it has to be there."""
    hints = get_type_hints(kind)
    return [
        (field.name, _reader(hints[field.name]), field.default is MISSING and field.default_factory is MISSING)
        for field in fields(kind)
    ]


def _tuple(kinds: tuple[Any, ...]) -> _Read:
    many = len(kinds) == 2 and kinds[1] is Ellipsis
    readers = [_reader(kind) for kind in kinds if kind is not Ellipsis]

    def read(value: object) -> tuple[Any, ...]:
        if not isinstance(value, list) or not (many or len(value) == len(readers)):
            raise ForeignError
        if many:
            return tuple(map(readers[0], value))
        return tuple(reader(part) for reader, part in zip(readers, value, strict=True))

    return read


def _mapping(kinds: Sequence[Any]) -> _Read:
    part = _reader(kinds[1])
    return lambda value: {key: part(held) for key, held in _object(value).items()}


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


def _date(value: object) -> date:
    try:
        return date.fromisoformat(value if isinstance(value, str) else "")
    except ValueError:
        raise ForeignError from None


_FAMILIES: Mapping[Any, Callable[[Any], _Read]] = {
    Union: _one_of,
    types.UnionType: _one_of,
    tuple: _tuple,
    Mapping: _mapping,
    Literal: _among,
}
"""What makes the readers of the kinds that are made of others, or of words."""
