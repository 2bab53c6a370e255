"""The sheets for the wall: the sessions of one weekend, read from two metres away, and the whole job, with boxes for
a pencil.

A sharp eye in good light resolves letters of 5 minutes of arc (ISO 8596, the optotype of acuity 1.0). At 2 m that is
2000 mm × tan(5/60°) = 2.91 mm, held here by the small letters: at an x-height of 0.53 of the size, 5.5 mm or 15.6 pt.
So nothing that is read from there is set below 17 pt; times and days are two to three times as large (style.css).
The sheet of the whole job has 13 pt, 2.4 mm: to be read from 1.7 m; 5 minutes of arc again. Cautions are read at
arm's length and never set below 10 pt: a session that does not fit goes on on a second sheet before anything shrinks.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import accumulate, groupby

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

ROOM = 222.0
"""Millimetres of a sheet of Letter beside its head, its foot and a line for a pencil (style.css); with more than that
each session has a sheet of its own, or several that share its steps."""

HEAD, ROW, MORE, FILM, SAID, NEAR = 16.5, 9.7, 5.2, 20.8, 7.0, 4.5
"""Millimetres of the head of a session, a row with a box, each further line of it, a film that takes one line, a line
of 17 pt and one of the cautions."""

LINE, SURFACE, NEAR_LINE = 46, 32, 96
"""Letters in a line of 17 to 18 pt, beside a large time, and of the cautions."""

ORDER, SCAN, PENCIL = 18.0, 28.0, 12.0
"""Millimetres that a thing to be ordered and the code of the calendar take at the end of the last sheet, and a line
for a pencil, of which the sheet of the whole job needs none."""

SESSIONS, IDLE, SHEETS = 12.4, 8.4, 3
"""Millimetres of a session and of a stretch without work on the sheet of the whole job, and sheets of it at most."""

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

    On a `full` sheet of what to have only the first things stand. `part` says which of its sheets it is, if it has
    several."""

    day: str
    hours: str
    ready: str
    steps: tuple[tuple[str, str], ...]
    wet: tuple[HandsOff, ...]
    air: tuple[str, ...]
    cautions: str
    full: bool = False
    part: str = ""


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
    due = tuple((order.title, face.short(order.by)) for order in orders(book, facts.asides))
    room = ROOM - ORDER * len(due) - (SCAN if facts.live is not None and facts.live.subscriptions else 0)
    together = sum(map(_height, days)) <= room
    parts = tuple((part,) for day in days for part in _parts(day, room))
    sheets = parts if not together else (days,) if days else ()
    shown = book.ahead[: int(room / SESSIONS) * SHEETS]
    rows = tuple(_whole(book, facts, face, tongue, shown)) if len(book.ahead) > len(days) else ()
    left = ""
    if len(book.ahead) > len(shown):
        last = face.short(face.day(book.ahead[-1].start))
        left = tongue("and {n} sessions more, to {day}", n=len(book.ahead) - len(shown), day=last)
    return Wall(sheets=sheets, whole=tuple(_shared_out(rows, room + PENCIL)), left=left, orders=due)


def _shared_out(rows: Sequence[WallRow], room: float) -> Iterator[tuple[WallRow, ...]]:
    """The rows of the whole job on as few sheets as hold them, each as full as the others."""
    heights = [IDLE if row.idle else SESSIONS for row in rows]
    each = sum(heights) / max(1, math.ceil(sum(heights) / room))
    middles = [end - height / 2 for end, height in zip(accumulate(heights), heights, strict=True)]
    for _, sheet in groupby(zip(rows, middles, strict=True), key=lambda row: int(row[1] / each)):
        yield tuple(row for row, _ in sheet)


def _height(day: WallDay) -> float:
    """How many millimetres of a sheet a day takes."""
    steps = sum(ROW + MORE * (_lines(what, LINE) - 1) for _, what in day.steps)
    wet = sum(FILM + SAID * (_lines(each.what, SURFACE) - 1 + _lines(each.later, LINE)) for each in day.wet)
    said = sum(SAID * (0.5 + _lines(text, LINE)) for text in (day.ready, *day.air) if text)
    return HEAD + steps + wet + said + NEAR * _lines(day.cautions, NEAR_LINE)


def _lines(text: str, letters: int) -> int:
    return -(-len(text) // letters)


def _parts(day: WallDay, room: float) -> Iterator[WallDay]:
    """The sheets of one session: its steps are shared out so that each is as full as the others."""
    if _height(day) <= room or not day.steps[1:]:  # one step can't be shared out
        yield day
        return
    first, second = min(
        (_cut(day, at) for at in range(1, len(day.steps))),
        key=lambda pair: max(map(_height, pair)),
    )
    yield from (first, *_parts(second, room))


def _cut(day: WallDay, at: int) -> tuple[WallDay, WallDay]:
    """What is to be had and to beware of stands with the first steps, what dries with the last."""
    number = int(day.part or "1")
    first = replace(day, steps=day.steps[:at], wet=(), air=(), part=f"{number}")
    return first, replace(day, ready="", cautions="", steps=day.steps[at:], part=f"{number + 1}")


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
            cautions="; ".join(caution.brief.rstrip(".") for caution, _ in found.cautions),
        )
        full = _height(day) > ROOM
        yield replace(day, full=True, ready=book.words.fitting(have_ready(book, session), 2 * LINE)) if full else day


def _hands_off(book: Book, wet: Wet, face: LocalFace, tongue: Tongue, left: int) -> HandsOff:
    (words, until), *rest = rules_of(wet, tongue)
    later = "; ".join(f"{said} {moment_on(face, minute, left)}" for said, minute in rest)
    return HandsOff(name_of(book, wet), words, moment_on(face, until, left), later)
