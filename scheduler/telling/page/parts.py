"""What the sections of the page say, as records that the template writes out. Text is escaped there."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Tick:
    """Something to tick off; boxes with one `key` are one and the same thing, wherever they stand."""

    key: str
    text: str


@dataclass(frozen=True, slots=True)
class Row:
    """A line of a session: when, what, whether it can be ticked, which step (its number in the picture, its id and
    whether it is done), and the (text, kind) notes below it."""

    time: str
    text: str
    key: str
    number: int | None
    anchor: str
    notes: tuple[tuple[str, str], ...]
    step: str = ""
    done: bool = False


@dataclass(frozen=True, slots=True)
class Clear:
    """What the household keeps clear of: where, of what, and the words for until when."""

    room: str
    what: str
    until: str
    kind: str


@dataclass(frozen=True, slots=True)
class SessionCard:
    """One session: what to have, what to do, what dries when people leave. `start` is its beginning, for programs."""

    anchor: str
    day: str
    hours: str
    people: str
    ready: tuple[Tick, ...]
    rows: tuple[Row, ...]
    drying: tuple[str, ...]
    taken: tuple[str, ...]
    air: tuple[str, ...]
    clear: tuple[Clear, ...]
    start: str


@dataclass(frozen=True, slots=True)
class Group:
    """The sessions of a weekend, or of the evenings of a week."""

    anchor: str
    kind: str
    heading: str
    sessions: tuple[SessionCard, ...]


@dataclass(frozen=True, slots=True)
class Brief:
    """A session in a line: when it is, and its steps as (id of the place or "", number, title)."""

    when: str
    steps: tuple[tuple[str, int, str], ...]


@dataclass(frozen=True, slots=True)
class Later:
    """The sessions of one month that lie far ahead."""

    month: str
    sessions: tuple[Brief, ...]


@dataclass(frozen=True, slots=True)
class ItemRow:
    """Something on order, in words, and its id."""

    key: str
    item: str
    title: str
    comes: str
    order_by: str
    late: bool
    there: bool
    ordered: bool
    needed: str
    holds: str


@dataclass(frozen=True, slots=True)
class Shop:
    """Something to buy, in words, and how one names it; days that are not known are empty."""

    key: str
    thing: str
    name: str
    amount: str
    order_by: str
    needed: str
    ordered: str


@dataclass(frozen=True, slots=True)
class StepRow:
    """One step in the table of the picture."""

    number: int
    anchor: str
    title: str
    room: str
    times: str
    film: str
    held: str


@dataclass(frozen=True, slots=True)
class StopRow:
    """A stop of the line that holds up the end: its number there, the step, when it begins, and what kept it."""

    number: int
    anchor: str
    title: str
    moment: str
    why: str


@dataclass(frozen=True, slots=True)
class SourceRow:
    """One stage of a family: when, by which law, and where the number comes from."""

    stage: str
    hours: str
    law: str
    source: str


@dataclass(frozen=True, slots=True)
class Source:
    """A family of which films are laid: at which air its times hold, and where they and the limits of its `air` come
    from; `source` and `limits` are as they were taken down."""

    title: str
    said: str
    source: str
    air: str
    limits: str
    rows: tuple[SourceRow, ...]


@dataclass(frozen=True, slots=True)
class Curve:
    """A stepped curve with its axes in 360 by 190 pixels, (height, words) and (place, day), and its table."""

    title: str
    said: str
    points: tuple[tuple[float, float], ...]
    head: tuple[str, str]
    rows: tuple[tuple[str, str], ...]
    levels: tuple[tuple[float, str], ...]
    days: tuple[tuple[float, str], ...]
