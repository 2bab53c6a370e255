"""What spoils a film for good: cold below which it forms none, frost, water that lies on it while it is wet."""

from __future__ import annotations

from collections.abc import Sequence
from zoneinfo import ZoneInfo

from scheduler.drying import say
from scheduler.drying.air import AirPiece, clipped
from scheduler.model.basics import Span
from scheduler.model.drytable import Spoilt
from scheduler.model.material import Material

FREEZING = 0.0
"""°C at which water freezes."""

_SATURATED = 1 - 1e-9


def spoilt(material: Material, pieces: Sequence[AirPiece], start: int, until: int) -> Spoilt | None:
    """The first thing in this air that spoils a film laid at `start`, before the minute at which it is past that."""
    what = material.spoils
    if what is None:
        return None
    for piece in clipped(pieces, Span(start, until)):
        if what.below is not None and piece.temp < what.below - 1e-9:
            kind = "frost" if piece.temp <= FREEZING else "cold"
            return Spoilt(
                kind=kind, at=piece.start, value=piece.temp, bound=what.below, until=what.until, source=what.source
            )
        if what.wet and piece.humidity >= _SATURATED:
            return Spoilt(
                kind="water", at=piece.start, value=piece.temp, bound=None, until=what.until, source=what.source
            )
    return None


def spoilt_said(found: Spoilt, zone: ZoneInfo, *, metric: bool) -> str:
    """The same in a sentence, with what is left to do."""
    at, stage = say.moment(found.at, zone), say.stage(found.until)
    temp = say.temperature(found.value, metric)
    if found.kind == "water":
        why = f"at {at} the air is saturated, and water lies on what is not at {stage} yet"
    else:
        bound = say.temperature(found.bound or 0.0, metric)
        does = "it freezes" if found.kind == "frost" else f"below {bound} it forms no film"
        why = f"at {at} it is {temp}, and {does} before it is at {stage}"
    return f"spoilt, not slow: {why}. Warmth afterwards does not mend that: take it off or sand it back, lay it again"
