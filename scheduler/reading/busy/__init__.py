"""Calendars of the household -> the minutes in which nobody can work. What a calendar says is never shown."""

from __future__ import annotations

from scheduler.reading.busy.reader import Busy, busy_on_server, read_busy, with_margin

__all__ = ["Busy", "busy_on_server", "read_busy", "with_margin"]
