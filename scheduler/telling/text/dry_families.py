"""The families by group, each with the times that one looks for first."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import groupby

from scheduler.model.material import Material
from scheduler.model.tradewords import ENGLISH
from scheduler.telling.dry_words import length
from scheduler.telling.text.dry import group_word
from scheduler.telling.text.sheet import Line, Sheet
from scheduler.telling.words import Words

_TOLD = ("recoat", "paint_over", "sand", "handle", "use", "full")


def families_sheet(
    materials: Sequence[Material], width: int = 80, colour: bool = False, plain: bool = False, lang: str = ENGLISH
) -> str:
    """The families under their groups; `plain` keeps to ASCII. Times: typical, at each profile's reference air."""
    sheet, words = Sheet(width, plain), Words(lang=lang)
    ordered = sorted(materials, key=lambda material: (material.group, material.id))
    name = max((len(material.id) for material in ordered), default=0)
    for group, members in groupby(ordered, key=lambda material: material.group):
        sheet.add(Line(group_word(words, group), kind="heading"))
        for material in members:
            sheet.add(Line(_times(material, words), first=f"  {material.id:<{name}}  "))
    sheet.gap()
    sheet.add(Line(words.tell("dry.families", families=words.counted("family", len(ordered)))))
    return sheet.text(colour)


def _times(material: Material, words: Words) -> str:
    """The first stage to go on with, and the last."""
    first = next((stage for name in _TOLD if (stage := material.stage(name))), material.stages[0])
    last = material.stages[-1]
    said = [f"{words.of('stage', stage.stage)} {length(stage.typical)}" for stage in dict.fromkeys((first, last))]
    return words.figures(", ".join(said))
