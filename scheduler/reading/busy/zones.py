"""Names of time zones -> clocks: IANA names, Windows names, and what a file says of zones of its own."""

from __future__ import annotations

import re
from bisect import bisect_right
from datetime import UTC, datetime, timedelta, timezone, tzinfo
from functools import cache, partial
from zoneinfo import ZoneInfo, available_timezones

from scheduler.model.basics import Span
from scheduler.reading.busy.guard import MAX_DATES, MAX_RULES, Guard, UnusableError
from scheduler.reading.busy.parts import Component
from scheduler.reading.busy.rule import parse_rule
from scheduler.reading.busy.stepping import starts
from scheduler.reading.busy.values import parse_moment
from scheduler.wallclock import EPOCH

MAX_NAME = 80
"""Characters of the name of a zone."""
_SINCE = datetime(1970, 1, 1)

# Names in lower case ("localtime", "right/...") depend on the machine or count leap seconds.
_IANA = re.compile(r"[A-Z][A-Za-z0-9_+-]*(?:/[A-Za-z0-9_+-]+){0,2}")
_SHOWN = re.compile(r"\(?(?:UTC|GMT)\s*(?:([+-])\s*([0-9]{1,2})[:.]?([0-5][0-9])?)?\)?\s*(.*)", re.IGNORECASE)
_AMERICAN = re.compile(r"(\w+) Time \(US (?:&|and) Canada\)")
_OFFSET = re.compile(r"([+-])(0[0-9]|1[0-4])([0-5][0-9])(?:[0-5][0-9])?")


class FileZone(tzinfo):
    """A clock built from changes: (moment in UTC, offset from then on), in order, and the offset before them all."""

    def __init__(self, before: timedelta, changes: list[tuple[datetime, timedelta]]) -> None:
        self._before = before
        self._moments = [moment for moment, _ in changes]
        self._offsets = [before, *(offset for _, offset in changes)]
        # On the local clock the new offset holds from the later of the two readings on: so a time that is skipped
        # or comes twice is read with the offset before the change.
        self._onsets = [moment + max(old, new) for (moment, new), old in zip(changes, self._offsets, strict=False)]

    def utcoffset(self, when: datetime | None, /) -> timedelta:
        """The offset from UTC when the clock shows `when`."""
        if when is None:
            return self._before
        return self._offsets[bisect_right(self._onsets, when.replace(tzinfo=None, fold=0))]

    def fromutc(self, when: datetime, /) -> datetime:
        """The reading of this clock at a moment in UTC."""
        return when + self._offsets[bisect_right(self._moments, when.replace(tzinfo=None, fold=0))]

    def dst(self, when: datetime | None, /) -> None:
        """Not known; nobody asks."""

    def tzname(self, when: datetime | None, /) -> str:
        """The same for all: names of zones are the household's own."""
        return "zone of the file"


class Zones:
    """The clocks of one calendar. `end` is the last moment for which they are needed.

    A name that is known means the known zone, whatever the file says of it (so do nine of sixteen readers that were
    compared); a name of the file's own is built from its VTIMEZONE; what nobody knows is read on the person's own
    clock, with a warning.
    """

    def __init__(self, calendar: Component, own: ZoneInfo, end: datetime, guard: Guard) -> None:
        self._own, self._end, self._guard = own, end, guard
        self._found: dict[str, tzinfo] = {}
        self._parts: dict[str, Component] = {}
        for part in calendar.parts:
            if part.kind == "VTIMEZONE" and (name := part.first("TZID")):
                self._parts.setdefault(name.value, part)
        self.floating: tzinfo = own
        if spoken_of := calendar.first("X-WR-TIMEZONE"):
            self.floating = self.named(spoken_of.value, spoken_of.line)

    def named(self, name: str, line: int) -> tzinfo:
        """The clock of that name; without one the clock on which times without a zone are read."""
        if not name:
            return self.floating
        if name not in self._found:
            self._found[name] = _known(name) or self._of_file(name, line)
        return self._found[name]

    def _of_file(self, name: str, line: int) -> tzinfo:
        part = self._parts.get(name)
        spoken = _spoken(name) if part is None else None
        if spoken is not None:
            return spoken
        if part is None:
            self._guard.note(line, "nobody knows the time zone named here; its times are read in the zone of the job")
            return self._own
        try:
            return _built(part, self._end, self._guard)
        except UnusableError:
            message = "this time zone can't be followed; its times are read in the zone of the job"
            self._guard.note(part.line, message)
            return self._own


