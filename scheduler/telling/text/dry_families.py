"""The families by group, each with the times that one looks for first."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from scheduler.model.material import Material
from scheduler.telling.dry_words import length
from scheduler.telling.text.sheet import Line, Sheet
from scheduler.telling.wording import counted, one_line

_TOLD = ("recoat", "paint_over", "sand", "handle", "use", "full")


def families_sheet(materials: Sequence[Material], width: int = 80, colour: bool = False, plain: bool = False) -> str:
    """The families under their groups; `plain` keeps to ASCII. Times: typical, at each profile's reference air."""
    sheet = Sheet(width, plain)
    ordered = sorted(materials, key=lambda material: (material.group, material.id))
    name = max((len(material.id) for material in ordered), default=0)
    for group, members in groupby(ordered, key=lambda material: material.group):
        sheet.add(Line(one_line(group), kind="heading"))
        for material in members:
            sheet.add(Line(_times(material), first=f"  {material.id:<{name}}  "))
    sheet.gap()
    count = "1 family" if len(ordered) == 1 else counted(len(ordered), "family", "families")
    sheet.add(Line(f"{count}. Typical times at the air of each profile; for your air: tackfree dry NAME --temp 68F"))
    return sheet.text(colour)


def _times(material: Material) -> str:
    """The first stage to go on with, and the last."""
    first = next((stage for name in _TOLD if (stage := material.stage(name))), material.stages[0])
    last = material.stages[-1]
    said = [f"{stage.stage} {length(stage.typical)}" for stage in dict.fromkeys((first, last))]
    return ", ".join(said)
