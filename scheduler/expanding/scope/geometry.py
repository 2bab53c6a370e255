"""What there is to work on: strips of wall, openings in them, areas and running lengths. Metres throughout."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise

from scheduler.model.scope import Level, Measured, Opening, Part, RoomWall

EPS = 1e-9
"""Metres: sizes that differ by less are the same."""
_ROUNDED = {False: 0.0127, True: 0.01}
"""A share of a height is rounded to half an inch, or a centimetre: nobody snaps a line closer (common practice)."""


@dataclass(frozen=True, slots=True)
class Strip:
    """A band of one wall from `start` to `top`, `width` wide; `whole` if it runs from corner to corner."""

    wall: RoomWall
    start: float
    top: float
    width: float
    whole: bool

    @property
    def height(self) -> float:
        """Metres from foot to top."""
        return self.top - self.start


@dataclass(frozen=True, slots=True)
class MeasuredRoom:
    """A measured room and the parts in it."""

    room: Measured
    parts: tuple[Part, ...]
    metric: bool

    def part(self, name: str) -> Part:
        """The part of that id. Raises KeyError."""
        for part in self.parts:
            if part.id == name:
                return part
        raise KeyError(name)

    def level(self, level: Level, height: float) -> float:
        """Metres over the floor."""
        if level.metres is not None:
            return min(level.metres, height)
        step = _ROUNDED[self.metric]
        return min(round((level.share or 0.0) * height / step) * step, height)

    def strips(self, part: Part) -> list[Strip]:
        """The bands of wall that a part is made of; none if it is no wall."""
        if part.kind == "panel":
            return list(self._panel(part))
        if part.kind == "walls":
            return [strip for wall in self._walls(part) for strip in self._left_of(wall)]
        return []

    def _walls(self, part: Part) -> list[RoomWall]:
        return [wall for wall in self.room.walls if not part.on or wall.id in part.on]

    def _panel(self, part: Part) -> Iterator[Strip]:
        height = self.room.height
        start = self.level(part.start, height) if part.start else 0.0
        top = self.level(part.top, height) if part.top else height
        for wall in self._walls(part):
            whole = part.width is None
            width = wall.length if part.width is None else min(part.width, wall.length)
            yield from [Strip(wall, start, max(start, top), width, whole)] * (1 if whole else part.count or 1)

    def _left_of(self, wall: RoomWall) -> Iterator[Strip]:
        """What other parts leave of a wall, from the floor up."""
        taken = sorted(
            (strip.start, strip.top)
            for part in self.parts
            if part.kind == "panel"
            for strip in self._panel(part)
            if strip.wall.id == wall.id and strip.whole
        )
        foot = 0.0
        for start, top in [*taken, (self.room.height, self.room.height)]:
            if start > foot + EPS:
                yield Strip(wall, foot, start, wall.length, True)
            foot = max(foot, top)

    def openings(self, strip: Strip) -> list[tuple[Opening, float]]:
        """The openings that cut into a band, each with the height in metres of what it cuts out."""
        if not strip.whole:
            return []
        cuts = [
            (opening, min(strip.top, opening.sill + opening.height) - max(strip.start, opening.sill))
            for opening in self.room.openings
            if opening.wall == strip.wall.id
        ]
        return [(opening, cut) for opening, cut in cuts if cut > EPS]

    def cased(self, part: Part) -> list[Opening]:
        """The openings that a part goes around."""
        return [opening for opening in self.room.openings if opening.id in part.around]

    def moulded(self, part: Part) -> list[float]:
        """The single lengths (metres) along floor and ceiling, wall by wall, less the doors at the floor.

        Of a trim whose length is said outright it is that one.
        """
        if part.kind == "trim" and part.length is not None:
            return [part.length]
        lengths: list[float] = []
        if "ceiling" in part.along:
            lengths += [wall.length for wall in self._walls(part)]
        if "floor" in part.along:
            for wall in self._walls(part):
                doors = [each for each in self.room.openings if each.wall == wall.id and each.sill < EPS]
                left = max(0.0, wall.length - sum(door.width for door in doors))
                lengths += [left / (len(doors) + 1)] * (len(doors) + 1) if left > EPS else []
        return lengths


def casing(opening: Opening) -> list[float]:
    """The lengths (metres) of the casing of one side: two sides, head, and sill of a window."""
    return [opening.height, opening.height, opening.width, *([opening.width] if opening.sill > EPS else [])]


def outline(strip: Strip, opening: Opening) -> float:
    """How many metres of the outline of an opening lie inside a band."""
    head = opening.sill + opening.height
    sides = 2 * (min(strip.top, head) - max(strip.start, opening.sill))
    lies = [strip.start + EPS < level < strip.top - EPS for level in (opening.sill, head)]
    return sides + opening.width * sum(lies)


def crossing(site: MeasuredRoom, wall: RoomWall, level: float) -> float:
    """Metres of a level line along a wall that run through openings; a line right over the top of one runs on."""
    return sum(
        opening.width
        for opening in site.room.openings
        if opening.wall == wall.id and opening.sill - EPS <= level < opening.sill + opening.height - EPS
    )


def surfaces_of(site: MeasuredRoom, part: Part) -> frozenset[str]:
    """The surfaces that a part stands for: itself, those of its members, or all in the room."""
    if part.kind == "room":
        return frozenset(each.id for each in site.parts)
    members = [site.part(name) for name in part.of]
    return frozenset({part.id}) if not members else frozenset().union(*(surfaces_of(site, one) for one in members))


def meeting(site: MeasuredRoom, one: Part, other: Part) -> float:
    """How long two surfaces run along each other, metres; 0 if they don't meet."""
    if other.kind in ("walls", "panel") and one.kind not in ("walls", "panel"):
        return meeting(site, other, one)
    strips = site.strips(one)
    if other.kind in ("walls", "panel"):
        return _walls_meet(site, strips, site.strips(other))
    if other.kind == "ceiling":
        at_top = [strip for strip in strips if strip.top > site.room.height - EPS]
        return sum(strip.width - min(strip.width, _high(site, strip)) for strip in at_top) if strips else 0.0
    if other.kind == "floor":
        return sum(max(0.0, strip.width - crossing(site, strip.wall, 0.0)) for strip in strips if strip.start < EPS)
    if other.kind == "trim":
        return sum(_trim_meets(site, strip, other) for strip in strips)
    return 0.0


