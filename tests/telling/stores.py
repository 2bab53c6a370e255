"""What becomes of a calendar that takes one file after the other, by RFC 5546 or by being replaced whole."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, datetime
from typing import Any

import icalendar


@dataclass
class Store:
    """A calendar that keeps to RFC 5546, section 2.1.5: by UID, the higher SEQUENCE wins, then the later DTSTAMP."""

    events: dict[str, tuple[int, datetime, dict[str, Any]]]

    def take(self, file: bytes) -> None:
        self.take_events(icalendar.Calendar.from_ical(file).walk("VEVENT"))

    def take_events(self, events: Iterable[Any]) -> None:
        for event in events:
            name = str(event["uid"])
            version = (int(event["sequence"]), event.decoded("dtstamp"))
            if name not in self.events or version > self.events[name][:2]:
                self.events[name] = (*version, properties(event))

    def live(self) -> dict[str, dict[str, Any]]:
        return {name: seen for name, (_, _, seen) in self.events.items() if seen["status"] != "CANCELLED"}


def properties(event: Any) -> dict[str, Any]:
    """What a person sees of an event: all but the version."""
    seen: dict[str, Any] = {name: str(event.get(name, "")) for name in ("summary", "description", "status", "transp")}
    seen |= {name: event.decoded(name) for name in ("dtstart", "dtend")}
    return seen | {"alarms": [alarm.decoded("trigger") for alarm in event.walk("VALARM")]}


def live_events(file: bytes) -> dict[str, dict[str, Any]]:
    store = Store({})
    store.take(file)
    return store.live()


def things(seen: dict[str, dict[str, Any]]) -> list[tuple[Any, ...]]:
    """Events without their UIDs, in an order."""
    return sorted(
        (str(e["dtstart"]), str(e["dtend"]), e["summary"], e["description"], e["transp"], str(e["alarms"]))
        for e in seen.values()
    )


def ended_by(end: str, moment: datetime) -> bool:
    """Whether an end, a moment or a day, is not after a moment."""
    return date.fromisoformat(end) <= moment.date() if len(end) == 10 else datetime.fromisoformat(end) <= moment
