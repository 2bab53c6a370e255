"""Kinds of calendars that a plan is handed to, beside those of `tests.telling.stores`: one that is kept by hand, and
one on a server, in which people write as well."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, datetime
from hashlib import sha256
from typing import Any

import icalendar

from scheduler.calendar.server.merging import merged
from scheduler.calendar.server.resources import EventThere, Resource, found
from tests.support.lives import ZONE

Times = tuple[date, date]


class Paper:
    """A calendar in which a person does everything by hand: {name: (title, times)}. What they add has a name of its
    own, and no version ever rises."""

    def __init__(self, file: bytes) -> None:
        self.events: dict[str, tuple[str, Times]] = {
            str(event["uid"]): (str(event["summary"]), (event.decoded("dtstart"), event.decoded("dtend")))
            for event in icalendar.Calendar.from_ical(file).walk("VEVENT")
            if event.get("status") != "CANCELLED"
        }
        self._added = 0

    def carry_over(self, listed: dict[str, Any]) -> None:
        """What the list says, as it says it: an event is looked for by its title and its times."""
        for change in (*listed["move"], *listed["rename"]):
            self.events[self._named(change)] = self._event(change["now"])
        for gone in listed["delete"]:
            del self.events[self._named(gone)]
        for new in listed["add"]:
            self._added += 1
            self.events[f"made-by-hand-{self._added}@elsewhere.example"] = self._event(new)

    def named(self, title: str, start: date, end: date) -> str:
        """The name of the event of that title at that time."""
        found = [name for name, event in self.events.items() if event == (title, (start, end))]
        assert found, f"there is no such event: {title}, {start}"
        return found[0]

    def _named(self, said: dict[str, Any]) -> str:
        wanted = self._event(said)
        found = [name for name, event in self.events.items() if event == wanted]
        assert found, f"the list names what does not stand there: {said}"
        return found[0]

    @staticmethod
    def _event(said: dict[str, Any]) -> tuple[str, Times]:
        start, end = (
            datetime.fromisoformat(said[name]) if "T" in said[name] else date.fromisoformat(said[name])
            for name in ("from", "to")
        )
        return said["title"], (start, end)

    def export(self) -> bytes:
        whole = icalendar.Calendar()
        whole.add("prodid", "-//somebody else//EN")
        whole.add("version", "2.0")
        for name, (title, (start, end)) in self.events.items():
            event = icalendar.Event()
            event.add("uid", name)
            event.add("dtstamp", datetime(2027, 1, 1, tzinfo=ZONE))
            event.add("summary", title)
            event.add("dtstart", start)
            event.add("dtend", end)
            whole.add_component(event)
        return whole.to_ical()

    def shown(self) -> list[tuple[str, str, str]]:
        """What a person sees: titles and times, in an order."""
        return sorted((title, str(_utc(start)), str(_utc(end))) for title, (start, end) in self.events.values())


def _utc(value: date) -> date:
    return value.astimezone(ZONE) if isinstance(value, datetime) else value


@dataclass
class Online:
    """A collection on a server, in memory: what `calendar.server.client.Server` is to whoever publishes."""

    texts: dict[str, str] = field(default_factory=dict)

    def events(self) -> tuple[EventThere, ...]:
        return tuple(each for uid, text in self.texts.items() if (each := found(uid, _tag(text), text)))

    def put(self, resource: Resource, there: EventThere | None) -> None:
        body = resource.body if there is None else merged(resource.body, there.data)
        self.texts[resource.uid] = body.decode()

    def remove(self, there: EventThere) -> None:
        del self.texts[there.uid]

    def edit(self, uid: str, values: Mapping[str, Any]) -> None:
        """What a person changes in a calendar program."""
        whole = icalendar.Calendar.from_ical(self.texts[uid])
        event = whole.walk("VEVENT")[0]
        for name, value in values.items():
            if name in ("dtstart", "dtend"):
                event.pop(name)
            event.add(name, value)
        event["sequence"] = int(event["sequence"]) + 1
        self.texts[uid] = whole.to_ical().decode()

    def event(self, uid: str) -> Any:
        return icalendar.Calendar.from_ical(self.texts[uid]).walk("VEVENT")[0]

    def export(self) -> bytes:
        return "".join(self.texts.values()).encode()

    def times(self) -> dict[str, tuple[date, date]]:
        events = {uid: self.event(uid) for uid in self.texts}
        return {uid: (event.decoded("dtstart"), event.decoded("dtend")) for uid, event in events.items()}


def _tag(text: str) -> str:
    return sha256(text.encode()).hexdigest()[:8]
