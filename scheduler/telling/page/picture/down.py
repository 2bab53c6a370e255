"""The picture down: time downwards, for a phone. Surfaces are columns, layers grow to the right; what the marks say
stands at the right, pushed apart, with a thin line to its drop."""

from __future__ import annotations

from dataclasses import dataclass, field
from string import ascii_uppercase

from scheduler.telling.page.picture.axis import Axis, lines
from scheduler.telling.page.picture.labels import BOLD, fitted, spread, text_width, wrapped
from scheduler.telling.page.picture.scene import Scene, Stop
from scheduler.telling.page.picture.shapes import (
    Canvas,
    Drawing,
    crossed,
    disc,
    line,
    rectangle,
    stretch,
    triangle,
    zigzag,
)
from scheduler.telling.views.layers import Layer, Surface
from scheduler.telling.wording import one_line

WIDTH = 358.0
"""Pixels: a phone of 390 with its margins."""
DAY, HANDS, COLUMNS, WORDS = 66.0, 50.0, 74.0, 182.0
"""Pixels: a day; where the tubes, the columns and the words begin."""
EDGE = 2.0
"""Where text begins: some letters reach to the left of where they stand."""
CELLS = 14
"""Days and folds in one drawing at most: about two screens."""
FONT, LINE = 12.0, 14.0
THICK = {"off": 6.0, "dries": 5.0, "thin": 2.2, "hard": 0.8}
"""Pixels of a film in each state."""
APART, CLOSEST = 9.0, 5.0
"""Pixels between two layers, and the least of it where many lie side by side."""
STOP = 7.5
KINDS = {"off": "hands off until", "next": "next on it from", "use": "in use from"}


def down(scene: Scene) -> tuple[Drawing, ...]:
    """One drawing for every two weeks or so."""
    days, _ = scene.days()
    return tuple(_Column(scene, axis).drawing() for axis in lines(scene.face, days, CELLS, 0.0, lambda _: DAY))


@dataclass
class _Label:
    """Lines of words beside a moment: (kind of mark or "", text, whether bold), and where its line leads."""

    y: float
    lines: list[tuple[str, str, str]]
    x: float


