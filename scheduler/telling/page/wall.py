"""The sheets for the wall: the sessions of one weekend, read from two metres away, and the whole job, with boxes for
a pencil.

A sharp eye in good light resolves letters of 5 minutes of arc (ISO 8596, the optotype of acuity 1.0). At 2 m that is
2000 mm × tan(5/60°) = 2.91 mm, held here by the small letters: at an x-height of 0.53 of the size, 5.5 mm or 15.6 pt.
So nothing that is read from there is set below 17 pt; times and days are two to three times as large (style.css).
The sheet of the whole job has 13 pt, 2.4 mm: to be read from 1.7 m; 5 minutes of arc again.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date

from scheduler.model.page import PageFacts
from scheduler.model.plan import Session
from scheduler.telling.dates import LocalFace
from scheduler.telling.page.now_card import moment_on, name_of, rules_of
from scheduler.telling.page.tongue import Tongue
from scheduler.telling.views.agreed import to_come
from scheduler.telling.views.index import Book
from scheduler.telling.views.now import Wet, ahead, orders, wet_after
from scheduler.telling.views.sessions import have_ready
from scheduler.telling.views.weekends import groups
from scheduler.telling.wording import one_line
from scheduler.wallclock import NEVER, at_local

ROOM, FILM, HEAD = 21.0, 2.4, 3.0
"""Rows of 9.5 mm that fit on one sheet beside its head and foot, and those that a film and the head of a session with
its air and dangers take; with more of them each session has a sheet of its own."""

LINE = 42
"""Letters of 18 pt in a row."""

SESSIONS, SHEETS = 15, 3
"""Sessions on one sheet of the whole job, and sheets of it at most."""

WHAT = 88
"""Letters of 13 pt that say what a session does: two rows."""

GAP = 7
"""Days without work that have a row of their own on the sheet of the whole job."""


@dataclass(frozen=True, slots=True)
class HandsOff:
    """A surface: until when hands stay off, in one large time, and what is allowed later."""

    what: str
    words: str
    until: str
    later: str


@dataclass(frozen=True, slots=True)
class WallDay:
    """One session: its day and hours, what to have, the steps with their times, what dries, the air, the dangers.

    On a `full` sheet the dangers are in small letters, and of what to have the first things stand."""

    day: str
    hours: str
    ready: str
    steps: tuple[tuple[str, str], ...]
    wet: tuple[HandsOff, ...]
    air: tuple[str, ...]
    cautions: str
    full: bool = False


@dataclass(frozen=True, slots=True)
class WallRow:
    """One session on the sheet of the whole job: its day and hours, what is done, until when hands stay off; or, with
    `idle` alone, a stretch of days without work."""

    day: str
    hours: str
    what: str
    until: str
    idle: str = ""


@dataclass(frozen=True, slots=True)
class Wall:
    """The sheets of the group of sessions at hand, each with its days; those of the whole job with its rows, and what
    is left out of them; and what is to be ordered (thing, by when)."""

    sheets: tuple[tuple[WallDay, ...], ...]
    whole: tuple[tuple[WallRow, ...], ...]
    left: str
    orders: tuple[tuple[str, str], ...]


def wall(book: Book, facts: PageFacts, face: LocalFace, tongue: Tongue) -> Wall:
    """The sheets for the sessions that come next; none where nothing lies ahead."""
    first = next(groups(book), None)
    days = tuple(_days(book, face, tongue, first.sessions if first is not None else ()))
    together = sum(_rows(day) for day in days) <= ROOM
    sheets = ((days,) if days else ()) if together else tuple((day,) for day in days)
    due = tuple((order.title, face.short(order.by)) for order in orders(book, facts.asides))
    shown = book.ahead[: SESSIONS * SHEETS]
    rows = tuple(_whole(book, facts, face, tongue, shown)) if len(book.ahead) > len(days) else ()
    each = -(-len(rows) // -(-len(rows) // SESSIONS)) if rows else 1
    left = ""
    if len(book.ahead) > len(shown):
        last = face.short(face.day(book.ahead[-1].start))
        left = tongue("and {n} sessions more, to {day}", n=len(book.ahead) - len(shown), day=last)
    whole = tuple(rows[n : n + each] for n in range(0, len(rows), each))
    return Wall(sheets=sheets, whole=whole, left=left, orders=due)


def _rows(day: WallDay) -> float:
    """How many rows of a sheet a day takes."""
    steps = sum(-(-len(what) // LINE) for _, what in day.steps)
    return HEAD + steps + FILM * len(day.wet)


def _whole(
    book: Book, facts: PageFacts, face: LocalFace, tongue: Tongue, sessions: tuple[Session, ...]
) -> Iterator[WallRow]:
    """A row a session, one for who comes and for days away between them, and one for each week or more without work,
    with what comes in it."""
    found = [(session.start, _session(book, face, session)) for session in sessions]
    last = sessions[-1].end if len(sessions) < len(book.ahead) else NEVER
    found += [(start, row) for start, row in _beside(book, facts, face, tongue) if start < last]
    before: date | None = None
    for start, row in sorted(found, key=lambda each: each[0]):
        if row.idle:
            yield row
            continue
        day = face.day(start)
        if before is not None and (day - before).days > GAP:
            comes = [
                f"{book.item_title(item)}: {face.short(item.expected)}"
                for item in book.plan.items
                if item.arrived is None and item.expected is not None and before < item.expected < day
            ]
            said = tongue("no work until {day}", day=face.short(day))
            yield WallRow("", "", "", "", "; ".join((said, *comes)))
        before = day
        yield row


def _session(book: Book, face: LocalFace, session: Session) -> WallRow:
    titles = {book.title(step): book.steps[step].labour for step in session.steps if step in book.steps}
    longest = sorted(titles, key=lambda title: -titles[title])
    off = [wet.hands_off for wet in wet_after(book, session) if wet.hands_off is not None]
    return WallRow(
        day=face.short(face.day(session.start)),
        hours=face.span(session.start, session.end),
        what=book.words.fitting(tuple(titles), WHAT, longest),
        until=moment_on(face, max(off), session.end) if off else "",
    )


def _beside(book: Book, facts: PageFacts, face: LocalFace, tongue: Tongue) -> Iterator[tuple[int, WallRow]]:
    """From when on somebody else is there, or nobody."""
    rooms = {step.room: book.room(step) for step in book.plan.steps}
    for visit in to_come(book):
        where = f" ({', '.join(rooms.get(room, room) for room in visit.rooms)})" if visit.rooms else ""
        day, hours = face.short(face.day(visit.span.start)), face.span(*visit.span)
        yield visit.span.start, WallRow(day, hours, f"{tongue('Who comes')}: {one_line(visit.title)}{where}", "")
    for each in facts.away:
        start = at_local(each.first, 0, face.zone)
        if each.last >= face.day(book.plan.as_of):
            days = " – ".join(dict.fromkeys(map(face.short, (each.first, each.last))))
            why = f" ({one_line(each.reason)})" if each.reason else ""
            yield start, WallRow("", "", "", "", f"{tongue('away')}: {days}{why}")


def _days(book: Book, face: LocalFace, tongue: Tongue, sessions: tuple[Session, ...]) -> Iterator[WallDay]:
    for session in sessions:
        found = ahead(book, session)
        day = WallDay(
            day=face.short(face.day(session.start)),
            hours=face.span(session.start, session.end),
            ready="; ".join(have_ready(book, session)),
            steps=tuple((face.time(todo.start), book.title(todo.step)) for todo in found.todo if not todo.done),
            wet=tuple(_hands_off(book, wet, face, tongue, session.end) for wet in wet_after(book, session)),
            air=book.overnight(session),
            cautions="; ".join(caution.brief for caution, _ in found.cautions),
        )
        full = _rows(day) > ROOM - FILM
        yield replace(day, full=True, ready=book.words.fitting(have_ready(book, session), 2 * LINE)) if full else day


def _hands_off(book: Book, wet: Wet, face: LocalFace, tongue: Tongue, left: int) -> HandsOff:
    (words, until), *rest = rules_of(wet, tongue)
    later = "; ".join(f"{said} {moment_on(face, minute, left)}" for said, minute in rest)
    return HandsOff(name_of(book, wet), words, moment_on(face, until, left), later)
