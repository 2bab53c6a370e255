"""Where battens stand and sheets are cut: counts and lengths by spacing. Metres throughout.

Battens divide each stretch of wall between its ends (or an opening) into equal fields no wider than the spacing, one
batten at either end. Sheets are as many whole fields wide as one sheet covers, so that each seam lies under a batten;
a field never counts for less than the spacing, so that a longer wall never takes fewer sheets. Where openings stand
in their wall is not asked: they are taken to stand evenly spread. Openings carry short battens above and below.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass

from scheduler.expanding.scope.geometry import EPS, MeasuredRoom, Strip


@dataclass(frozen=True, slots=True)
class Field:
    """A stretch of wall without an opening, `width` by `height`; `ends` if it has battens of its own at both ends."""

    width: float
    height: float
    ends: bool


@dataclass(frozen=True, slots=True)
class Grid:
    """The layout that a person asks for, in metres; `spacing` from middle to middle, `batten` the width of one."""

    spacing: float
    batten: float
    sheet_width: float
    sheet_height: float
    rails: float
    """The height that rails take away from a batten."""


def fields(site: MeasuredRoom, strips: Iterable[Strip]) -> list[Field]:
    """The stretches of all bands."""
    found: list[Field] = []
    for strip in strips:
        cuts = [opening for opening, _ in site.openings(strip)]
        left = max(0.0, strip.width - sum(opening.width for opening in cuts))
        found += [Field(left / (len(cuts) + 1), strip.height, True)] * (len(cuts) + 1)
        for opening in cuts:
            head = opening.sill + opening.height
            for height in (opening.sill - strip.start, strip.top - head):
                if height > EPS:
                    found.append(Field(opening.width, height, False))
    return [field for field in found if field.width > EPS and field.height > EPS]


def spaces(field: Field, grid: Grid) -> int:
    """How many fields between battens a stretch has."""
    clear = field.width - grid.batten if field.ends else field.width
    return max(1, math.ceil(clear / grid.spacing - EPS))


def battens(layout: Iterable[Field], grid: Grid) -> list[float]:
    """The length of every batten, metres."""
    lengths: list[float] = []
    for field in layout:
        count = spaces(field, grid) + (1 if field.ends else -1)
        length = field.height - (grid.rails if field.ends else grid.rails / 2)
        lengths += [max(0.0, length)] * count
    return [length for length in lengths if length > EPS]


def pieces(layout: Iterable[Field], grid: Grid) -> list[tuple[float, int]]:
    """The sheets' pieces as (height, how many stand side by side), in as many rows as the height asks for."""
    across = math.floor(grid.sheet_width / grid.spacing + EPS)
    cut: list[tuple[float, int]] = []
    for field in layout:
        count = -(-spaces(field, grid) // across)
        rows = math.ceil(field.height / grid.sheet_height - EPS)
        cut += [(grid.sheet_height, count)] * (rows - 1)
        cut.append((field.height - (rows - 1) * grid.sheet_height, count))
    return cut


def sheets(layout: Iterable[Field], grid: Grid) -> float:
    """Whole sheets to buy: of a low piece several come out of one sheet."""
    share = sum(count / math.floor(grid.sheet_height / height + EPS) for height, count in pieces(layout, grid))
    return float(math.ceil(share - 1e-6))


def seam_run(layout: Iterable[Field], grid: Grid) -> float:
    """The length of all upright seams inside the stretches, metres."""
    return sum((count - 1) * height for height, count in pieces(layout, grid))


def too_wide(grid: Grid) -> bool:
    """Whether battens stand further apart than a sheet is wide: a seam would lie bare."""
    return grid.spacing > grid.sheet_width + EPS
