"""A VEVENT as it is written -> when it is, how it repeats, and whether it takes up time. Nothing else is read."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta, tzinfo

from scheduler.reading.busy.guard import MAX_DATES, MAX_LENGTH, MAX_RULES, UnusableError
from scheduler.reading.busy.lines import Property
from scheduler.reading.busy.parts import Component
from scheduler.reading.busy.rule import RecurrenceRule, parse_rule
from scheduler.reading.busy.values import Length, Moment, instant, parse_duration, parse_moment
from scheduler.reading.busy.zones import Zones
from scheduler.told import told

_SEQUENCE = re.compile(r"[0-9]{1,10}")
_LOCAL_TIME = re.compile(r"T[0-9]{6}(?![0-9Z])", re.IGNORECASE)
_ONE_DAY = timedelta(days=1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One VEVENT. Times are readings of the clock of `zone` (for whole days: of the person's own zone).

    `answers` are the addresses of who is invited, with what they answered (PARTSTAT).
    `rank` says which of two versions is the newer one (RFC 5546, section 2.1.5). `replaces` names the occurrence
    that this event stands for, `onward` that all later ones follow it. `extra` are further starts, some with
    a length of their own; `excluded` the starts that do not take place.
    """

    line: int
    uid: str
    rank: tuple[int, str]
    start: datetime
    zone: tzinfo
    whole_days: bool
    length: Length
    free: bool
    answers: tuple[tuple[str, str], ...] = ()
    replaces: Moment | None = None
    onward: bool = False
    rules: tuple[RecurrenceRule, ...] = ()
    extra: tuple[tuple[Moment, Length | None], ...] = ()
    excluded: tuple[Moment, ...] = ()

    @property
    def repeats(self) -> bool:
        """Whether it says of itself that it takes place more than once."""
        return bool(self.rules or self.extra)

    def on_the_clock_of(self, zone: tzinfo) -> datetime:
        """What the clock of another zone shows at the start."""
        return Moment(self.start, self.zone).on_the_clock_of(zone)

    def reading(self, moment: Moment) -> datetime:
        """A moment on the clock of this event. A date becomes the start on that date, a time on a day the day."""
        if not self.whole_days:
            if moment.is_date:
                return datetime.combine(moment.local, self.start.time())
            return moment.on_the_clock_of(self.zone)
        local = moment.local
        # Midnight in UTC is how some programs write a date; other times are meant on the clock.
        if moment.zone is UTC and local.time() != datetime.min.time():
            local = moment.on_the_clock_of(self.zone)
        return datetime.combine(local, datetime.min.time())

    def last(self, until: Moment) -> datetime:
        """The last reading of this event's clock that UNTIL still allows."""
        if self.whole_days or until.is_date:
            return datetime.combine(until.local, datetime.max.time().replace(microsecond=0))
        return until.on_the_clock_of(self.zone)


def parse_event(part: Component, zones: Zones, own: tzinfo, cancelled: bool = False) -> Event:
    """The event of a VEVENT. Raises UnusableError. `own` is the person's zone; `cancelled`: the whole calendar is."""
    begin = _one(part, "DTSTART")
    start = _moment(begin, zones, zones.floating)
    zone = start.zone or own
    if part.first("EXRULE"):
        raise UnusableError(
            "this event has a rule of exceptions (EXRULE), given up by the calendar standard (RFC 5545)"
        )
    instead = part.first("RECURRENCE-ID")
    event = Event(
        line=part.line,
        uid=uid.value if (uid := part.first("UID")) else "",
        rank=_rank(part),
        start=start.local,
        zone=zone,
        whole_days=start.is_date,
        length=_length(part, start, zone, zones),
        free=cancelled or _is_free(part),
        answers=tuple((one.value.lower(), one.parameter("PARTSTAT").upper()) for one in part.all("ATTENDEE")),
        replaces=_moment(instead, zones, zone) if instead else None,
        onward=instead is not None and instead.parameter("RANGE").upper() == "THISANDFUTURE",
        rules=() if instead else tuple(_rules(part, start)),
        extra=() if instead else tuple(_extra(part, zones, zone)),
        excluded=tuple(_excluded(part, zones, zone)),
    )
    if len(event.extra) + len(event.excluded) > MAX_DATES:
        raise UnusableError(told("this event has more than {max_dates} single dates", max_dates=MAX_DATES))
    return event


