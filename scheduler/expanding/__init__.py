"""Job and profiles -> task graph. Pure."""

from __future__ import annotations

from scheduler.expanding.expand import expand
from scheduler.expanding.hindsight import in_hindsight
from scheduler.expanding.scope import unfold

__all__ = ["expand", "in_hindsight", "unfold"]
