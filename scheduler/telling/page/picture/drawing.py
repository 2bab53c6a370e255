"""The picture of the two clocks: above what hands do, by day and hour; below what the films do, through every night.

It decides nothing: every place follows from the plan. Labels are given room by reckoning their widths beforehand.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta

from scheduler.model.page import AirSpell, PageFacts, RoomSpells
from scheduler.telling.page.dates import LocalFace
from scheduler.telling.page.picture.axis import Axis, DayColumn
from scheduler.telling.page.picture.films import BandPart
from scheduler.telling.page.picture.holding_chain import thread
from scheduler.telling.page.picture.hours import MARGIN, SIDE, HoursPart
from scheduler.telling.page.picture.labels import BOLD, fitted, lanes, text_width
from scheduler.telling.page.picture.shapes import AirLine, Box, Flag, Picture, Point, Scale, Text
from scheduler.telling.page.tongue import Tongue
from scheduler.telling.views.index import Book
from scheduler.telling.wording import one_line
from scheduler.units import format_fraction, format_temp
from scheduler.wallclock import at_local

CLOSE = Scale(work=178, idle=19, lane=15, hour=17, pane=134, later=100, row=26, font=10.5, names=True)
"""To be read step by step: every block with its name; it is scrolled sideways."""

WHOLE = 1180.0
"""Pixels that the picture of the whole job is wide, names and all."""

AFTER = 10
"""Days after the end of the work that are shown at most."""

NIGHT = (20 * 60, 8 * 60)
"""What counts as night where no room says otherwise."""

AIR = 40
"""Pixels: the height of the lines of a room's air."""


def numbers_of(book: Book) -> dict[str, int]:
    """Each step with its number in the picture: the order in which they begin."""
    return {step.id: number for number, step in enumerate(book.plan.steps, 1)}


def close_up(book: Book, facts: PageFacts, tongue: Tongue) -> Picture:
    """The picture that is scrolled sideways."""
    return _Drawing(book, facts, tongue, CLOSE).picture()


def whole(book: Book, facts: PageFacts, tongue: Tongue) -> Picture:
    """The whole job at a glance, numbers in place of names, as wide as a sheet of paper."""
    font, pane, later = 9.0, 196.0, 76.0
    digits = max(2, len(str(len(book.plan.steps))))
    face = tongue.face
    first, last = _bounds(book, face)
    busy = len(_busy(book, face))
    quiet = (last - first).days + 1 - busy
    room = WHOLE - pane - later
    idle = max(2.0, min(12.0, room / (6 * busy + quiet or 1)))
    work = max(14.0, min(90.0, (room - idle * quiet) / (busy or 1)))
    lane = min(10.0, max(3.0, (work - MARGIN - 4 - text_width("8" * digits, font)) / 2))
    scale = Scale(work=work, idle=idle, lane=lane, hour=11, pane=pane, later=later, row=18, font=font, names=False)
    return _Drawing(book, facts, tongue, scale).picture()


def _busy(book: Book, face: LocalFace) -> set[date]:
    return {face.day(piece.start) for step in book.plan.steps for piece in step.pieces}


def _bounds(book: Book, face: LocalFace) -> tuple[date, date]:
    """From the first day of work until the job may be used, but not much longer than work goes on."""
    plan = book.plan
    start = min((step.start for step in plan.steps), default=plan.as_of)
    end = face.day(plan.finish)
    usable = face.day(plan.usable) if plan.usable < plan.finish + AFTER * 1440 else end + timedelta(days=AFTER)
    return face.day(start), max(end, usable) + timedelta(days=1)


