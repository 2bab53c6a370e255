"""The plan as a person reads it on Saturday morning: first the answer, then weekend by weekend what is done when."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from scheduler.model.beware import Beware
from scheduler.model.message import message
from scheduler.model.plan import Plan, PlannedItem, PlannedStep, Session
from scheduler.telling.text.learned import contradictions, learned_words
from scheduler.telling.text.sheet import Line, Sheet, point
from scheduler.telling.views.agreed import broken_first, comings, kept
from scheduler.telling.views.attended import attended
from scheduler.telling.views.index import Book
from scheduler.telling.views.sessions import people_at, session_lines
from scheduler.telling.views.weekends import groups
from scheduler.telling.wording import one_line
from scheduler.wallclock import NEVER


def agenda(plan: Plan, width: int = 80, colour: bool = False, ascii: bool = False) -> str:  # noqa: A002
    """The plan for reading, at most `width` columns wide (never below 40), plain unless `colour` is asked for.

    `ascii` keeps to signs that every terminal and printer has. The same plan gives the same text.
    """
    book = Book(plan)
    sheet = Sheet(width, ascii)
    for broken in broken_first(book):
        sheet.add(Line(book.say(broken), kind="shout"))
    for line in _answer(book):
        sheet.add(line)
    sheet.section("", _so_far(book))
    tell = book.words.of
    sheet.section(tell("agenda", "broken"), (point(book.say(each.said)) for each in plan.broken))
    learned = (*learned_words(book.plan.learned, book.words), *contradictions(book))
    sheet.section(tell("agenda", "learned"), map(point, learned))
    told: set[Beware] = set()
    for heading, sessions in _groups(book):
        sheet.gap()
        sheet.add(Line(heading, kind="heading"))
        for session in sessions:
            when = f"{book.face.date(session.start)}, {book.face.span(session.start, session.end)}"
            lines = [
                Line(f"{when} ({people_at(book, session)})", rest="  ", kind="session"),
                *session_lines(book, session, before=told),
            ]
            sheet.section("", lines)
    sheet.section(tell("agenda", "agreed"), map(point, _agreed(book)))
    sheet.section(tell("agenda", "order"), (line for item in plan.items for line in _item(book, item)))
    sheet.section(tell("agenda", "end"), map(point, turning_points(book)))
    sheet.section(tell("agenda", "bear"), (point(book.say(each)) for each in plan.warnings))
    return sheet.text(colour)


def _agreed(book: Book) -> Iterator[str]:
    """Who comes when, and what is promised and kept."""
    yield from comings(book)
    yield from map(book.say, kept(book))


def turning_points(book: Book) -> tuple[str, ...]:
    """The links of the chain at which somebody waits, in words.

    Where one step simply follows another, at once and in the same session, the agenda itself says as much already.
    """
    chain = book.plan.chain()
    at_once = [later.start == earlier.end for later, earlier in pairwise(chain)]
    ends = zip(chain, [*at_once, False], strict=False)
    kept = tuple(book.chain_words(step) for step, goes_on in ends if not goes_on)
    left = len(chain) - len(kept)
    return (*kept, book.say(message("one at once" if left == 1 else "at once", count=left))) if left else kept


def _answer(book: Book) -> Iterator[Line]:
    plan, face = book.plan, book.face
    if not plan.steps:
        yield Line(book.words.tell("agenda.nothing", job=book.job), kind="answer")
        return
    over = all(step.state == "done" for step in plan.steps)
    finish = book.words.tell("agenda.at", day=face.date(plan.finish, year=True), time=face.time(plan.finish))
    yield Line(book.words.tell("agenda.over" if over else "agenda.done", job=book.job, finish=finish), kind="answer")
    yield Line(_later(book))
    if not over:
        yield Line(f"{_amount(book)} {beatable(book)}")
        yield Line(_attended(book))
    moment = face.moment(plan.as_of, year=True)
    yield Line(book.words.tell("agenda.as of", moment=moment, zone=one_line(plan.zone)))


def _later(book: Book) -> str:
    plan, face, never = book.plan, book.face, book.words.of("screen", "never")
    use = face.moment(plan.usable, year=True) if plan.usable < NEVER else never
    cure = face.moment(plan.cured, year=True) if plan.cured < NEVER else never
    return book.words.tell("agenda.later", use=use, cure=cure)


def _amount(book: Book) -> str:
    days = len({book.face.day(session.start) for session in book.ahead})
    begun = any(step.state != "planned" for step in book.plan.steps)
    left = sum(minutes_left(book, step) for step in book.plan.steps if step.state != "done")
    words = book.words
    sessions = words.counted("more session" if begun else "session", len(book.ahead))
    length = words.length(left, days=False)
    return words.tell("agenda.amount", sessions=sessions, days=words.counted("on day", days), length=length)


def _attended(book: Book) -> str:
    """Of the time that each person is there, how much is hands-on."""
    words = book.words
    said = [
        words.tell(
            "agenda.hands", some=words.length(each.hands_on, days=False), all=words.length(each.minutes, days=False)
        )
        for each in attended(book.plan)
    ]
    if len(said) < 2:
        return words.tell("agenda.attended", said=said[0]) if said else ""
    others = (words.tell("agenda.attended other", number=n, said=each) for n, each in enumerate(said[1:], start=2))
    return words.tell("agenda.attended many", first=said[0], others=", ".join(others))


def minutes_left(book: Book, step: PlannedStep) -> int:
    """Hands-on minutes of a step that are still to come."""
    return sum(span.minutes for span in step.pieces if span.end > book.plan.as_of)


def beatable(book: Book) -> str:
    """Whether another plan could end earlier."""
    bound, finish = book.plan.bound, book.plan.finish
    if bound.proven:
        return book.words.of("agenda", "proven")
    gain = book.words.length(max(0, finish - bound.finish_not_before))
    stopped = book.words.of("agenda", "stopped") if bound.stopped else ""
    least = book.face.moment(bound.finish_not_before)
    return stopped + book.words.tell("agenda.beatable", gain=gain, moment=least)


def _so_far(book: Book) -> Iterator[Line]:
    words = book.words
    done = [book.title(step) for step in book.plan.steps if step.state == "done"]
    if done:
        first = words.tell("agenda.so far", steps=words.counted("step", len(done)))
        yield Line(f"{'; '.join(done)}.", first=first, rest="  ")
    for step in book.plan.steps:
        if step.state == "under way":
            left = words.length(minutes_left(book, step), days=False)
            said = words.tell("agenda.to go", step=book.title(step), left=left)
            yield Line(said, first=words.of("agenda", "under way"), rest="  ")
    former = [
        (one_line(each.title) or one_line(each.name))
        + (words.tell("agenda.begun", left=words.length(each.left, days=False)) if each.left else "")
        for each in book.plan.former
    ]
    if former:
        yield Line(f"{'; '.join(former)}.", first=words.of("agenda", "former"), rest="  ")


def _groups(book: Book) -> Iterator[tuple[str, tuple[Session, ...]]]:
    """The groups of sessions ahead, each with its heading."""
    for group in groups(book):
        yield book.words.of("agenda", group.kind).format(day=book.face.plain(group.day)), group.sessions


def _item(book: Book, item: PlannedItem) -> Iterator[Line]:
    tell, face = book.words.tell, book.face
    if item.arrived:
        comes = tell("item.there", day=face.date_of(item.arrived))
    else:
        expected = item.expected
        comes = tell("item.comes", day=face.date_of(expected)) if expected else book.words.of("item", "no date")
    parts = [comes]
    late = item.arrived is None and item.order_by is not None and item.order_by < book.face.day(book.plan.as_of)
    if item.order_by and not item.arrived and not late:
        parts.append(tell("item.order by", day=face.date_of(item.order_by)))
    if item.needed is not None and item.needed < NEVER:
        parts.append(tell("item.needed", moment=face.moment(item.needed)))
    yield point(f"{book.item_title(item)}: {'; '.join(parts)}.")
    if late and item.order_by:
        said = tell("item.late", day=face.date_of(item.order_by).upper())
        yield Line(said, first="    ", kind="shout")
    if item.holds:
        held = book.words.listing(book.title(step) for step in item.holds)
        yield Line(f"{held}.", first=f"    {book.words.of('item', 'holds')}", rest="      ")
