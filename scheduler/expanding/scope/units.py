"""What must not show a seam: a wall, a leaf, a board, a joint.

Within it paint is laid wet into wet, between two the work may rest (common practice, no source).
"""

from __future__ import annotations

from math import ceil

from scheduler.expanding.scope.geometry import EPS, MeasuredRoom, casing
from scheduler.expanding.scope.quantities import measured, strips_below
from scheduler.model.scope import Part

JOINT = 8 * 0.3048
"""Metres of a joint or a moulding that are done in one go at most, where nobody says what lengths it has."""


def largest_unit(site: MeasuredRoom, part: Part) -> float:
    """The largest unit of a part as a share of it, 0 to 1; 1 where it is one unit, as a ceiling or a floor is."""
    members = [site.part(name) for name in part.of] or [part]
    if any(each.of for each in members):
        return 1.0
    sizes = [size for each in members for size in _units(site, each)]
    whole = sum(sizes)
    return max(sizes) / whole if whole > 0 else 1.0


def _units(site: MeasuredRoom, part: Part) -> list[float]:
    """The sizes of the units of one surface, in what all of its kind are measured by."""
    found = measured(site, part)
    if part.kind in ("walls", "panel") and part.area is None:
        strips = strips_below(site, part)
        walls = dict.fromkeys(strip.wall.id for strip in strips)
        return [sum(one.width * one.height for one in strips if one.wall.id == wall) for wall in walls]
    if part.kind == "doors" and found["leaves"] >= 1:
        return [found["area"] / found["leaves"]] * int(found["leaves"])
    if part.kind == "trim" and part.length is None:
        return [*site.moulded(part), *(sum(casing(opening)) for opening in site.cased(part))]
    if part.kind == "other" and part.count:
        return [(found["area"] or 1.0) / part.count] * part.count
    if part.kind in ("other", "trim") and part.length:
        return [1.0] * ceil(part.length / JOINT - EPS)
    return [found["area"] or found["run"]]