def _one(part: Component, name: str) -> Property:
    found = part.all(name)
    if len(found) != 1:
        raise UnusableError(
            told("this event has more than one {name}", name=name)
            if found
            else told("this event has no {name}", name=name)
        )
    return found[0]


def _texts(one: Property) -> list[str]:
    return [text.strip() for text in one.value.split(",") if text.strip()]


def _clock(one: Property, zones: Zones, floating: tzinfo) -> tzinfo:
    """The clock on which the times of a property are; `floating` is that of times without a zone.

    A time in UTC needs no zone, and a date has none: what is not used is not looked up.
    """
    name = one.parameter("TZID") if one.parameters else ""
    return zones.named(name, one.line) if name and _LOCAL_TIME.search(one.value) else floating


def _moment(one: Property, zones: Zones, floating: tzinfo) -> Moment:
    """The one date or time of a property."""
    return parse_moment(one.value, _clock(one, zones, floating))


def _excluded(part: Component, zones: Zones, zone: tzinfo) -> Iterator[Moment]:
    for one in part.all("EXDATE"):
        clock = _clock(one, zones, zone)
        for text in _texts(one):
            yield parse_moment(text, clock)


def _length(part: Component, start: Moment, zone: tzinfo, zones: Zones) -> Length:
    ends, lasts = part.first("DTEND"), part.first("DURATION")
    if ends is not None:
        end = _moment(ends, zones, zone)
        length = _between(start, end, zone)
    elif lasts is not None:
        length = parse_duration(lasts.value)
    else:
        length = Length(1, 0) if start.is_date else Length(0, 0)
    if length.days < 0 or length.seconds < 0:
        raise UnusableError("this event ends before it begins")
    if length.rough > timedelta(days=MAX_LENGTH):
        raise UnusableError(told("this event lasts more than {max_length} days", max_length=MAX_LENGTH))
    return length


def _between(start: Moment, end: Moment, zone: tzinfo) -> Length:
    if not start.is_date:
        elapsed = instant(end.local, end.zone or zone) - instant(start.local, zone)
        return Length(0, elapsed // timedelta(seconds=1))
    last = end.on_the_clock_of(zone)
    days = -((start.local - last) // _ONE_DAY)
    # Some programs write the day itself as the end of a single day.
    return Length(days or 1, 0)


def _rules(part: Component, start: Moment) -> Iterator[RecurrenceRule]:
    found = part.all("RRULE")
    if len(found) > MAX_RULES:
        raise UnusableError(told("this event has more than {max_rules} rules", max_rules=MAX_RULES))
    for one in found:
        rule = parse_rule(one.value)
        # A whole day has no time of day at which it could repeat (RFC 5545, section 3.3.10).
        yield replace(rule, by_hour=(), by_minute=(), by_second=()) if start.is_date else rule


def _extra(part: Component, zones: Zones, zone: tzinfo) -> list[tuple[Moment, Length | None]]:
    found: list[tuple[Moment, Length | None]] = []
    for one in part.all("RDATE"):
        clock = _clock(one, zones, zone)
        for text in _texts(one):
            begin, slash, end = text.partition("/")
            moment = parse_moment(begin, clock)
            length = None
            if slash and end.upper().startswith("P"):
                length = parse_duration(end)
            elif slash:
                length = _between(moment, parse_moment(end, clock), moment.zone or zone)
            if length and not 0 <= length.seconds + length.days * 86_400 <= MAX_LENGTH * 86_400:
                raise UnusableError("one of the periods of this event ends before it begins, or is too long")
            found.append((moment, length))
    return found


def _rank(part: Component) -> tuple[int, str]:
    number, stamp = part.text("SEQUENCE"), part.text("DTSTAMP")
    return int(number) if _SEQUENCE.fullmatch(number) else 0, stamp[:16]


def _is_free(part: Component) -> bool:
    """Cancelled, or marked as free; one common program says so in words of its own as well."""
    if part.text("STATUS") == "CANCELLED":
        return True
    shown = part.text("TRANSP")
    return shown == "TRANSPARENT" or (not shown and part.text("X-MICROSOFT-CDO-BUSYSTATUS") == "FREE")
