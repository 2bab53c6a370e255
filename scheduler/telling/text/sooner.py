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
from scheduler.telling.wording import one_line
from scheduler.wallclock import DAY

MOST = 8
"""Entries shown of each list; JSON has them all."""


def sooner_text(found: Foreseen, width: int = 80, colour: bool = False, ascii: bool = False) -> str:  # noqa: A002
    """What ends sooner and what it costs, the soonest first; what does not help; what holds the finish."""
    sheet = Sheet(width, ascii)
    book = Book(found.plan)
    of = book.words.of
    for broken in broken_first(book):
        sheet.add(Line(book.say(broken), kind="shout"))
    sheet.add(
        Line(
            book.words.tell(
                "sooner.planned", job=one_line(found.plan.job), finish=book.face.moment(found.plan.finish, year=True)
            ),
            kind="answer",
        )
    )
    sheet.add(Line(_summary(found, book)))
    said: set[Beware] = set()
    sheet.section(of("sooner", "one"), _entries(found.better, found, book, said))
    sheet.section(of("sooner", "two"), _entries(found.pairs, found, book, said))
    sheet.section(of("sooner", "no help"), _no_help(found, book))
    sheet.section(of("agenda", "end"), _holding(found, book))
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


def _summary(found: Foreseen, book: Book) -> str:
    words, day = book.words, book.face.day
    said = words.tell("sooner.tried", changes=words.counted("change", sum(count for _, count in found.tried)))
    if not found.better:
        said += words.tell("sooner.none")
    else:
        earlier = sum(day(entry.finish) < day(found.plan.finish) for entry in found.better)
        said += words.counted("sooner end", len(found.better))
        said += words.tell("sooner.on earlier day", number=earlier) if earlier else words.tell("sooner.same day all")
    if found.pairs_tried:
        best = words.tell("sooner.best pairs" if found.pairs else "sooner.no pair", number=len(found.pairs))
        pairs = words.counted("pair", found.pairs_tried)
        return f"{said} {words.tell('sooner.pairs', pairs=pairs, best=best)}"
    return f"{said} {words.tell('sooner.try pairs')}"


def _entries(entries: tuple[Sooner, ...], found: Foreseen, book: Book, said: set[Beware]) -> Iterator[Line]:
    """Entries of one kind that end alike are told as one; a caution in full once, in a word where it is `said`."""
    words = book.words
    groups = [list(group) for _, group in groupby(entries, key=lambda entry: (entry.keeps, entry.saves, entry.kind))]
    for group in groups[:MOST]:
        first = group[0]
        yield point(f"{_gain(first, found, book)}: {book.face.moment(first.finish)}", kind="session")
        for change in first.changes or (first.change,):
            yield Line(one_line(change), first="    ", rest="      ")
        yield Line(one_line(first.costs), first=f"    {words.tell('sooner.costs')}", rest="      ")
        where = words.tell("sooner.in file") if first.edit else ""
        yield Line(one_line(first.said), first=f"    {where}", rest="      ")
        for caution in first.cautions:
            told = words.tell("sooner.as above", caution=opening(caution)) if caution in said else caution.text
            yield Line(one_line(told), first=f"    {words.tell('sooner.beware')}", rest="      ")
            said.add(caution)
        others = [one_line(entry.change) for entry in group[1:]]
        if others:
            yield Line(f"{'; '.join(others)}", first=f"    {words.tell('sooner.as much')}", rest="      ")
    if len(groups) > MOST:
        yield Line(words.tell("sooner.more", number=len(groups) - MOST), first="  ")


def _gain(entry: Sooner, found: Foreseen, book: Book) -> str:
    words = book.words
    days = (book.face.day(found.plan.finish) - book.face.day(entry.finish)).days
    sooner = (
        words.tell("sooner.days", days=words.counted("day", days))
        if days
        else words.tell("sooner.same day", saves=words.length(entry.saves))
    )
    if not entry.keeps:
        return sooner
    kept = words.tell("sooner.keeps", length=words.length(entry.keeps))
    return kept if entry.saves <= 0 else f"{kept}, {sooner}"


def _no_help(found: Foreseen, book: Book) -> Iterator[Line]:
    helped: dict[str, int] = {}
    for entry in found.better:
        helped[entry.kind] = helped.get(entry.kind, 0) + 1
    left = [(kind, count - helped.get(kind, 0)) for kind, count in found.tried]
    words = book.words
    named = [words.of("kind", kind) + (f" ({count})" if count > 1 else "") for kind, count in left if count]
    if named:
        number = sum(count for _, count in left)
        proof = words.tell("sooner.some proven", number=found.proven) if 0 < found.proven < number else ""
        proof = words.tell("sooner.proven") if found.proven == number else proof
        yield point(f"{words.listing(named)}.{proof}")


def _holding(found: Foreseen, book: Book) -> Iterator[Line]:
    """The links of the chain at which somebody waits."""
    chain = found.plan.chain()
    waits = [step for step in chain if "held.follows" not in step.held.kinds()] or chain
    for step in waits[:MOST]:
        yield point(book.chain_words(step))
    if len(waits) > MOST:
        yield Line(book.words.tell("sooner.back", number=len(waits) - MOST), first="  ")
