"""Job and profiles -> task graph. Pure; networkx lives here."""

from __future__ import annotations

from scheduler.expanding.expand import expand

__all__ = ["expand"]
