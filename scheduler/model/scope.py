"""What a person measured and wants done: rooms with their walls and openings, parts of them, and methods by name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any

from scheduler.errors import Place
from scheduler.model.after import After

GOLDEN = 2 / (1 + 5**0.5)
"""The longer part of a length in the golden section, as a share of it: 0.618 (Euclid VI, definition 3)."""

SURFACES = ("walls", "panel", "ceiling", "floor", "trim", "doors", "room", "other")
"""Kinds of surface: what it is decides which method of painting fits, and how it is measured."""


ALL_WORK = "all-work"
"""What a pace is said of that holds for every kind of work."""


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomWall:
    """One wall of a room; `length` in metres. Walls stand in their order around the room."""

    id: str
    title: str
    length: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A window or a door: metres. It is a door if its sill is the floor; `leaves` hang in it."""

    id: str
    title: str
    wall: str
    width: float
    height: float
    sill: float = 0.0
    leaves: int = 1
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """A room as measured, in metres. `saw_room` is where boards are sawn, the room itself if None."""

    room: str
    length: float
    width: float
    height: float
    walls: tuple[RoomWall, ...]
    openings: tuple[Opening, ...] = ()
    saw_room: str | None = None
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Level:
    """A height over the floor: metres, or a share of the height of the wall."""

    metres: float | None = None
    share: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Said:
    """An option as a person wrote it: its name and value, and where each of them stands."""

    name: str
    text: str
    named: Place | None = None
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """A method to be used on a part: its options as they were written, and what on order it needs."""

    method: str
    options: tuple[Said, ...] = ()
    needs: tuple[str, ...] = ()
    place: Place | None = None


FLOOR_ALONE = "floor-alone"
"""Of a room in which only the floor is done, and what lies on it: nothing there has to be kept off the floor."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """A surface, or several (`of`), and what is done to it, after what is done to the parts `over` which it lies.

    `on` are walls (none: all); `start` and `top` bound a strip of them, `width` (metres) narrows it to a piece.
    `in_room` are the methods that are used on the room as a whole. `circumstances` are the regions of the country,
    nearest first, and of a room in which nothing else is done FLOOR_ALONE: by them options have their usual values.
    `around` are openings that are cased or hung, `along` floor or ceiling for a moulding; `area` (m²), `length`
    (metres) and `count` say outright what there is. `given` overrides computed quantities.
    """

    id: str
    title: str
    room: str
    kind: str
    on: tuple[str, ...] = ()
    start: Level | None = None
    top: Level | None = None
    width: float | None = None
    around: tuple[str, ...] = ()
    along: tuple[str, ...] = ()
    area: float | None = None
    length: float | None = None
    count: int | None = None
    of: tuple[str, ...] = ()
    over: tuple[str, ...] = ()
    calls: tuple[Call, ...] = ()
    given: tuple[tuple[str, float], ...] = ()
    in_room: tuple[str, ...] = ()
    circumstances: tuple[str, ...] = ()
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """What is to be otherwise in a step that a method or a colour brought: fields of `Step`, and what it follows."""

    step: str
    fields: Mapping[str, Any]
    after: tuple[After, ...] | None = None
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Scope:
    """The section `scope` with all that belongs to it.

    `order` says which rules of the trade's order are `left out` or `reversed`.
    `pace` is the person's own against the rates of the methods (0.8: a quarter longer), by kind of work or of
    ALL_WORK; `first_time` are methods that they never used. `no_border` are pairs of colours that are cut in by
    hand. `places` says where single entries stand, by a path of ids: ("scope", part, key), ("colours", colour, "on",
    part), ("changes", step, key).
    """

    rooms: tuple[Measured, ...]
    parts: tuple[Part, ...]
    changes: tuple[Change, ...] = ()
    dropped: tuple[tuple[str, Place], ...] = ()
    no_border: tuple[tuple[str, str], ...] = ()
    order: tuple[tuple[str, str], ...] = ()
    pace: Mapping[str, float] = field(default_factory=dict)
    first_time: tuple[tuple[str, Place], ...] = field(default=())
    places: Mapping[tuple[str, ...], Place] = field(default_factory=dict, compare=False)

    def place(self, *path: str) -> Place | None:
        """Where an entry stands, or as near to it as the file goes."""
        return next((self.places[path[:end]] for end in range(len(path), 0, -1) if path[:end] in self.places), None)