@dataclass
class _Column:
    """One drawing in the making. `top` is where its first day begins."""

    scene: Scene
    axis: Axis
    sheet: Canvas = field(default_factory=Canvas)
    feet: dict[tuple[str, str], float] = field(default_factory=dict)
    grounds: dict[tuple[str, str], float] = field(default_factory=dict)
    labels: list[_Label] = field(default_factory=list)
    top: float = 0.0

    def y(self, minute: int) -> float:
        return self.top + self.axis.place(minute)

    def drawing(self) -> Drawing:
        scene, axis = self.scene, self.axis
        live = scene.live(axis)
        apart, shown = APART, len(live)
        room = WORDS - 12 - COLUMNS
        while shown > 1 and (apart := self._apart(live[:shown], room)) < CLOSEST:
            shown -= 1
        self._heads(live[:shown], len(live) - shown)
        self._tubes()
        self._others()
        x = COLUMNS
        for letter, (surface, hard, wet) in zip(_letters(), live[:shown], strict=False):
            x = self._surface(surface, hard, wet, x, apart, letter)
        self._chain()
        bottom = self._words()
        self._days(bottom)
        first, last = axis.cells[0].day, scene.face.day(axis.end - 1)
        return self.sheet.done(WIDTH, bottom + 6, f"{scene.face.date_of(first)} – {scene.face.date_of(last)}")

    @staticmethod
    def _apart(live: list[tuple[Surface, int, list[Layer]]], room: float) -> float:
        """How far layers may lie from each other so that all fit."""
        count = sum(len(wet) + (hard > 0) for _, hard, wet in live)
        return min(APART, (room - 10 * len(live)) / max(1, count))

    def _heads(self, live: list[tuple[Surface, int, list[Layer]]], left: int) -> None:
        """What the letters over the columns stand for."""
        y = FONT
        several = len({surface.room for surface in self.scene.surfaces}) > 1
        for letter, (surface, _, _) in zip(_letters(), live, strict=False):
            title = surface.title[:1].upper() + surface.title[1:]
            room = f"{surface.room}: " if several else ""
            self.sheet.write(EDGE, y, letter, "name")
            self.sheet.write(20, y, fitted(f"{room}{title}", FONT, WIDTH - 20), "time")
            y += LINE + 2
        if left:
            self.sheet.write(EDGE, y, self.scene.tongue("{n} surfaces more: in the table", n=left), "small")
            y += LINE + 2
        self.top = y + 22

    def _days(self, bottom: float) -> None:
        face, right, month = self.scene.face, WORDS - 8, 0
        for cell in self.axis.cells:
            y, deep = self.top + cell.at, cell.size
            if cell.folded:
                self.sheet.draw("fold", rectangle(0, y, right, deep))
                for edge in (y, y + deep):
                    self.sheet.draw("zigzag", zigzag((0, edge), (right, edge)))
                self.sheet.write(EDGE, y + deep / 2 + 4, str(cell.days), "day")
                self.sheet.write(EDGE, y + deep / 2 + 4 + LINE, fitted(self.scene.tongue("days"), FONT, HANDS), "day")
                continue
            self.sheet.draw("day", line(((0, y), (right, y))))
            worked = any(face.day(session.start) == cell.day for session in self.scene.book.sessions)
            kind = "workday" if worked else "day"
            self.sheet.write(EDGE, y + LINE, face.weekday(cell.day), kind)
            self.sheet.write(EDGE, y + 2 * LINE, str(cell.day.day), kind)
            if cell.day.month != month:
                month = cell.day.month
                self.sheet.write(EDGE, y + 3 * LINE, fitted(face.month(cell.day), FONT * BOLD, HANDS), "workday")
        for start, end in self.scene.nights(self.axis):
            self.sheet.draw(
                "night", rectangle(HANDS - 4, self.y(start), right - HANDS + 4, self.y(end) - self.y(start))
            )

    def _tubes(self) -> None:
        scene = self.scene
        sessions = scene.sessions(self.axis)
        most = max((session.people for session in sessions), default=1)
        person = min(7.0, 14 / most)
        for session in sessions:
            top, end = self.y(session.start), self.y(session.end)
            for piece in scene.book.pieces(session):
                wide = person * min(piece.step.people, session.people)
                high = max(0.8, self.y(piece.span.end) - self.y(piece.span.start))
                kind = "lays" if piece.step.film is not None else "works"
                self.sheet.draw(kind, rectangle(HANDS, self.y(piece.span.start), wide, high))
            self.sheet.draw("tube", rectangle(HANDS, top, person * session.people, max(2.0, end - top)))
        plan = scene.book.plan
        if self.axis.holds(plan.as_of) and not scene.over:
            y = self.y(plan.as_of)
            self.sheet.draw("stem", line(((HANDS - 6, y), (WORDS - 8, y))))
            self._flag(y, scene.tongue("now"), WORDS - 8)
        if self.axis.holds(plan.finish - 1):
            y = self.y(plan.finish)
            self._flag(y, scene.done_words(), HANDS + 8)

    def _others(self) -> None:
        """Who comes by appointment, beside the hands, and the days on which nobody is there, beside the dates."""
        for visit, said in self.scene.visits(self.axis):
            top, end = self.y(visit.span.start), self.y(visit.span.end)
            self.sheet.draw("visit", crossed(HANDS, top, 14, max(4.0, end - top)))
            self._flag(top, f"{one_line(visit.title)} {said}", HANDS + 14)
        for start, end, said in self.scene.away(self.axis):
            top, bottom, x = self.y(start), self.y(end), HANDS - 8
            self.sheet.draw("away", stretch((x, top), (x, bottom)))
            self._flag(top, f"{self.scene.tongue('away')}: {said}", x)

    def _surface(self, surface: Surface, hard: int, wet: list[Layer], x: float, apart: float, letter: str) -> float:
        """A column: the bare ground at its left, the layers to the right of it; where the next one begins."""
        begin, end = self.top, self.top + self.axis.until
        self.sheet.write(x - 2, self.top - 6, letter, "name")
        due = surface.waits.expected if surface.waits is not None else None
        if surface.waits is not None and due is not None and self.scene.minute_of(due) > self.axis.start:
            comes = self.scene.minute_of(due)
            begin = self.y(comes)
            self.sheet.draw("awaited", line(((x, self.top), (x, begin))))
            if self.axis.holds(comes):
                words = f"{self.scene.book.item_title(surface.waits)}: {self.scene.face.short(due)}"
                self._flag(begin, words, x)
        if begin < end:
            self.sheet.draw("ground", line(((x, begin), (x, end))))
            self.sheet.draw("bare", rectangle(x - 4, begin, 4, end - begin))
        self.grounds[surface.room, surface.title] = x
        place = x + 3
        if hard:
            place += apart
            self.sheet.draw("hard", line(((place, self.top), (place, end))))
        for layer in wet:
            place += apart
            self.feet.setdefault((layer.step.id, surface.title), place - apart / 2)
            self._film(layer, place)
            if not layer.shared:
                self._label(surface, layer, place, letter)
        return place + 10

    def _film(self, layer: Layer, x: float) -> None:
        for kind, start, end in self.scene.stretches(layer, self.axis):
            self.sheet.draw(kind, rectangle(x - THICK[kind] / 2, self.top + start, THICK[kind], end - start))
        if self.axis.holds(layer.laid):
            self.sheet.draw("laid" if layer.done else "drop", disc(x, self.y(layer.laid), 3.4))
        for mark in self.scene.marks(layer):
            if mark.kind != "off" and self.axis.holds(mark.minute):
                y = self.y(mark.minute)
                self.sheet.draw(mark.kind, triangle(x, y, 3.4) if mark.kind == "next" else disc(x, y, 2.8))

    def _label(self, surface: Surface, layer: Layer, x: float, letter: str) -> None:
        if not self.axis.holds(layer.laid):
            return
        name = wrapped(f"{letter} {self.scene.name(layer, surface)}", FONT * BOLD, WIDTH - WORDS, 3)
        words = [("", each, "layer") for each in name]
        for mark in self.scene.marks(layer):
            said = f"{self.scene.tongue(KINDS[mark.kind])} {mark.said}"
            if text_width(said, FONT) > WIDTH - WORDS - 13:
                said = mark.said
            words.append((mark.kind, said, "time"))
        self.labels.append(_Label(self.y(layer.laid), words, x))

    def _flag(self, y: float, words: str, x: float) -> None:
        found = wrapped(words, FONT * BOLD, WIDTH - WORDS, 3)
        self.labels.append(_Label(y, [("", each, "flag") for each in found], x))

    def _words(self) -> float:
        """The words, none over another, each as near to its moment as the ones before it allow."""
        found = sorted(self.labels, key=lambda label: label.y)
        boxes = [(label.y - FONT / 2, LINE * len(label.lines) + 5) for label in found]
        end = self.top + self.axis.until
        tops = spread(boxes, self.top, end)
        for label, y in zip(found, tops, strict=True):
            self.sheet.draw("stem", line(((label.x, label.y), (WORDS - 8, label.y), (WORDS - 3, y + FONT / 2))))
            for place, (mark, said, kind) in enumerate(label.lines):
                base = y + FONT * 0.85 + place * LINE
                x = WORDS
                match mark:
                    case "off":
                        self.sheet.draw("sign", rectangle(x, base - 8, 9, 8))
                    case "next":
                        self.sheet.draw("next", triangle(x + 4.5, base - 4, 4))
                    case "use":
                        self.sheet.draw("use", disc(x + 4.5, base - 4, 3.2))
                self.sheet.write(
                    x + 13 if mark else x,
                    base,
                    said if kind == "time" else fitted(said, FONT * BOLD, WIDTH - x),
                    kind,
                )
        return max([end, *(y + LINE * len(label.lines) for label, y in zip(found, tops, strict=True))])

    def _chain(self) -> None:
        axis = self.axis
        route, stops = self.scene.route(axis, self._foot, HANDS + 8)
        points = [(x, self.top + along) for along, x in route]
        found = [(stop, x, self.top + along) for stop, along, x in stops]
        if len(points) > 1:
            self.sheet.draw("halo", line(points))
            self.sheet.draw("chain", line(points))
        tops = spread([(y - STOP, 2 * STOP + 1) for _, _, y in found], self.top, self.top + axis.until)
        for (stop, x, _), top in zip(found, tops, strict=True):
            self.sheet.draw("stop", disc(x, top + STOP, STOP))
            self.sheet.write(x, top + STOP + 4, str(stop.number), "number", "middle")

    def _foot(self, stop: Stop) -> float:
        surface = stop.surface
        if surface is not None and stop.film is not None and (stop.film.id, surface.title) in self.feet:
            return self.feet[stop.film.id, surface.title]
        if surface is not None:
            return self.grounds.get((surface.room, surface.title), COLUMNS - 10)
        return COLUMNS - 10


def _letters() -> list[str]:
    return [*ascii_uppercase, *(f"{first}{second}" for first in ascii_uppercase for second in ascii_uppercase)]
