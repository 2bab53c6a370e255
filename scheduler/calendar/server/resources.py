"""A calendar file -> one resource for each event (RFC 4791, section 4.1), each marked with what was sent in it.

The mark says of which job it is, when the event was to be, and which content it had. It stays on the server with the
event, so that any later run, even one that follows a kill, can tell an event that a person moved from one that is
merely old, and one of this job from one of another.
"""

from __future__ import annotations

import hashlib
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, timedelta

import icalendar
from icalendar.prop import vText

from scheduler.calendar.server.merging import MARK, SUFFIX, WROTE, wrote
from scheduler.wallclock import to_minutes

_PARTS = 4
"""Of what MARK holds."""
Times = tuple[int | date, int | date]
"""Start and end: minutes (UTC), or days for events of whole days."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Resource:
    """One event as it is to be on the server. `digest` stands for all that it says."""

    uid: str
    times: Times
    digest: str
    body: bytes


@dataclass(frozen=True, slots=True, kw_only=True)
class EventThere:
    """One event as it is on the server. `times` is None if they can't be told.

    `job`, `sent_times` and `sent_digest` are what its mark says; None where the mark is gone. `data` is all of it.
    `cancelled`: it is still there, and somebody has called it off.
    """

    href: str
    etag: str | None
    uid: str
    times: Times | None
    job: str | None = None
    sent_times: str | None = None
    sent_digest: str | None = None
    data: str = ""
    cancelled: bool = False


def resources(file: bytes, job: str) -> dict[str, Resource]:
    """The live events of a calendar file that this program wrote, by UID. Withdrawn ones are left out.

    `job` is the id of the job, letters, digits and hyphens.
    """
    whole = icalendar.Calendar.from_ical(file)
    return {one.uid: one for one in _resources(whole, job)}


def _resources(whole: icalendar.Component, job: str) -> Iterator[Resource]:
    for event in whole.walk("VEVENT"):
        if event["status"] == "CANCELLED":
            continue
        uid, times = str(event["uid"]), _times(event)
        assert times is not None, "an event of this program has times"
        digest = hashlib.sha256(event.to_ical()).hexdigest()[:24]
        event.add(MARK, vText("/".join((job, times_text(times), digest))))
        event.add(WROTE, vText(wrote(event.to_ical())))
        alone = icalendar.Calendar()
        for name in ("prodid", "version", "calscale"):
            alone[name] = whole[name]
        if "TZID" in getattr(event["dtstart"], "params", {}):
            for zone in whole.walk("VTIMEZONE"):
                alone.add_component(zone)
        alone.add_component(event)
        yield Resource(uid=uid, times=times, digest=digest, body=alone.to_ical())


def found(href: str, etag: str | None, data: str) -> EventThere | None:
    """What a resource on the server is to us; None if it holds no event of this program."""
    if SUFFIX not in data.replace("\r\n ", "").replace("\n ", ""):
        return None
    try:
        events = icalendar.Calendar.from_ical(data).walk("VEVENT")
        uids = {str(event.get("uid", "")) for event in events}
    except Exception:  # not to be read at all: then it is not ours to touch
        return None
    uid = uids.pop() if len(uids) == 1 else ""
    if not uid.endswith(SUFFIX):
        return None
    # One that was made to repeat has more than one part, and is not where it was put.
    times = _times(events[0]) if len(events) == 1 and "rrule" not in events[0] else None
    cancelled = str(events[0].get("status", "")).upper() == "CANCELLED"
    one = EventThere(href=href, etag=etag, uid=uid, times=times, data=data, cancelled=cancelled)
    mark = str(events[0].get(MARK, "")).split("/")
    if len(mark) != _PARTS:
        return one
    job, start, end, digest = mark
    return replace(one, job=job, sent_times=f"{start}/{end}", sent_digest=digest)


def times_text(times: Times) -> str:
    """Start and end in one word: minutes since 1970, or days."""
    return "/".join(part.isoformat() if isinstance(part, date) else str(part) for part in times)


def _times(event: icalendar.Component) -> Times | None:
    try:
        start = event.decoded("dtstart")
        end = event.decoded("dtend") if "dtend" in event else _end(start, event)
        return _point(start), _point(end)
    except Exception:  # whatever a broken value raises: nobody can tell when it is
        return None


def _end(start: date, event: icalendar.Component) -> date:
    if "duration" not in event:
        return start if isinstance(start, datetime) else start + timedelta(days=1)
    lasts: timedelta = event.decoded("duration")
    return start.astimezone(UTC) + lasts if isinstance(start, datetime) else start + lasts


def _point(value: date) -> int | date:
    """The minute of a time (ValueError for one without a zone), or the day itself."""
    return to_minutes(value) if isinstance(value, datetime) else value
