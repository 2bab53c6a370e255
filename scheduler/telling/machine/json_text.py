"""How everything that other programs read is written: the form of the JSON, and of the moments in it."""

from __future__ import annotations

import json
from zoneinfo import ZoneInfo

from scheduler.wallclock import NEVER, to_datetime


def json_text(value: object) -> str:
    """A value as JSON in ASCII, the same bytes for the same value. Raises ValueError for what is no number."""
    return json.dumps(value, indent=2, ensure_ascii=True, allow_nan=False) + "\n"


def moment(minute: int, zone: ZoneInfo) -> str:
    """ISO 8601 with the offset that holds at that moment: `2027-01-09T08:30:00-05:00`."""
    return to_datetime(minute, zone).isoformat()


def moment_or_none(minute: int | None, zone: ZoneInfo) -> str | None:
    """As `moment`; None for no moment and for one that lies beyond everything known."""
    return None if minute is None or minute >= NEVER else moment(minute, zone)
