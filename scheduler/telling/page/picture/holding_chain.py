"""The thread: what holds the finish, traced from the first step to the last through both parts of the picture.

It runs beside the work where one step follows another, down into a film and along it where drying holds, and on the
floor between the two where nobody has hours. Drying too short to be seen stays beside the work.
"""

from __future__ import annotations

from itertools import pairwise

from scheduler.model.plan import PlannedStep
from scheduler.telling.page.picture.axis import Axis
from scheduler.telling.page.picture.films import BandPart
from scheduler.telling.page.picture.hours import SIDE, HoursPart
from scheduler.telling.page.picture.shapes import Point, Strand
from scheduler.telling.views.index import Book

SHORT = 10
"""Pixels that a film must have dried for before the thread goes down into it."""


def thread(book: Book, axis: Axis, hours: HoursPart, bands: BandPart, floor: float) -> tuple[Strand, ...]:
    """The strands in the order of time."""
    steps = book.plan.chain()[::-1]
    found: list[Strand] = _arrival(steps[0], book, axis, hours, floor) if steps else []
    for step in steps:
        found += _work(step, axis, hours, floor)
    for before, after in pairwise(steps):
        found += _between(before, after, axis, hours, bands, floor)
    return tuple(strand for strand in found if len(set(strand.points)) > 1)


def _arrival(first: PlannedStep, book: Book, axis: Axis, hours: HoursPart, floor: float) -> list[Strand]:
    """From the day on which the last thing came that the first step waited for."""
    items = [book.items[name] for name in first.needs if name in book.items]
    days = [day for item in items if (day := item.arrived or item.expected) is not None]
    column = axis.of_day(max(days)) if days and first.holder is None else None
    if column is None or column.start > first.start:
        return []
    side, top, _ = _spot(first, 1, axis, hours)
    come = column.x + SIDE
    return [Strand("hours", ((come, hours.top - 2), *_over((come, hours.top - 2), (side, top), floor)[1:]))]


def _spot(step: PlannedStep, number: int, axis: Axis, hours: HoursPart) -> tuple[float, float, float]:
    """Beside a piece: where the thread runs, and the top and the bottom of the piece."""
    box = hours.places[step.id, number]
    return hours.sides[axis.face.day(step.pieces[number - 1].start)], box.y, box.y + box.height


def _work(step: PlannedStep, axis: Axis, hours: HoursPart, floor: float) -> list[Strand]:
    """Along the pieces of a step, and over the floor from one to the next."""
    found = []
    for number in range(1, len(step.pieces) + 1):
        side, top, bottom = _spot(step, number, axis, hours)
        found.append(Strand("hands", ((side, top), (side, bottom))))
        if number < len(step.pieces):
            other, begin, _ = _spot(step, number + 1, axis, hours)
            found.append(Strand("hours", _over((side, bottom), (other, begin), floor)))
    return found


def _over(start: Point, end: Point, floor: float) -> tuple[Point, ...]:
    """From one piece to another: straight down on the same day, else over the floor."""
    if start[0] == end[0]:
        return start, end
    return start, (start[0], floor), (end[0], floor), end


def _between(
    before: PlannedStep, after: PlannedStep, axis: Axis, hours: HoursPart, bands: BandPart, floor: float
) -> list[Strand]:
    side, _, bottom = _spot(before, len(before.pieces), axis, hours)
    other, top, _ = _spot(after, 1, axis, hours)
    ready = _dry(before, after)
    if ready is None or before.id not in bands.rows:
        kind = "hands" if side == other and after.start - before.end <= 1 else "hours"
        return [Strand(kind, _over((side, bottom), (other, top), floor))]
    row, laid, dry = bands.rows[before.id], axis.x(before.end), axis.x(ready)
    if side == other and dry - laid < SHORT:
        return [Strand("film", ((side, bottom), (other, top)))]
    down = Strand("film", ((side, bottom), (side, floor), (laid, floor), (laid, row), (dry, row), (dry, floor)))
    rest = Strand("hours" if after.start > ready else "film", ((dry, floor), (other, floor), (other, top)))
    return [down, rest]


def _dry(before: PlannedStep, after: PlannedStep) -> int | None:
    """When the film that `after` waited for was ready, if it was a film of `before` that held it."""
    if before.film is None:
        return None
    waits = [link.ready for link in after.after if link.step == before.id and link.stage != "end"]
    waits += [minute for minute in before.film.stages.values() if minute == after.start]
    return max((minute for minute in waits if before.end < minute <= after.start), default=None)
