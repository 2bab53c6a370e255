"""What else follows from a change: who takes the free hours, what to have in the house, which windows are close, and
which rules what has happened broke."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from datetime import date

from scheduler.model.basics import Span
from scheduler.model.broken import Broken
from scheduler.model.plan import Plan, PlannedStep
from scheduler.model.spans import union, without
from scheduler.telling.text.sheet import Line, Sheet
from scheduler.telling.views.index import Book
from scheduler.telling.wording import columns, one_line


@dataclass(frozen=True, slots=True, kw_only=True)
class Needed:
    """Something to have in the house: its title, the day by which it was needed before, and the day now."""

    title: str
    before: date
    after: date


@dataclass(frozen=True, slots=True, kw_only=True)
class ClosingWindow:
    """The recoat window of a film that closes at `latest`, before the session after that in which `step` begins."""

    film: str
    step: str
    start: int
    latest: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Aftermath:
    """What follows beside the moves. `fills` are steps (title, new pieces) in hours that others have left."""

    fills: tuple[tuple[str, tuple[Span, ...]], ...]
    needed: tuple[Needed, ...]
    windows: tuple[ClosingWindow, ...]


def aftermath(before: Plan, after: Plan) -> Aftermath:
    """Compare two plans of one job. Only windows that had time to spare before are named."""
    book_before, book = Book(before), Book(after)
    old = {step.id: step for step in before.steps}
    close = {(step.id, film) for step, film, _ in _close(book_before)}
    return Aftermath(
        fills=tuple(_fills(book, old)),
        needed=tuple(_needed(book_before, book)),
        windows=tuple(
            ClosingWindow(film=book.title(film), step=book.title(step), start=step.start, latest=latest)
            for step, film, latest in _close(book)
            if (step.id, film) not in close
        ),
    )


def aftermath_text(found: Aftermath, after: Plan, width: int = 80, colour: bool = False, ascii: bool = False) -> str:  # noqa: A002
    """The same in words; empty if nothing follows. Times by the zone and the clock of the plan `after`."""
    book = Book(after)
    face, tell = book.face, book.words.tell
    sheet = Sheet(width, ascii)
    sheet.points(
        book.words.of("after", "free"),
        (
            f"{title}: " + "; ".join(f"{face.date(piece.start)}, {face.span(*piece)}" for piece in pieces)
            for title, pieces in found.fills
        ),
    )
    sheet.points(book.words.of("after", "needed"), (_needed_words(book, needed) for needed in found.needed))
    sheet.points(
        book.words.of("after", "windows"),
        (
            tell(
                "after.window",
                step=window.step,
                start=face.moment(window.start),
                film=window.film,
                latest=face.moment(window.latest),
            )
            for window in found.windows
        ),
    )
    return sheet.text(colour)


def aftermath_brief(found: Aftermath, after: Plan, width: int = 80, colour: bool = False, ascii: bool = False) -> str:  # noqa: A002
    """The same in a few lines: what to have in the house by which day, and windows without a session to spare."""
    sheet = Sheet(width, ascii)
    if found.needed:
        book = Book(after)
        first = book.words.of("after", "needed brief")
        by = [(each.title, book.face.short(each.after)) for each in found.needed]
        things = [book.words.tell("after.by", title=title, day=day) for title, day in by]
        sheet.add(Line(book.words.fitting(things, width - columns(first)), first=first, rest="  "))
    windows = Aftermath(fills=(), needed=(), windows=found.windows)
    return sheet.text(colour) + aftermath_text(windows, after, width, colour, ascii)


def _fills(book: Book, old: dict[str, PlannedStep]) -> Iterator[tuple[str, tuple[Span, ...]]]:
    """Steps that came forward from another day into hours which a step that went to a later day had before."""
    both = [(old[step.id], step) for step in book.plan.steps if step.id in old]
    later = [was for was, now in both if book.face.day(now.start) > book.face.day(was.start)]
    freed = union(piece for step in later for piece in step.pieces if piece.end > book.plan.as_of)
    for was, now in both:
        if now.state == "done" or book.face.day(now.start) >= book.face.day(was.start):
            continue
        pieces = tuple(piece for piece in now.pieces if piece not in was.pieces and _touches(piece, freed))
        if pieces:
            yield book.title(now), pieces


def _touches(piece: Span, spans: Iterable[Span]) -> bool:
    return without((piece,), tuple(spans)) != (piece,)


def _needed(before: Book, after: Book) -> Iterator[Needed]:
    """What is needed on another day than before: first the materials, then what is on order."""
    old, new = _first_days(before), _first_days(after)
    for name, (title, day) in new.items():
        if name in old and old[name][1] != day:
            yield Needed(title=title, before=old[name][1], after=day)


def _first_days(book: Book) -> dict[str, tuple[str, date]]:
    """By material and by item: its title and the first day ahead on which a step wants it."""
    found: dict[str, tuple[str, date]] = {}
    for step in sorted(book.plan.steps, key=lambda step: (step.start, step.id)):
        if step.state == "planned" and step.film is not None and step.film.bought:
            title = one_line(step.film.material_title) or step.film.material
            found.setdefault(f"material {step.film.material}", (title, book.face.day(step.start)))
    for item in book.plan.items:
        waiting = any(book.steps[step].state == "planned" for step in item.holds if step in book.steps)
        if item.needed is not None and item.arrived is None and waiting:
            found[f"item {item.item}"] = (book.item_title(item), book.face.day(item.needed))
    return found


def _needed_words(book: Book, needed: Needed) -> str:
    way = "after.earlier" if needed.after < needed.before else "after.later"
    was, now = book.face.date_of(needed.before), book.face.date_of(needed.after)
    return book.words.tell(way, title=needed.title, now=now, was=was)


def _close(book: Book) -> Iterator[tuple[PlannedStep, str, int]]:
    """(step, film it follows, end of the window) for windows that would close before the session after."""
    for session in book.ahead:
        for piece in book.pieces(session):
            link = book.start_by(piece, session)
            if link is not None and link.latest is not None and piece.step.state == "planned":
                yield piece.step, link.step, link.latest


def broken_text(
    broken: Iterable[Broken],
    plan: Plan,
    width: int = 80,
    colour: bool = False,
    ascii: bool = False,  # noqa: A002
) -> str:
    """The rules that what has happened broke: a short block with a point for each; empty without any. The plan knows
    the titles and the clock."""
    book, sheet = Book(plan), Sheet(width, ascii)
    sheet.points(book.words.of("agenda", "broken"), (book.say(each.said) for each in broken))
    return sheet.text(colour)
