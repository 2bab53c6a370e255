"""Hours, days away and busy calendars -> work windows. Pure."""

from __future__ import annotations

from scheduler.worktime.hours import windows

__all__ = ["windows"]
