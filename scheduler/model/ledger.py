"""What has been handed to a calendar so far: the memory that keeps one event per thing for life.

A calendar file that is written again and again needs to know what it said before: a thing keeps its UID, its
SEQUENCE rises only when it changed, and what was withdrawn stays withdrawn. The ledger is that memory; it is data,
and where it is stored is somebody else's business.
"""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date

from scheduler.told import told

FORMAT = 1
"""The form of what is kept of the calendars' events; any other is refused."""
MOST = 10**9
"""Of any number in here: a SEQUENCE may be no more than 2147483647 (RFC 5545, section 3.3.8), a moment has a date."""
KINDS = ("session", "step", "film", "room", "delivery", "order", "visit", "buy")


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarEvent:
    """One event as a person sees it. `start` and `end` are minutes (UTC), or dates (end excluded) for whole days.

    `busy`: it takes up the person's time. `remind`: minutes before the start at which it rings, None for silence.
    `steps` are the steps that it is about, by which a session is known again after it has moved. `place` is where, in
    words, and `session` the UID of the session that it belongs to or comes of. `proposed`: nobody has agreed to the
    day yet. Raises ValueError
    for an event that does not end after it starts (RFC 5545, section 3.8.2.2).
    """

    uid: str
    kind: str
    start: int | date
    end: int | date
    summary: str
    description: str
    busy: bool
    remind: int | None = None
    steps: tuple[str, ...] = ()
    place: str = ""
    session: str = ""
    proposed: bool = False

    def __post_init__(self) -> None:
        days = (isinstance(self.start, date), isinstance(self.end, date))
        if days[0] != days[1] or not self.start < self.end:  # type: ignore[operator]
            raise ValueError(told("the event `{uid}` does not end after it starts", uid=self.uid))


@dataclass(frozen=True, slots=True, kw_only=True)
class EventState:
    """Where an event stood and what it was called, from an `edition` of the calendar on; `sequence` is the last
    SEQUENCE under which it did. A `withdrawn` one stood nowhere."""

    edition: int
    start: int | date
    end: int | date
    summary: str
    sequence: int
    withdrawn: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Exported:
    """An event with its version: SEQUENCE, and the minute (UTC) at which it last changed.

    A `withdrawn` event is told of as cancelled, until the job is finished: then it is `retired`, known but not shown.
    It stands so since an `edition`, and since the SEQUENCE `since`; `earlier` is where it stood before, the oldest
    first.
    """

    event: CalendarEvent
    sequence: int
    changed: int
    withdrawn: bool = False
    retired: bool = False
    edition: int = 1
    since: int = 0
    earlier: tuple[EventState, ...] = ()

    @property
    def state(self) -> EventState:
        """As it stands now."""
        event = self.event
        return EventState(
            edition=self.edition,
            start=event.start,
            end=event.end,
            summary=event.summary,
            sequence=self.sequence,
            withdrawn=self.withdrawn,
        )

    def state_in(self, edition: int) -> EventState | None:
        """As it stood in an edition of the calendar; None if it was not in that one."""
        known = [state for state in (*self.earlier, self.state) if state.edition <= edition]
        return None if not known or known[-1].withdrawn else known[-1]


@dataclass(frozen=True, slots=True)
class Ledger:
    """Everything exported so far for one job, one entry a UID, in the order of their UIDs.

    `finished`: the job was finished when it was last exported. `edition` counts the calendars in which an event stood
    elsewhere, or was called otherwise, than in the one before; 0 is none at all.
    """

    entries: tuple[Exported, ...] = ()
    finished: bool = False
    edition: int = 0

    def by_uid(self) -> dict[str, Exported]:
        """The entries by their UID."""
        return {entry.event.uid: entry for entry in self.entries}


def to_json(ledger: Ledger) -> str:
    """The ledger as text, one entry a line, the same bytes for the same ledger."""
    lines = [json.dumps(_entry_out(entry), ensure_ascii=True) for entry in ledger.entries]
    head = (
        f'{{"format": {FORMAT}, "finished": {json.dumps(ledger.finished)}, "edition": {ledger.edition}, "exported": ['
    )
    return head + ",".join(f"\n{line}" for line in lines) + "\n]}\n"


def from_json(text: str) -> Ledger:
    """The ledger that `to_json` wrote. Raises ValueError with one sentence if the text is anything else."""
    try:
        whole = json.loads(text)
    except (ValueError, RecursionError):
        raise ValueError("what calendars have been told can't be read") from None
    if not isinstance(whole, dict) or whole.get("format") != FORMAT or not isinstance(whole.get("exported"), list):
        raise ValueError(
            told(
                "what calendars have been told is not written as this tackfree writes it (form {format})",
                format=FORMAT,
            )
        )
    entries = tuple(_entry_in(entry, number) for number, entry in enumerate(whole["exported"], 1))
    if len({entry.event.uid for entry in entries}) != len(entries):
        raise ValueError("of what calendars have been told, one event stands there twice")
    # An earlier tackfree counted no editions: all that it told is the first one.
    edition = _Fields(whole, 0).whole("edition", int(bool(entries)))
    return Ledger(tuple(sorted(entries, key=lambda entry: entry.event.uid)), whole.get("finished") is True, edition)


