"""One entry of the diary <-> one line of JSON. What is wrong in a line is said with its column.

Times are ISO 8601 with their offset, so that the file can be read by a person and by any program:

    {"at": "2027-01-09T17:05:00-07:00", "what": "did", "step": "strip", "pieces": [["…", "…"]], "reason": "…"}
"""

from __future__ import annotations

import json
import re
from collections import Counter
from collections.abc import Callable, Mapping
from typing import Any
from zoneinfo import ZoneInfo

from scheduler.diary.jsonfields import JsonFields
from scheduler.diary.jsonwords import TOO_MUCH, said_of
from scheduler.errors import InputError, Place, wrong_input
from scheduler.model.basics import Span
from scheduler.model.diary import EVENTS, KINDS, Entry, Event, EventField, Written, fields_of, name_of
from scheduler.model.names import meant
from scheduler.told import told
from scheduler.wallclock import to_datetime

_BESIDE = ("reason", "with", "tap")
"""What any entry may have besides what it is about."""
_WRITE_LINE = "mend the line, or move it to another file"


def entry_line(entry: Entry, zone: ZoneInfo) -> str:
    """The line of an entry, without the line end; times in the zone of the job."""
    whole: dict[str, object] = {"at": _time(entry.at, zone), **_event_out(entry.event, zone)}
    if entry.reason:
        whole["reason"] = entry.reason
    if entry.command is not None:
        whole["with"] = entry.command
    if entry.tap:
        whole["tap"] = entry.tap
    return json.dumps(whole, ensure_ascii=False, allow_nan=False)


def read_line(text: str, file: str, line: int) -> Entry:
    """The entry of a line. Raises InputError with the first fault of it."""
    return _Line(text, file, line).entry()


def _time(minute: int, zone: ZoneInfo) -> str:
    return to_datetime(minute, zone).isoformat()


def _spans(spans: tuple[Span, ...], zone: ZoneInfo) -> list[list[str]]:
    return [[_time(span.start, zone), _time(span.end, zone)] for span in spans]


def _event_out(event: Event, zone: ZoneInfo) -> dict[str, object]:
    whole: dict[str, object] = {"what": name_of(event)}
    for field in fields_of(name_of(event)):
        value = getattr(event, field.name)
        if value is None:
            continue
        match field.written.sort:
            case "hours":
                whole |= zip(field.called, _spans((value,), zone)[0], strict=True)
            case "pieces":
                whole[field.called[0]] = _spans(value, zone)
            case "moment":
                whole[field.called[0]] = _time(value, zone)
            case "day":
                whole[field.called[0]] = value.isoformat()
            case _:
                whole[field.called[0]] = value
    return whole


class _Line(JsonFields):
    """The fields of one line; whatever is amiss is a fault at the column of the field."""

    def __init__(self, text: str, file: str, line: int) -> None:
        self.text, self.file, self.line = text, file, line
        super().__init__(self._object())

    def entry(self) -> Entry:
        what = self.text_of("what")
        if what not in EVENTS:
            raise self.amiss("what", told("`{what}` is no kind of entry", what=what), meant(what, EVENTS))
        fields = fields_of(what)
        names = [*(name for field in fields for name in field.called), *_BESIDE]
        for name in self.fields:
            if name not in names and name not in ("at", "what"):
                said = told("an entry `{what}` has no `{name}`", what=what, name=name)
                raise self.amiss(name, said, meant(name, names), at_name=True)
        reason = self.text_of("reason") if "reason" in self.fields else ""
        command = self.whole("with", 1) if "with" in self.fields else None
        tap = self.text_of("tap") if "tap" in self.fields else ""
        time = self.time("at")
        event = EVENTS[what](**{field.name: self.field(field) for field in fields})
        return Entry(line=self.line, at=time, event=event, reason=reason, command=command, tap=tap)

    def field(self, field: EventField) -> Any:
        """The value of a field of an event; None for one that may be missing and is."""
        written, name = field.written, field.called[0]
        if field.maybe and name not in self.fields:
            return None
        if written.sort == "hours":
            return self.span(*field.called)
        return _READ[written.sort](self, name, written)

    def column(self, name: str, *, at_name: bool = False) -> int:
        """Where the value (or the name) of a field begins, from 1; without such a field, where the line begins."""
        found = re.search(re.escape(json.dumps(name, ensure_ascii=False)) + r"\s*:\s*", self.text)
        return 1 if found is None else 1 + (found.start() if at_name else found.end())

    def amiss(self, name: str, message: str, hint: str, *, at_name: bool = False) -> InputError:
        """The error for a field."""
        column = self.column(name, at_name=at_name)
        return wrong_input(Place(self.file, self.line, column), message, hint)

    def _object(self) -> Mapping[str, object]:
        twice: list[str] = []

        def pairs(found: list[tuple[str, object]]) -> dict[str, object]:
            counts = Counter(name for name, _ in found)
            twice.extend(name for name, count in counts.items() if count > 1)
            return dict(found)

        try:
            whole = json.loads(self.text, object_pairs_hook=pairs)
        except json.JSONDecodeError as error:
            raise self._no_entry(said_of(error), error.colno) from None
        except (RecursionError, ValueError):
            raise self._no_entry(TOO_MUCH) from None
        if not isinstance(whole, dict):
            raise self._no_entry("it is not in { }")
        if twice:
            raise self.amiss(
                twice[0], told("`{twice}` stands twice in this line", twice=twice[0]), "keep one of them"
            )
        return whole

    def _no_entry(self, why: str, column: int = 1) -> InputError:
        said = told("this is no entry of a diary: {why}", why=why)
        return wrong_input(Place(self.file, self.line, column), said, _WRITE_LINE)

    def pieces(self, name: str) -> tuple[Span, ...]:
        value = self.value(name)
        spans: list[Span] = []
        for pair in value if isinstance(value, list) else [None]:
            if not isinstance(pair, list) or len(pair) != 2:
                raise self.amiss(
                    name, told("`{name}` is no list of pairs of times", name=name), 'write `[["from", "to"]]`'
                )
            span = Span(self.as_time(name, pair[0]), self.as_time(name, pair[1]))
            if span.start >= span.end or (spans and span.start < spans[-1].end):
                raise self.amiss(
                    name, "a piece ends before it begins, or before the one ahead of it", "put the times in order"
                )
            spans.append(span)
        if not spans:
            raise self.amiss(name, told("`{name}` is empty", name=name), 'write `[["from", "to"]]`')
        return tuple(spans)

    def span(self, start: str, end: str) -> Span:
        found = Span(self.time(start), self.time(end))
        if found.start >= found.end:
            raise self.amiss(end, "this ends before it begins", "put the earlier time first")
        return found


_READ: Mapping[str, Callable[[_Line, str, Written], Any]] = {
    **dict.fromkeys((*KINDS, "thing"), lambda line, name, _: line.text_of(name)),
    **dict.fromkeys(("number", "°C", "fraction"), lambda line, name, to: line.number(name, to.least, to.most)),
    "text": lambda line, name, to: line.one_of(name, to.among) if to.among else line.text_of(name),
    "moment": lambda line, name, _: line.time(name),
    "day": lambda line, name, _: line.day(name),
    "pieces": lambda line, name, _: line.pieces(name),
    "yes or no": lambda line, name, _: line.yes_or_no(name),
    "count": lambda line, name, to: line.whole(name, int(to.least)),
}
"""What reads each sort of field (see `Written`), but hours, which stand there as two."""
