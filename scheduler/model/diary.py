"""What happened to a job, one event at a time, in the words in which it was recorded.

All moments are minutes (UTC). An entry is never changed: what was wrong is taken back by a later entry.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import TypeAlias

from scheduler.model.basics import Span


@dataclass(frozen=True, slots=True, kw_only=True)
class Did:
    """A step was finished. `pieces` are the times at which it was worked on, the last one ends with it."""

    step: str
    pieces: tuple[Span, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Left:
    """A step was begun: worked on at `pieces`, with `left` minutes of work still to do."""

    step: str
    pieces: tuple[Span, ...]
    left: int


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
class Lost:
    """Nobody works in that span: a session, or a whole day, that did not happen or will not."""

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


Event: TypeAlias = Did | Left | Undone | Late | Arrived | Lost | Air | Note


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """An event with the line of the diary on which it stands (from 1), when it was written, and why, if given.

    `column` is where in the line its step, item or room is named, for the sentence that finds fault with it.
    """

    line: int
    at: int
    event: Event
    reason: str = ""
    column: int = field(default=1, compare=False)


def living(entries: tuple[Entry, ...]) -> tuple[Entry, ...]:
    """The entries that still hold: neither taken back nor taking another one back.

    An entry that takes back one that takes back a third lets the third hold again.
    """
    gone: set[int] = set()
    for entry in reversed(entries):
        if isinstance(entry.event, Undone) and entry.line not in gone:
            gone.add(entry.event.line)
    return tuple(entry for entry in entries if entry.line not in gone and not isinstance(entry.event, Undone))
