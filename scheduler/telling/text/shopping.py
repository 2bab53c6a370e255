"""The shopping list for reading, for other programs, and for the page."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from datetime import date
from itertools import pairwise

from scheduler.model.plan import Plan
from scheduler.model.shopping import Board, Container, Delivery, Lot, Shopping
from scheduler.telling.machine.json_text import json_text
from scheduler.telling.text.sheet import Line, Sheet, point
from scheduler.telling.views.agreed import broken_first, comings
from scheduler.telling.views.index import Book
from scheduler.telling.views.weekends import groups
from scheduler.telling.wording import counted, date_words, listing, one_line
from scheduler.units import format_area, format_fraction, format_length, format_mass, format_run, format_volume

AS_NEEDED = "as needed"
WAIT_FOR_IT = (
    "What comes too late is waited for if it stands under `on order` with the day on which it is there (wood: has "
    "settled) and is named in `needs` where it is used; or give `start` a later day."
)
TITLES = 3
"""So many steps are named at a thing; of the others only their number."""
BEFORE = {"weekend": "the weekend of", "evenings": "the evenings of the week of", "week": "the week of"}
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
    day = date_words(book.face.day(plan.as_of), year=True)
    things = counted(len(lots), "thing") if lots else "nothing"
    sheet.add(Line(f"{book.job}: {things} to buy, as of {day}.", kind="answer"))
    sheet.section("", _shouts(found))
    for heading, some, deliveries in _by_group(found, book):
        lines = [line for lot in some for line in _lot(book, lot)]
        lines += [line for each in deliveries for line in _delivery(book, each, found.margin, ordered(found, each))]
        sheet.section(heading, lines)
    sheet.section("Who comes by appointment", (point(words) for words in comings(book)))
    sheet.section("In the house", _had(book, found))
    sheet.section("Begun, so it should be in the house: look whether this much is left", _begun(book, found))
    unneeded = (each for each in found.deliveries if each.needed is None and not each.arrived)
    idle = (line for each in unneeded for line in _delivery(book, each, 0, ()))
    sheet.section("On order, and no step waits for it", idle)
    sheet.section("To bear in mind", (point(one_line(note)) for note in _notes(found)))
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


def containers_words(containers: tuple[Container, ...]) -> str:
    """`1 × 1 gal + 2 × 1 qt`, `3 cartridges of 10.1 fl oz`, `17 sheets`."""
    return " + ".join(_container(each) for each in containers)


def _container(each: Container) -> str:
    label = one_line(each.label)
    if not each.pack:
        return f"{each.count} × {label}" if label else str(each.count)
    packs = counted(each.count, each.pack, "boxes" if each.pack == "box" else "")
    return packs if label in UNSAID else f"{packs} of {label}"


def _by_group(found: Shopping, book: Book) -> Iterator[tuple[str, list[Lot], list[Delivery]]]:
    """What is first used in each group of sessions, with the heading of that group."""
    for group in groups(book):
        start, end = group.sessions[0].start, group.sessions[-1].end
        lots = [lot for lot in found.lots if lot.to_be_bought and start <= lot.first < end]
        due = [each for each in found.deliveries if each.needed is not None and start <= each.needed < end]
        if lots or due:
            day = date_words(group.day, year=True).partition(" ")[2]
            yield f"In the house before {BEFORE[group.kind]} {day}", lots, [each for each in due if not each.arrived]


def _notes(found: Shopping) -> Iterator[str]:
    if any(lot.net is None for lot in found.lots):
        yield f"{AS_NEEDED.capitalize()}: nobody measured how much. Say it under `uses`, or measure it under `scope`."
    if any(lot.passed for lot in found.lots):
        yield WAIT_FOR_IT
    yield from found.notes


def _shouts(found: Shopping) -> Iterator[Line]:
    """What comes too late already: said first."""
    for each in found.deliveries:
        if each.passed and each.order_by is not None:
            day = date_words(each.order_by).upper()
            yield Line(f"{one_line(each.title)}: HAD TO BE ORDERED BY {day}.", rest="  ", kind="shout")
    for lot in found.lots:
        if lot.passed and lot.order_by is not None:
            day = date_words(lot.order_by).upper()
            yield Line(f"{one_line(lot.title)}: HAD TO BE ORDERED BY {day}.", rest="  ", kind="shout")
        elif lot.passed and lot.ordered is None:
            said = f"should have been in the room since {date_words(lot.needed_by)} (to settle)"
            yield Line(f"{one_line(lot.title)}: {said}.", rest="  ", kind="shout")


def lot_words(book: Book, lot: Lot) -> str:
    """`Latex caulk: 3 cartridges of 10.1 fl oz`."""
    more = " more" if lot.had is not None else ""
    return f"{one_line(lot.title)}: {_so_much(book, lot)}{more}"


def _lot(book: Book, lot: Lot) -> Iterator[Line]:
    yield point(lot_words(book, lot), kind="session")
    if lot.had is not None:
        said = f"more than you bought ({date_words(lot.had)}): the job needs more of it since"
        yield Line(said, first="    ", rest="      ")
    if lot.ordered is not None:
        yield Line(f"ordered {date_words(lot.ordered)}", first="    ", rest="      ")
    yield Line(f"{'; '.join(_uses(book, lot))}.", first="    ", rest="      ")
    if lot.order_by is not None and not lot.passed:
        yield Line(f"order it by {date_words(lot.order_by)}", first="    ", rest="      ")
    if lot.settles and not lot.passed:
        settles = counted(lot.settles, "day")
        said = f"in the room from {date_words(lot.needed_by)} on: it settles there for {settles}"
        yield Line(said, first="    ", rest="      ")
    if lot.hired_for:
        said = f"hired for {counted(len(lot.hired_for), 'day')}: {', '.join(_stretches(lot.hired_for))}"
        yield Line(said, first="    ", rest="      ")
    yield from _cut_lines(book, lot)


def _stretches(days: Sequence[date]) -> Iterator[str]:
    """Days on end as one stretch: `Saturday 9 January to Sunday 10 January`."""
    first = days[0]
    for day, later in pairwise((*days, days[-1])):
        if (later - day).days != 1:
            yield date_words(first) if first == day else f"{date_words(first)} to {date_words(day)}"
            first = later


def _so_much(book: Book, lot: Lot) -> str:
    return containers_words(lot.containers) or (AS_NEEDED if lot.net is None else _amount(book, lot.net, lot))


def _uses(book: Book, lot: Lot) -> Iterator[str]:
    """How much, with what on top; for what; what is not in it."""
    yield from _measured(book, lot)
    yield f"for {counted(len(lot.steps), 'coat') if lot.colour else _steps(book, lot.steps)}"
    if lot.unmeasured and lot.net is not None:
        yield f"{_steps(book, lot.unmeasured)} not measured: what it takes comes on top"


def _measured(book: Book, lot: Lot) -> Iterator[str]:
    """`1.5 gal, with 10 % spare`; nothing where nobody measured it, or the containers say as much."""
    if lot.net is not None and lot.cuts is not None:
        left = format_fraction(1 - lot.net / lot.cuts.stock)
        yield f"{_amount(book, lot.net, lot)} out of {_amount(book, lot.cuts.stock, lot)}, {left} left over"
    elif lot.net is not None and lot.waste:
        yield f"{_amount(book, lot.net, lot)}, with {format_fraction(lot.waste)} spare"
    elif lot.net is not None and any(each.label not in UNSAID for each in lot.containers):
        yield _amount(book, lot.net, lot)


def _cut_lines(book: Book, lot: Lot) -> Iterator[Line]:
    if lot.cuts is None:
        return
    alike = Counter((board.label, board.length, board.pieces) for board in lot.cuts.boards)
    for (label, length, pieces), count in alike.items():
        board = Board(label=label, length=length, pieces=pieces)
        stock = f"{count} of {one_line(label)}"
        if len(pieces) == 1 and length - pieces[0] < WHOLE:
            yield Line(f"{stock} whole", first="    ", rest="      ")
            continue
        times = f"cut {stock}, from each: " if count > 1 else f"cut {stock}: "
        yield Line(_pieces(book, board), first=f"    {times}", rest="      ")
    if lot.cuts.joined:
        said = listing(format_length(each, metric=book.plan.metric) for each in lot.cuts.joined)
        yield Line(f"{said}: longer than what is sold, to be joined", first="    ", rest="      ")
    if not lot.cuts.best:
        yield Line("perhaps a better way to cut it exists", first="    ", rest="      ")


def _pieces(book: Book, board: Board) -> str:
    counts = Counter(format_length(piece, metric=book.plan.metric) for piece in board.pieces)
    return ", ".join(f"{count} × {said}" if count > 1 else said for said, count in counts.items())


def _amount(book: Book, amount: float, lot: Lot) -> str:
    if lot.cuts is not None:
        return format_length(amount, metric=book.plan.metric)
    return amount_words(amount, lot.unit, metric=book.plan.metric)


def _steps(book: Book, names: tuple[str, ...]) -> str:
    titles = [book.quoted(name) for name in names[:TITLES]]
    more = len(names) - len(titles)
    return listing([*titles, counted(more, "more step")] if more else titles)


def _delivery(book: Book, each: Delivery, margin: int, lots: tuple[Lot, ...]) -> Iterator[Line]:
    """What is on order, with how much of it the steps use, where that was measured."""
    comes = f"comes {date_words(each.expected)}" if each.expected else "no date yet"
    only = [lot for lot in lots if lot.net is not None] if len(lots) == 1 else []
    much = "".join(f"{_so_much(book, lot)}, " for lot in only)
    yield point(f"{one_line(each.title)}: {much}on order, {comes}", kind="session")
    for lot in () if only else lots:
        yield Line(f"{one_line(lot.title)}: {_so_much(book, lot)}", first="    ", rest="      ")
    if each.steps:
        said = [words for lot in only for words in _measured(book, lot)]
        yield Line(f"{'; '.join([*said, f'for {_steps(book, each.steps)}'])}.", first="    ", rest="      ")
    for lot in lots:
        yield from _cut_lines(book, lot)
    if each.ordered is not None:
        yield Line(f"ordered {date_words(each.ordered)}", first="    ", rest="      ")
    if each.order_by is not None and not each.passed:
        yield Line(f"order it by {date_words(each.order_by)}", first="    ", rest="      ")
    if each.spare is not None and each.spare < margin:
        spare = counted(each.spare, "day") if each.spare > 0 else "not a day"
        yield Line(f"{spare} to spare before it is needed", first="    ", rest="      ")


def _had(book: Book, found: Shopping) -> Iterator[Line]:
    """What somebody said is there, and enough; with what still settles."""
    for lot in found.lots:
        if lot.enough and lot.had is not None:
            yield point(f"{one_line(lot.title)}, since {date_words(lot.had)}{_settling(book, lot)}")


def _settling(book: Book, lot: Lot) -> str:
    first = book.face.day(lot.first)
    if lot.settled is None or lot.settled <= book.face.day(book.plan.as_of):
        return ""
    early = f", and {_steps(book, lot.steps[:1])} comes before that" if lot.settled > first else ""
    return f"; it settles until {date_words(lot.settled)}{early}"


def _begun(book: Book, found: Shopping) -> Iterator[Line]:
    for lot in found.lots:
        if lot.begun:
            rest = AS_NEEDED if lot.net is None else _amount(book, lot.net, lot)
            said = f"{one_line(lot.title)}: {rest}, for {_steps(book, lot.steps)}"
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


def _board_row(board: Board) -> dict[str, object]:
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
