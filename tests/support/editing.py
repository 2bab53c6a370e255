"""A job file with an edit made in it: everything else, comments included, stays as the person wrote it."""

from __future__ import annotations

import io
import re
from collections.abc import Sequence
from datetime import date
from typing import Any

from ruamel.yaml import YAML

from scheduler.model.foresight import Add, Drop, Edit, Put, Written

_DATE = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
_NUMBER = re.compile(r"[1-9][0-9]{0,8}")
_WIDTH = 4096
"""Columns before the writer would fold a line: never."""


def apply_edit(text: str, edit: Edit) -> str:
    """The text of a job file after an edit; a mapping that is missing on the way to what is put is made.

    Raises KeyError if a path leads nowhere.
    """
    yaml = YAML()
    yaml.preserve_quotes = True
    yaml.width = _WIDTH
    yaml.indent(mapping=2, sequence=4, offset=2)
    data = yaml.load(text)
    for part in edit:
        if isinstance(part, Drop):
            _drop(data, part.path)
        elif isinstance(part, Add):
            _add(data, part)
        else:
            _put(data, part)
    out = io.StringIO()
    yaml.dump(data, out)
    return out.getvalue()


def _inside(data: Any, path: Sequence[str | int]) -> Any:
    """What stands at a path."""
    for step in path:
        try:
            data = data[step]
        except (TypeError, IndexError, KeyError):
            raise KeyError(f"nothing stands at {step!r}") from None
    return data


def _put(data: Any, part: Put) -> None:
    for step in part.path[:-1]:
        if isinstance(step, str) and isinstance(data, dict) and data.get(step) is None:
            data[step] = {}
        data = _inside(data, (step,))
    data[part.path[-1]] = _plain(part.value)


def _add(data: Any, part: Add) -> None:
    holder, key = _inside(data, part.path[:-1]), part.path[-1]
    there = holder.get(key)
    value = _plain(part.value)
    if isinstance(there, list):
        there.append(value)
    else:
        holder[key] = [value] if there is None else [there, value]


def _drop(data: Any, path: Sequence[str | int]) -> None:
    holder = _inside(data, path[:-1])
    _inside(holder, path[-1:])
    del holder[path[-1]]
    if len(path) > 1 and not holder:
        _drop(data, path[:-1])


def _plain(value: Written) -> object:
    """Dates and numbers as such, so that they are written without quotes."""
    if isinstance(value, list):
        return [_plain(part) for part in value]
    if isinstance(value, dict):
        return {key: _plain(part) for key, part in value.items()}
    if _DATE.fullmatch(value):
        return date.fromisoformat(value)
    return int(value) if _NUMBER.fullmatch(value) else value
