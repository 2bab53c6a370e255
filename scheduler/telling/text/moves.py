"""What a late delivery, a finished step or a lost day does to the plan: what moves, and what does not."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from zoneinfo import ZoneInfo

from scheduler.model.basics import Span
from scheduler.model.broken import Broken
from scheduler.model.moves import Moves, SessionMove, StepMove, Turned
from scheduler.model.plan import Plan, PlannedStep, Session
from scheduler.model.sessions import Slot, match_sessions, took_place
from scheduler.telling.machine.json_text import json_text, moment
from scheduler.telling.machine.plan import broken_object, plan_object
from scheduler.telling.text.sheet import Line, Sheet
from scheduler.telling.views.index import Book
from scheduler.telling.wording import Clockface, counted, fitting, length_words, listing, one_line, short_date
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
    face = Clockface(ZoneInfo(after.zone), after.clock24)
    sheet = Sheet(width, ascii)
    if moves.nothing:
        sheet.add(Line(f"Nothing moves. Done on {_at(face, moves.finish_after)}, as before.", kind="answer"))
        return sheet.text(colour)
    sheet.add(Line(_finish(moves, face), kind="answer"))
    sheet.points("Sessions", _session_words(moves, face))
    sheet.points(
        "Steps that move", (f"{move.title}: {_change(face, move.before, move.after)}" for move in moves.moved)
    )
    sheet.points("New steps", (_with_reason(title, why) for _, title, why in moves.new))
    sheet.points("Steps no longer needed", (title for _, title, _ in moves.gone))
    stays = "stays where it is" if moves.stayed == 1 else "stay where they are"
    sheet.add(Line(f"{counted(moves.stayed, 'step')} {stays}."))
    return sheet.text(colour)


def turned_text(turned: Turned) -> str:
    """Which colours come in another order now, and what the old one would come to."""
    pairs = listing(f"{one_line(first)} now comes before {one_line(then)}" for first, then in turned.pairs)
    days = turned.later // DAY
    if not turned.possible:
        brings = "the old order is not possible any more"
    elif turned.late > 0:
        brings = f"in the old order what was promised would be broken by {length_words(turned.late)} more"
    elif turned.later > 0:
        later = counted(days, "day") if days else length_words(turned.later)
        brings = f"in the old order the work would end {later} later"
    elif turned.days > 0:
        brings = f"in the old order it would take {counted(turned.days, 'day')} on site more"
    else:
        brings = "the old order would end as soon, and move more"
    return f"{pairs[:1].upper()}{pairs[1:]}: {brings}."


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
    face = Clockface(ZoneInfo(after.zone), after.clock24)
    sheet = Sheet(width, ascii)
    if moves.nothing:
        return moves_text(moves, after, width, colour, ascii)
    sheet.add(Line(_finish(moves, face), kind="answer"))
    why = f", because {cause}" if cause else ""
    groups = _by_shift(moves, face)
    for number, (days, found) in enumerate(groups[: SHOWN + 1]):
        how = f"{counted(abs(days), 'day')} {'later' if days > 0 else 'earlier'}" if days else "at another hour"
        if number:
            opening = f"  {counted(len(found), 'step')} {how}: "
            titles = fitting([move.title for move in found], width - len(opening))
            sheet.add(Line(titles, first=opening, rest="    "))
            continue
        first = min(move.before.start for move in found)
        moved = {move.step for move in found}
        whole = all(step.id in moved for step in after.steps if step.state != "done" and step.start >= first)
        who = "Everything" if whole and len(found) > 1 else counted(len(found), "step")
        are = "is" if who == "Everything" or len(found) == 1 else "are"
        sheet.add(Line(f"{who} from {face.date(first)} on {are} {how}{why}.", rest="  "))
    more = sum(len(found) for _, found in groups[SHOWN + 1 :])
    if more:
        sheet.add(Line(f"{counted(more, 'more step moves', 'more steps move')} otherwise.", first="  "))
    for opening, names in (
        ("New: ", [title for _, title, _ in moves.new]),
        ("No longer needed: ", [title for _, title, _ in moves.gone]),
        ("New sessions: ", [short_date(face.day(span.start)) for span in moves.sessions_new]),
        ("Sessions no longer needed: ", [short_date(face.day(span.start)) for span in moves.sessions_gone]),
    ):
        if names:
            sheet.add(Line(f"{fitting(names, width - len(opening))}", first=opening, rest="  "))
    stays = "stays where it is" if moves.stayed == 1 else "stay where they are"
    sheet.add(Line(f"{counted(moves.stayed, 'step')} {stays}. --all names every move."))
    return sheet.text(colour)


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


def _slot(name: str, session: Session, face: Clockface, past: bool) -> Slot:
    return Slot(name, face.day(session.start), session.start, session.end, frozenset(session.steps), past)


def _span(session: Session) -> Span:
    return Span(session.start, session.end)


def _finish(moves: Moves, face: Clockface) -> str:
    gap = moves.finish_after - moves.finish_before
    if not gap:
        return f"The end stays: {_at(face, moves.finish_after)}."
    way = "later" if gap > 0 else "earlier"
    was, now = _at(face, moves.finish_before), _at(face, moves.finish_after)
    return f"The end moves from {was} to {now}: {face.apart(moves.finish_before, moves.finish_after)} {way}."


def _at(face: Clockface, minute: int) -> str:
    return face.moment(minute, year=True)


def _session_words(moves: Moves, face: Clockface) -> Iterator[str]:
    for move in moves.sessions_moved:
        yield f"{_when(face, move.before)} → {_when(face, move.after)}"
    for span in moves.sessions_new:
        yield f"new: {_when(face, span)}"
    for span in moves.sessions_gone:
        yield f"no longer: {_when(face, span)}"


def _when(face: Clockface, span: Span) -> str:
    return f"{face.date(span.start)}, {face.span(*span)}"


def _change(face: Clockface, was: Span, now: Span) -> str:
    """From one start to another; where the start is the same, from one end to another, or the pieces between."""
    if was.start != now.start:
        return f"{face.moment(was.start)} → {face.moment(now.start)}"
    if was.end != now.end:
        return f"starts the same, ends {face.moment(was.end)} → {face.moment(now.end)}"
    return "other pieces between the same start and end"


def _with_reason(title: str, why: str) -> str:
    return f"{title} ({why})" if why else title
