"""What happened to a job, one event at a time, in the words in which it was recorded.

All moments are minutes (UTC). An entry is never changed: what was wrong is taken back by a later entry.

A kind of event is a record here, and its fields say how they stand in a line of the diary: what is written, what is
read and what is told go by that. Its sentence stands in the file of each language, under `diary.` and its name.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from datetime import date
from functools import cache
from types import MappingProxyType, NoneType
from typing import Annotated, Any, Literal, TypeAlias, get_args, get_type_hints

from scheduler.model.basics import STAGES, Span

Kind: TypeAlias = Literal["step", "item", "room"]
"""What an entry can be about by name."""
KINDS: tuple[Kind, ...] = ("step", "item", "room")
MOST_LEFT = 10**6 - 1
"""Minutes of work left, lines of a diary: nothing that is counted in a line is more."""


Sort: TypeAlias = (
    Kind
    | Literal["thing", "text", "moment", "day", "pieces", "hours", "yes or no", "count", "number", "°C", "fraction"]
)


@dataclass(frozen=True, slots=True)
class Written:
    """How a field stands in a line of the diary.

    `sort` is what it is: the name of a step, an item or a room; a `thing` on order or of the list of what to buy;
    another `text`, or one of the words `among` which it has to be; a `moment`, a `day`, the `pieces` of a step's
    work, `hours` (two fields there, `from` and `to`), `yes or no`, a `count`, or a `number` (which may be of °C, or a
    fraction of one) from `least` to `most`. `name` is how it is called there, if not as in the record.
    """

    sort: Sort
    name: str = ""
    least: float = 1
    most: float = MOST_LEFT
    among: tuple[str, ...] = ()


StepName: TypeAlias = Annotated[str, Written("step")]
ItemName: TypeAlias = Annotated[str, Written("item")]
Thing: TypeAlias = Annotated[str, Written("thing")]
Text: TypeAlias = Annotated[str, Written("text")]
Day: TypeAlias = Annotated[date, Written("day")]
Moment: TypeAlias = Annotated[int, Written("moment", "time")]
Pieces: TypeAlias = Annotated[tuple[Span, ...], Written("pieces")]
Hours: TypeAlias = Annotated[Span, Written("hours")]
Took: TypeAlias = Annotated[int | None, Written("count", "took_minutes")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Did:
    """A step was finished. `pieces` are the times at which it was worked on, the last one ends with it.

    `took` are the minutes of work that a person said it took in all (None: nobody said): pieces are derived, and
    teach nothing.
    """

    step: StepName
    pieces: Pieces
    took: Took = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """A step was begun: worked on at `pieces`, with `left` minutes of work still to do. `took`: as of `Did`, so
    far."""

    step: StepName
    pieces: Pieces
    left: Annotated[int, Written("count", "minutes_left")]
    took: Took = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Felt:
    """Somebody looked at the film of a step at a minute: it had reached the stage by then, or not yet."""

    step: StepName
    stage: Annotated[str, Written("text", among=STAGES)]
    minute: Moment
    reached: Annotated[bool, Written("yes or no")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Undone:
    """The entry on that line of the diary does not hold any more."""

    line: Annotated[int, Written("count")]


@dataclass(frozen=True, slots=True, kw_only=True)
class Late:
    """An item on order is now expected on that day (which may also be earlier than before)."""

    item: ItemName
    expected: Day


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrived:
    """An item on order came on that day."""

    item: ItemName
    on: Day


@dataclass(frozen=True, slots=True, kw_only=True)
class Ordered:
    """A thing was ordered on that day: an item on order by its id, or what is to be bought by `Lot.name`."""

    thing: Thing
    on: Day


@dataclass(frozen=True, slots=True, kw_only=True)
class Bought:
    """A thing (see `Lot.name`) is in the house since that day; so much of it in the unit of the list, None for as
    much as is needed."""

    thing: Thing
    on: Day
    amount: Annotated[float | None, Written("number", least=0)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Lost:
    """Nobody works in that span: a session, or a whole day, that did not happen or will not."""

    span: Hours


@dataclass(frozen=True, slots=True, kw_only=True)
class Skipped:
    """Nobody worked on the step in that span, though the plan had it there: the session took place without it."""

    step: StepName
    span: Hours


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """A reading of the air in a room: °C and relative humidity as a fraction, at a minute."""

    room: Annotated[str, Written("room")]
    minute: Moment
    temp: Annotated[float, Written("°C", "celsius", -60, 80)]
    humidity: Annotated[float, Written("fraction", least=0.01, most=1)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Note:
    """Words for the person's own use."""

    text: Text


@dataclass(frozen=True, slots=True, kw_only=True)
class Renamed:
    """What the job file called `old` when it was recorded is called `new` in it from now on."""

    kind: Annotated[Kind, Written("text", among=KINDS)]
    old: Text
    new: Text


Event: TypeAlias = (
    Did | Left | Felt | Undone | Late | Arrived | Ordered | Bought | Lost | Skipped | Air | Note | Renamed
)
EVENTS: Mapping[str, type[Event]] = MappingProxyType({kind.__name__.lower(): kind for kind in get_args(Event)})
"""Each kind of event by its name in the diary."""


@dataclass(frozen=True, slots=True)
class EventField:
    """A field of a kind of event: its name in the record, how it stands in a line and under which names, and whether
    it may be missing there."""

    name: str
    written: Written
    called: tuple[str, ...]
    maybe: bool


@cache
def fields_of(name: str) -> tuple[EventField, ...]:
    """The fields of the kind of event of that name, in the order in which they are written."""
    kind = EVENTS[name]
    hints = get_type_hints(kind, include_extras=True)
    return tuple(_field(each.name, hints[each.name]) for each in fields(kind))


def _field(name: str, hint: object) -> EventField:
    kind, written = get_args(hint)
    called = ("from", "to") if written.sort == "hours" else (written.name or name,)
    return EventField(name, written, called, NoneType in get_args(kind))


def name_of(event: Event) -> str:
    """What an event is called in the diary: `did`."""
    return type(event).__name__.lower()


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


def holds_up(event: Event) -> bool:
    """Whether what happened can make work later and never earlier: nobody calls it the cause of an earlier day."""
    return isinstance(event, Lost | Skipped)


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
    found = _about(name_of(event))
    return None if found is None else (found[0], getattr(event, found[1]))


def with_name(event: Event, name: str) -> Event:
    """The same event about the step, item or room of another name."""
    found = _about(name_of(event))
    any_event: Any = event
    return event if found is None else replace(any_event, **{found[1]: name})


@cache
def _about(event: str) -> tuple[Kind, str] | None:
    """What a kind of event names, and in which of its fields."""
    return next(
        ((each, field.name) for field in fields_of(event) for each in KINDS if field.written.sort == each), None
    )


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