def zones_of(calendar: Component, window: Span, own: ZoneInfo, guard: Guard) -> Zones:
    """The clocks of a calendar for as long as they are needed around a window."""
    # Two days more than any clock is behind another.
    return Zones(calendar, own, (EPOCH + timedelta(minutes=window.end, days=2)).replace(tzinfo=None), guard)


def _known(name: str) -> tzinfo | None:
    """The zone of an IANA name, of a Windows name, or of an IANA name behind a maker's prefix."""
    if len(name) > MAX_NAME:
        return None
    if name.upper() in ("UTC", "GMT", "Z", "ETC/UTC"):
        return UTC
    # Imported here: a job without a calendar of the household needs no calendar library.
    from icalendar.timezone.windows_to_olson import WINDOWS_TO_OLSON

    parts = name.split("/")
    behind_prefix = ["/".join(parts[-length:]) for length in (3, 2) if name.startswith("/")]
    for one in (name, WINDOWS_TO_OLSON.get(name, ""), *behind_prefix):
        if _IANA.fullmatch(one) and one in _iana_names():
            return ZoneInfo(one)
    return None


def _spoken(name: str) -> tzinfo | None:
    """The clock of a name as programs show it to people: `GMT+0100`, `UTC+01:00`, or `(UTC+01:00) Amsterdam, Berlin`,
    whose cities tell when its clocks change. None for a name that says nothing."""
    found = _SHOWN.fullmatch(name.strip().strip('"')) if len(name) <= MAX_NAME else None
    if found is None:
        return None
    sign, hours, minutes, words = found.groups()
    offset = timedelta(hours=int(hours or 0), minutes=int(minutes or 0)) * (-1 if sign == "-" else 1)
    if abs(offset) > timedelta(hours=14):
        return None
    if not words:
        return timezone(offset)
    from icalendar.timezone.windows_to_olson import WINDOWS_TO_OLSON

    american = _AMERICAN.fullmatch(words)
    places = [WINDOWS_TO_OLSON.get(f"{american[1]} Standard Time", "")] if american else []
    cities = {name.rpartition("/")[2].replace("_", " "): name for name in sorted(_iana_names()) if "/" in name}
    places += [cities[city] for city in re.split(r"\s*[,/;]\s*", words) if city in cities]
    zones = [ZoneInfo(place) for place in places if place in _iana_names()]
    year = [datetime(2026, month, 1, tzinfo=UTC) for month in (1, 7)]
    return next((zone for zone in zones if offset in {at.astimezone(zone).utcoffset() for at in year}), None)


@cache
def _iana_names() -> frozenset[str]:
    """Asked once: the answer is a walk through folders."""
    return frozenset(available_timezones())


def _built(part: Component, end: datetime, guard: Guard) -> FileZone:
    """The clock that a VTIMEZONE describes (RFC 5545, section 3.6.5) up to `end`."""
    changes: list[tuple[datetime, timedelta, timedelta]] = []
    for onset in part.parts:
        if onset.kind in ("STANDARD", "DAYLIGHT"):
            changes += _changes(onset, end, guard)
    if not changes:
        raise UnusableError("this time zone says of no moment what the clock shows")
    changes.sort()
    return FileZone(changes[0][1], [(moment, after) for moment, _, after in changes])


def _changes(onset: Component, end: datetime, guard: Guard) -> list[tuple[datetime, timedelta, timedelta]]:
    """Moments in UTC with the offsets before and after. Their local times are read in the offset before."""
    before, after = _offset(onset.text("TZOFFSETFROM")), _offset(onset.text("TZOFFSETTO"))
    first = parse_moment(onset.text("DTSTART"), UTC).local
    local = {first}
    rules = onset.all("RRULE")
    if len(rules) > MAX_RULES:
        raise UnusableError("too many rules")
    for one in rules:
        rule = parse_rule(one.value)
        if rule.frequency != "YEARLY":
            raise UnusableError("a zone whose clock is not changed by yearly rules")
        until = parse_moment(rule.until, UTC).local + before if rule.until else None
        # Years before those of any use are passed over, except where the rule counts them.
        low = first if rule.count else max(first, _SINCE)
        local.update(starts(rule, first, until, low, end, partial(guard.spend, line=one.line)))
    dates = [text for one in onset.all("RDATE") for text in one.value.split(",")]
    if len(dates) > MAX_DATES:
        raise UnusableError("too many dates")
    local.update(parse_moment(text.partition("/")[0], UTC).local for text in dates)
    return [(one - before, before, after) for one in local]


def _offset(text: str) -> timedelta:
    found = _OFFSET.fullmatch(text)
    if found is None:
        raise UnusableError("an offset from UTC that is none")
    offset = timedelta(hours=int(found[2]), minutes=int(found[3]))
    return -offset if found[1] == "-" else offset
