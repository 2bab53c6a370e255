"""The sessions ahead in the groups in which people speak of them: a weekend, the evenings of a week, a week."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from itertools import groupby

from scheduler.model.plan import Session
from scheduler.telling.views.index import Book
from scheduler.wallclock import to_datetime

EVENING = 15
"""Sessions of working days that all begin in this hour of the day or later are called evenings."""


@dataclass(frozen=True, slots=True)
class WeekGroup:
    """Sessions of one ISO week. `kind` is "weekend", "evenings" or "week"; `day` its Saturday, or its Monday."""

    kind: str
    day: date
    sessions: tuple[Session, ...]


def groups(book: Book) -> Iterator[WeekGroup]:
    """The sessions ahead by ISO week, working days apart from the weekend."""

    def key(session: Session) -> tuple[int, int, bool]:
        year, week, weekday = book.face.day(session.start).isocalendar()
        return year, week, weekday > 5

    for (year, week, weekend), group in groupby(book.ahead, key):
        sessions = tuple(group)
        monday = date.fromisocalendar(year, week, 1)
        late = all(to_datetime(session.start, book.face.zone).hour >= EVENING for session in sessions)
        kind = "weekend" if weekend else "evenings" if late else "week"
        yield WeekGroup(kind, monday + timedelta(days=5) if weekend else monday, sessions)
