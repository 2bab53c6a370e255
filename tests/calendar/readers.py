"""A calendar file as three independent libraries read it: icalendar, ical and vobject.

Each gives {uid: (start, end, sequence, status, transparent, summary, description, alarms)}; moments in UTC, days as
dates, alarms in seconds from the start. Readers that are no Python packages are in `tests.readers`.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import UTC, date, datetime, timedelta
from typing import Any

import icalendar
import vobject
from ical.calendar_stream import IcsCalendarStream

Read = dict[str, tuple[Any, ...]]


def _moment(value: Any) -> date:
    return value.astimezone(UTC) if isinstance(value, datetime) else value


def _seconds(value: Any) -> int:
    assert isinstance(value, timedelta), "every alarm of ours is relative to the start"
    return int(value.total_seconds())


def with_icalendar(file: bytes) -> Read:
    """collective/icalendar, the library that also wrote the file."""
    return {
        str(event["uid"]): (
            _moment(event.decoded("dtstart")),
            _moment(event.decoded("dtend")),
            int(event["sequence"]),
            str(event["status"]),
            str(event["transp"]) == "TRANSPARENT",
            str(event["summary"]),
            str(event.get("description", "")),
            [_seconds(alarm.decoded("trigger")) for alarm in event.walk("VALARM")],
        )
        for event in icalendar.Calendar.from_ical(file).walk("VEVENT")
    }


def with_ical(file: bytes) -> Read:
    """allenporter/ical: strict, refuses a whole file for one control character."""
    return {
        event.uid: (
            _moment(event.dtstart),
            _moment(event.dtend),
            event.sequence,
            event.status.value,
            event.transparency == "TRANSPARENT",
            event.summary,
            event.description or "",
            [_seconds(alarm.trigger) for alarm in event.alarm],
        )
        for event in IcsCalendarStream.calendar_from_ics(file.decode()).events
    }


def with_vobject(file: bytes) -> Read:
    """py-vobject, the reader of Radicale; follows the zone that stands in the file."""
    return {
        event.uid.value: (
            _moment(event.dtstart.value),
            _moment(event.dtend.value),
            int(event.sequence.value),
            event.status.value,
            event.transp.value == "TRANSPARENT",
            event.summary.value,
            event.description.value if hasattr(event, "description") else "",
            [_seconds(alarm.trigger.value) for alarm in event.contents.get("valarm", [])],
        )
        for event in vobject.readOne(file.decode()).vevent_list
    }


READERS: dict[str, Callable[[bytes], Read]] = {
    "icalendar": with_icalendar,
    "ical": with_ical,
    "vobject": with_vobject,
}
