"""What an event of the diary says of itself in one language: its fields fill in the pattern of its kind.

Each table of the language has one pattern for a kind of event, with the names of its fields: `diary.late`.
What an event need not say has a pattern of its own that follows where it is said (`diary.took`), and a table has
another one for a kind of which a field is false (`diary.not felt`).
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from scheduler.model.diary import Event, EventField, fields_of, name_of
from scheduler.telling.wording import one_line
from scheduler.telling.words import Tellable, Words
from scheduler.units import format_fraction, format_temp


def told_of(
    event: Event, table: str, words: Words, title: Callable[[str, str], str], *, metric: bool = True
) -> str | None:
    """The sentence of an event in a table of the language; None where that has none for its kind. `title` says how
    the step, item, room or thing of a name is called."""
    said = {field: value for field in fields_of(name_of(event)) if (value := getattr(event, field.name)) is not None}
    name, is_not = name_of(event), any(value is False for value in said.values())
    kinds = [f"{table}.not {name}" if is_not else "", f"{table}.{name}"]
    kind = next((each for each in kinds if each in words.patterns), None)
    if kind is None:
        return None
    more = [f"{table}.{field.name}" for field in said if field.maybe]
    values = {field.name: _worded(field, value, title, metric) for field, value in said.items()}
    return "".join(words.filled(each, values) for each in (kind, *more) if each in words.patterns)


def _worded(field: EventField, value: Any, title: Callable[[str, str], str], metric: bool) -> Tellable:
    """The value of a field as a pattern takes it: names as titles, times as they are, of pieces the end."""
    match field.written.sort:
        case "step" | "item" | "room" | "thing" as kind:
            return title(kind, value)
        case "pieces":
            return int(value[-1].end)
        case "°C":
            return format_temp(value, metric=metric)
        case "fraction":
            return format_fraction(value)
        case "text":
            return one_line(value)
    found: Tellable = value
    return found
