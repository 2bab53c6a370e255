"""What was measured, laid out and counted: a table for the person who measured, and the same for other programs."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from itertools import groupby
from math import ceil

from scheduler.errors import Fault
from scheduler.model.job import Quantity
from scheduler.presenting.jsontext import json_text
from scheduler.units import format_area, format_length, format_volume

_HEADING = "What the labour and the amounts are reckoned from; `measured:` of a part takes\nyour own instead:"


def quantities_text(quantities: Iterable[Quantity], *, metric: bool) -> str:
    """The table, part by part, with what it is for; what the person gave is marked. Empty if there is none."""
    lines: list[str] = []
    for title, group in groupby(quantities, key=lambda quantity: quantity.title):
        rows = [(each.name, amount(each, metric=metric), each.given) for each in group]
        wide = max(len(name) for name, _, _ in rows)
        lines.append(title)
        lines += [f"  {name:<{wide}}  {said}{'  (as you gave it)' if given else ''}" for name, said, given in rows]
    return "\n".join([_HEADING, *lines]) if lines else ""


def check_json(faults: Sequence[Fault], steps: int, materials: Sequence[str], quantities: Iterable[Quantity]) -> str:
    """What a look over a job file found, for other programs; it is right if there is no fault."""
    whole = {
        "ok": not faults,
        "faults": [
            {
                "file": fault.place.file,
                "line": fault.place.line,
                "column": fault.place.column,
                "message": fault.message,
                "hint": fault.hint,
            }
            for fault in faults
        ],
        "steps": steps,
        "materials": list(materials),
        "quantities": _quantities(quantities),
    }
    return json_text(whole)


def _quantities(quantities: Iterable[Quantity]) -> list[dict[str, object]]:
    """Metres, square and cubic metres, and pieces, as they were worked out."""
    return [
        {
            "part": each.part,
            "quantity": each.name,
            "value": round(each.value, 4),
            "unit": each.unit,
            "given": each.given,
        }
        for each in quantities
    ]


def amount(quantity: Quantity, *, metric: bool) -> str:
    """The value in the person's own measures."""
    if quantity.unit == "m2":
        return format_area(quantity.value, metric=metric)
    if quantity.unit == "m3":
        return format_volume(quantity.value * 1000, metric=metric)
    if quantity.unit == "m":
        return format_length(quantity.value, metric=metric)
    return str(ceil(quantity.value - 1e-6))
