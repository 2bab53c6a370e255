"""What somebody wants to know who stands in the room now: the same records for the terminal and for the page.

By when it is done, what to order and buy, which films want to be left alone until when, the session at hand.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from functools import partial
from itertools import pairwise

from scheduler.model.asides import Asides
from scheduler.model.basics import Span
from scheduler.model.beware import Beware
from scheduler.model.broken import Broken
from scheduler.model.diary import holds_up
from scheduler.model.message import Message
from scheduler.model.plan import PlannedStep, Session
from scheduler.model.shopping import Lot
from scheduler.telling.views.events import told_of
from scheduler.telling.views.index import Book, Drying, Piece
from scheduler.telling.views.sessions import cautions_of
from scheduler.telling.wording import one_line

LIKELY, SAFE = 80, 95
"""Percent of the draws that end by the day called likely, and by the safe one."""

CAUSES = 2
"""Of what was recorded since somebody last looked, so much is named."""

TOGETHER = 120
"""Minutes. Films of one material in one room that are free within so much of each other are told as one, by the
latest: nobody comes back for each of them (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Finish:
    """The days by which it is done: at best (as planned), in four of five cases, in 19 of 20. The last two are None
    where the odds were not reckoned, or too many draws find no end."""

    best: date
    likely: date | None = None
    safe: date | None = None
    reckoned: bool = False


def finish(book: Book, asides: Asides) -> Finish:
    """By when it is done. Of the plan itself only the day is known: then that is the one called best."""
    planned, odds = book.face.day(book.plan.finish), asides.odds
    if odds is None:
        return Finish(best=planned)
    if not odds.draws:  # nothing in the job has a range
        return Finish(best=planned, likely=planned, safe=planned, reckoned=True)
    dates = dict(odds.dates)
    likely, safe = dates.get(LIKELY), dates.get(SAFE)
    best = min(day for day in (planned, likely, safe) if day is not None)
    return Finish(best=best, likely=likely, safe=safe, reckoned=True)


def missed(book: Book, asides: Asides) -> int:
    """Days by which the plan ends after the day that was promised; 0 if it does not."""
    if asides.promised is None or not book.plan.steps:
        return 0
    return max(0, (book.face.day(book.plan.finish) - asides.promised).days)


def causes(book: Book, asides: Asides) -> tuple[str, ...]:
    """What was recorded since somebody last looked, as far as it can move something: the last of it, in words. What
    can only hold up is no cause of an earlier end."""
    since = asides.since
    earlier = since is not None and book.plan.finish < since.finish_before
    found = [event for event in (since.causes if since else ()) if not (earlier and holds_up(event))]
    said = (told_of(event, "cause", book.words, partial(_title, book)) for event in found)
    return tuple(one_line(each) for each in said if each is not None)[-CAUSES:]


def _title(book: Book, kind: str, name: str) -> str:
    return book.item_title(name) if kind == "item" else book.title(name)


@dataclass(frozen=True, slots=True, kw_only=True)
class OrderToMake:
    """Something to be ordered: its id, by when, and when it is expected. `passed`: that day is over."""

    thing: str
    title: str
    by: date
    passed: bool
    expected: date | None = None


def orders(book: Book, asides: Asides) -> tuple[OrderToMake, ...]:
    """What is on order or has to be ordered and is not there yet, overdue first, then by the day.

    Something of which all that it holds is done was found elsewhere: nobody is told to order it.
    """
    today = book.face.day(book.plan.as_of)
    over = {step.id for step in book.plan.steps if step.state == "done"}
    found = [
        OrderToMake(
            thing=item.item,
            title=book.item_title(item),
            by=item.order_by,
            passed=item.order_by < today,
            expected=item.expected,
        )
        for item in book.plan.items
        if item.arrived is None and item.order_by is not None and not (item.holds and over.issuperset(item.holds))
    ]
    found += [
        OrderToMake(thing=lot.name, title=one_line(lot.title), by=lot.order_by, passed=lot.passed)
        for lot in _to_get(asides)
        if lot.order_by is not None
    ]
    return tuple(sorted(found, key=lambda order: (not order.passed, order.by, order.title)))


@dataclass(frozen=True, slots=True, kw_only=True)
class Purchase:
    """Things to have in the house by one day. `passed`: it had to lie in the room before today."""

    by: date
    passed: bool
    lots: tuple[Lot, ...]


def purchases(book: Book, asides: Asides, sessions: int = 2) -> tuple[Purchase, ...]:
    """What the next sessions ahead use and nobody has yet, by the day by which it must be there; overdue first."""
    if not book.ahead:
        return ()
    until = book.ahead[: max(1, sessions)][-1].end
    found: dict[tuple[bool, date], list[Lot]] = {}
    for lot in _to_get(asides):
        if lot.order_by is None and (lot.passed or lot.first < until):
            found.setdefault((not lot.passed, lot.needed_by), []).append(lot)
    return tuple(
        Purchase(by=by, passed=not in_time, lots=tuple(lots)) for (in_time, by), lots in sorted(found.items())
    )


def _to_get(asides: Asides) -> Iterator[Lot]:
    """What is neither in the house nor on order."""
    for lot in asides.shopping.lots if asides.shopping is not None else ():
        if lot.to_be_bought:
            yield lot


@dataclass(frozen=True, slots=True, kw_only=True)
class Wet:
    """Films of one material in one room with the minutes at which they are free; None: they are, or never asked.

    `hands_off` until it may be touched (or, of a material that knows no such stage, handled), `next_on` when the
    plan's next step may go on it, `in_use` when it may be used.
    """

    room: str
    material: str
    steps: tuple[PlannedStep, ...]
    hands_off: int | None
    next_on: int | None
    in_use: int | None

    @property
    def last(self) -> int:
        """The minute after which nothing is to be said of it any more."""
        return max(minute for minute in (self.hands_off, self.next_on, self.in_use) if minute is not None)


def wet_now(book: Book) -> tuple[Wet, ...]:
    """The films that dry as of now, soonest free first."""
    now = book.plan.as_of
    laid = (film for film in book.drying_at(now, fresh=None) if film.step.start < now)
    return _together(book, laid)


def wet_after(book: Book, session: Session) -> tuple[Wet, ...]:
    """The films that dry when people leave a session."""
    return _together(book, book.drying(session))


def _together(book: Book, films: Iterator[Drying] | tuple[Drying, ...]) -> tuple[Wet, ...]:
    found: list[Wet] = []
    for film in films:
        one = _wet(book, film)
        if one is None:
            continue
        alike = next((i for i, other in enumerate(found) if _alike(one, other)), None)
        if alike is None:
            found.append(one)
        else:
            found[alike] = _merged(found[alike], one)
    return tuple(sorted(found, key=lambda wet: (min(_times(wet)), wet.last, wet.steps[0].id)))


def _wet(book: Book, film: Drying) -> Wet | None:
    stages, step = dict(film.stages), film.step
    known = step.film.stages if step.film is not None else {}
    hands_off = stages.get("touch") if "touch" in known else stages.get("handle")
    waiting = [
        (waiter.start, minute)
        for stage, minute in film.stages
        for waiter in book.waiters(step, stage)
        if waiter.state != "done" and not film.part
    ]
    next_on = min(waiting)[1] if waiting else None
    if hands_off is None and next_on is None and stages.get("use") is None:
        return None
    return Wet(
        room=book.room(step),
        material=book.material(step),
        steps=(step,),
        hands_off=hands_off,
        next_on=next_on if next_on != hands_off else None,
        in_use=stages.get("use"),
    )


def _times(wet: Wet) -> list[int]:
    return [minute for minute in (wet.hands_off, wet.next_on, wet.in_use) if minute is not None]


def _alike(one: Wet, other: Wet) -> bool:
    if (one.room, one.material) != (other.room, other.material):
        return False
    pairs = ((one.hands_off, other.hands_off), (one.next_on, other.next_on), (one.in_use, other.in_use))
    return all((a is None) == (b is None) and (a is None or b is None or abs(a - b) <= TOGETHER) for a, b in pairs)


def _merged(one: Wet, other: Wet) -> Wet:
    def later(a: int | None, b: int | None) -> int | None:
        return None if a is None or b is None else max(a, b)

    return Wet(
        room=one.room,
        material=one.material,
        steps=(*one.steps, *other.steps),
        hands_off=later(one.hands_off, other.hands_off),
        next_on=later(one.next_on, other.next_on),
        in_use=later(one.in_use, other.in_use),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class Todo:
    """One step in a session: from when, when it goes on after other work, and which cautions (numbers from 0).

    `number` is that of its first piece here among the pieces of the step, from 1.
    """

    step: PlannedStep
    number: int
    start: int
    again: tuple[int, ...]
    done: bool
    cautions: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Ahead:
    """A session with its steps, its breaks, and its cautions, each once: (text, whether it is the first time in
    the job)."""

    session: Session
    under_way: bool
    breaks: tuple[Span, ...]
    todo: tuple[Todo, ...]
    cautions: tuple[tuple[Beware, bool], ...]


def hours_over(book: Book) -> tuple[int, int] | None:
    """The end of the last hours that the job file gives, and how many steps are planned after it as if they went on;
    None if all have hours."""
    ends = [end for each in book.plan.broken if (end := _past_hours(each.said)) is not None]
    return (ends[0], len(ends)) if ends else None


def broken_else(book: Book) -> tuple[Broken, ...]:
    """The rules that are broken beside that."""
    return tuple(each for each in book.plan.broken if _past_hours(each.said) is None)


def _past_hours(said: Message) -> int | None:
    inner = dict(said.values).get("said")
    if not isinstance(inner, Message) or inner.kind != "rule.past hours":
        return None
    end = inner["end"]
    return end if isinstance(end, int) else None


def ahead(book: Book, session: Session) -> Ahead:
    """The session at hand."""
    now = book.plan.as_of
    hours = [Span(window.start, window.end) for window in sorted(book.plan.windows, key=lambda each: each.start)]
    inside = [span for span in hours if session.start < span.end and span.start < session.end]
    breaks = tuple(Span(a.end, b.start) for a, b in pairwise(inside) if a.end < b.start)
    pieces: dict[str, list[Piece]] = {}
    for piece in book.pieces(session):
        pieces.setdefault(piece.step.id, []).append(piece)
    known = {caution for step in book.plan.steps if step.start < session.start for caution in cautions_of(step)}
    numbers: dict[Beware, int] = {}
    todo = []
    for found in pieces.values():
        step, spans = found[0].step, [piece.span for piece in found]
        for caution in cautions_of(step):
            numbers.setdefault(caution, len(numbers))
        gaps = [Span(a.end, b.start) for a, b in pairwise(spans)]
        again = tuple(gap.end for gap in gaps if gap not in breaks)
        todo.append(
            Todo(
                step=step,
                number=found[0].number,
                start=spans[0].start,
                again=again,
                done=step.state == "done" or spans[-1].end <= now,
                cautions=tuple(numbers[caution] for caution in cautions_of(step)),
            )
        )
    return Ahead(
        session=session,
        under_way=session.start <= now,
        breaks=breaks,
        todo=tuple(todo),
        cautions=tuple((caution, caution not in known) for caution in numbers),
    )


def stops(book: Book) -> tuple[PlannedStep, ...]:
    """Of the steps that hold up the end those that had to wait, from the first to the one that ends the job.

    Where one step follows another at once, only the earlier of the two is named.
    """
    chain = book.plan.chain()
    waited = [later for later, earlier in pairwise(chain) if later.start != earlier.end]
    return tuple({step.id: step for step in (*chain[-1:], *reversed(waited), *chain[:1])}.values())