def _high(site: MeasuredRoom, strip: Strip) -> float:
    """The width of the openings that reach the ceiling."""
    return sum(
        opening.width for opening, _ in site.openings(strip) if opening.sill + opening.height > strip.top - EPS
    )


def _walls_meet(site: MeasuredRoom, mine: list[Strip], theirs: list[Strip]) -> float:
    total = 0.0
    neighbours = {(a.id, b.id) for a, b in pairwise((*site.room.walls, site.room.walls[0]))}
    for one in mine:
        for other in theirs:
            if one.wall.id == other.wall.id and one.whole != other.whole:
                total += _outlined(*((one, other) if other.whole else (other, one)))
            elif one.wall.id == other.wall.id:
                for level, upper in ((one.top, other.start), (other.top, one.start)):
                    if abs(level - upper) < EPS:
                        width = min(one.width, other.width)
                        total += max(0.0, width - crossing(site, one.wall, level))
            elif (
                one.whole
                and other.whole
                and {(one.wall.id, other.wall.id), (other.wall.id, one.wall.id)} & neighbours
            ):
                total += max(0.0, min(one.top, other.top) - max(one.start, other.start))
    return total


def _outlined(piece: Strip, field: Strip) -> float:
    """Metres of the outline of a piece of wall, such as a stripe, that lie on a band from corner to corner."""
    start, top = max(piece.start, field.start), min(piece.top, field.top)
    lies = [field.start + EPS < level < field.top - EPS for level in (piece.start, piece.top)]
    return 2 * (top - start) + piece.width * sum(lies) if top > start + EPS else 0.0


def lies_on(site: MeasuredRoom, one: Part, other: Part) -> bool:
    """Whether a surface is painted on another: pieces of wall, such as stripes, on bands from corner to corner."""
    pieces = [strip for strip in site.strips(one) if not strip.whole]
    fields = [strip for strip in site.strips(other) if strip.whole]
    return any(
        piece.wall.id == field.wall.id and _outlined(piece, field) > EPS for piece in pieces for field in fields
    )


def _trim_meets(site: MeasuredRoom, strip: Strip, trim: Part) -> float:
    total = 0.0
    walls = {wall.id for wall in site.room.walls if not trim.on or wall.id in trim.on}
    if strip.wall.id in walls and "floor" in trim.along and strip.start < EPS:
        total += max(0.0, strip.width - crossing(site, strip.wall, 0.0))
    if strip.wall.id in walls and "ceiling" in trim.along and strip.top > site.room.height - EPS:
        total += strip.width
    cased = {opening.id for opening in site.cased(trim)}
    return total + sum(outline(strip, opening) for opening, _ in site.openings(strip) if opening.id in cased)
