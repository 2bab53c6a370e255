"""What would bring the finish forward, for reading and for other programs."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby
from zoneinfo import ZoneInfo

from scheduler.model.beware import Beware
from scheduler.model.foresight import Foreseen, Sooner
from scheduler.telling.machine.json_text import json_text, moment
from scheduler.telling.text.sheet import Line, Sheet, point
from scheduler.telling.views.agreed import broken_first
from scheduler.telling.views.index import Book
from scheduler.telling.views.sessions import opening
from scheduler.telling.wording import Clockface, counted, length_words, listing, one_line
from scheduler.wallclock import DAY

MOST = 8
"""Entries shown of each list; JSON has them all."""


def sooner_text(found: Foreseen, width: int = 80, colour: bool = False, ascii: bool = False) -> str:  # noqa: A002
    """What ends sooner and what it costs, the soonest first; what does not help; what holds the finish."""
    face = Clockface(ZoneInfo(found.plan.zone), found.plan.clock24)
    sheet = Sheet(width, ascii)
    book = Book(found.plan)
    for broken in broken_first(book):
        sheet.add(Line(book.say(broken), kind="shout"))
    sheet.add(
        Line(
            f"{one_line(found.plan.job)}: as planned, done on {face.moment(found.plan.finish, year=True)}.",
            kind="answer",
        )
    )
    sheet.add(Line(_summary(found, face)))
    said: set[Beware] = set()
    sheet.section("One change", _entries(found.better, found, face, said))
    sheet.section("Two changes at once", _entries(found.pairs, found, face, said))
    sheet.section("Of no help", _no_help(found))
    sheet.section("What holds up the end", _holding(found))
    return sheet.text(colour)


def sooner_json(found: Foreseen) -> str:
    """The same as JSON, pairs among the single changes; its schema is `schema_text("sooner")`."""
    zone = ZoneInfo(found.plan.zone)
    whole = [
        {
            "change": entry.change,
            "finish": moment(entry.finish, zone),
            "saves_days": round(entry.saves / DAY, 3),
            "keeps_minutes": entry.keeps,
            "costs": entry.costs,
            "edit": entry.said,
            "kind": entry.kind,
            "labour_minutes": entry.labour,
            "changes": list(entry.changes or (entry.change,)),
            "cautions": [caution.text for caution in entry.cautions],
        }
        for entry in sorted((*found.better, *found.pairs), key=lambda entry: (-entry.keeps, -entry.saves))
    ]
    return json_text(whole)


def _summary(found: Foreseen, face: Clockface) -> str:
    tried = sum(count for _, count in found.tried)
    said = f"{counted(tried, 'change')} tried, each planned again: "
    if not found.better:
        said += "none ends it sooner."
    else:
        number = len(found.better)
        earlier = sum(face.day(entry.finish) < face.day(found.plan.finish) for entry in found.better)
        said += f"{number} {'ends' if number == 1 else 'end'} it sooner, "
        said += f"{earlier or 'none'} of them on an earlier day."
    if found.pairs_tried:
        best = len(found.pairs) or "none"
        return f"{said} {counted(found.pairs_tried, 'pair')} tried: {best} better than either of the two alone."
    return f"{said} --pairs tries two at once."


def _entries(entries: tuple[Sooner, ...], found: Foreseen, face: Clockface, said: set[Beware]) -> Iterator[Line]:
    """Entries of one kind that end alike are told as one; a caution in full once, in a word where it is `said`."""
    groups = [list(group) for _, group in groupby(entries, key=lambda entry: (entry.keeps, entry.saves, entry.kind))]
    for group in groups[:MOST]:
        first = group[0]
        yield point(f"{_gain(first, found, face)}: {face.moment(first.finish)}", kind="session")
        for words in first.changes or (first.change,):
            yield Line(one_line(words), first="    ", rest="      ")
        yield Line(one_line(first.costs), first="    costs: ", rest="      ")
        where = "" if not first.edit else "in the job file: "
        yield Line(one_line(first.said), first=f"    {where}", rest="      ")
        for caution in first.cautions:
            words = f"{opening(caution)}, as above" if caution in said else caution.text
            yield Line(one_line(words), first="    beware: ", rest="      ")
            said.add(caution)
        others = [one_line(entry.change) for entry in group[1:]]
        if others:
            yield Line(f"{'; '.join(others)}", first="    as much: ", rest="      ")
    if len(groups) > MOST:
        yield Line(f"{len(groups) - MOST} more that save less: see --json.", first="  ")


def _gain(entry: Sooner, found: Foreseen, face: Clockface) -> str:
    if entry.keeps:
        kept = f"breaks {length_words(entry.keeps)} less of what was promised"
        if entry.saves <= 0:
            return kept
        return f"{kept}, {_sooner(entry, found, face)}"
    return _sooner(entry, found, face)


def _sooner(entry: Sooner, found: Foreseen, face: Clockface) -> str:
    days = (face.day(found.plan.finish) - face.day(entry.finish)).days
    return f"{counted(days, 'day')} sooner" if days else f"{length_words(entry.saves)} sooner, on the same day"


def _no_help(found: Foreseen) -> Iterator[Line]:
    helped: dict[str, int] = {}
    for entry in found.better:
        helped[entry.kind] = helped.get(entry.kind, 0) + 1
    left = [(kind, count - helped.get(kind, 0)) for kind, count in found.tried]
    words = [f"{kind} ({count})" if count > 1 else kind for kind, count in left if count]
    if words:
        number = sum(count for _, count in left)
        proof = f" Of {found.proven} it is proven." if found.proven and found.proven < number else ""
        proof = " That is proven." if found.proven == number else proof
        yield point(f"{listing(words)}.{proof}")


def _holding(found: Foreseen) -> Iterator[Line]:
    """The links of the chain at which somebody waits."""
    book, chain = Book(found.plan), found.plan.chain()
    waits = [step for step in chain if "held.follows" not in step.held.kinds()] or chain
    for step in waits[:MOST]:
        yield point(book.chain_words(step))
    if len(waits) > MOST:
        yield Line(f"and so on, {len(waits) - MOST} more back to the beginning.", first="  ")
