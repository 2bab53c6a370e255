"""What spoils a film for good: cold below which it forms none, frost, water that lies on it while it is wet."""

from __future__ import annotations

from collections.abc import Sequence

from scheduler.drying import say
from scheduler.drying.air import AirPiece, clipped
from scheduler.model.basics import Span
from scheduler.model.drytable import Spoilt
from scheduler.model.material import Material
from scheduler.model.message import Message, Value, message

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


def spoilt_told(found: Spoilt, *, metric: bool) -> Message:
    """The same as a record, with what is left to do."""
    shown: dict[str, Value] = {"at": found.at, "stage": found.until, "value": say.temperature(found.value, metric)}
    why = message(
        f"spoilt.{found.kind}",
        bound=f"{say.bound(found.bound or 0.0, metric, least=True)} {say.unit(metric)}",
        **shown,
    )
    return message("spoilt", why=why)
