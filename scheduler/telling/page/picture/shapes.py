"""The shapes that the picture is made of: where they are and what they say. The template draws them as they stand."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from scheduler.telling.page.picture.axis import Axis

Point = tuple[float, float]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scale:
    """Sizes in pixels: days with and without work, one person's lane, an hour of the clock, the names at the left,
    the room for later dates at the right, a film's row, letters. `names`: whether blocks carry names beside numbers.
    """

    work: float
    idle: float
    lane: float
    hour: float
    pane: float
    later: float
    row: float
    font: float
    names: bool

    @property
    def line(self) -> float:
        """Height of a line of text."""
        return self.font * 1.2


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle in pixels, `y` downwards."""

    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Text:
    """Lines of text whose first line stands on `y`; `anchor` is "start", "middle" or "end"."""

    x: float
    y: float
    lines: tuple[str, ...]
    kind: str
    anchor: str = "start"


@dataclass(frozen=True, slots=True)
class Tube:
    """The work hours of one stretch as an open vessel; `quiet`: no noise in it."""

    box: Box
    quiet: bool


@dataclass(frozen=True, slots=True)
class Block:
    """A piece of hands-on work as the filling of a tube, with its label and the line that leads to it."""

    number: int
    kinds: str
    box: Box
    label: Text
    leader: tuple[Point, ...]
    title: str
    step: str


@dataclass(frozen=True, slots=True)
class Part:
    """One stretch of a film between two stages, tapering; `level` 0 is wet, 3 is on the way to full cure."""

    level: int
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class Band:
    """A film: the drop that fell from the hands, and its tail that fades as it dries."""

    number: int
    drop: Point
    size: float
    mark: Text
    parts: tuple[Part, ...]
    ticks: tuple[Box, ...]
    labels: tuple[Text, ...]
    name: Text
    title: str
    step: str


@dataclass(frozen=True, slots=True)
class Flag:
    """Something that happens on a day: a delivery, an order-by day, now, the end. `stem` is the line down from it."""

    kind: str
    x: float
    y: float
    label: Text
    stem: float


@dataclass(frozen=True, slots=True)
class Strand:
    """A stretch of the thread that holds the finish; `kind` is "hands", "film" or "hours"."""

    kind: str
    points: tuple[Point, ...]


@dataclass(frozen=True, slots=True)
class AirLine:
    """The air of a room: temperature and humidity as thin lines with their names at the left."""

    name: Text
    warm: tuple[Point, ...]
    damp: tuple[Point, ...]
    box: Box


@dataclass(frozen=True, slots=True, kw_only=True)
class Picture:
    """Everything that is drawn. `width` is without the names at the left (`scale.pane`); `here` is where the next
    session's day begins.
    """

    scale: Scale
    axis: Axis
    width: float
    height: float
    here: float
    hours: Box
    floor: float
    films: Box
    days: tuple[tuple[Box, bool], ...]
    dates: tuple[Text, ...]
    clocks: tuple[Text, ...]
    nights: tuple[Box, ...]
    tubes: tuple[Tube, ...]
    blocks: tuple[Block, ...]
    bands: tuple[Band, ...]
    flags: tuple[Flag, ...]
    thread: tuple[Strand, ...]
    air: tuple[AirLine, ...]


def number(value: float) -> str:
    """A length as SVG writes it: a tenth of a pixel is enough."""
    return f"{value:.1f}".removesuffix(".0")


def line(points: Iterable[Point]) -> str:
    """The data of a path from point to point (SVG 2, section 9.3)."""
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)


def rectangle(box: Box) -> str:
    """The data of a path around a box."""
    return f"M{number(box.x)} {number(box.y)}h{number(box.width)}v{number(box.height)}h{number(-box.width)}z"
