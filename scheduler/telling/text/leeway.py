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
from scheduler.telling.wording import Clockface, columns, fitting, one_line, short_date

_DAY, _WEEK, _NARROW = 12, 7, 60
"""Columns of a date, of the cost of a week, and of the narrowest terminal on which a row has room for both dates."""


def leeway_text(found: Leeways, plan: Plan, width: int = 80, colour: bool = False, ascii: bool = False) -> str:  # noqa: A002
    """A row for each item, appointment and session: its day, until when it may wait, and what each week costs."""
    face = Clockface(ZoneInfo(plan.zone), plan.clock24)
    sheet = Sheet(width, ascii)
    book = Book(plan)
    for broken in broken_first(book):
        sheet.add(Line(book.say(broken), kind="shout"))
    sheet.add(Line(f"As planned, done on {face.moment(plan.finish, year=True)}.", kind="answer"))
    if not found.found:
        sheet.add(Line("Nothing is left that could be late."))
        return sheet.text(colour)
    wide = max(width, LEAST_WIDTH)
    dates = 2 * _DAY if wide >= _NARROW else _DAY
    weeks = min(max(len(leeway.curve) for leeway in found.found), (wide - dates - _LEAST_TITLE) // _WEEK)
    room = wide - dates - weeks * _WEEK
    head = [f"{week} wk".rjust(_WEEK) for week in range(1, weeks + 1)]
    sheet.gap()
    sheet.add(
        Line("", first=f"{'':<{room}}{_dates('as planned', 'free up to', dates)}{''.join(head)}", kind="heading")
    )
    for leeway in found.found:
        title = one_line(leeway.title)
        title = fitting([title if leeway.session is None else f"{leeway.session}: {title}"], room - 1)
        days = [_later(week.ending, found.ending, face).rjust(_WEEK) for week in leeway.curve[:weeks]]
        when = _dates(short_date(leeway.due), short_date(leeway.free_until), dates)
        sheet.add(Line("", first=f"{title}{' ' * (room - columns(title))}{when}{''.join(days)}"))
    sheet.gap()
    for line in _legend(found):
        sheet.add(line)
    return sheet.text(colour)


_LEAST_TITLE = 14


def _dates(due: str, free: str, room: int) -> str:
    return f"{due:<{_DAY}}{free:<{_DAY}}" if room > _DAY else f"{free:<{_DAY}}"


def _legend(found: Leeways) -> Iterator[Line]:
    yield Line(
        "A number is a session: nothing is done from its day on until the day it is put off to. Up to the day under "
        "“free up to” the end stays. Under the weeks: so many days later it ends if it comes, or goes on, so many "
        "weeks later than planned."
    )
    if any(week.ending.finish is not None and not week.ending.proven for each in found.found for week in each.curve):
        yield Line("“≤”: at most so many, as far as was sought.")
    if any(week.ending.finish is None for each in found.found for week in each.curve):
        yield Line("“none”: no plan is possible.")


def _later(ending: Ending, planned: Ending, face: Clockface) -> str:
    """Days between the two ends, by the calendar; "·" for none."""
    if ending.finish is None or planned.finish is None:
        return "none"
    gap = (face.day(ending.finish) - face.day(planned.finish)).days
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
