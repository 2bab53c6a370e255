"""What does not fit the shape of the file -> faults at their places, in plain words.

One wrong value must not hide the next mistake: what has a fault is mended, so that the rest can still be checked.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from copy import deepcopy
from functools import cache
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from scheduler.errors import Fault, brief
from scheduler.model.names import meant
from scheduler.reading.mending import Path, mend
from scheduler.reading.positions import Positions
from scheduler.reading.scalars import kind_of
from scheduler.reading.shape import JobShape
from scheduler.reading.yamlfile import YamlValue
from scheduler.units import UnclearQuantityError

ATTEMPTS = 4
"""Mending brings at most a key that is missing then, and an entry that is empty then."""
MOST_FAULTS = 200
"""More from one file help nobody; the last line says that there are more."""
_BELONGS = {
    "dict_type": "write a name and a value in each line under it",
    "list_type": "write each entry on a line of its own, with `- ` before it",
}


def read_shape(data: YamlValue, at: Positions) -> tuple[JobShape | None, list[Fault], frozenset[str]]:
    """The job file as far as it has the right shape, its faults, and the keys at the top that hold any.

    The shape is None if so little of the file can be used that nothing further can be said.
    """
    faults: list[Fault] = []
    broken: frozenset[str] = frozenset()
    for attempt in range(ATTEMPTS):
        try:
            return JobShape.model_validate(data), faults, broken
        except ValidationError as error:
            details = error.errors(include_url=False)
        if attempt == 0:
            faults = [fault_of(detail, at, JobShape) for detail in details[: MOST_FAULTS + 1]]
            broken = frozenset(str(detail["loc"][0]) for detail in details if detail["loc"])
            data = deepcopy(data)
        for detail in details:
            mend(data, path_of(detail), missing=detail["type"] == "missing")
    return None, faults, broken


def path_of(detail: ErrorDetails) -> Path:
    """The path to what is wrong; a name counts as what stands under it."""
    return tuple(step for step in detail["loc"] if step != "[key]")


def fault_of(detail: ErrorDetails, at: Positions, shape: type[BaseModel]) -> Fault:
    """What pydantic says of a file of this shape, at its place and in plain words."""
    path = path_of(detail)
    name = brief(next((step for step in reversed(path) if isinstance(step, str)), "the file"))
    kind = detail["type"]
    if kind == "missing":
        if at.has(path):
            return Fault(at.key(path), f"`{name}` has no value", _write(path, shape))
        return Fault(at.key(path[:-1]), f"`{name}` is missing", _write(path, shape))
    if kind == "extra_forbidden":
        return Fault(at.key(path), f"`{name}` is no key here", meant(name, _keys_at(path[:-1], shape)))
    cause = detail.get("ctx", {}).get("error")
    if isinstance(cause, UnclearQuantityError):
        place = at.key(path) if "[key]" in detail["loc"] else at.value(path)
        return Fault(place, cause.message, cause.hint)
    return Fault(
        at.value(path),
        f"{kind_of(detail['input'])} stands here",
        _BELONGS.get(kind, f"write keys and values ({_listed(path, shape)})"),
    )


def _listed(path: Path, shape: type[BaseModel]) -> str:
    return ", ".join(_keys_at(path, shape)[:4])


def _write(path: Path, shape: type[BaseModel]) -> str:
    """What to write for a key: an example out of the schema, where it has one."""
    name = str(path[-1])
    for node in _nodes_at(path, shape):
        if node.get("examples"):
            return f"write `{name}: {node['examples'][0]}`"
        if node.get("enum"):
            return f"write `{name}: {node['enum'][0]}`"
    return f"write `{name}: …`"


def _keys_at(path: Path, shape: type[BaseModel]) -> list[str]:
    """The keys that the mapping at a path may have."""
    return [key for node in _nodes_at(path, shape) for key in node.get("properties", {})]


@cache
def _schema(shape: type[BaseModel]) -> dict[str, Any]:
    return shape.model_json_schema(by_alias=True)


def _nodes_at(path: Iterable[str | int], shape: type[BaseModel]) -> list[dict[str, Any]]:
    """The pieces of the JSON Schema that hold at a path."""
    schema = _schema(shape)
    nodes = list(_flat(schema, schema))
    for step in path:
        inner = [_inner(node, step) for node in nodes]
        further = [flat for node in inner if node for flat in _flat(node, schema)]
        if further or isinstance(step, str):
            nodes = further
    return nodes


def _inner(node: dict[str, Any], step: str | int) -> dict[str, Any] | None:
    if isinstance(step, int):
        return node.get("items")
    found = node.get("properties", {}).get(step) or node.get("additionalProperties")
    return found if isinstance(found, dict) else None


def _flat(node: dict[str, Any], schema: dict[str, Any]) -> Iterator[dict[str, Any]]:
    """A piece of schema, or all that it refers to or leaves to choose from."""
    if "$ref" in node:
        yield from _flat(schema["$defs"][node["$ref"].rsplit("/", 1)[1]], schema)
    for choice in node.get("anyOf", []):
        yield from _flat(choice, schema)
    if "$ref" not in node and "anyOf" not in node:
        yield node
