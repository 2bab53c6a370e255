"""The door to recurring-ical-events: which start an exception takes out, which one an override stands for, and how
"this and all following" moves the rest.

It is handed bare readings of one clock: no zone, no rule, no text. Each of these has made it, or what it stands on,
hang, raise for a whole calendar, or be an hour off; and a date would not match a time.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from datetime import datetime
from typing import Any

from icalendar import Event as Component
from icalendar.prop import vDDDLists, vDDDTypes
from recurring_ical_events import EventAdapter, Occurrence, Series  # type: ignore[import-untyped]

from scheduler.reading.busy.events import Event
from scheduler.reading.busy.guard import UnusableError


class _Adapter(EventAdapter):  # type: ignore[misc]
    """An event of ours in the library's hands."""

    def __init__(self, component: Component, event: Event) -> None:
        super().__init__(component)
        self.event = event


class _Occurrence(Occurrence):  # type: ignore[misc]
    """An occurrence that still knows whose it is."""

    def __init__(self, adapter: _Adapter, *when: Any, **more: Any) -> None:
        super().__init__(adapter, *when, **more)
        self.event = adapter.event


class _Series(Series):  # type: ignore[misc]
    def occurrence(self, adapter: _Adapter, start: Any = None, end: Any = None) -> _Occurrence:
        return _Occurrence(adapter, start, end)


def place(
    core: Event,
    dates: Iterable[datetime],
    excluded: Iterable[datetime],
    overrides: Mapping[datetime, Event],
    low: datetime,
    high: datetime,
) -> Iterator[tuple[Event, datetime]]:
    """Each occurrence between two readings of the core's clock: the event that it follows, and its start.

    The start of the core is one of the dates in any case (RFC 5545, section 3.8.5.3). Raises UnusableError.
    """
    whole = _component(core, core)
    whole["RDATE"] = vDDDLists(sorted(dates))
    whole["EXDATE"] = vDDDLists(sorted(excluded))
    adapters = [_Adapter(whole, core)]
    for replaced, event in overrides.items():
        component = _component(event, core)
        component["RECURRENCE-ID"] = vDDDTypes(replaced)
        if event.onward:
            component["RECURRENCE-ID"].params["RANGE"] = "THISANDFUTURE"
        adapters.append(_Adapter(component, event))
    try:
        found = list(_Series(adapters).between(low, high))
    except (ArithmeticError, LookupError, TypeError, ValueError):
        raise UnusableError("the dates of this event can't be put together") from None
    for occurrence in found:
        yield occurrence.event, occurrence.start


def _component(event: Event, core: Event) -> Component:
    component = Component()
    start = event.on_the_clock_of(core.zone)
    component["UID"] = "series"
    component["DTSTART"] = vDDDTypes(start)
    component["DTEND"] = vDDDTypes(start + event.length.rough)
    return component
