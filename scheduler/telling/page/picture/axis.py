"""From a moment to a place in the picture: every day is as long as any other, and days on which nothing happens are
folded into one.

Within a day time runs evenly from midnight to midnight; within a fold it keeps its order, no more. A job that is too
long for one line goes on in the next, as text does.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Collection, Iterator, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import accumulate, groupby

from scheduler.telling.dates import LocalFace
from scheduler.wallclock import at_local

FOLDED = 2
"""Idle days in a row from which on they are folded."""


@dataclass(frozen=True, slots=True)
class DayCell:
    """One day, or a fold of several: its first day, how many, its minutes, where it begins and how long it is."""

    day: date
    days: int
    start: int
    end: int
    at: float
    size: float

    @property
    def folded(self) -> bool:
        """Whether days are left out."""
        return self.days > 1


class Axis:
    """The days of one line of the picture, from `at` on."""

    def __init__(self, face: LocalFace, days: Sequence[tuple[date, int]], at: float, size: float):
        places = accumulate((size for _ in days), initial=at)
        ends = [day + timedelta(days=count) for day, count in days]
        self.cells = tuple(
            DayCell(day, count, at_local(day, 0, face.zone), at_local(end, 0, face.zone), place, size)
            for (day, count), end, place in zip(days, ends, places, strict=False)
        )
        self.start, self.end = self.cells[0].start, self.cells[-1].end
        self.at, self.until = at, at + size * len(self.cells)
        self._starts = [cell.start for cell in self.cells]

    def place(self, minute: int) -> float:
        """Where a moment is; what lies outside is put on the edge."""
        if minute <= self.start:
            return self.at
        if minute >= self.end:
            return self.until
        cell = self.cells[bisect_right(self._starts, minute) - 1]
        return cell.at + cell.size * (minute - cell.start) / (cell.end - cell.start)

    def holds(self, minute: int) -> bool:
        """Whether a moment is in this line."""
        return self.start <= minute < self.end


def folded(first: date, last: date, busy: Collection[date]) -> Iterator[tuple[date, int]]:
    """The days from the first to the last, those on which nothing happens taken together from FOLDED on."""
    days = (first + timedelta(days=n) for n in range((last - first).days + 1))
    for works, run in groupby(days, key=lambda day: day in busy):
        found = list(run)
        if works or len(found) < FOLDED:
            yield from ((day, 1) for day in found)
        else:
            yield found[0], len(found)


def lines(
    face: LocalFace, days: Sequence[tuple[date, int]], most: int, at: float, size: Callable[[int], float]
) -> tuple[Axis, ...]:
    """The days in as few lines as hold at most so many each, cut so that all lines are about as long."""
    count = max(1, -(-len(days) // most))
    each = -(-len(days) // count)
    return tuple(Axis(face, days[n : n + each], at, size(each)) for n in range(0, len(days), each))
