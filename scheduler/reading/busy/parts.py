"""Content lines -> the calendars of a file: their events and time zones as they are written, nothing interpreted."""

from __future__ import annotations

from dataclasses import dataclass, field

from scheduler.reading.busy.guard import MAX_DEPTH, MAX_PROPERTIES, Guard
from scheduler.reading.busy.lines import Property, properties
from scheduler.told import told

_EVENT = frozenset(
    ["DTSTART", "DTEND", "DURATION", "RRULE", "RDATE", "EXDATE", "EXRULE", "RECURRENCE-ID", "UID", "SEQUENCE"]
).union(["DTSTAMP", "STATUS", "TRANSP", "X-MICROSOFT-CDO-BUSYSTATUS"])
_INVITED = frozenset(["ATTENDEE"])
_AVAILABILITY = frozenset(["DTSTART", "DTEND", "DURATION", "PRIORITY"])
_ZONE = frozenset(["TZID"])
_CALENDAR = frozenset(["X-WR-TIMEZONE", "CALSCALE", "METHOD"])
_ONSET = frozenset(["DTSTART", "RRULE", "RDATE", "TZOFFSETFROM", "TZOFFSETTO"])

# What is kept of which component. Titles, places, alarms and attachments are not: they are never read. Of people only
# the address of whoever is invited is looked at, to find out which invitations the owner of the calendar declined.
_KEPT = {
    ("VCALENDAR",): _CALENDAR,
    ("VCALENDAR", "VEVENT"): _EVENT | _INVITED,
    ("VCALENDAR", "VFREEBUSY"): frozenset(["FREEBUSY"]),
    ("VCALENDAR", "VAVAILABILITY"): _AVAILABILITY,
    ("VCALENDAR", "VAVAILABILITY", "AVAILABLE"): _EVENT,
    ("VCALENDAR", "VTIMEZONE"): _ZONE,
    ("VCALENDAR", "VTIMEZONE", "STANDARD"): _ONSET,
    ("VCALENDAR", "VTIMEZONE", "DAYLIGHT"): _ONSET,
}
_WANTED = frozenset(["BEGIN", "END"]).union(*_KEPT.values())
_TITLE = "SUMMARY"


@dataclass(slots=True)
class Component:
    """One component: where it begins, its properties, the components in it. `whole`: its own END came in time."""

    kind: str
    line: int
    properties: list[Property] = field(default_factory=list)
    parts: list[Component] = field(default_factory=list)
    whole: bool = False

    def all(self, name: str) -> list[Property]:
        """The properties of that name, in the order of the file."""
        return [one for one in self.properties if one.name == name]

    def first(self, name: str) -> Property | None:
        """The first property of that name."""
        return next((one for one in self.properties if one.name == name), None)

    def text(self, name: str) -> str:
        """The value of the first property of that name in capitals, or an empty text."""
        found = self.first(name)
        return found.value.upper() if found else ""


def calendars(data: bytes, guard: Guard, *, titles: bool = False) -> list[Component]:
    """The VCALENDARs of a file, with the titles of events only if `titles` says so. Raises InputError for what is
    none, is nested too deep, or has too many parts."""
    _check_beginning(data, guard)
    root = Component("", 0)
    stack, kept = [root], frozenset[str]()
    for one in properties(data, _WANTED | {_TITLE} if titles else _WANTED, guard):
        if one.name == "BEGIN":
            guard.count_part(one.line)
            if len(stack) > MAX_DEPTH:
                guard.refuse(one.line, told("more than {max_depth} parts inside one another", max_depth=MAX_DEPTH))
            part = Component(one.value.upper(), one.line)
            stack[-1].parts.append(part)
            stack.append(part)
            kept = _kept(stack)
        elif one.name == "END":
            _close(stack, one.value.upper())
            kept = _kept(stack)
        elif one.name in kept or (one.name == _TITLE and stack[-1].kind == "VEVENT"):
            stack[-1].properties.append(one)
            if len(stack[-1].properties) > MAX_PROPERTIES:
                guard.refuse(
                    one.line,
                    told(
                        "more than {max_properties} lines of dates in one event or zone",
                        max_properties=MAX_PROPERTIES,
                    ),
                )
    found = [part for part in root.parts if part.kind == "VCALENDAR"]
    if not all(part.whole for part in found):
        guard.note(found[-1].line, "this calendar has no end (END:VCALENDAR); a part of it may be missing")
    return found


def _kept(stack: list[Component]) -> frozenset[str]:
    return _KEPT.get(tuple(part.kind for part in stack[1:]), frozenset())


def _close(stack: list[Component], kind: str) -> None:
    """Ends the innermost part of that kind; whatever is still open in it stays without an end of its own."""
    for depth in range(len(stack) - 1, 0, -1):
        if stack[depth].kind == kind:
            stack[depth].whole = depth == len(stack) - 1 or kind == "VCALENDAR"
            del stack[depth:]
            return


def _check_beginning(data: bytes, guard: Guard) -> None:
    """A calendar begins with BEGIN:VCALENDAR; a page to sign in on is what is mostly saved instead."""
    start = data[:2_000].removeprefix(b"\xef\xbb\xbf").lstrip()
    hint = "export or download the calendar itself; its file begins with BEGIN:VCALENDAR"
    if start[:15].upper() == b"BEGIN:VCALENDAR":
        return
    if not data:
        guard.refuse(1, "this file is empty", hint)
    if start.startswith(b"<"):
        guard.refuse(1, "this is a web page (perhaps one to sign in on), no calendar", hint)
    if b"\0" in data[:4]:
        guard.refuse(1, "this is UTF-16 or no text, so no calendar", hint)
    guard.refuse(1, "this is no calendar", hint)
