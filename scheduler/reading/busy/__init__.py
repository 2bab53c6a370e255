"""Calendars of the household -> the minutes in which nobody can work. What a calendar says is never shown."""

from __future__ import annotations

from scheduler.reading.busy.reader import Busy, read_busy

__all__ = ["Busy", "read_busy"]
