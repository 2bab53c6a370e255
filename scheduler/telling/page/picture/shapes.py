"""What a picture is made of: shapes by their kind, and text. The template draws them as they stand."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from dataclasses import dataclass, field

Point = tuple[float, float]

KINDS = (
    *("night", "fold", "zigzag", "day", "bare", "ground", "awaited", "hard", "thin", "dries", "off"),
    *(
        "tube",
        "lays",
        "works",
        "taken",
        "visit",
        "away",
        "stem",
        "plate",
        "sign",
        "halo",
        "chain",
        "drop",
        "laid",
        "next",
        "use",
        "stop",
    ),
)
"""Kinds of shapes in the order in which they are drawn: what comes later lies on top."""


@dataclass(frozen=True, slots=True)
class Text:
    """A line of text that stands on `y`; `anchor` is "start", "middle" or "end"."""

    x: float
    y: float
    said: str
    kind: str
    anchor: str = "start"


@dataclass(slots=True)
class Canvas:
    """One drawing in the making: paths by kind, and text. Pixels, `y` downwards."""

    paths: dict[str, list[str]] = field(default_factory=lambda: defaultdict(list))
    texts: list[Text] = field(default_factory=list)

    def draw(self, kind: str, path: str) -> None:
        """Put in a path of SVG."""
        self.paths[kind].append(path)

    def write(self, x: float, y: float, said: str, kind: str, anchor: str = "start") -> None:
        """Put in a line of text, if there is any."""
        if said:
            self.texts.append(Text(x, y, said, kind, anchor))

    def done(self, width: float, height: float, title: str) -> Drawing:
        """The drawing, its paths in the order of KINDS."""
        found = tuple((kind, "".join(self.paths[kind])) for kind in KINDS if kind in self.paths)
        return Drawing(width, height, title, found, tuple(self.texts))


@dataclass(frozen=True, slots=True)
class Drawing:
    """A finished drawing: its size, what it shows in words, (kind, path) from the back to the front, and text."""

    width: float
    height: float
    title: str
    paths: tuple[tuple[str, str], ...]
    texts: tuple[Text, ...]


def number(value: float) -> str:
    """A length as SVG writes it: a tenth of a pixel is enough."""
    return f"{value:.1f}".removesuffix(".0")


def line(points: Iterable[Point]) -> str:
    """The data of a path from point to point (SVG 2, section 9.3)."""
    return "M" + "L".join(f"{number(x)} {number(y)}" for x, y in points)


def rectangle(x: float, y: float, width: float, height: float) -> str:
    """The data of a path around a rectangle."""
    return f"M{number(x)} {number(y)}h{number(width)}v{number(height)}h{number(-width)}z"


def drop(x: float, y: float, size: float) -> str:
    """A drop that hangs over a point: pointed above, round below."""
    n = number
    return (
        f"M{n(x)} {n(y - size * 1.7)}C{n(x + size * 0.4)} {n(y - size)} {n(x + size)} {n(y - size * 0.6)} "
        f"{n(x + size)} {n(y)}A{n(size)} {n(size)} 0 0 1 {n(x - size)} {n(y)}"
        f"C{n(x - size)} {n(y - size * 0.6)} {n(x - size * 0.4)} {n(y - size)} {n(x)} {n(y - size * 1.7)}z"
    )


def crossed(x: float, y: float, width: float, height: float) -> str:
    """The data of a path around a rectangle with its diagonals: work that is none of ours."""
    right, bottom = x + width, y + height
    return rectangle(x, y, width, height) + line(((x, y), (right, bottom))) + line(((x, bottom), (right, y)))


def stretch(start: Point, end: Point, half: float = 4) -> str:
    """A line with a bar across each end, straight across or straight down."""
    dx, dy = (0.0, half) if start[1] == end[1] else (half, 0.0)
    bars = (line(((x - dx, y - dy), (x + dx, y + dy))) for x, y in (start, end))
    return line((start, end)) + "".join(bars)


def triangle(x: float, y: float, size: float) -> str:
    """A triangle that stands on its base, around a point."""
    return line(((x, y - size), (x + size, y + size * 0.8), (x - size, y + size * 0.8))) + "z"


def disc(x: float, y: float, size: float) -> str:
    """A full circle around a point."""
    n = number
    return (
        f"M{n(x - size)} {n(y)}a{n(size)} {n(size)} 0 1 0 {n(2 * size)} 0a{n(size)} {n(size)} 0 1 0 {n(-2 * size)} 0z"
    )


def zigzag(start: Point, end: Point, step: float = 5, deep: float = 2.5) -> str:
    """The edge of a torn strip between two points, straight across or straight down."""
    across = start[1] == end[1]
    length = abs(end[0] - start[0]) if across else abs(end[1] - start[1])
    count = max(2, round(length / step))
    along, off = number(length / count), 2 * deep
    turns = (f"{along} {number(-off if n % 2 else off)}" for n in range(count))
    steps = turns if across else (" ".join(reversed(turn.split())) for turn in turns)
    x, y = (start[0], start[1] - deep) if across else (start[0] - deep, start[1])
    return f"M{number(x)} {number(y)}l{' '.join(steps)}"
