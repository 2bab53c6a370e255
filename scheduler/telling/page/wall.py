"""The sheet for the wall: the sessions of one weekend, read from two metres away, with boxes for a pencil.

A sharp eye in good light resolves letters of 5 minutes of arc (ISO 8596, the optotype of acuity 1.0). At 2 m that is
2000 mm × tan(5/60°) = 2.91 mm, held here by the small letters: at an x-height of 0.53 of the size, 5.5 mm or 15.6 pt.
So nothing that is read from there is set below 17 pt; times and days are two to three times as large (style.css).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from scheduler.model.asides import Asides
from scheduler.model.plan import Session
from scheduler.telling.page.dates import LocalFace
from scheduler.telling.page.now_card import moment_on, name_of, rules_of
from scheduler.telling.page.tongue import Tongue
from scheduler.telling.views.index import Book
from scheduler.telling.views.now import Wet, ahead, orders, wet_after
from scheduler.telling.views.sessions import have_ready, opening
from scheduler.telling.views.weekends import groups

ROOM, FILM, HEAD = 14, 2, 3
"""Rows that fit on one sheet, and those that a film and the head of a session take; with more of them each session
has a sheet of its own."""


@dataclass(frozen=True, slots=True)
class HandsOff:
    """A surface: until when hands stay off, in one large time, and what is allowed later."""

    what: str
    words: str
    until: str
    later: str


@dataclass(frozen=True, slots=True)
class WallDay:
    """One session: its day and hours, what to have, the steps with their times, what dries, the air, the dangers."""

    day: str
    hours: str
    ready: str
    steps: tuple[tuple[str, str], ...]
    wet: tuple[HandsOff, ...]
    air: tuple[str, ...]
    cautions: str


@dataclass(frozen=True, slots=True)
class Wall:
    """The sheets of the group of sessions at hand, each with its days, and what is to be ordered (thing, by when)."""

    sheets: tuple[tuple[WallDay, ...], ...]
    orders: tuple[tuple[str, str], ...]


def wall(book: Book, asides: Asides, face: LocalFace, tongue: Tongue) -> Wall:
    """The sheets for the sessions that come next; none where nothing lies ahead."""
    first = next(groups(book), None)
    days = tuple(_days(book, face, tongue, first.sessions if first is not None else ()))
    together = sum(len(day.steps) + FILM * len(day.wet) + HEAD for day in days) <= ROOM
    sheets = ((days,) if days else ()) if together else tuple((day,) for day in days)
    due = tuple((order.title, face.short(order.by)) for order in orders(book, asides))
    return Wall(sheets=sheets, orders=due)


def _days(book: Book, face: LocalFace, tongue: Tongue, sessions: tuple[Session, ...]) -> Iterator[WallDay]:
    for session in sessions:
        found = ahead(book, session)
        yield WallDay(
            day=face.short(face.day(session.start)),
            hours=face.span(session.start, session.end),
            ready="; ".join(have_ready(book, session)),
            steps=tuple((face.time(todo.start), book.title(todo.step)) for todo in found.todo if not todo.done),
            wet=tuple(_hands_off(book, wet, face, tongue, session.end) for wet in wet_after(book, session)),
            air=book.overnight(session),
            cautions="; ".join(opening(caution) for caution, _ in found.cautions),
        )


def _hands_off(book: Book, wet: Wet, face: LocalFace, tongue: Tongue, left: int) -> HandsOff:
    (words, until), *rest = rules_of(wet, tongue)
    later = "; ".join(f"{said} {moment_on(face, minute, left)}" for said, minute in rest)
    return HandsOff(name_of(book, wet), words, moment_on(face, until, left), later)
