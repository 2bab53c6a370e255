"""What becomes of every leaf of a job file: taken out, or put otherwise, it must show further down, or be a fault.

Downstream is all that planning, shopping and telling work with: the task graph, hours, rooms and their air, what is
on order and shared, quantities, measures and clock. Where things stand in the file plays no part, nor does what the
file said before it was worked out.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator
from copy import deepcopy
from dataclasses import fields, is_dataclass
from typing import Any, TypeAlias
from zoneinfo import ZoneInfo

from scheduler.errors import InputError, Place
from scheduler.expanding import expand
from scheduler.model.basics import Span
from scheduler.model.names import slug
from scheduler.reading.methods import read_methods
from scheduler.reading.shipped import shipped_profiles
from scheduler.reading.zonenames import in_fahrenheit
from scheduler.units import parse_length
from scheduler.wallclock import DAY
from scheduler.worktime import windows
from tests.support.scoped import unfolded

METHODS = read_methods(None).loaded
Where: TypeAlias = tuple[str | int, ...]
WEEKS = 12
"""So far ahead hours are compared; the days of a job that is tried lie in them."""


def text_of_data(data: Any) -> str:
    """A job file of plain data: JSON is YAML too."""
    return json.dumps(data, ensure_ascii=False, indent=1) + "\n"


def downstream(data: Any) -> Any:
    """All that the later stages see of a job, or the faults of it."""
    try:
        job, trade = unfolded(text_of_data(data))
        graph = expand(job, trade)
    except InputError as error:
        return tuple((fault.message, fault.hint) for fault in error.faults)
    span = Span(job.start, job.start + WEEKS * 7 * DAY)
    hours = windows(job, span, ZoneInfo(job.zone))
    margin = job.travel_margin if job.busy else 0
    given = (job.name, job.zone, job.start, job.metric, job.clock24, job.done_by, job.set_up, job.clear_up)
    around = (job.rooms, job.items, job.things, job.at_most, job.busy, margin, job.quantities, job.away)
    return _plain((given, hours, around, graph))


def is_fault(found: Any) -> bool:
    """Whether what `downstream` found are faults."""
    return all(isinstance(each, tuple) and len(each) == 2 and isinstance(each[0], str) for each in found)


def leaves(data: Any, path: Where = ()) -> Iterator[Where]:
    """The paths of all values that hold no others; an empty mapping or list is one."""
    if isinstance(data, dict) and data:
        for key, value in data.items():
            yield from leaves(value, (*path, key))
    elif isinstance(data, list) and data:
        for number, value in enumerate(data):
            yield from leaves(value, (*path, number))
    else:
        yield path


def at(data: Any, path: Where) -> Any:
    """The value at a path."""
    for key in path:
        data = data[key]
    return data


def without(data: Any, path: Where) -> Any:
    """The file with one leaf taken out."""
    copy = deepcopy(data)
    del at(copy, path[:-1])[path[-1]]
    return copy


def with_value(data: Any, path: Where, value: Any) -> Any:
    """The file with another value at a path."""
    copy = deepcopy(data)
    at(copy, path[:-1])[path[-1]] = value
    return copy


def _plain(value: Any) -> Any:
    if is_dataclass(value) and not isinstance(value, type):
        pairs = ((each.name, getattr(value, each.name)) for each in fields(value))
        return (type(value).__name__, *((name, _plain(part)) for name, part in pairs if not isinstance(part, Place)))
    if isinstance(value, dict):
        return tuple((key, _plain(part)) for key, part in sorted(value.items()))
    if isinstance(value, tuple | list):
        return tuple(_plain(part) for part in value)
    return value


_NUMBER = re.compile(r"\d+(?:\.\d+)?")
_WORDS = (
    ("floor", "ceiling"),
    ("north wall", "east wall", "south wall", "west wall"),
    ("old paint", "old texture", "nothing"),
)


def others(data: Any, path: Where) -> Iterator[Any]:
    """Other values that might stand at a path: another number, another word of its kind."""
    value = str(at(data, path))
    number = _NUMBER.search(value)
    if number and "-" not in value and ":" not in value:
        for factor in (2, 5, 0.4, 40):
            yield _NUMBER.sub(f"{round(float(number[0]) * factor, 2):g}", value, count=1)
    yield from (word for words in _WORDS if value in words for word in words if word != value)


def unseen(data: Any) -> list[tuple[Where, str]]:
    """The leaves that may be taken out and put otherwise, and nothing shows; each with what excuses it, if any."""
    whole = downstream(data)
    assert not is_fault(whole), whole
    found = []
    for path in leaves(data):
        if downstream(without(data, path)) != whole:
            continue
        changed = (downstream(with_value(data, path, value)) for value in others(data, path))
        if all(other == whole or is_fault(other) for other in changed):
            found.append((path, excuse(data, path)))
    return found


def excuse(data: Any, path: Where) -> str:
    """Why a leaf may change nothing; empty for one that may not."""
    return next((reason for reason, holds in EXCUSES.items() if holds(data, path, at(data, path))), "")


def _is_usual(data: Any, path: Where, value: Any) -> bool:
    of_zone = "US" if in_fahrenheit(str(data["zone"])) else "metric"
    face = "24 h" if data.get("measures", of_zone) == "metric" else "12 h"
    usual = {"people": "1", "coat": "1", "measures": of_zone, "quiet": "no", "stage": "end", "clock": face}
    if path[0] == "colours" and "on" not in data["colours"][path[1]]:
        usual["tape off"] = "none"
    if path[0] == "steps" and "lays" in data["steps"][path[1]]:
        usual |= {"pause": "no", "kind": "wet"}
    return str(value) == usual.get(str(path[-1]))


def _is_default(data: Any, path: Where, value: Any) -> bool:
    """Whether an option says what its method takes by default, or what another one on its part says too."""
    method = METHODS.get(slug(str(path[-2]))) if path[0] == "scope" and len(path) > 3 else None
    option = (
        next((each for each in method.options if slug(each.name) == slug(str(path[-1]))), None) if method else None
    )
    if option is None:
        return False
    if option.kind == "length":
        return abs(parse_length(str(value)) - float(option.default)) < 1e-9
    said_twice = option.kind == "choice" and str(data["scope"][path[1]]).count(f"'{path[-1]}'") > 1
    if option.kind == "number":
        return float(value) == option.default
    return said_twice or slug(str(value)) == slug(str(option.default))


def _is_only_room(data: Any, path: Where, value: Any) -> bool:
    if path[-1] != "room":
        return False
    measured = [name for name, room in data["rooms"].items() if "length" in room]
    return path[0] in ("steps", "colours") or len(measured) == 1


def _is_changed(data: Any, name: str, key: str) -> bool:
    """Whether a change says otherwise what a step, or the colour that a task is of, says under a key."""
    changes = data.get("changes", {}).items()
    return any(key in change for task, change in changes if task == name or task.startswith(f"{name}-coat-"))


def _profile_of(method: str) -> str:
    """The shipped profile of a method, as it is written."""
    return shipped_profiles().joinpath("methods", f"{slug(method)}.yaml").read_text("utf-8")


PART_KEYS = ("on", "from", "up to", "width", "around", "along")
ROOM_KEYS = ("openings", "walls", "length", "width", "height", "saw in")
EXCUSES: dict[str, Callable[[Any, Where, Any], bool]] = {
    "says what holds anyway": _is_usual,
    "says what the method would take anyway": _is_default,
    "names the only room, or that of its part": _is_only_room,
    "a room is described whole, also where nothing is done": lambda data, path, value: (
        path[0] == "rooms" and path[2] in ROOM_KEYS
    ),
    "the age of a house and the old stuff in it count where a caution asks for them": lambda data, path, value: (
        path[0] == "built" or "disturbs" in path
    ),
    "a part that only a colour lies on is named in faults alone": lambda data, path, value: (
        path[0] == "scope" and path[-1] == "title"
    ),
    "a part is measured whole, also where what is done to it is counted in pieces": lambda data, path, value: (
        path[0] == "scope" and path[2] in PART_KEYS
    ),
    "says what kind of surface its other keys make it": lambda data, path, value: (
        path[0] == "scope" and path[-1] == "surface"
    ),
    "changes a step to what it is": lambda data, path, value: path[0] == "changes",
    "is said otherwise under `changes`": lambda data, path, value: (
        path[0] in ("steps", "colours") and _is_changed(data, slug(str(path[1])), str(path[2]))
    ),
    "comes after what it lies over anyway": lambda data, path, value: path[0] == "scope" and path[2] == "over",
    "belongs to a step that is dropped": lambda data, path, value: path[0] == "scope" and bool(data.get("drop")),
    "says that two colours do not touch that do not": lambda data, path, value: (
        path[0] == "borders" and data["borders"][path[1]]["tape off"] == "none"
    ),
    "rules of hours may lie in one another: the larger number of people holds": lambda data, path, value: (
        path[0] == "hours" and len(data["hours"]) > 1
    ),
    "whoever reaches that high takes the ladder anyway": lambda data, path, value: (
        path[0] == "colours" and path[-2:] == ("takes", "step ladder") and value == 1
    ),
    "the first time of a method that takes no longer then": lambda data, path, value: (
        path[0] == "first time" and "\nlearning: 1\n" in _profile_of(value)
    ),
}
"""Leaves that may change nothing, by the reason."""
