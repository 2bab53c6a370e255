"""How late things may be, for reading and for other programs."""

from __future__ import annotations

from collections.abc import Iterator
from zoneinfo import ZoneInfo

from scheduler.model.leeway import Ending, Leeway, Leeways
from scheduler.model.plan import Plan
from scheduler.telling.machine.json_text import json_text, moment_or_none
from scheduler.telling.text.sheet import LEAST_WIDTH, Line, Sheet
from scheduler.telling.views.agreed import broken_first
from scheduler.telling.views.index import Book
from scheduler.telling.wording import columns, one_line
from scheduler.telling.words import Words

_DAY, _WEEK, _NARROW = 12, 7, 60
"""Columns of a date, of the cost of a week, and of the narrowest terminal on which a row has room for both dates."""


def leeway_text(found: Leeways, plan: Plan, width: int = 80, colour: bool = False, ascii: bool = False) -> str:  # noqa: A002
    """A row for each item, appointment and session: its day, until when it may wait, and what each week costs."""
    sheet = Sheet(width, ascii)
    book = Book(plan)
    face, words = book.face, book.words
    for broken in broken_first(book):
        sheet.add(Line(book.say(broken), kind="shout"))
    sheet.add(Line(words.tell("leeway.planned", finish=face.moment(plan.finish, year=True)), kind="answer"))
    if not found.found:
        sheet.add(Line(words.tell("leeway.nothing")))
        return sheet.text(colour)
    wide = max(width, LEAST_WIDTH)
    dates = 2 * _DAY if wide >= _NARROW else _DAY
    weeks = min(max(len(leeway.curve) for leeway in found.found), (wide - dates - _LEAST_TITLE) // _WEEK)
    room = wide - dates - weeks * _WEEK
    head = [words.tell("leeway.week", week=week).rjust(_WEEK) for week in range(1, weeks + 1)]
    sheet.gap()
    named = _dates(words.tell("leeway.as planned"), words.tell("leeway.free"), dates)
    sheet.add(Line("", first=f"{'':<{room}}{named}{''.join(head)}", kind="heading"))
    for leeway in found.found:
        title = one_line(leeway.title)
        title = words.fitting([title if leeway.session is None else f"{leeway.session}: {title}"], room - 1)
        days = [_later(week.ending, found.ending, book).rjust(_WEEK) for week in leeway.curve[:weeks]]
        when = _dates(face.short(leeway.due), face.short(leeway.free_until), dates)
        sheet.add(Line("", first=f"{title}{' ' * (room - columns(title))}{when}{''.join(days)}"))
    sheet.gap()
    for line in _legend(found, words):
        sheet.add(line)
    return sheet.text(colour)


_LEAST_TITLE = 14


def _dates(due: str, free: str, room: int) -> str:
    return f"{due:<{_DAY}}{free:<{_DAY}}" if room > _DAY else f"{free:<{_DAY}}"


def _legend(found: Leeways, words: Words) -> Iterator[Line]:
    yield Line(words.tell("leeway.legend"))
    if any(week.ending.finish is not None and not week.ending.proven for each in found.found for week in each.curve):
        yield Line(words.tell("leeway.at most"))
    if any(week.ending.finish is None for each in found.found for week in each.curve):
        yield Line(words.tell("leeway.no plan"))


def _later(ending: Ending, planned: Ending, book: Book) -> str:
    """Days between the two ends, by the calendar; "·" for none."""
    if ending.finish is None or planned.finish is None:
        return book.words.tell("leeway.none")
    gap = (book.face.day(ending.finish) - book.face.day(planned.finish)).days
    if gap <= 0:
        return "·"
    return f"{'' if ending.proven else '≤'}+{gap}"


def _of(leeway: Leeway) -> dict[str, object]:
    if leeway.appointment is not None:
        return {"appointment": leeway.appointment}
    return {"session": leeway.session} if leeway.item is None else {"item": leeway.item}


def leeway_json(found: Leeways, plan: Plan) -> str:
    """The same as JSON; its schema is `schema_text("leeway")`."""
    zone = ZoneInfo(plan.zone)
    whole = [
        {
            **_of(leeway),
            "free_until": leeway.free_until.isoformat(),
            "curve": [
                {
                    "comes": week.comes.isoformat(),
                    "finish": moment_or_none(week.ending.finish, zone),
                    "proven": week.ending.proven,
                }
                for week in leeway.curve
            ],
        }
        for leeway in found.found
    ]
    return json_text(whole)
