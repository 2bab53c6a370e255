"""Job and profiles -> task graph. Pure."""

from __future__ import annotations

from scheduler.expanding.expand import expand
from scheduler.expanding.scope import unfold

__all__ = ["expand", "unfold"]
