"""Job and profiles -> task graph. Pure."""

from __future__ import annotations

from scheduler.expanding.expand import expand, expand_as_far
from scheduler.expanding.hindsight import in_hindsight
from scheduler.expanding.scope import unfold, unfold_as_far

__all__ = ["expand", "expand_as_far", "in_hindsight", "unfold", "unfold_as_far"]
