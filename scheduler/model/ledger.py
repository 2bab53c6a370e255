"""What has been handed to a calendar so far: the memory that keeps one event per thing for life.

A calendar file that is written again and again needs to know what it said before: a thing keeps its UID, its
SEQUENCE rises only when it changed, and what was withdrawn stays withdrawn. The ledger is that memory; it is data,
and where it is stored is somebody else's business.
"""

from __future__ import annotations

from dataclasses import dataclass, field, fields, replace
from datetime import date
from typing import Literal, TypeAlias

from scheduler.model.plainform import ForeignError, plain, rich
from scheduler.told import told

FORMAT = 1
"""The form of what is kept of the calendars' events; any other is refused."""
EventKind: TypeAlias = Literal["session", "step", "film", "room", "delivery", "order", "visit", "buy"]


PROPERTY = "property"
"""Under which name the metadata of a field of `CalendarEvent` hold its `EventProperty`, if it is one by itself."""


@dataclass(frozen=True, slots=True)
class EventProperty:
    """The property of iCalendar (RFC 5545) as which a field of an event is written.

    `name` is that of the property, `words` what stands there for no and for yes; a text may have several `lines`. Of
    what is None or empty nothing is written.
    """

    name: str
    words: tuple[str, str] | None = None
    lines: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class CalendarEvent:
    """One event as a person sees it. `start` and `end` are minutes (UTC), or dates (end excluded) for whole days.

    `busy`: it takes up the person's time. `remind`: minutes before the start at which it rings, None for silence.
    `steps` are the steps that it is about, by which a session is known again after it has moved. `place` is where, in
    words, and `session` the UID of the session that it belongs to or comes of. `proposed`: nobody has agreed to the
    day yet. Raises ValueError for an event that does not end after it starts (RFC 5545, section 3.8.2.2), or a UID
    that is more than one printable word.

    A field that is a property by itself says so: it is written as that, and nothing else has to know of it. With a
    default it can be read from what an earlier tackfree kept.
    """

    uid: str
    kind: EventKind
    start: int | date
    end: int | date
    summary: str = field(metadata={PROPERTY: EventProperty("summary")})
    description: str = field(metadata={PROPERTY: EventProperty("description", lines=True)})
    busy: bool = field(metadata={PROPERTY: EventProperty("transp", words=("TRANSPARENT", "OPAQUE"))})
    remind: int | None = None
    steps: tuple[str, ...] = ()
    place: str = field(default="", metadata={PROPERTY: EventProperty("location")})
    session: str = ""
    proposed: bool = False

    def __post_init__(self) -> None:
        days = (isinstance(self.start, date), isinstance(self.end, date))
        one_word = self.uid.isprintable() and self.uid and " " not in self.uid
        if not one_word or days[0] != days[1] or not self.start < self.end:  # type: ignore[operator]
            raise ValueError(told("no calendar takes the event `{uid}`", uid=self.uid))


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

    def __post_init__(self) -> None:
        if self.sequence < 0 or self.since < 0:
            raise ValueError(told("no calendar takes the event `{uid}`", uid=self.event.uid))

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


def kept_form(ledger: Ledger) -> dict[str, object]:
    """The ledger in plain values, one object an entry: the same for the same ledger."""
    whole = [_object(plain(entry)) for entry in ledger.entries]
    entries = [{**_object(entry.pop("event")), **entry} for entry in whole]
    return {"format": FORMAT, "finished": ledger.finished, "edition": ledger.edition, "exported": entries}


def from_kept(whole: object) -> Ledger:
    """The ledger of which `kept_form` made this; what an earlier tackfree did not write takes its default. Raises
    ValueError with one sentence if it is anything else."""
    if not isinstance(whole, dict) or whole.get("format") != FORMAT or not isinstance(whole.get("exported"), list):
        raise ValueError(
            told(
                "what calendars have been told is not written as this tackfree writes it (form {format})",
                format=FORMAT,
            )
        )
    entries = tuple(_entry(each, number) for number, each in enumerate(whole["exported"], 1))
    if len({entry.event.uid for entry in entries}) != len(entries):
        raise ValueError("of what calendars have been told, one event stands there twice")
    # An earlier tackfree counted no editions: all that it told is the first one.
    heads = {"finished": whole.get("finished") is True, "edition": whole.get("edition", int(bool(entries)))}
    return replace(rich(Ledger, heads), entries=tuple(sorted(entries, key=lambda entry: entry.event.uid)))


def _entry(raw: object, number: int) -> Exported:
    """An entry of the kept form, in which the event and its version are one object."""
    try:
        # What an earlier tackfree told before the last version is not known.
        whole = {"since": _object(raw).get("sequence"), **_object(raw)}
        event = {each.name: whole.pop(each.name) for each in fields(CalendarEvent) if each.name in whole}
        return rich(Exported, {**whole, "event": event})
    except ForeignError as error:
        error.path = ["exported", str(number), *(name for name in error.path if name != "event")]
        raise


def _object(value: object) -> dict[str, object]:
    if not isinstance(value, dict):
        raise ForeignError
    return value
