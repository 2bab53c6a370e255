"""What a late delivery, a finished step or a lost day does to the plan: what moves, and what does not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from zoneinfo import ZoneInfo

from scheduler.model.basics import Span
from scheduler.model.broken import Broken
from scheduler.model.moves import Moves, SessionMove, StepMove, Turned
from scheduler.model.plan import Plan, PlannedStep, Session
from scheduler.model.sessions import SessionSlot, match_sessions, took_place
from scheduler.model.tradewords import ENGLISH
from scheduler.telling.machine.json_text import json_text, moment
from scheduler.telling.machine.plan import broken_object, plan_object
from scheduler.telling.text.sheet import Line, Sheet
from scheduler.telling.views.index import Book
from scheduler.telling.wording import Clockface, one_line
from scheduler.telling.words import Words
from scheduler.wallclock import DAY


def what_moves(before: Plan, after: Plan) -> Moves:
    """Compare two plans of one job, step by step and session by session."""
    old, new = {step.id: step for step in before.steps}, {step.id: step for step in after.steps}
    book_before, book_after = Book(before), Book(after)
    both = [(old[step.id], step) for step in after.steps if step.id in old]
    other = [(was, now) for was, now in both if was.pieces != now.pieces]
    moved, new_sessions, gone_sessions = _sessions(before, after)
    return Moves(
        finish_before=before.finish,
        finish_after=after.finish,
        sessions_moved=moved,
        sessions_new=new_sessions,
        sessions_gone=gone_sessions,
        moved=tuple(_move(book_after, was, now) for was, now in other if now.state != "done"),
        recorded=tuple(_move(book_after, was, now) for was, now in other if now.state == "done"),
        stayed=len(both) - len(other),
        new=tuple(
            (step.id, book_after.title(step), "" if step.added is None else book_after.say(step.added))
            for step in after.steps
            if step.id not in old
        ),
        gone=tuple(
            (step.id, book_before.title(step), "" if step.added is None else book_before.say(step.added))
            for step in before.steps
            if step.id not in new
        ),
    )


def moves_text(moves: Moves, after: Plan, width: int = 80, colour: bool = False, ascii: bool = False) -> str:  # noqa: A002
    """The same in words; times by the zone and the clock of the plan `after`."""
    book = Book(after)
    of = book.words.of
    sheet = Sheet(width, ascii)
    if moves.nothing:
        said = book.words.tell("moves.nothing", finish=_at(book, moves.finish_after))
        sheet.add(Line(said, kind="answer"))
        return sheet.text(colour)
    sheet.add(Line(_finish(moves, book), kind="answer"))
    sheet.points(of("moves", "sessions"), _session_words(moves, book))
    sheet.points(
        of("moves", "steps"), (f"{move.title}: {_change(book, move.before, move.after)}" for move in moves.moved)
    )
    sheet.points(of("moves", "new steps"), (_with_reason(title, why) for _, title, why in moves.new))
    sheet.points(of("moves", "gone steps"), (title for _, title, _ in moves.gone))
    sheet.add(Line(book.words.tell("moves.stay", steps=book.words.counted("step stays", moves.stayed))))
    return sheet.text(colour)


def turned_text(turned: Turned, lang: str = ENGLISH) -> str:
    """Which colours come in another order now, and what the old one would come to."""
    words = Words(lang=lang)
    pairs = words.listing(
        words.tell("turned.pair", first=one_line(first), then=one_line(then)) for first, then in turned.pairs
    )
    pairs, days = f"{pairs[:1].upper()}{pairs[1:]}", turned.later // DAY
    if not turned.possible:
        return words.tell("turned.impossible", pairs=pairs)
    if turned.late > 0:
        return words.tell("turned.late", pairs=pairs, late=words.length(turned.late))
    if turned.later > 0:
        later = words.counted("day", days) if days else words.length(turned.later)
        return words.tell("turned.later", pairs=pairs, later=later)
    if turned.days > 0:
        return words.tell("turned.days", pairs=pairs, days=words.counted("day", turned.days))
    return words.tell("turned.as soon", pairs=pairs)


def new_warnings(before: Plan, after: Plan) -> tuple[str, ...]:
    """What the plan `after` has to be told that the one before had not, in words."""
    book = Book(after)
    return tuple(book.say(warning) for warning in after.warnings if warning not in before.warnings)


SHOWN = 2
"""Groups of steps that move otherwise than most, and are named."""


def moves_brief(
    moves: Moves,
    after: Plan,
    cause: str = "",
    width: int = 80,
    colour: bool = False,
    ascii: bool = False,  # noqa: A002
) -> str:
    """The same in a few lines: how far most steps move and why (`cause`), what moves otherwise, what is new."""
    book = Book(after)
    face, words = book.face, book.words
    sheet = Sheet(width, ascii)
    if moves.nothing:
        return moves_text(moves, after, width, colour, ascii)
    sheet.add(Line(_finish(moves, book), kind="answer"))
    why = words.tell("moves.because", cause=cause) if cause else ""
    groups = _by_shift(moves, face)
    for number, (days, found) in enumerate(groups[: SHOWN + 1]):
        apart = words.counted("day", abs(days))
        how = words.tell("moves.later" if days > 0 else "moves.earlier", days=apart)
        how = how if days else words.of("moves", "another hour")
        if number:
            opening = f"  {words.tell('moves.some', steps=words.counted('step', len(found)), how=how)}"
            titles = words.fitting([move.title for move in found], width - len(opening))
            sheet.add(Line(titles, first=opening, rest="    "))
            continue
        first = min(move.before.start for move in found)
        moved = {move.step for move in found}
        whole = all(step.id in moved for step in after.steps if step.state != "done" and step.start >= first)
        kind = "moves.one" if len(found) == 1 else "moves.everything" if whole else "moves.most"
        steps = words.counted("step", len(found))
        sheet.add(Line(words.tell(kind, steps=steps, day=face.date(first), how=how, why=why), rest="  "))
    more = sum(len(found) for _, found in groups[SHOWN + 1 :])
    if more:
        sheet.add(Line(words.tell("moves.others", steps=words.counted("more step moves", more)), first="  "))
    for name, names in (
        ("new", [title for _, title, _ in moves.new]),
        ("gone", [title for _, title, _ in moves.gone]),
        ("new sessions", [face.short(face.day(span.start)) for span in moves.sessions_new]),
        ("gone sessions", [face.short(face.day(span.start)) for span in moves.sessions_gone]),
    ):
        if names:
            opening = words.of("moves", name)
            sheet.add(Line(words.fitting(names, width - len(opening)), first=opening, rest="  "))
    sheet.add(Line(words.tell("moves.stay brief", steps=words.counted("step stays", moves.stayed))))
    return sheet.text(colour)


def mostly_earlier(moves: Moves, after: Plan) -> bool:
    """Whether what a few lines tell first, with the cause of it, is on an earlier day now."""
    groups = _by_shift(moves, Book(after).face)
    return bool(groups) and groups[0][0] < 0


def _by_shift(moves: Moves, face: Clockface) -> list[tuple[int, list[StepMove]]]:
    """The steps that move by the days between their starts, those by which most of them move first."""
    found: dict[int, list[StepMove]] = {}
    for move in moves.moved:
        days = (face.day(move.after.start) - face.day(move.before.start)).days
        found.setdefault(days, []).append(move)
    return sorted(found.items(), key=lambda entry: (-len(entry[1]), -abs(entry[0]), entry[0]))


def moves_json(
    moves: Moves,
    after: Plan,
    seconds: float = 0.0,
    broke: Sequence[Broken] = (),
    more: Mapping[str, object] | None = None,
) -> str:
    """The same for other programs; `from` and `to` are the starts, `broke` the rules that the change itself broke,
    `more` what else was asked for.

    Its schema is `schema_text("moves")`.
    """
    zone = ZoneInfo(after.zone)
    whole = {
        "finish_before": moment(moves.finish_before, zone),
        "finish_after": moment(moves.finish_after, zone),
        "moved": [
            {"step": move.step, "from": moment(move.before.start, zone), "to": moment(move.after.start, zone)}
            for move in moves.moved
        ],
        "stayed": moves.stayed,
        "new": [name for name, _, _ in moves.new],
        "gone": [name for name, _, _ in moves.gone],
        "broke": broken_object(broke, Book(after)),
        **(more or {}),
        "plan": plan_object(after, seconds),
    }
    return json_text(whole)


def _move(book: Book, was: PlannedStep, now: PlannedStep) -> StepMove:
    return StepMove(step=now.id, title=book.title(now), before=_whole(was), after=_whole(now))


def _whole(step: PlannedStep) -> Span:
    return Span(step.start, step.end)


def _sessions(before: Plan, after: Plan) -> tuple[tuple[SessionMove, ...], tuple[Span, ...], tuple[Span, ...]]:
    """Moved, new and gone. A session that has taken place is not gone, even if the new plan starts after it."""
    face = Book(after).face
    old = {f"{n}": session for n, session in enumerate(before.sessions)}
    new = {f"{n}": session for n, session in enumerate(after.sessions)}
    names = match_sessions(
        [_slot(name, session, face, took_place(after, session.end, session.steps)) for name, session in old.items()],
        [_slot(name, session, face, False) for name, session in new.items()],
    )
    pairs = [(_span(old[names[name]]), _span(new[name])) for name in new if name in names]
    left = [session for name, session in old.items() if name not in names.values()]
    return (
        tuple(SessionMove(before=was, after=now) for was, now in pairs if was != now),
        tuple(_span(session) for name, session in new.items() if name not in names),
        tuple(_span(session) for session in left if not took_place(after, session.end, session.steps)),
    )


def _slot(name: str, session: Session, face: Clockface, past: bool) -> SessionSlot:
    return SessionSlot(name, face.day(session.start), session.start, session.end, frozenset(session.steps), past)


def _span(session: Session) -> Span:
    return Span(session.start, session.end)


def _finish(moves: Moves, book: Book) -> str:
    later, words = moves.finish_after - moves.finish_before, book.words
    was, now = _at(book, moves.finish_before), _at(book, moves.finish_after)
    if not later:
        return words.tell("moves.end stays", now=now)
    kind = "moves.end later" if later > 0 else "moves.end earlier"
    return words.tell(kind, was=was, now=now, gap=words.gap(moves.finish_before, moves.finish_after))


def _at(book: Book, minute: int) -> str:
    return book.face.moment(minute, year=True)


def _session_words(moves: Moves, book: Book) -> Iterator[str]:
    for move in moves.sessions_moved:
        yield f"{_when(book, move.before)} → {_when(book, move.after)}"
    for span in moves.sessions_new:
        yield book.words.tell("moves.session new", when=_when(book, span))
    for span in moves.sessions_gone:
        yield book.words.tell("moves.session gone", when=_when(book, span))


def _when(book: Book, span: Span) -> str:
    return f"{book.face.date(span.start)}, {book.face.span(*span)}"


def _change(book: Book, was: Span, now: Span) -> str:
    """From one start to another; where the start is the same, from one end to another, or the pieces between."""
    moment = book.face.moment
    if was.start != now.start:
        return f"{moment(was.start)} → {moment(now.start)}"
    if was.end != now.end:
        return book.words.tell("moves.ends", was=moment(was.end), now=moment(now.end))
    return book.words.of("moves", "pieces")


def _with_reason(title: str, why: str) -> str:
    return f"{title} ({why})" if why else title
