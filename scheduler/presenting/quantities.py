"""What was measured, laid out and counted: a table for the person who measured, and the same for other programs."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import groupby
from math import ceil

from scheduler.model.job import Quantity
from scheduler.units import format_area, format_length, format_volume


def quantities_text(quantities: Iterable[Quantity], *, metric: bool) -> str:
    """The table, part by part; what the person gave is marked. Empty if there is none."""
    lines: list[str] = []
    for title, group in groupby(quantities, key=lambda quantity: quantity.title):
        rows = [(each.name, amount(each, metric=metric), each.given) for each in group]
        wide = max(len(name) for name, _, _ in rows)
        lines.append(title)
        lines += [f"  {name:<{wide}}  {said}{'  (as you gave it)' if given else ''}" for name, said, given in rows]
    return "\n".join(lines)


def quantities_data(quantities: Iterable[Quantity]) -> list[dict[str, object]]:
    """For JSON: metres, square and cubic metres, and pieces, as they were worked out."""
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