def _entry_out(entry: Exported) -> dict[str, object]:
    event = entry.event
    return {
        "uid": event.uid,
        "kind": event.kind,
        "start": _moment_out(event.start),
        "end": _moment_out(event.end),
        "summary": event.summary,
        "description": event.description,
        "busy": event.busy,
        "remind": event.remind,
        "steps": list(event.steps),
        "place": event.place,
        "session": event.session,
        "proposed": event.proposed,
        "sequence": entry.sequence,
        "changed": entry.changed,
        "withdrawn": entry.withdrawn,
        "retired": entry.retired,
        "edition": entry.edition,
        "since": entry.since,
        "earlier": [_state_out(state) for state in entry.earlier],
    }


def _state_out(state: EventState) -> dict[str, object]:
    return {
        "edition": state.edition,
        "start": _moment_out(state.start),
        "end": _moment_out(state.end),
        "summary": state.summary,
        "sequence": state.sequence,
        "withdrawn": state.withdrawn,
    }


def _moment_out(moment: int | date) -> int | str:
    return moment.isoformat() if isinstance(moment, date) else moment


def _entry_in(raw: object, number: int) -> Exported:
    fields = _Fields(raw, number)
    event = CalendarEvent(
        uid=fields.uid(),
        kind=fields.kind(),
        start=fields.moment("start"),
        end=fields.moment("end"),
        summary=fields.text("summary"),
        description=fields.text("description"),
        busy=fields.flag("busy"),
        remind=fields.maybe_whole("remind"),
        steps=fields.texts("steps"),
        place=fields.text("place", ""),
        session=fields.text("session", ""),
        proposed=fields.flag("proposed", missing=False),
    )
    return Exported(
        event=event,
        sequence=fields.whole("sequence"),
        changed=fields.whole("changed"),
        withdrawn=fields.flag("withdrawn"),
        retired=fields.flag("retired"),
        edition=fields.whole("edition", 1),
        # What an earlier tackfree told before the last version is not known.
        since=fields.whole("since", fields.whole("sequence")),
        earlier=tuple(_state_in(each, number) for each in fields.several("earlier")),
    )


def _state_in(raw: object, number: int) -> EventState:
    fields = _Fields(raw, number)
    return EventState(
        edition=fields.whole("edition"),
        start=fields.moment("start"),
        end=fields.moment("end"),
        summary=fields.text("summary"),
        sequence=fields.whole("sequence"),
        withdrawn=fields.flag("withdrawn"),
    )


class _Fields:
    """Typed access to one entry; whatever is amiss is a ValueError that names the entry and the field."""

    def __init__(self, raw: object, number: int) -> None:
        self._number = number
        if not isinstance(raw, Mapping):
            raise ValueError(told("of what calendars have been told, event {number} is not in {{ }}", number=number))
        self._raw: Mapping[str, object] = raw

    def _amiss(self, name: str) -> ValueError:
        said = told("of what calendars have been told, event {number}", number=self._number)
        return ValueError(told("{said} has under `{name}` what tackfree does not write there", said=said, name=name))

    def text(self, name: str, missing: str | None = None) -> str:
        """A text; `missing` is what counts where an earlier tackfree wrote none."""
        value = self._raw.get(name, missing)
        if not isinstance(value, str):
            raise self._amiss(name)
        return value

    def uid(self) -> str:
        value = self.text("uid")
        if not value.isprintable() or not value or " " in value:
            raise self._amiss("uid")
        return value

    def kind(self) -> str:
        value = self.text("kind")
        if value not in KINDS:
            raise self._amiss("kind")
        return value

    def texts(self, name: str) -> tuple[str, ...]:
        value = self._raw.get(name)
        if not isinstance(value, list) or not all(isinstance(item, str) for item in value):
            raise self._amiss(name)
        return tuple(value)

    def flag(self, name: str, missing: bool | None = None) -> bool:
        """`missing` is what counts where an earlier tackfree wrote none."""
        value = self._raw.get(name, missing)
        if not isinstance(value, bool):
            raise self._amiss(name)
        return value

    def several(self, name: str) -> list[object]:
        """What stands there in [ ]; nothing where an earlier tackfree wrote no such thing."""
        value = self._raw.get(name, [])
        if not isinstance(value, list):
            raise self._amiss(name)
        return value

    def whole(self, name: str, missing: int | None = None) -> int:
        """A count; `missing` is what counts where an earlier tackfree wrote none."""
        value = self._raw.get(name, missing)
        if not isinstance(value, int) or isinstance(value, bool) or not 0 <= value <= MOST:
            raise self._amiss(name)
        return value

    def maybe_whole(self, name: str) -> int | None:
        return None if self._raw.get(name) is None else self.whole(name)

    def moment(self, name: str) -> int | date:
        value = self._raw.get(name)
        if not isinstance(value, str):
            return self.whole(name)
        try:
            return date.fromisoformat(value)
        except ValueError:
            raise self._amiss(name) from None
