"""The ground of every shape of a job file: mappings that know their keys; and how a record comes of one."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from functools import cache
from types import NoneType
from typing import Any, TypeVar, get_args, get_type_hints

from pydantic import BaseModel, ConfigDict, Field, model_validator

Record = TypeVar("Record")


class Shape(BaseModel):
    """A mapping of the file. A key without a value counts as left out, unless there is no such key at all."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=False)

    @model_validator(mode="before")
    @classmethod
    def _without_empty_keys(cls, value: object) -> object:
        if not isinstance(value, dict) or None not in value.values():
            return value
        known = {field.alias or name for name, field in cls.model_fields.items()}
        return {key: part for key, part in value.items() if part is not None or key not in known}


def key(said: str, name: str | None = None, **more: Any) -> Any:
    """A key that may be left out."""
    return Field(default=None, alias=name, description=said, **more)


def must(said: str, name: str | None = None) -> Any:
    """A key that must be there."""
    return Field(alias=name, description=said)


def carried(kind: type[Record], form: BaseModel, /, **other: object) -> Record:
    """The record of a form: its fields of the same name, and all `other` ones.

    What the record can't hold as it stands (a part that is still a form, a list, nothing where something belongs) is
    a mistake of this program, and a TypeError: it has to be among the `other` ones.
    """
    record: Any = kind
    shared = type(form).model_fields.keys() - other.keys()
    same = {name: getattr(form, name) for name in _may_be_none(record) if name in shared}
    for name, value in same.items():
        if isinstance(value, BaseModel | dict | list) or (value is None and not _may_be_none(record)[name]):
            raise TypeError(f"{kind.__name__}: no record has been made of {name}")
    return kind(**same, **other)


@cache
def _may_be_none(kind: Any) -> Mapping[str, bool]:
    """The fields of a record, and whether they may hold nothing."""
    hints = get_type_hints(kind)
    return {each.name: NoneType in get_args(hints[each.name]) for each in fields(kind)}
