"""What does not fit the shape of the file -> faults at their places, in plain words.

One wrong value must not hide the next mistake: what has a fault is mended, so that the rest can still be checked.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from copy import deepcopy
from dataclasses import dataclass
from functools import cache
from typing import Any

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from scheduler.errors import Fault, brief
from scheduler.model.names import meant, nearest
from scheduler.reading.mending import Path, inside, mend
from scheduler.reading.positions import Positions
from scheduler.reading.scalars import kind_of
from scheduler.reading.shape import JobShape
from scheduler.reading.yamlfile import YamlValue
from scheduler.told import told
from scheduler.units import CommaError, UnclearQuantityError

ATTEMPTS = 4
"""Mending brings at most a key that is missing then, and an entry that is empty then."""
MOST_FAULTS = 200
"""More from one file help nobody; the last line says that there are more."""
_BELONGS = {
    "dict_type": "write a name and a value in each line under it",
    "list_type": "write each entry on a line of its own, with `- ` before it",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Shapes:
    """A file as far as it has the right shape: `shapes` holds it once, or, of a faulty file, as if what is wrong had
    been left out and as if something fitting stood there; none if so little can be used that nothing can be said.

    `broken` are the keys at the top that hold a fault, `mended` the paths to all that something else stands in for,
    `lost` those to blocks out of which a key was taken that nobody knows. `data` is the file with its misspelt keys
    as they are meant.
    """

    data: YamlValue
    shapes: tuple[JobShape, ...]
    faults: list[Fault]
    broken: frozenset[str] = frozenset()
    mended: frozenset[Path] = frozenset()
    lost: frozenset[Path] = frozenset()


def read_shape(data: YamlValue, at: Positions, known: Iterable[Fault] = ()) -> Shapes:
    """The shape of a job file with all that does not fit it; what is `known` to be wrong is not said again."""
    data, faults, lost = _as_meant(data, at)
    details = _details(data)
    if not details:
        return Shapes(data=data, shapes=(_shape(data),), faults=faults, broken=_tops(lost), lost=lost)
    at_fault = {fault.place for fault in (*known, *faults)}
    for detail in details[: MOST_FAULTS + 1]:
        path = path_of(detail)
        if detail["type"] == "missing" and path[:-1] in lost:
            continue  # it may be the one that nobody knows
        if not {at.value(path), at.key(path)} & at_fault or (detail["type"] == "missing" and not at.has(path)):
            faults.append(fault_of(detail, at, JobShape))
    mended: set[Path] = set()
    shapes = [_mended(data, fitting, mended) for fitting in (False, True)]
    return Shapes(
        data=data,
        shapes=tuple(shape for shape in shapes if shape is not None),
        faults=faults,
        broken=_tops((*lost, *(path_of(detail) for detail in details))),
        mended=frozenset(mended),
        lost=lost,
    )


def _tops(paths: Iterable[Path]) -> frozenset[str]:
    return frozenset(str(path[0]) for path in paths if path)


def _shape(data: YamlValue) -> JobShape:
    return JobShape.model_validate(data)


def _details(data: YamlValue) -> list[ErrorDetails]:
    """What does not fit, as pydantic says it."""
    try:
        _shape(data)
    except ValidationError as error:
        return error.errors(include_url=False)
    return []


def _mended(data: YamlValue, fitting: bool, mended: set[Path]) -> JobShape | None:
    """The file with stand-ins for what is wrong: examples of what fits, or as little as can be."""
    data = deepcopy(data)
    for _ in range(ATTEMPTS):
        details = _details(data)
        if not details:
            return _shape(data)
        for detail in details:
            path = path_of(detail)
            example = _example(path) if fitting and detail["type"] != "extra_forbidden" else None
            mended.add(mend(data, path, missing=detail["type"] == "missing", example=example))
    return None


def _example(path: Path) -> str | None:
    """Something that fits at a path, if the schema has an example of it."""
    for node in _nodes_at(path, JobShape):
        for found in (*node.get("examples", ()), *node.get("enum", ())):
            return str(found)
    return None


def _as_meant(data: YamlValue, at: Positions) -> tuple[YamlValue, list[Fault], frozenset[Path]]:
    """The file without keys that there are not, the faults of these, and the paths to the blocks that lost some.

    A key that is near in spelling to one that is missing there is that one; a key without a value after a text
    between `{` and `}` is the rest of that text, which its comma cut off.
    """
    faults: list[Fault] = []
    lost: set[Path] = set()
    for _ in range(ATTEMPTS):
        found = False
        for detail in _details(data):
            if detail["type"] != "extra_forbidden":
                continue
            if not found:
                data, found = deepcopy(data), True
            path = path_of(detail)
            owner, spots = inside(data, path[:-1]), at.spot(path[:-1]).parts
            key = str(path[-1])
            if not isinstance(owner, dict) or key not in owner:
                continue
            near = nearest(key, _keys_at(path[:-1], JobShape))
            cut = _cut_off(owner, key, path, at) if near is None else None
            faults.append(cut or fault_of(detail, at, JobShape))
            value = owner.pop(key)
            if near is not None and near not in owner and value is not None:
                owner[near], spots[near] = value, spots[key]
            elif cut is None:
                lost.add(path[:-1])
        if not found:
            break
    return data, faults, frozenset(lost)


def _cut_off(owner: dict[str, YamlValue], key: str, path: Path, at: Positions) -> Fault | None:
    """The fault of a text that its comma cut in two; what was cut off is put back."""
    before = list(owner)[: list(owner).index(key)]
    text = owner[before[-1]] if before else None
    if owner[key] is not None or not isinstance(text, str) or not at.spot(path).flow:
        return None
    place = at.value((*path[:-1], before[-1]))
    if text[-1:].isdigit() and key[:1].isdigit():  # `1,6 m`: a decimal comma, as it is said of one outside of braces
        owner[before[-1]] = f"{text}.{key}"
        comma = CommaError(f"{text},{key}")
        return Fault(place, comma.message, comma.hint)
    whole = f"{text}, {key}"
    owner[before[-1]] = whole
    said = told("between `{{` and `}}` the comma after `{text}` ends the value", text=brief(text))
    return Fault(
        place, said, told('put all of it in quotes: `{before}: "{whole}"`', before=before[-1], whole=brief(whole))
    )


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
            return Fault(at.key(path), told("`{name}` has no value", name=name), _write(path, shape))
        return Fault(at.key(path[:-1]), told("`{name}` is missing", name=name), _write(path, shape))
    if kind == "extra_forbidden":
        return Fault(
            at.key(path), told("`{name}` is no key here", name=name), meant(name, _keys_at(path[:-1], shape))
        )
    cause = detail.get("ctx", {}).get("error")
    if isinstance(cause, UnclearQuantityError):
        place = at.key(path) if "[key]" in detail["loc"] else at.value(path)
        return Fault(place, cause.message, cause.hint)
    return Fault(
        at.value(path),
        told("{what} stands here", what=kind_of(detail["input"])),
        _BELONGS.get(kind, told("write keys and values ({keys})", keys=_listed(path, shape))),
    )


def _listed(path: Path, shape: type[BaseModel]) -> str:
    return ", ".join(_keys_at(path, shape)[:4])


def _write(path: Path, shape: type[BaseModel]) -> str:
    """What to write for a key: an example out of the schema, where it has one."""
    name = str(path[-1])
    for node in _nodes_at(path, shape):
        if node.get("examples"):
            return told("write `{name}: {value}`", name=name, value=node["examples"][0])
        if node.get("enum"):
            return told("write `{name}: {value}`", name=name, value=node["enum"][0])
    return told("write `{name}: …`", name=name)


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
