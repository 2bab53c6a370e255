"""The shopping list for reading, for other programs, and for the page."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date
from itertools import pairwise

from scheduler.model.plan import Plan
from scheduler.model.shopping import Container, Delivery, Lot, Shopping, StockLength
from scheduler.telling.machine.json_text import json_text
from scheduler.telling.text.sheet import Line, Sheet, point
from scheduler.telling.views.agreed import broken_first, comings
from scheduler.telling.views.index import Book
from scheduler.telling.views.weekends import groups
from scheduler.telling.wording import counted, one_line
from scheduler.telling.words import Words
from scheduler.units import (
    format_area,
    format_cut,
    format_fraction,
    format_length,
    format_mass,
    format_run,
    format_volume,
)

TITLES = 3
"""So many steps are named at a thing; of the others only their number."""
FORMATS = {"L": format_volume, "m": format_run, "m2": format_area, "kg": format_mass}
DECIMALS = 6
"""Of amounts in JSON."""
WHOLE = 0.001
"""Metres; a length that is less shorter than its board is the board."""
UNSAID = ("", "1")
"""Sizes that say no more than the number of packs does."""


def shopping_text(found: Shopping, plan: Plan, width: int = 80, colour: bool = False, ascii: bool = False) -> str:  # noqa: A002
    """What has passed, what must be there before which weekend, what is on order; at most `width` columns wide."""
    book = Book(plan)
    sheet = Sheet(width, ascii)
    for broken in broken_first(book):
        sheet.add(Line(book.say(broken), kind="shout"))
    lots = [lot for lot in found.lots if lot.to_be_bought]
    words, of = book.words, book.words.of
    day = book.face.date(plan.as_of, year=True)
    things = words.counted("thing", len(lots)) if lots else of("buy", "nothing")
    sheet.add(Line(words.tell("buy.heading", job=book.job, things=things, day=day), kind="answer"))
    sheet.section("", _shouts(book, found))
    for heading, some, deliveries in _by_group(found, book):
        lines = [line for lot in some for line in _lot(book, lot)]
        lines += [line for each in deliveries for line in _delivery(book, each, found.margin, ordered(found, each))]
        sheet.section(heading, lines)
    sheet.section(of("buy", "comings"), (point(words) for words in comings(book)))
    sheet.section(of("buy", "had"), _had(book, found))
    sheet.section(of("buy", "begun"), _begun(book, found))
    unneeded = (each for each in found.deliveries if each.needed is None and not each.arrived)
    idle = (line for each in unneeded for line in _delivery(book, each, 0, ()))
    sheet.section(of("buy", "idle"), idle)
    sheet.section(of("agenda", "bear"), (point(one_line(note)) for note in _notes(book, found)))
    return sheet.text(colour)


def shopping_json(found: Shopping) -> str:
    """The same as JSON; its schema is `schema_text("buy")`. Amounts are in L, kg, m, m2 or pieces."""
    rows = [*(_lot_row(lot) for lot in found.lots), *(_delivery_row(each) for each in found.deliveries)]
    rows.sort(key=lambda row: (row["needed_by"] is None, str(row["needed_by"])))
    return json_text(rows)


def ordered(found: Shopping, delivery: Delivery) -> tuple[Lot, ...]:
    """How much its steps use of what is on order: the same thing, and so it is no entry of its own."""
    return tuple(lot for lot in found.lots if lot.on_order == delivery.item and not lot.begun and not lot.enough)


def amount_words(amount: float, unit: str, *, metric: bool) -> str:
    """`1.6 gal`, `12.4 m`, `300` in the measures of the job."""
    return FORMATS[unit](amount, metric=metric) if unit in FORMATS else f"{amount:,.0f}"


def containers_words(containers: tuple[Container, ...], words: Words | None = None) -> str:
    """`1 × 1 gal + 2 × 1 qt`, `3 cartridges of 10.1 fl oz`, `17 sheets`; English without any `words`."""
    return " + ".join(_container(each, words or Words()) for each in containers)


def _container(each: Container, words: Words) -> str:
    label = words.figures(one_line(each.label))
    if not each.pack:
        return f"{each.count} × {label}" if label else str(each.count)
    one, _, many = each.pack.partition("|")  # a language that says the plural has it behind a stroke
    packs = f"{each.count} {many}" if many and each.count != 1 else counted(each.count, one, "boxes" * (one == "box"))
    return packs if label in UNSAID else words.tell("buy.packs", packs=packs, label=label)


def _by_group(found: Shopping, book: Book) -> Iterator[tuple[str, list[Lot], list[Delivery]]]:
    """What is first used in each group of sessions, with the heading of that group."""
    for group in groups(book):
        start, end = group.sessions[0].start, group.sessions[-1].end
        lots = [lot for lot in found.lots if lot.to_be_bought and start <= lot.first < end]
        due = [each for each in found.deliveries if each.needed is not None and start <= each.needed < end]
        if lots or due:
            heading = book.words.of("buy", f"before {group.kind}").format(day=book.face.plain(group.day))
            yield heading, lots, [each for each in due if not each.arrived]


def _notes(book: Book, found: Shopping) -> Iterator[str]:
    if found.small_things:
        yield book.words.tell("buy.small things", things="; ".join(found.small_things))
    if any(lot.net is None for lot in found.lots):
        yield book.words.of("buy", "unmeasured")
    if any(lot.passed for lot in found.lots):
        yield book.words.of("buy", "wait")
    yield from map(book.say, found.notes)


def _shouts(book: Book, found: Shopping) -> Iterator[Line]:
    """What comes too late already: said first."""
    tell, date_of = book.words.tell, book.face.date_of
    every: tuple[Delivery | Lot, ...] = (*found.deliveries, *found.lots)
    for each in every:
        title = one_line(each.title)
        if each.passed and each.order_by is not None:
            said = tell("buy.late order", title=title, day=date_of(each.order_by).upper())
            yield Line(said, rest="  ", kind="shout")
        elif isinstance(each, Lot) and each.passed and each.ordered is None:
            said = tell("buy.late settle", title=title, day=date_of(each.needed_by))
            yield Line(said, rest="  ", kind="shout")


def lot_words(book: Book, lot: Lot) -> str:
    """`Latex caulk: 3 cartridges of 10.1 fl oz`."""
    more = book.words.of("buy", "more") if lot.had is not None else ""
    return f"{one_line(lot.title)}: {_so_much(book, lot)}{more}"


def _more(text: str) -> Line:
    return Line(text, first="    ", rest="      ")


def _lot(book: Book, lot: Lot) -> Iterator[Line]:
    tell, date_of = book.words.tell, book.face.date_of
    yield point(lot_words(book, lot), kind="session")
    if lot.had is not None:
        yield _more(tell("buy.more than", day=date_of(lot.had)))
    if lot.ordered is not None:
        yield _more(tell("buy.ordered", day=date_of(lot.ordered)))
    yield _more(f"{'; '.join(_uses(book, lot))}.")
    if lot.order_by is not None and not lot.passed:
        yield _more(tell("buy.order by", day=date_of(lot.order_by)))
    if lot.settles and not lot.passed:
        days = book.words.counted("day", lot.settles)
        yield _more(tell("buy.settles", day=date_of(lot.needed_by), days=days))
    if lot.hired_for:
        days = book.words.counted("day", len(lot.hired_for))
        yield _more(tell("buy.hired", days=days, when=", ".join(_stretches(book, lot.hired_for))))
    yield from _cut_lines(book, lot)


def _stretches(book: Book, days: Sequence[date]) -> Iterator[str]:
    """Days on end as one stretch: `Saturday 9 January to Sunday 10 January`."""
    first, date_of = days[0], book.face.date_of
    for day, later in pairwise((*days, days[-1])):
        if (later - day).days != 1:
            stretch = book.words.tell("buy.stretch", start=date_of(first), end=date_of(day))
            yield date_of(first) if first == day else stretch
            first = later


def _so_much(book: Book, lot: Lot) -> str:
    as_needed = book.words.of("buy", "as needed")
    return containers_words(lot.containers, book.words) or (
        as_needed if lot.net is None else _amount(book, lot.net, lot)
    )


def _uses(book: Book, lot: Lot) -> Iterator[str]:
    """How much, with what on top; for what; what is not in it."""
    yield from _measured(book, lot)
    words = book.words
    what = words.counted("coat", len(lot.steps)) if lot.colour else _steps(book, lot.steps)
    yield words.tell("buy.for", what=what)
    if lot.unmeasured and lot.net is not None:
        yield words.tell("buy.not measured", steps=_steps(book, lot.unmeasured))


def _measured(book: Book, lot: Lot) -> Iterator[str]:
    """`1.5 gal, with 10 % spare`; nothing where nobody measured it, or the containers say as much."""
    if lot.net is not None and lot.cuts is not None:
        left = format_fraction(1 - lot.net / lot.cuts.stock)
        net, stock = _amount(book, lot.net, lot), _amount(book, lot.cuts.stock, lot)
        yield book.words.tell("buy.out of", net=net, stock=stock, left=left)
    elif lot.net is not None and lot.waste:
        yield book.words.tell("buy.spare", net=_amount(book, lot.net, lot), spare=format_fraction(lot.waste))
    elif lot.net is not None and any(each.label not in UNSAID for each in lot.containers):
        yield _amount(book, lot.net, lot)


def _cut_lines(book: Book, lot: Lot) -> Iterator[Line]:
    if lot.cuts is None:
        return
    tell = book.words.tell
    alike = Counter((board.label, board.length, board.pieces) for board in lot.cuts.boards)
    for (label, length, pieces), count in alike.items():
        board = StockLength(label=label, length=length, pieces=pieces)
        stock = tell("buy.stock", count=count, label=book.words.figures(one_line(label)))
        if len(pieces) == 1 and length - pieces[0] < WHOLE:
            yield _more(tell("buy.whole", stock=stock))
            continue
        times = tell("buy.cut each" if count > 1 else "buy.cut", stock=stock)
        yield Line(_pieces(book, board), first=f"    {times}", rest="      ")
    if lot.cuts.joined:
        lengths = book.words.figures(
            book.words.listing(format_cut(each, metric=book.plan.metric) for each in lot.cuts.joined)
        )
        yield _more(tell("buy.joined", lengths=lengths))
    if not lot.cuts.best:
        yield _more(book.words.of("buy", "better"))


def _pieces(book: Book, board: StockLength) -> str:
    counts = Counter(book.words.figures(format_cut(each, metric=book.plan.metric)) for each in board.pieces)
    return ", ".join(f"{count} × {said}" if count > 1 else said for said, count in counts.items())


def _amount(book: Book, amount: float, lot: Lot) -> str:
    if lot.cuts is not None:
        return book.words.figures(format_length(amount, metric=book.plan.metric))
    return book.words.figures(amount_words(amount, lot.unit, metric=book.plan.metric))


def _steps(book: Book, names: tuple[str, ...]) -> str:
    titles = [book.quoted(name) for name in names[:TITLES]]
    more = len(names) - len(titles)
    return book.words.listing([*titles, book.words.counted("more step", more)] if more else titles)


def _delivery(book: Book, each: Delivery, margin: int, lots: tuple[Lot, ...]) -> Iterator[Line]:
    """What is on order, with how much of it the steps use, where that was measured."""
    tell, date_of = book.words.tell, book.face.date_of
    expected = each.expected
    comes = tell("item.comes", day=date_of(expected)) if expected else book.words.of("item", "no date")
    only = [lot for lot in lots if lot.net is not None] if len(lots) == 1 else []
    much = "".join(f"{_so_much(book, lot)}, " for lot in only)
    yield point(f"{one_line(each.title)}: {much}{tell('buy.on order', comes=comes)}", kind="session")
    for lot in () if only else lots:
        yield _more(f"{one_line(lot.title)}: {_so_much(book, lot)}")
    if each.steps:
        said = [words for lot in only for words in _measured(book, lot)]
        yield _more(f"{'; '.join([*said, tell('buy.for', what=_steps(book, each.steps))])}.")
    for lot in lots:
        yield from _cut_lines(book, lot)
    if each.ordered is not None:
        yield _more(tell("buy.ordered", day=date_of(each.ordered)))
    if each.order_by is not None and not each.passed:
        yield _more(tell("buy.order by", day=date_of(each.order_by)))
    if each.spare is not None and each.spare < margin:
        spare = book.words.counted("day", each.spare) if each.spare > 0 else book.words.of("buy", "not a day")
        yield _more(tell("buy.to spare", spare=spare))


def _had(book: Book, found: Shopping) -> Iterator[Line]:
    """What somebody said is there, and enough; with what still settles."""
    for lot in found.lots:
        if lot.enough and lot.had is not None:
            day, settling = book.face.date_of(lot.had), _settling(book, lot)
            yield point(book.words.tell("buy.since", title=one_line(lot.title), day=day, settling=settling))


def _settling(book: Book, lot: Lot) -> str:
    first = book.face.day(lot.first)
    if lot.settled is None or lot.settled <= book.face.day(book.plan.as_of):
        return ""
    tell = book.words.tell
    early = tell("buy.settling early", steps=_steps(book, lot.steps[:1])) if lot.settled > first else ""
    return tell("buy.settling", day=book.face.date_of(lot.settled), early=early)


def _begun(book: Book, found: Shopping) -> Iterator[Line]:
    for lot in found.lots:
        if lot.begun:
            rest = book.words.of("buy", "as needed") if lot.net is None else _amount(book, lot.net, lot)
            said = f"{one_line(lot.title)}: {rest}, {book.words.tell('buy.for', what=_steps(book, lot.steps))}"
            yield point(said)


def _lot_row(lot: Lot) -> dict[str, object]:
    return {
        "material": lot.what,
        **({"colour": lot.colour} if lot.colour is not None else {}),
        "quantity": None if lot.net is None else round(lot.net, DECIMALS),
        "unit": lot.unit or None,
        "waste": round(lot.waste, DECIMALS),
        "bought": round(lot.bought, DECIMALS),
        "containers": containers_words(lot.containers),
        "order_by": lot.order_by.isoformat() if lot.order_by else None,
        "needed_by": lot.needed_by.isoformat(),
        "passed": lot.passed,
        "on_order": lot.on_order,
        "in_house": lot.begun or lot.enough,
        "ordered": lot.ordered.isoformat() if lot.ordered else None,
        **({"hired_for": [day.isoformat() for day in lot.hired_for]} if lot.hired_for else {}),
        "for_steps": list(lot.steps),
        "unmeasured_steps": list(lot.unmeasured),
        **({"cuts": [_board_row(board) for board in lot.cuts.boards]} if lot.cuts is not None else {}),
    }


def _board_row(board: StockLength) -> dict[str, object]:
    pieces = [round(piece, DECIMALS) for piece in board.pieces]
    return {"stock": board.label, "length": round(board.length, DECIMALS), "pieces": pieces}


def _delivery_row(each: Delivery) -> dict[str, object]:
    return {
        "item": each.item,
        "quantity": 1,
        "unit": "piece",
        "containers": "",
        "expected": each.expected.isoformat() if each.expected else None,
        "order_by": each.order_by.isoformat() if each.order_by else None,
        "needed_by": each.needed_by.isoformat() if each.needed_by else None,
        "passed": each.passed,
        "in_house": each.arrived,
        "ordered": each.ordered.isoformat() if each.ordered else None,
        "for_steps": list(each.steps),
    }
