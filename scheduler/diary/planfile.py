"""A plan as plain JSON values and back, field by field, without a list of the fields to be kept in step."""

from __future__ import annotations

import types
from collections.abc import Mapping
from dataclasses import MISSING, fields, is_dataclass
from datetime import date
from functools import cache
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

from scheduler.model.basics import Span

Record = TypeVar("Record")


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
    """The record of that kind which `plain` turned into this. Raises ValueError or TypeError if it can't be one.

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
        return Span(*_numbers(value))
    if kind is date and isinstance(value, str):
        return date.fromisoformat(value)
    if kind is float and type(value) is int:
        return float(value)
    if type(value) is not kind:
        raise ValueError(f"{value!r} is no {kind.__name__}")
    return value


def _record(kind: Any, value: Mapping[str, object]) -> Any:
    hints = _hints(kind)
    found = {}
    for field in fields(kind):
        if field.name in value:
            found[field.name] = _rich(hints[field.name], value[field.name])
        elif field.default is MISSING and field.default_factory is MISSING:
            raise ValueError(f"`{field.name}` is missing")
    return kind(**found)


@cache
def _hints(kind: Any) -> dict[str, Any]:
    return get_type_hints(kind)


def _tuple(arguments: tuple[Any, ...], value: object) -> tuple[Any, ...]:
    if not isinstance(value, list):
        raise ValueError(f"{value!r} is no list")
    if len(arguments) == 2 and arguments[1] is Ellipsis:
        return tuple(_rich(arguments[0], part) for part in value)
    return tuple(_rich(kind, part) for kind, part in zip(arguments, value, strict=True))


def _object(value: object) -> Mapping[str, object]:
    if not isinstance(value, dict):
        raise ValueError(f"{value!r} is no object")
    return value


def _numbers(value: object) -> tuple[int, int]:
    if not isinstance(value, list) or len(value) != 2 or not all(type(part) is int for part in value):
        raise ValueError(f"{value!r} is no pair of whole numbers")
    return value[0], value[1]
