"""How late things may be, for reading and for other programs."""

from __future__ import annotations

from collections.abc import Iterator
from zoneinfo import ZoneInfo

from scheduler.model.leeway import Ending, Leeway, Leeways
from scheduler.model.plan import Plan
from scheduler.telling.machine.json_text import json_text, moment_or_none
from scheduler.telling.text.sheet import Line, Sheet, point
from scheduler.telling.wording import Clockface, date_words, one_line


def leeway_text(found: Leeways, plan: Plan, width: int = 80, colour: bool = False, ascii: bool = False) -> str:  # noqa: A002
    """For each item and each session: until when it may wait, and the end for each week more."""
    face = Clockface(ZoneInfo(plan.zone), plan.clock24)
    sheet = Sheet(width, ascii)
    sheet.add(Line(f"As planned, done on {face.moment(plan.finish, year=True)}.", kind="answer"))
    if not found.found:
        sheet.add(Line("Nothing is left that could be late."))
    items = [leeway for leeway in found.found if leeway.item is not None]
    sessions = [leeway for leeway in found.found if leeway.session is not None]
    for heading, leeways in (
        ("On order: if it comes later", items),
        ("Sessions: if nothing is done from then until later", sessions),
    ):
        sheet.section(heading, (line for leeway in leeways for line in _lines(leeway, found.ending, face)))
    return sheet.text(colour)


def leeway_json(found: Leeways, plan: Plan) -> str:
    """The same as JSON; its schema is `schema_text("leeway")`."""
    zone = ZoneInfo(plan.zone)
    whole = [
        {
            **({"item": leeway.item} if leeway.item is not None else {"session": leeway.session}),
            "free_until": leeway.free_until.isoformat(),
            "curve": [
                {"comes": week.comes.isoformat(), "finish": moment_or_none(week.ending.finish, zone)}
                for week in leeway.curve
            ],
        }
        for leeway in found.found
    ]
    return json_text(whole)


def _lines(leeway: Leeway, planned: Ending, face: Clockface) -> Iterator[Line]:
    due = date_words(leeway.due)
    if leeway.item is not None:
        yield point(f"{one_line(leeway.title)}, expected {due}", kind="session")
        free = f"costs nothing up to {date_words(leeway.free_until)}"
    else:
        yield point(f"Session {leeway.session}, {due}", kind="session")
        yield Line(one_line(leeway.title), first="    ", rest="    ")
        free = f"costs nothing if work goes on by {date_words(leeway.free_until)}"
    if leeway.free_until == leeway.due:
        free = "no time to lose"
    yield Line(free, first="    ", rest="      ")
    for week in leeway.curve:
        yield Line(f"{date_words(week.comes)}: {_end(week.ending, planned, face)}", first="    ", rest="      ")


def _end(ending: Ending, planned: Ending, face: Clockface) -> str:
    if ending.finish is None or planned.finish is None:
        return "no plan is possible"
    gap = ending.finish - planned.finish
    if gap <= 0:
        return "the end stays"
    least = "" if ending.proven else " (at most)"
    return f"done {face.moment(ending.finish)}, {face.apart(planned.finish, ending.finish)} later{least}"
