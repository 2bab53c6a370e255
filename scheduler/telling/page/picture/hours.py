"""The upper part of the picture: hands-on work as the filling of the work hours of each day.

Each stretch of work hours is a tube as wide as people are there; a piece of work fills as much of its width as it
takes people, and as much of its height as it takes time. What stays empty is free.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from scheduler.model.basics import Span
from scheduler.model.hours import Window
from scheduler.telling.page.picture.axis import Axis, DayColumn
from scheduler.telling.page.picture.labels import spread, text_width, wrapped
from scheduler.telling.page.picture.shapes import Block, Box, Scale, Text, Tube
from scheduler.telling.views.index import Book, Piece

MARGIN = 7
"""Pixels from the edge of a day to its tube: the thread runs there."""

SIDE = MARGIN - 3.5
"""Pixels from the edge of a day to the thread."""

LEAST = 2.5
"""No block is drawn flatter than this."""


@dataclass(frozen=True, slots=True)
class _Label:
    piece: Piece
    box: Box
    lines: tuple[str, ...]


class HoursPart:
    """Tubes, blocks and labels of all days; `top` is where the part begins."""

    def __init__(self, book: Book, axis: Axis, scale: Scale, numbers: dict[str, int], top: float):
        self.book, self.axis, self.scale, self.numbers, self.top = book, axis, scale, numbers, top
        self.pieces: dict[date, list[Piece]] = defaultdict(list)
        for step in book.plan.steps:
            for number, span in enumerate(step.pieces, 1):
                self.pieces[axis.face.day(span.start)].append(Piece(step, span, number, len(step.pieces)))
        self.windows: dict[date, list[Window]] = defaultdict(list)
        for window in book.plan.windows:
            if axis.face.day(window.start) in self.pieces:
                self.windows[axis.face.day(window.start)].append(window)
        spans = [axis.clock(piece.span) for day in self.pieces.values() for piece in day]
        spans += [axis.clock(Span(w.start, w.end)) for day in self.windows.values() for w in day]
        self.first = min((start for start, _ in spans), default=480) // 60
        self.last = -(-max((end for _, end in spans), default=1020) // 60)
        most = max((len(day) for day in self.pieces.values()), default=0)
        self.height = max((self.last - self.first) * scale.hour, (most + 1) * scale.line)
        self.sides: dict[date, float] = {}
        self.places: dict[tuple[str, int], Box] = {}

    def y(self, clock: float) -> float:
        """Where a minute of the day is."""
        return self.top + (clock / 60 - self.first) / max(1, self.last - self.first) * self.height

    def clocks(self) -> tuple[Text, ...]:
        """The hours of the clock at the left, every second or third one."""
        step = 2 if self.last - self.first <= 14 else 3
        found = []
        for hour in range(self.first, self.last + 1):
            y = self.y(hour * 60) + self.scale.font * 0.35
            if hour % step == 0 and self.top + 6 < y:
                found.append(Text(self.scale.pane - 8, y, (self._hour(hour),), "clock", "end"))
        return tuple(found)

    def _hour(self, hour: int) -> str:
        if self.axis.face.clock24:
            return f"{hour}:00"
        return "noon" if hour == 12 else f"{(hour - 1) % 12 + 1} {'am' if hour % 24 < 12 else 'pm'}"

    def draw(self) -> tuple[tuple[Tube, ...], tuple[Block, ...]]:
        """All tubes and blocks, day by day."""
        tubes: list[Tube] = []
        blocks: list[Block] = []
        for column in self.axis.days:
            if column.day in self.pieces:
                tubes += self._tubes(column)
                blocks += self._blocks(column)
        return tuple(tubes), tuple(blocks)

    def _lane(self, day: date) -> tuple[float, int]:
        """How wide a person's lane is on that day, and how many there are: three at most as wide as may be."""
        people = max([window.people for window in self.windows[day]] + [p.step.people for p in self.pieces[day]])
        parallel = max(people, 1)
        return min(self.scale.lane, self.scale.lane * 3 / parallel), parallel

    def _tubes(self, column: DayColumn) -> list[Tube]:
        lane, _ = self._lane(column.day)
        found = []
        for window in self.windows[column.day]:
            start, end = (self.y(clock) for clock in self.axis.clock(Span(window.start, window.end)))
            box = Box(column.x + MARGIN, start, lane * window.people, end - start)
            found.append(Tube(box, window.quiet))
        return found

    def _blocks(self, column: DayColumn) -> list[Block]:
        lane, people = self._lane(column.day)
        left = column.x + MARGIN
        right = left + lane * people
        self.sides[column.day] = column.x + SIDE
        placed = self._placed(sorted(self.pieces[column.day], key=_by_start), people)
        boxes = []
        for piece, at in placed:
            start, end = (self.y(clock) for clock in self.axis.clock(piece.span))
            width = lane * min(piece.step.people, people)
            box = Box(left + lane * at, start, width, max(LEAST, end - start))
            self.places[piece.step.id, piece.number] = box
            boxes.append((piece, box))
        room = column.x + column.width - right - 14
        labels = self._labels(boxes, room)
        heights = [self.scale.line * len(label.lines) for label in labels]
        wanted = [(lb.box.y + lb.box.height / 2 - h / 2, h) for lb, h in zip(labels, heights, strict=True)]
        tops = spread(wanted, self.top, self.top + self.height)
        return [
            self._block(label, right, top, height) for label, top, height in zip(labels, tops, heights, strict=True)
        ]

    @staticmethod
    def _placed(pieces: Sequence[Piece], people: int) -> list[tuple[Piece, int]]:
        """Each piece with the first lane from which on as many are free as it takes people."""
        free = [0] * people
        found = []
        for piece in pieces:
            size = min(piece.step.people, people)
            spots = [at for at in range(people - size + 1) if max(free[at : at + size]) <= piece.span.start]
            at = spots[0] if spots else 0
            free[at : at + size] = [piece.span.end] * size
            found.append((piece, at))
        return found

    def _labels(self, boxes: Sequence[tuple[Piece, Box]], room: float) -> list[_Label]:
        """Two lines each if all of the day have room for that, else one; without names the bare number."""
        for lines in (2, 1):
            found = [_Label(piece, box, self._words(piece, room, lines)) for piece, box in boxes]
            if sum(len(label.lines) for label in found) * self.scale.line <= self.height:
                break
        return found

    def _words(self, piece: Piece, room: float, lines: int) -> tuple[str, ...]:
        number = str(self.numbers[piece.step.id])
        if not self.scale.names:
            return (number,) if text_width(number, self.scale.font) <= room + 11 else ()
        return wrapped(f"{number} {self.book.title(piece.step)}", self.scale.font, room, lines)

    def _block(self, label: _Label, right: float, top: float, height: float) -> Block:
        piece, box, step = label.piece, label.box, label.piece.step
        x = right + (11 if self.scale.names else 4)
        text = Text(x, top + self.scale.font, label.lines, "name")
        middle = box.y + box.height / 2
        leader: tuple[tuple[float, float], ...] = ()
        if self.scale.names and label.lines:
            level = top + height / 2
            leader = ((box.x + box.width, middle), (right + 2, middle), (right + 6, level), (right + 9, level))
        kinds = ["done"] if step.state == "done" else []
        kinds += [kind for kind, holds in (("dusty", step.dusty), ("film", step.film is not None)) if holds]
        face = self.axis.face
        when = f"{face.date(piece.span.start)}, {face.span(*piece.span)}"
        title = f"{self.numbers[step.id]} {self.book.title(step)}: {when}"
        return Block(self.numbers[step.id], " ".join(kinds), box, text, leader, title, step.id)


def _by_start(piece: Piece) -> tuple[int, int, str]:
    return piece.span.start, piece.span.end, piece.step.id