class _Drawing:
    """One drawing in the making, from the top down."""

    def __init__(self, book: Book, facts: PageFacts, tongue: Tongue, scale: Scale):
        self.book, self.facts, self.tongue, self.scale, self.face = book, facts, tongue, scale, tongue.face
        first, last = _bounds(book, self.face)
        self.axis = Axis(self.face, first, last, _busy(book, self.face), scale.work, scale.idle)
        self.numbers = numbers_of(book)
        self.line = scale.line + 3

    def picture(self) -> Picture:
        dates = tuple(self._dates())
        head = (2 if self.scale.names else 3) * self.line + 4
        flags, deep = self._flags(head)
        top = head + deep + 6
        hours = HoursPart(self.book, self.axis, self.scale, self.numbers, top)
        tubes, blocks = hours.draw()
        floor = top + hours.height + 9
        bands = BandPart(self.book, self.axis, self.scale, self.numbers, self.tongue, floor + 9)
        air = tuple(self._air(floor + 9 + bands.height + 8))
        height = floor + 9 + bands.height + 8 + sum(line.box.height + 6 for line in air)
        lower = Box(0, floor, self.axis.width, height - floor - 4)
        flags = tuple(replace(flag, stem=floor - 4) for flag in flags)
        return Picture(
            scale=self.scale,
            axis=self.axis,
            width=self.axis.width + self.scale.later,
            height=height,
            here=self._here(),
            hours=Box(0, top, self.axis.width, hours.height),
            floor=floor,
            films=lower,
            days=tuple((Box(day.x, self.line + 2, day.width, height), day.work) for day in self.axis.days),
            dates=dates,
            clocks=hours.clocks(),
            nights=tuple(self._nights(lower)),
            tubes=tubes,
            blocks=blocks,
            bands=bands.draw(),
            flags=flags,
            thread=thread(self.book, self.axis, hours, bands, floor),
            air=air,
        )

    def _here(self) -> float:
        ahead = self.book.ahead
        column = self.axis.column(ahead[0].start) if ahead else None
        return column.x if column else 0.0

    def _dates(self) -> Iterator[Text]:
        """The month where it begins and at the left edge, then each day as fully as its width allows."""
        free = 0.0
        for column in self.axis.days:
            if column.day.day == 1 or column is self.axis.days[0]:
                said = self.face.month_of(column.day)
                if column.x >= free:
                    yield Text(column.x + 2, self.scale.font + 1, (said,), "month")
                    free = column.x + 2 + text_width(said, self.scale.font * 1.1 * BOLD) + 6
            said = self._day(column)
            if said:
                x, anchor = (column.x + MARGIN, "start") if column.work else (column.x + column.width / 2, "middle")
                yield Text(x, self.line + self.scale.font + 2, (said,), "workday" if column.work else "day", anchor)
            if column.work and not self.scale.names:
                weekday = fitted(self.face.weekday(column.day), self.scale.font, column.width - MARGIN - 1)
                yield Text(column.x + MARGIN, 2 * self.line + self.scale.font, (weekday,), "clock")

    def _day(self, column: DayColumn) -> str:
        size, day = self.scale.font * (1.1 * BOLD if column.work else 0.9), column.day
        dot = "." if self.face.lang == "de" else ""
        for said in (self.face.date_of(day), self.face.short(day), f"{self.face.weekday(day)} {day.day}{dot}"):
            if self.scale.names and column.work and text_width(said, size) <= column.width - MARGIN - 3:
                return said
        return str(day.day) if text_width(str(day.day), size) <= column.width - (MARGIN if column.work else 1) else ""

    def _flags(self, top: float) -> tuple[tuple[Flag, ...], float]:
        """Deliveries, order-by days, now and the end, each in the first line in which its label touches no other."""
        size, found = self.scale.font, []
        for kind, x, words in self._happenings():
            said = fitted(words, size * BOLD, 230 if self.scale.names else 150)
            wide = text_width(said, size * BOLD) + 14
            left = x - 5 if x - 5 + wide <= self.axis.width + self.scale.later else x + 5 - wide
            found.append((left, wide, kind, x, said))
        found.sort()
        rows = lanes([(left, wide) for left, wide, *_ in found], 6)
        flags = []
        for row, (left, _, kind, x, said) in zip(rows, found, strict=True):
            y = top + row * (self.line + 2)
            right = left >= x - 5
            label = Text(x + 8 if right else x - 8, y + size, (said,), "flag", "start" if right else "end")
            flags.append(Flag(kind, x, y + size * 0.6, label, 0.0))
        return tuple(flags), (max(rows, default=-1) + 1) * (self.line + 2)

    def _happenings(self) -> Iterator[tuple[str, float, str]]:
        plan, axis = self.book.plan, self.axis
        for item in plan.items:
            title = self.book.item_title(item)
            due = item.arrived or item.expected
            comes = axis.of_day(due) if due else None
            if comes:
                yield "delivery", comes.x + SIDE, title
            order = axis.of_day(item.order_by) if item.order_by and not item.arrived else None
            if order:
                yield "order", order.x + SIDE, self.tongue("order by: {title}", title=title)
        if axis.span.start < plan.as_of < axis.span.end:
            yield "now", axis.x(plan.as_of), self.tongue("now")
        if plan.steps:
            done = axis.column(plan.finish - 1)
            yield "end", done.x + done.width - 6 if done else axis.width, self.tongue("done")

    def _nights(self, part: Box) -> Iterator[Box]:
        """From the evening to the morning of each day, over the films only: hands work by the clock at the left."""
        rooms = [(room.day_end, room.day_start) for room in self.facts.air if room.day_start < room.day_end]
        evening, morning = rooms[0] if rooms else NIGHT
        for column in self.axis.days:
            dawn = self.axis.x(at_local(column.day, morning, self.face.zone))
            dusk = self.axis.x(at_local(column.day, evening, self.face.zone))
            yield Box(column.x, part.y, dawn - column.x, part.height)
            yield Box(dusk, part.y, column.x + column.width - dusk, part.height)

    def _air(self, top: float) -> Iterator[AirLine]:
        """A line for each room in which films dry."""
        wet = {step.room for step in self.book.plan.steps if step.film}
        rooms = [room for room in self.facts.air if room.room in wet and room.spells]
        for n, room in enumerate(rooms):
            box = Box(0, top + n * (AIR + 6), self.axis.width, AIR)
            yield AirLine(
                name=self._air_name(room, box),
                warm=self._line(room.spells, [spell.temp for spell in room.spells], box),
                damp=self._line(room.spells, [spell.humidity for spell in room.spells], box),
                box=box,
            )

    def _air_name(self, room: RoomSpells, box: Box) -> Text:
        size, wide = self.scale.font, self.scale.pane - 10
        temps = [spell.temp for spell in room.spells]
        damps = [spell.humidity for spell in room.spells]
        metric = self.book.plan.metric or self.tongue.lang != "en"
        lines = (
            f"{self.tongue('air')}: {one_line(room.title)}",
            _range([format_temp(temp, metric=metric) for temp in (min(temps), max(temps))]),
            _range([format_fraction(damp) for damp in (min(damps), max(damps))]),
        )
        y = box.y + size + (box.height - 3 * self.scale.line) / 2
        return Text(self.scale.pane - 8, y, tuple(fitted(line, size, wide) for line in lines), "row", "end")

    def _line(self, spells: Sequence[AirSpell], values: Sequence[float], box: Box) -> tuple[Point, ...]:
        """Steps from value to value, the lowest at the bottom; spells narrower than a pixel are drawn as one."""
        low, high = min(values), max(values)
        found: list[Point] = []
        for spell, value in zip(spells, values, strict=True):
            left, right = self.axis.x(spell.start), self.axis.x(spell.end)
            if right - (found[-1][0] if found else -2.0) < 1:
                continue
            share = (value - low) / (high - low) if high > low else 0.5
            y = box.y + box.height - 5 - share * (box.height - 10)
            found += [(left, y), (right, y)]
        return tuple(found)


def _range(two: Sequence[str]) -> str:
    """`60–68 °F`, or the one value."""
    low, high = two
    if low == high:
        return low
    number, _, unit = low.partition(" ")
    return f"{number}–{high}" if unit and high.endswith(unit) else f"{low}–{high}"
