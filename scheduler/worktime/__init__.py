"""Hours, days away and busy calendars -> work windows. Pure."""

from __future__ import annotations

from scheduler.worktime.hours import going_on, windows

__all__ = ["going_on", "windows"]
