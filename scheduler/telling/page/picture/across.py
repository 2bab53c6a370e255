"""The picture across: time to the right, for a wide window and for paper.

Above, hands: a tube a session, as high as people are there. Below, each surface cut through: a hatched line is the
bare ground, each film lies on the one before it. A thick bar: hands off; a hatched one: it dries on for what comes
next; a thin one: until it may be used; a hairline: it is there, and hard. Width says the state, colour never alone.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from itertools import pairwise

from scheduler.telling.page.picture.axis import Axis, lines
from scheduler.telling.page.picture.labels import BOLD, fitted, lanes, spread, text_width, wrapped
from scheduler.telling.page.picture.scene import Mark, Scene, Stop
from scheduler.telling.page.picture.shapes import (
    Canvas,
    Drawing,
    crossed,
    disc,
    drop,
    line,
    rectangle,
    stretch,
    triangle,
    zigzag,
)
from scheduler.telling.views.layers import Layer, Surface
from scheduler.telling.wording import one_line
from scheduler.wallclock import NEVER

WIDTH, PANE = 1180.0, 124.0
"""Pixels: of the whole, and of the names at the left."""
EDGE = 2.0
"""Where text begins: some letters reach to the left of where they stand."""
CELLS = 27
"""Days and folds in one line at most."""
WIDEST = 72.0
"""Pixels of a day, where few are shown."""
ROW, FONT, PERSON = 20.0, 11.5, 8.0
"""Pixels: a layer's row, letters, one person in a tube."""
STOP = 7.5
HEAD = 44.0
"""Pixels: the names of months and days."""
"""The radius of a stop."""
THICK = {"off": 9.0, "dries": 7.0, "thin": 2.6, "hard": 0.8}
"""Pixels of a film in each state."""
THINGS = 6
"""Rows of things out of use at most."""


def across(scene: Scene) -> tuple[Drawing, ...]:
    """One drawing a line of time."""
    days, _ = scene.days()
    axes = lines(scene.face, days, CELLS, PANE, lambda count: min(WIDEST, (WIDTH - PANE) / count))
    return tuple(_TimeLine(scene, axis).drawing() for axis in axes)


