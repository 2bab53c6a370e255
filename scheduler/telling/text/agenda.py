"""The plan as a person reads it on Saturday morning: first the answer, then weekend by weekend what is done when."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from itertools import pairwise

from scheduler.model.message import message
from scheduler.model.plan import Plan, PlannedItem, PlannedStep, Session
from scheduler.telling.text.broken import HEADING
from scheduler.telling.text.learned import LEARNED, contradictions, learned_words
from scheduler.telling.text.sheet import Line, Sheet, point
from scheduler.telling.views.agreed import broken_first, comings, kept
from scheduler.telling.views.attended import attended
from scheduler.telling.views.index import Book
from scheduler.telling.views.sessions import people_at, session_lines
from scheduler.telling.views.weekends import groups
from scheduler.telling.wording import counted, date_words, length_words, listing, one_line
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
    sheet.section(HEADING, (point(book.say(each.said)) for each in plan.broken))
    learned = (*learned_words(book.plan.learned, book.words), *contradictions(book))
    sheet.section(LEARNED, map(point, learned))
    for heading, sessions in _groups(book):
        sheet.gap()
        sheet.add(Line(heading, kind="heading"))
        for session in sessions:
            when = f"{book.face.date(session.start)}, {book.face.span(session.start, session.end)}"
            lines = [Line(f"{when} ({people_at(session)})", rest="  ", kind="session"), *session_lines(book, session)]
            sheet.section("", lines)
    sheet.section("Appointments and promises", map(point, _agreed(book)))
    sheet.section("On order", (line for item in plan.items for line in _item(book, item)))
    sheet.section("What holds up the end", map(point, turning_points(book)))
    sheet.section("To bear in mind", (point(book.say(each)) for each in plan.warnings))
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
        yield Line(f"{book.job}: there is nothing to do.", kind="answer")
        return
    over = all(step.state == "done" for step in plan.steps)
    finish = f"{face.date(plan.finish, year=True)} at {face.time(plan.finish)}"
    yield Line(f"{book.job}: {'all of it is done, since' if over else 'done on'} {finish}.", kind="answer")
    yield Line(_later(book))
    if not over:
        yield Line(f"{_amount(book)} {beatable(book)}")
        yield Line(_attended(book))
    yield Line(f"As of {face.moment(plan.as_of, year=True)}; times are those of {one_line(plan.zone)}.")


def _later(book: Book) -> str:
    plan, face = book.plan, book.face
    use = face.moment(plan.usable, year=True) if plan.usable < NEVER else "later than can be reckoned"
    cure = face.moment(plan.cured, year=True) if plan.cured < NEVER else "later than can be reckoned"
    return f"Usable {use}; cured {cure}."


def _amount(book: Book) -> str:
    days = len({book.face.day(session.start) for session in book.ahead})
    begun = any(step.state != "planned" for step in book.plan.steps)
    left = sum(minutes_left(book, step) for step in book.plan.steps if step.state != "done")
    sessions = counted(len(book.ahead), "more session" if begun else "session")
    return f"{sessions} on {counted(days, 'day')} with {length_words(left, days=False)} of steps."


def _attended(book: Book) -> str:
    """Of the time that each person is there, how much is hands-on."""
    said = [
        f"{length_words(each.hands_on, days=False)} of {length_words(each.minutes, days=False)}"
        for each in attended(book.plan)
    ]
    if len(said) < 2:
        return f"Hands are at work {said[0]} that somebody is there." if said else ""
    others = (f"of person {number} {each}" for number, each in enumerate(said[1:], start=2))
    return f"Hands at work, of the time there: of the first person {said[0]}, {', '.join(others)}."


def minutes_left(book: Book, step: PlannedStep) -> int:
    """Hands-on minutes of a step that are still to come."""
    return sum(span.minutes for span in step.pieces if span.end > book.plan.as_of)


def beatable(book: Book) -> str:
    """Whether another plan could end earlier."""
    bound, finish = book.plan.bound, book.plan.finish
    if bound.proven:
        return "It is proven that no plan ends earlier."
    gain = length_words(max(0, finish - bound.finish_not_before))
    stopped = "Stopped early. " if bound.stopped else ""
    least = book.face.moment(bound.finish_not_before)
    return f"{stopped}It might be beaten by {gain} at most: no plan ends before {least}."


def _so_far(book: Book) -> Iterator[Line]:
    done = [book.title(step) for step in book.plan.steps if step.state == "done"]
    if done:
        yield Line(f"{'; '.join(done)}.", first=f"Done so far ({counted(len(done), 'step')}): ", rest="  ")
    for step in book.plan.steps:
        if step.state == "under way":
            left = length_words(minutes_left(book, step), days=False)
            yield Line(f"{book.title(step)}, {left} to go.", first="Under way: ", rest="  ")
    former = [
        (one_line(each.title) or one_line(each.name))
        + (f" (begun, {length_words(each.left, days=False)} were left)" if each.left else "")
        for each in book.plan.former
    ]
    if former:
        yield Line(f"{'; '.join(former)}.", first="Done, no longer in the job: ", rest="  ")


def _groups(book: Book) -> Iterator[tuple[str, tuple[Session, ...]]]:
    """The groups of sessions ahead, each with its heading."""
    opening = {"weekend": "Weekend of", "evenings": "Evenings of the week of", "week": "Week of"}
    for group in groups(book):
        yield f"{opening[group.kind]} {_short(group.day)}", group.sessions


def _short(day: date) -> str:
    return date_words(day, year=True).partition(" ")[2]


def _item(book: Book, item: PlannedItem) -> Iterator[Line]:
    if item.arrived:
        comes = f"there since {date_words(item.arrived)}"
    else:
        comes = f"comes {date_words(item.expected)}" if item.expected else "no date yet"
    parts = [comes]
    late = item.arrived is None and item.order_by is not None and item.order_by < book.face.day(book.plan.as_of)
    if item.order_by and not item.arrived and not late:
        parts.append(f"order it by {date_words(item.order_by)}")
    if item.needed is not None and item.needed < NEVER:
        parts.append(f"needed {book.face.moment(item.needed)}")
    yield point(f"{book.item_title(item)}: {'; '.join(parts)}.")
    if late and item.order_by:
        yield Line(
            f"TO BE ORDERED BY {date_words(item.order_by).upper()}: THAT DAY HAS PASSED.", first="    ", kind="shout"
        )
    if item.holds:
        yield Line(f"{listing(book.title(step) for step in item.holds)}.", first="    holds: ", rest="      ")
