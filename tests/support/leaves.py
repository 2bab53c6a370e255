"""What becomes of every leaf of a job file: taken out, or put otherwise, it must show further down, or be a fault.

Downstream is all that planning, shopping and telling work with: the task graph, hours, rooms and their air, what is on
order and shared, quantities, measures and clock. Where things stand in the file plays no part, nor does what the file
said before it was worked out.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator
from copy import deepcopy
from dataclasses import fields, is_dataclass
from typing import Any, TypeAlias
from zoneinfo import ZoneInfo

from scheduler.errors import InputError, Place
from scheduler.expanding import expand
from scheduler.model.basics import Span
from scheduler.wallclock import DAY
from scheduler.worktime import windows
from tests.support.scoped import unfolded

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
    around = (job.rooms, job.items, job.things, job.busy, margin, job.quantities, job.away)
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


def others(data: Any, path: Where) -> Iterator[Any]:
    """Other values that might stand at a path: another number, the other words of its kind."""
    value = str(at(data, path))
    for factor in (2, 3, 0.5):
        if _NUMBER.search(value) and "-" not in value and ":" not in value:
            yield _NUMBER.sub(lambda found: f"{float(found[0]) * factor:g}", value, count=1)
    yield from (word for words in WORDS if value in words for word in words if word != value)


WORDS = (
    ("floor", "ceiling"),
    ("north wall", "east wall", "south wall", "west wall"),
    ("yes", "no"),
)


def unseen(data: Any) -> list[Where]:
    """The leaves that may be taken out, or put otherwise, and nothing shows."""
    whole = downstream(data)
    if is_fault(whole):
        raise AssertionError(f"this job is none: {whole}")
    found = []
    for path in leaves(data):
        changed = downstream(without(data, path))
        if changed == whole:
            found.append(path)
    return found
