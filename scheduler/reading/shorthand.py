"""Short forms: one for a list of one, a word for a mapping with one key. Each knows itself in JSON Schema too."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from pydantic import GetCoreSchemaHandler, GetJsonSchemaHandler
from pydantic.json_schema import JsonSchemaValue
from pydantic_core import CoreSchema, core_schema


@dataclass(frozen=True, slots=True)
class OneOrMore:
    """A list, or the one thing that would be in it."""

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Wrap the one thing before the list is validated."""
        return core_schema.no_info_before_validator_function(_listed, handler(source))

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """Either the entry or a list of such entries."""
        many = handler(schema)
        return {"anyOf": [many["items"], many]}


@dataclass(frozen=True, slots=True)
class Short:
    """A text that stands for a mapping: `long` makes the mapping out of it. `examples` show the text."""

    long: Callable[[str], dict[str, Any]]
    examples: tuple[str, ...]

    def __get_pydantic_core_schema__(self, source: Any, handler: GetCoreSchemaHandler) -> CoreSchema:
        """Write the text out before the mapping is validated."""
        return core_schema.no_info_before_validator_function(self._long, handler(source))

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """Either the text or the mapping."""
        return {"anyOf": [{"type": "string", "examples": list(self.examples)}, handler(schema)]}

    def _long(self, value: object) -> object:
        return self.long(value) if isinstance(value, str) else value


@dataclass(frozen=True, slots=True)
class NameOrList:
    """A name alone, or (`several`) a list of names and of what a name is written out to; a validator reads them."""

    example: str
    several: bool = False

    def __get_pydantic_json_schema__(self, schema: CoreSchema, handler: GetJsonSchemaHandler) -> JsonSchemaValue:
        """A name, a list of them, or the long form."""
        many = [{"type": "array", "items": {"type": ["string", "object"]}}] if self.several else []
        return {"anyOf": [{"type": "string", "examples": [self.example]}, *many, handler(schema)]}


def _listed(value: object) -> object:
    return value if isinstance(value, list) or value is None else [value]