@dataclass
class _TimeLine:
    """One line of time in the making."""

    scene: Scene
    axis: Axis
    sheet: Canvas = field(default_factory=Canvas)
    feet: dict[tuple[str, str], float] = field(default_factory=dict)
    grounds: dict[tuple[str, str], float] = field(default_factory=dict)
    hands: float = 0.0
    _stops: list[tuple[Stop, float, float, tuple[str, str]]] = field(default_factory=list)
    _points: list[tuple[float, float]] = field(default_factory=list)

    def drawing(self) -> Drawing:
        axis, scene = self.axis, self.scene
        top = self._flags(HEAD + 2)
        y = self._tubes(top) + (2 * STOP if self._loose() else 0)
        y = self._others(y)
        y = self._things(y)
        room, live = "", scene.live(axis)
        several = len({surface.room for surface in scene.surfaces}) > 1
        rows: list[tuple[Surface, list[tuple[Layer, float]]]] = []
        for surface, hard, wet in live:
            if several and surface.room != room:
                room = surface.room
                self.sheet.write(EDGE, y + FONT + 4, fitted(room, FONT * BOLD, WIDTH), "name")
                y += ROW
            y, placed = self._surface(surface, hard, wet, y + 6)
            rows.append((surface, placed))
        self._chain()
        for surface, placed in rows:
            for layer, row in placed:
                self._label(surface, layer, row)
        self._days(y)
        first, last = axis.cells[0].day, scene.face.day(axis.end - 1)
        return self.sheet.done(WIDTH, y + 6, f"{scene.face.date_of(first)} – {scene.face.date_of(last)}")

    def _days(self, bottom: float) -> None:
        """The days with their names, the nights, and what is folded."""
        free, face, top, month = 0.0, self.scene.face, HEAD, ""
        for cell in self.axis.cells:
            middle = cell.at + cell.size / 2
            said = face.month_of(cell.day)
            if said != month and cell.at >= free:
                month = said
                self.sheet.write(cell.at + 2, FONT, said, "month")
                free = cell.at + text_width(said, FONT * BOLD) + 8
            if cell.folded:
                self.sheet.draw("fold", rectangle(cell.at, top, cell.size, bottom - top))
                for x in (cell.at, cell.at + cell.size):
                    self.sheet.draw("zigzag", zigzag((x, top), (x, bottom)))
                self.sheet.write(middle, 2 * FONT + 3, str(cell.days), "day", "middle")
                self.sheet.write(
                    middle, 3 * FONT + 6, fitted(self.scene.tongue("days"), FONT, cell.size), "day", "middle"
                )
            else:
                self.sheet.draw("day", line(((cell.at, top), (cell.at, bottom))))
                worked = any(face.day(session.start) == cell.day for session in self.scene.book.sessions)
                kind = "workday" if worked else "day"
                self.sheet.write(middle, 2 * FONT + 3, face.weekday(cell.day), kind, "middle")
                self.sheet.write(middle, 3 * FONT + 6, str(cell.day.day), kind, "middle")
        for start, end in self.scene.nights(self.axis):
            left, right = self.axis.place(start), self.axis.place(end)
            self.sheet.draw("night", rectangle(left, top, right - left, bottom - top))

    def _flags(self, top: float) -> float:
        """Now, the end, what was promised, by when to order: each in the first line in which it touches no other."""
        found = []
        for minute, said in self._happenings():
            x = self.axis.place(minute)
            words = fitted(said, FONT * BOLD, 300)
            wide = text_width(words, FONT * BOLD)
            left = x + 4 if x + 4 + wide <= WIDTH else x - 4 - wide
            found.append((left, wide, x, words))
        found.sort()
        rows = lanes([(left, wide) for left, wide, *_ in found], 8)
        deep = top + (max(rows, default=-1) + 1) * (FONT + 4)
        for row, (left, wide, x, words) in zip(rows, found, strict=True):
            y = top + row * (FONT + 4) + FONT
            self.sheet.draw("plate", rectangle(left - 2, y - FONT, wide + 4, FONT + 3))
            self.sheet.write(left, y, words, "flag")
            self.sheet.draw("stem", line(((x, y - FONT), (x, deep + 44))))
        return deep

    def _happenings(self) -> Iterator[tuple[int, str]]:
        scene, plan, tongue = self.scene, self.scene.book.plan, self.scene.tongue
        if self.axis.holds(plan.as_of) and not scene.over:
            yield plan.as_of, tongue("now")
        if self.axis.holds(plan.finish - 1):
            yield plan.finish, scene.done_words()
        promised = scene.facts.asides.promised
        if promised is not None and self.axis.holds(scene.minute_of(promised)):
            yield scene.minute_of(promised), tongue("promised: {day}", day=scene.face.short(promised))
        for item in plan.items:
            due = item.order_by if item.arrived is None and item.ordered is None else None
            if due is not None and self.axis.holds(scene.minute_of(due)):
                yield scene.minute_of(due), tongue("order by: {title}", title=scene.book.item_title(item))

    def _tubes(self, top: float) -> float:
        """One tube a session with its number; teal lays a film, dark is other work, empty is waiting."""
        scene, axis = self.scene, self.axis
        sessions = scene.sessions(axis)
        most = max((session.people for session in sessions), default=1)
        person = min(PERSON, 3 * PERSON / most)
        base = top + FONT + 4 + person * most
        self.sheet.write(EDGE, base - 2, scene.tongue("Hands"), "name")
        free = PANE - 20
        for session in sessions:
            left, right = axis.place(session.start), axis.place(session.end)
            high = person * session.people
            for piece in scene.book.pieces(session):
                x, until = axis.place(piece.span.start), axis.place(piece.span.end)
                deep = person * min(piece.step.people, session.people)
                kind = "lays" if piece.step.film is not None else "works"
                self.sheet.draw(kind, rectangle(x, base - deep, max(0.8, until - x), deep))
            self.sheet.draw("tube", rectangle(left, base - high, max(2.0, right - left), high))
            said = str(session.number)
            wide = text_width(said, FONT * 0.9)
            if left - 1 >= free:
                self.sheet.write(min(left, WIDTH - wide), base - high - 2, said, "small")
                free = left + wide + 2
        self.hands = base
        return base + 8

    def _loose(self) -> bool:
        """Whether a stop stands under the hands, as nothing is laid there."""
        return any(stop.surface is None and self.axis.holds(stop.step.start) for stop in self.scene.stops)

    def _others(self, y: float) -> float:
        """Who comes by appointment, and the days on which nobody is there: a row for each of the two."""
        axis = self.axis
        visits = [
            (visit.span.start, visit.span.end, f"{one_line(visit.title)} {said}")
            for visit, said in self.scene.visits(axis)
        ]
        away = self.scene.away(axis)
        y += STOP + 2 if visits or away else 0  # a stop of work that is on no surface stands under the hands
        for name, kind, found in (("Who comes", "visit", visits), ("away", "away", away)):
            if not found:
                continue
            boxes = []
            for start, end, said in found:
                left, right = axis.place(start), max(axis.place(end), axis.place(start) + 5)
                words = fitted(said, FONT, WIDTH - PANE - 12)
                wide = text_width(words, FONT)
                x = right + 6 if right + 6 + wide <= WIDTH else max(PANE + 2, left - 6 - wide)
                boxes.append((left, right, x, wide, words))
            reach = [(min(left, x), max(right, x + wide)) for left, right, x, wide, _ in boxes]
            rows = lanes([(begin, end - begin) for begin, end in reach], 8)
            title = self.scene.tongue(name)
            self.sheet.write(EDGE, y + FONT, fitted(title[:1].upper() + title[1:], FONT, PANE - 8), "small")
            for row, (left, right, x, wide, words) in zip(rows, boxes, strict=True):
                top = y + row * (FONT + 6)
                if kind == "visit":
                    self.sheet.draw(kind, crossed(left, top + 1, right - left, 10))
                else:
                    self.sheet.draw(kind, stretch((left, top + 6), (right, top + 6)))
                self.sheet.draw("plate", rectangle(x - 2, top, wide + 4, FONT + 3))
                self.sheet.write(x, top + FONT - 1, words, "small")
            y += (max(rows) + 1) * (FONT + 6)
        return y

    def _things(self, y: float) -> float:
        """What is out of use, and from when on it is free again."""
        scene, axis = self.scene, self.axis
        for name, spans in scene.taken(axis)[:THINGS]:
            self.sheet.write(EDGE, y + FONT, fitted(name, FONT, PANE - 8), "small")
            end = axis.at
            for start, until in spans:
                left, right = axis.place(start), axis.place(min(until, axis.end))
                self.sheet.draw("taken", rectangle(left, y + 3, max(2.0, right - left), 6))
                end = max(end, right)
            last = max(until for _, until in spans)
            said = scene.tongue("free {moment}", moment=scene.moment(last, spans[-1][0])) if last < NEVER else "?"
            if end + 6 + text_width(said, FONT) <= WIDTH:
                self.sheet.draw("plate", rectangle(end + 4, y, text_width(said, FONT) + 4, FONT + 3))
                self.sheet.write(end + 6, y + FONT - 1, said, "small")
            y += FONT + 6
        return y + 4

    def _surface(
        self, surface: Surface, hard: int, wet: list[Layer], top: float
    ) -> tuple[float, list[tuple[Layer, float]]]:
        """One surface from its top layer down to the ground; where its layers are."""
        axis, placed = self.axis, []
        rows = [*reversed(wet)]
        ground = top + ROW * (len(rows) + (hard > 0)) + 11
        for place, layer in enumerate(rows):
            y = top + ROW * place + ROW / 2
            placed.append((layer, y))
            self.feet.setdefault((layer.step.id, surface.title), y + 7)
            self._film(layer, y)
        if hard:
            y = top + ROW * len(rows) + ROW / 2
            words = self.scene.tongue("1 layer below, hard" if hard == 1 else "{n} layers below, hard", n=hard)
            self.sheet.draw("hard", line(((axis.at, y), (axis.until, y))))
            self._plate(axis.at + 6, y, text_width(words, FONT))
            self.sheet.write(axis.at + 6, y + 4, words, "small")
        self.grounds[surface.room, surface.title] = ground
        begin = axis.at
        bottom = ground + 7
        due = surface.waits.expected if surface.waits is not None else None
        if surface.waits is not None and due is not None:
            comes = self.scene.minute_of(due)
            if comes > axis.start:
                begin = axis.place(comes)
                self.sheet.draw("awaited", line(((axis.at, ground), (begin, ground))))
            if axis.holds(comes):
                words = f"{self.scene.book.item_title(surface.waits)}: {self.scene.face.short(due)}"
                said = fitted(words, FONT, WIDTH - PANE)
                wide = text_width(said, FONT)
                right = begin + 4 + wide <= WIDTH
                self._plate(begin + 4 if right else begin - 4 - wide, ground + 13, wide)
                self.sheet.write(
                    begin + 4 if right else begin - 4, ground + 17, said, "small", "start" if right else "end"
                )
                bottom = ground + 22
        if begin < axis.until:
            self.sheet.draw("ground", line(((begin, ground), (axis.until, ground))))
            self.sheet.draw("bare", rectangle(begin, ground, axis.until - begin, 5))
        size = FONT * BOLD
        most = max(1, int((ground - top) / (FONT * 1.2)))
        name = wrapped(surface.title[:1].upper() + surface.title[1:], size, PANE - 10, min(3, most))
        middle = (top + ground) / 2 - (len(name) - 1) * FONT * 0.6 + 4
        for place, words in enumerate(name):
            self.sheet.write(EDGE, middle + place * FONT * 1.2, words, "name")
        return bottom, placed

    def _film(self, layer: Layer, y: float) -> None:
        axis = self.axis
        for kind, left, right in self.scene.stretches(layer, axis):
            self.sheet.draw(kind, rectangle(left, y - THICK[kind] / 2, right - left, THICK[kind]))
        if axis.holds(layer.laid):
            self.sheet.draw("laid" if layer.done else "drop", drop(axis.place(layer.laid), y, 5))
        for mark in self.scene.marks(layer):
            if mark.kind != "off" and axis.holds(mark.minute):
                x = axis.place(mark.minute)
                self.sheet.draw(mark.kind, triangle(x, y, 4.2) if mark.kind == "next" else disc(x, y, 3.4))

    def _label(self, surface: Surface, layer: Layer, y: float) -> None:
        """Beside the last mark, or left of the drop where a layer is always empty; a film that another surface told
        of by its name alone. What finds no room stands in the table."""
        axis = self.axis
        marks = [mark for mark in self.scene.marks(layer) if not layer.shared]
        if not axis.holds(layer.laid):
            marks = [mark for mark in marks if axis.holds(mark.minute)]
        name = self.scene.name(layer, surface)
        ends = [axis.place(minute) for minute in (layer.laid, layer.hands_off, layer.next_on, layer.in_use) if minute]
        left, right = axis.place(layer.laid) - 9, max(ends) + 9
        free = [*self._free(axis.at, left, y), *self._free(right, WIDTH - 2, y)]
        kind = "soft" if layer.shared else "layer"
        for said in (marks, marks[:1], []):
            wide = self._wide(name, said)
            fits = [(begin, end) for begin, end in free if end - begin >= wide]
            if fits:
                near = min(fits, key=lambda gap: gap[0] - right if gap[0] >= right else left - gap[1])
                self._said(near[0] if near[0] >= right else near[1] - wide, y, name, said, kind)
                return
        begin, end = max(free, key=lambda gap: gap[1] - gap[0], default=(right, right))
        self._said(begin, y, fitted(name, FONT * BOLD, end - begin), [], kind)

    def _free(self, begin: float, end: float, y: float) -> Iterator[tuple[float, float]]:
        """The gaps of a row between two places through which the line of stops does not run."""
        bars = [x for _, x, at, _ in self._stops if abs(at - y) < STOP + 7]
        for (x, one), (other, two) in pairwise(self._points):
            if x == other and min(one, two) - 7 < y < max(one, two) + 7:
                bars.append(x)
        for bar in sorted(bars):
            if begin < bar + STOP + 4 and bar - STOP - 4 < end:
                if bar - STOP - 4 > begin:
                    yield begin, bar - STOP - 4
                begin = bar + STOP + 4
        if end > begin:
            yield begin, end

    def _wide(self, name: str, marks: list[Mark]) -> float:
        return text_width(name, FONT * BOLD) + sum(21 + text_width(mark.said, FONT) for mark in marks)

    def _said(self, x: float, y: float, name: str, marks: list[Mark], kind: str) -> None:
        self._plate(x, y, self._wide(name, marks))
        self.sheet.write(x, y + 4, name, kind)
        x += text_width(name, FONT * BOLD) + 7
        for mark in marks:
            match mark.kind:
                case "off":
                    self.sheet.draw("sign", rectangle(x, y - 4, 9, 8))
                case "next":
                    self.sheet.draw("next", triangle(x + 4.5, y, 4.2))
                case _:
                    self.sheet.draw("use", disc(x + 4.5, y, 3.4))
            self.sheet.write(x + 12, y + 4, mark.said, "time")
            x += 21 + text_width(mark.said, FONT)

    def _plate(self, x: float, y: float, wide: float) -> None:
        self.sheet.draw("plate", rectangle(x - 2, y - 7, wide + 4, 14))

    def _chain(self) -> None:
        """The stepped line along the layers' feet, a numbered stop where a step had to wait."""
        points, found = self.scene.route(self.axis, lambda stop: self._foot(stop)[0], self.hands)
        self._stops = [(stop, x, y, self._foot(stop)[1]) for stop, x, y in found]
        self._points = points
        if len(points) > 1:
            self.sheet.draw("halo", line(points))
            self.sheet.draw("chain", line(points))
        self._stops = list(self._apart())
        for stop, x, y, _ in self._stops:
            self.sheet.draw("stop", disc(x, y, STOP))
            self.sheet.write(x, y + 3.8, str(stop.number), "number", "middle")

    def _apart(self) -> Iterator[tuple[Stop, float, float, tuple[str, str]]]:
        """The stops of one row side by side, where they would lie over each other."""
        for y in dict.fromkeys(y for _, _, y, _ in self._stops):
            row = [each for each in self._stops if each[2] == y]
            lefts = spread([(x - STOP - 1, 2 * STOP + 2) for _, x, _, _ in row], PANE - 12, WIDTH)
            yield from ((stop, left + STOP + 1, y, key) for (stop, _, _, key), left in zip(row, lefts, strict=True))

    def _foot(self, stop: Stop) -> tuple[float, tuple[str, str]]:
        """Where a stop stands: at the foot of the film that had to dry, on the bare ground, or under the hands."""
        surface = stop.surface
        if surface is not None and stop.film is not None:
            key = (stop.film.id, surface.title)
            if key in self.feet:
                return self.feet[key], key
        if surface is not None and (ground := self.grounds.get((surface.room, surface.title))) is not None:
            return ground, ("", surface.title)
        return self.hands + 10, ("", "")
