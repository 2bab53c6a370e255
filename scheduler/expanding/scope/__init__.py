"""A measured room and methods -> steps, colours and borders with all that they use. Pure."""

from __future__ import annotations

from scheduler.expanding.scope.unfold import unfold, unfold_as_far

__all__ = ["unfold", "unfold_as_far"]
