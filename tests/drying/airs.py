"""Air for tests of the dry clock."""

from __future__ import annotations

from scheduler.drying.air import AirPiece
from scheduler.model.basics import Span


def constant_air(temp: float, humidity: float, span: Span) -> tuple[AirPiece, ...]:
    """The same air (°C, fraction) over the whole span."""
    return (AirPiece(span.start, span.end, temp, humidity),)
