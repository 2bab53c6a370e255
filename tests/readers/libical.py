"""python libical.py FILE: FILE as libical reads it, the C library of several desktops' calendars, as JSON."""

from __future__ import annotations

import ctypes
import json
import sys
from ctypes import c_char_p, c_int, c_uint, c_void_p
from pathlib import Path
from typing import Any


class Time(ctypes.Structure):
    """struct icaltimetype (icaltime.h of libical 3.0)."""

    _fields_ = (
        *((name, c_int) for name in ("year", "month", "day", "hour", "minute", "second", "is_date", "is_daylight")),
        ("zone", c_void_p),
    )


class Duration(ctypes.Structure):
    """struct icaldurationtype (icalduration.h)."""

    _fields_ = (("is_neg", c_int), *((name, c_uint) for name in ("days", "weeks", "hours", "minutes", "seconds")))


class Trigger(ctypes.Structure):
    """struct icaltriggertype (icaltypes.h)."""

    _fields_ = (("time", Time), ("duration", Duration))


def library() -> Any:
    """libical with the functions that are called here, typed. Raises OSError if it is not installed."""
    lib = ctypes.CDLL("libical.so.3")
    for result, names in {
        c_void_p: (
            "icalparser_parse_string",
            "icaltimezone_get_utc_timezone",
            "icalproperty_get_first_parameter",
        ),
        c_char_p: (
            "icalcomponent_get_uid",
            "icalproperty_get_value_as_string",
            "icalparameter_as_ical_string",
            "icaltime_as_ical_string",
        ),
        Time: ("icalcomponent_get_dtstart", "icalcomponent_get_dtend", "icaltime_convert_to_zone"),
        Trigger: ("icalproperty_get_trigger",),
        c_int: (
            "icalcomponent_get_sequence",
            "icaldurationtype_as_int",
            "icalcomponent_string_to_kind",
            "icalproperty_string_to_kind",
            "icalparameter_string_to_kind",
            "icalcomponent_count_errors",
        ),
    }.items():
        for each in names:
            getattr(lib, each).restype = result
    for each in ("component", "property"):
        for which in ("first", "next"):
            getattr(lib, f"icalcomponent_get_{which}_{each}").restype = c_void_p
    return lib


class Reader:
    """One file, read."""

    def __init__(self, text: bytes) -> None:
        self.lib = library()
        self.root = c_void_p(self.lib.icalparser_parse_string(c_char_p(text)))
        if not self.root:
            raise ValueError("libical finds no component")
        if errors := self.lib.icalcomponent_count_errors(self.root):
            raise ValueError(f"libical finds {errors} errors")

    def parts(self, inside: c_void_p, kind: str) -> list[c_void_p]:
        """The components of a kind."""
        number = self.lib.icalcomponent_string_to_kind(kind.encode())
        found = []
        part = self.lib.icalcomponent_get_first_component(inside, number)
        while part:
            found.append(c_void_p(part))
            part = self.lib.icalcomponent_get_next_component(inside, number)
        return found

    def first(self, part: c_void_p, name: str) -> c_void_p | None:
        """The first property of that name."""
        found = self.lib.icalcomponent_get_first_property(part, self.lib.icalproperty_string_to_kind(name.encode()))
        return c_void_p(found) if found else None

    def text(self, part: c_void_p, name: str) -> str:
        """The value of a property as it is written."""
        found = self.first(part, name)
        return self.lib.icalproperty_get_value_as_string(found).decode() if found else ""

    def moment(self, time: Time) -> str:
        """A time in UTC, or a day."""
        if not time.is_date:
            if not time.zone:
                raise ValueError("a time without a zone")
            time = self.lib.icaltime_convert_to_zone(time, c_void_p(self.lib.icaltimezone_get_utc_timezone()))
        return str(self.lib.icaltime_as_ical_string(time).decode())

    def alarm(self, part: c_void_p) -> int | str:
        """Seconds from the start of the event at which it rings."""
        trigger = self.first(part, "TRIGGER")
        if trigger is None:
            raise ValueError("an alarm without TRIGGER")
        kind = self.lib.icalparameter_string_to_kind(b"RELATED")
        related = self.lib.icalproperty_get_first_parameter(trigger, kind)
        if related and self.lib.icalparameter_as_ical_string(c_void_p(related)) == b"RELATED=END":
            return "END"
        return int(self.lib.icaldurationtype_as_int(self.lib.icalproperty_get_trigger(trigger).duration))

    def events(self) -> list[dict[str, object]]:
        """All events of the file."""
        return [
            {
                "uid": self.lib.icalcomponent_get_uid(part).decode(),
                "start": self.moment(self.lib.icalcomponent_get_dtstart(part)),
                "end": self.moment(self.lib.icalcomponent_get_dtend(part)),
                "sequence": self.lib.icalcomponent_get_sequence(part),
                "status": self.text(part, "STATUS"),
                "transparent": self.text(part, "TRANSP") == "TRANSPARENT",
                "alarms": [self.alarm(alarm) for alarm in self.parts(part, "VALARM")],
            }
            for part in self.parts(self.root, "VEVENT")
        ]


if __name__ == "__main__":
    print(json.dumps(Reader(Path(sys.argv[1]).read_bytes()).events()))
