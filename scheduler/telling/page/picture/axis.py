"""From a moment to a place in the picture. Days with work are wide, days on which only films dry are narrow.

Across the picture time is stretched day by day: within one day it runs evenly from midnight to midnight. Down the
upper part runs the clock on the wall.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Collection
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import accumulate

from scheduler.model.basics import Span
from scheduler.telling.page.dates import LocalFace
from scheduler.wallclock import DAY, at_local, to_datetime


@dataclass(frozen=True, slots=True)
class DayColumn:
    """One day of the picture: its minutes, its place, whether anybody works."""

    day: date
    start: int
    end: int
    x: float
    width: float
    work: bool


class Axis:
    """The days from the first to the last, each as wide as it needs to be."""

    def __init__(self, face: LocalFace, first: date, last: date, busy: Collection[date], work: float, idle: float):
        self.face = face
        days = [first + timedelta(days=n) for n in range((last - first).days + 1)]
        widths = [work if day in busy else idle for day in days]
        starts = [at_local(day, 0, face.zone) for day in (*days, last + timedelta(days=1))]
        places = [0.0, *accumulate(widths)]
        self.days = tuple(
            DayColumn(day, starts[i], starts[i + 1], places[i], widths[i], day in busy) for i, day in enumerate(days)
        )
        self.span = Span(starts[0], starts[-1])
        self.width = places[-1]
        self._starts = starts[:-1]
        self._by_day = {column.day: column for column in self.days}

    def x(self, minute: int) -> float:
        """Where a moment is; what lies outside is put on the edge."""
        if minute <= self.span.start:
            return 0.0
        if minute >= self.span.end:
            return self.width
        column = self.days[bisect_right(self._starts, minute) - 1]
        return column.x + column.width * (minute - column.start) / (column.end - column.start)

    def column(self, minute: int) -> DayColumn | None:
        """The day that a moment falls on."""
        return self._by_day.get(self.face.day(minute))

    def of_day(self, day: date) -> DayColumn | None:
        """The column of a day, if the picture has it."""
        return self._by_day.get(day)

    def clock(self, span: Span) -> tuple[int, int]:
        """From and to on the clock on the wall, in minutes of the day on which the span begins."""
        begin, end = to_datetime(span.start, self.face.zone), to_datetime(span.end, self.face.zone)
        start = begin.hour * 60 + begin.minute
        close = end.hour * 60 + end.minute if end.date() == begin.date() else DAY
        return start, max(start, close)
