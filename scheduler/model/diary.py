"""What happened to a job, one event at a time, in the words in which it was recorded.

All moments are minutes (UTC). An entry is never changed: what was wrong is taken back by a later entry.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date
from typing import Literal, TypeAlias

from scheduler.model.basics import Span


@dataclass(frozen=True, slots=True, kw_only=True)
class Did:
    """A step was finished. `pieces` are the times at which it was worked on, the last one ends with it.

    `took` are the minutes of work that a person said it took in all (None: nobody said): pieces are derived, and
    teach nothing.
    """

    step: str
    pieces: tuple[Span, ...]
    took: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """A step was begun: worked on at `pieces`, with `left` minutes of work still to do. `took`: as of `Did`, so
    far."""

    step: str
    pieces: tuple[Span, ...]
    left: int
    took: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Felt:
    """Somebody looked at the film of a step at a minute: it had reached the stage by then, or not yet."""

    step: str
    stage: str
    minute: int
    reached: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Undone:
    """The entry on that line of the diary does not hold any more."""

    line: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Late:
    """An item on order is now expected on that day (which may also be earlier than before)."""

    item: str
    expected: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrived:
    """An item on order came on that day."""

    item: str
    on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Ordered:
    """A thing was ordered on that day: an item on order by its id, or what is to be bought by `Lot.name`."""

    thing: str
    on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class Bought:
    """A thing (see `Lot.name`) is in the house since that day; so much of it in the unit of the list, None for as
    much as is needed."""

    thing: str
    on: date
    amount: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lost:
    """Nobody works in that span: a session, or a whole day, that did not happen or will not."""

    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class Skipped:
    """Nobody worked on the step in that span, though the plan had it there: the session took place without it."""

    step: str
    span: Span


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """A reading of the air in a room: °C and relative humidity as a fraction, at a minute."""

    room: str
    minute: int
    temp: float
    humidity: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """Words for the person's own use."""

    text: str


Kind: TypeAlias = Literal["step", "item", "room"]
"""What an entry can be about by name."""
KINDS: tuple[Kind, ...] = ("step", "item", "room")


@dataclass(frozen=True, slots=True, kw_only=True)
class Renamed:
    """What the job file called `old` when it was recorded is called `new` in it from now on."""

    kind: Kind
    old: str
    new: str


Event: TypeAlias = (
    Did | Left | Felt | Undone | Late | Arrived | Ordered | Bought | Lost | Skipped | Air | Note | Renamed
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """An event with the line of the diary on which it stands (from 1), when it was written, and why, if given.

    `command` is the line of the first entry that the same command wrote; None for what was written by itself (and for
    every entry of a diary from before commands were told apart). `tap` is the name that a phone gave to what it sent,
    on the first entry that came of it: what is sent again is known by it.
    """

    line: int
    at: int
    event: Event
    reason: str = ""
    command: int | None = None
    tap: str = ""


def went_as_planned(event: Event, planned: Mapping[str, tuple[Span, ...]]) -> bool:
    """Whether an event says that a step was done just at the times that a plan had for it: that moves nothing."""
    return isinstance(event, Did) and event.pieces == planned.get(event.step)


def living(entries: tuple[Entry, ...]) -> tuple[Entry, ...]:
    """The entries that still hold: neither taken back nor taking another one back.

    An entry that takes back one that takes back a third lets the third hold again.
    """
    return tuple(entry for entry in standing_lines(entries) if not isinstance(entry.event, Undone))


def standing_lines(entries: tuple[Entry, ...]) -> tuple[Entry, ...]:
    """The entries that nothing has taken back, those included that take another one back."""
    gone: set[int] = set()
    for entry in reversed(entries):
        if isinstance(entry.event, Undone) and entry.line not in gone:
            gone.add(entry.event.line)
    return tuple(entry for entry in entries if entry.line not in gone)


def name_in(event: Event) -> tuple[Kind, str] | None:
    """The step, item or room that an event is about; None for what names none."""
    match event:
        case Did(step=name) | Left(step=name) | Felt(step=name) | Skipped(step=name):
            return "step", name
        case Late(item=name) | Arrived(item=name):
            return "item", name
        case Air(room=name):
            return "room", name
    return None


def with_name(event: Event, name: str) -> Event:
    """The same event about the step, item or room of another name."""
    match event:
        case Did() | Left() | Felt() | Skipped():
            return replace(event, step=name)
        case Late() | Arrived():
            return replace(event, item=name)
        case Air():
            return replace(event, room=name)
    return event


def by_todays_names(entries: tuple[Entry, ...]) -> tuple[Entry, ...]:
    """The same entries with every name as the renamings that hold, and come after it, have it."""
    renamings = {entry.line for entry in living(entries) if isinstance(entry.event, Renamed)}
    if not renamings:
        return entries
    names: dict[tuple[Kind, str], str] = {}
    found: list[Entry] = []
    for entry in reversed(entries):
        if isinstance(entry.event, Renamed) and entry.line in renamings:
            event = entry.event
            names[event.kind, event.old] = names.get((event.kind, event.new), event.new)
        about = name_in(entry.event)
        known = about is not None and about in names
        found.append(replace(entry, event=with_name(entry.event, names[about])) if about and known else entry)
    return tuple(reversed(found))
