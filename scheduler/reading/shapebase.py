"""The ground of every shape of a job file: mappings that know their keys."""

from __future__ import annotations

from typing import Any

from pydantic import BaseModel, ConfigDict, Field, model_validator


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
