"""One session in lines: what to have ready, each step with its times, what dries when people leave.

The agenda wraps these lines, the calendar puts them into the text of the session's event.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from scheduler.model.basics import Span
from scheduler.model.beware import Beware
from scheduler.model.message import Message, message
from scheduler.model.plan import PlannedStep, Session, Stay
from scheduler.model.spans import clip, union, without
from scheduler.telling.text.sheet import Line
from scheduler.telling.views.index import Book, Piece
from scheduler.telling.wording import columns, one_line

WORTH_A_ROW = 10
"""Minutes without work in a session that are told as such."""


@dataclass(frozen=True, slots=True)
class SessionRow:
    """A time and what happens then: a piece of a step, setting up and clearing up, or nothing, as long as the step of
    the title `waits` is not ready ("": nobody waits for one)."""

    time: str
    words: str
    piece: Piece | None = None
    waits: str = ""


def session_lines(
    book: Book, session: Session, *, brief: bool = False, before: set[Beware] | None = None
) -> tuple[Line, ...]:
    """Everything about a session but its own date and time; its cautions in a few words each where it is `brief`, and
    those that sessions `before` it, on the same sheet, have told in full; it adds its own."""
    return (*_ready(book, session), *_work(book, session, brief, before), *_leaving(book, session))


def title_list(book: Book, session: Session, room: int) -> str:
    """The titles of the session's steps, as many as fit into `room` columns, then how many more there are."""
    titles = list(dict.fromkeys(book.title(piece.step) for piece in book.pieces(session)))
    shown = titles[:1]
    for title in titles[1:]:
        if columns(", ".join([*shown, title])) > room:
            break
        shown.append(title)
    more = len(titles) - len(shown)
    tail = book.words.tell("and more", left=more) if more else ""
    return ", ".join(shown) + tail or book.words.patterns["no work"]


def have_ready(book: Book, session: Session) -> tuple[str, ...]:
    """What must be in the house before a session: what its steps use up, things on order, shared things. Not what
    another step gives back: that is a place that is taken, or fetched by the step itself."""
    found: dict[str, None] = {}
    given_back = {(each.by, thing.thing) for thing in book.plan.things for each in thing.taken if each.giver}
    for piece in book.pieces(session):
        found.update({one_line(title): None for title in piece.step.uses})
        found.update({book.item_title(item): None for item in piece.step.needs})
        tools = ((thing, count) for thing, count in piece.step.takes if (piece.step.id, thing) not in given_back)
        for thing, count in tools:
            found[book.words.thing(thing) + (book.words.tell("times.x", count=count) if count > 1 else "")] = None
    found.update({book.words.thing(stay.thing): None for stay in book.stays(session) if stay.thing})
    return tuple(found)


def _ready(book: Book, session: Session) -> Iterator[Line]:
    found = have_ready(book, session)
    if found:
        yield Line("; ".join(found), first=f"  {book.words.of('session', 'ready')}", rest="    ")


def _work(book: Book, session: Session, brief: bool, before: set[Beware] | None) -> Iterator[Line]:
    rows = list(session_rows(book, session))
    width = 4 + max((columns(row.time) for row in rows), default=0)
    said: set[Beware] = set()
    for row in rows:
        waits = book.words.tell("session.waits", step=row.waits) if row.waits else ""
        yield Line(row.words + waits, f"  {row.time}".ljust(width), " " * width, "step" if row.piece else "")
        if row.piece:
            for words, kind in notes_under(book, row.piece, session, said, brief=brief, before=before):
                yield Line(words, first=" " * width, rest=" " * (width + 2), kind=kind)


def session_rows(book: Book, session: Session) -> Iterator[SessionRow]:
    """Before its first piece a session is set up, after its last it is cleared up; what is free between has a row."""
    face, pieces = book.face, book.pieces(session)
    begin = min((piece.span.start for piece in pieces), default=session.start)
    yield from _around_breaks(book, Span(session.start, begin), book.words.of("session", "set up"))
    busy_until = begin
    for piece in pieces:
        if piece.span.start - busy_until >= WORTH_A_ROW:
            free = Span(busy_until, piece.span.start)
            beside = book.staying(session, free)
            words = book.say(stay_said(book, beside, session)) if beside is not None else _free_words(book, *free)
            yield from _around_breaks(book, free, words, _waited_for(book, piece, busy_until))
        yield SessionRow(face.span(*piece.span), _piece_words(book, piece), piece)
        busy_until = max(busy_until, piece.span.end)
    stay = book.stay_after(session)
    if pieces and stay is not None:
        words = book.say(message("stay.clear up", stay=stay_said(book, stay, session)))
        yield SessionRow(face.span(busy_until, session.end), words)
    elif pieces:
        yield from _around_breaks(book, Span(busy_until, session.end), book.words.of("session", "clear up"))


def stay_said(book: Book, stay: Stay, session: Session) -> Message:
    """Until when somebody stays, and what for."""
    return message(
        "stay.with" if stay.thing else "stay",
        until=_near(book, stay.until, session),
        thing=book.words.thing(stay.thing) if stay.thing else None,
        step=stay.step,
        stage=book.held_until(stay.step),
    )


def _waited_for(book: Book, piece: Piece, since: int) -> str:
    """The title of the step that a step waits for since a minute before it begins; nothing where that is ready, or
    where it goes on after a pause."""
    waits = [each.step for each in piece.step.after if each.ready > since and piece.number == 1]
    holder = book.steps.get(piece.step.holder or "")
    return book.title(holder) if holder is not None and holder.id in waits else ""


def _around_breaks(book: Book, whole: Span, words: str, waits: str = "") -> Iterator[SessionRow]:
    """Setting up, clearing up or waiting, in parts where a break lies in it: nobody does that in the break."""
    breaks = union(clip(gap, whole) for gap in book.breaks if gap.start < whole.end and whole.start < gap.end)
    for part in sorted((*without((whole,), breaks), *breaks)):
        is_break = part in breaks
        yield SessionRow(
            book.face.span(*part),
            book.words.of("session", "break") if is_break else words,
            waits="" if is_break else waits,
        )


def _free_words(book: Book, start: int, end: int) -> str:
    """A break if the hours leave that time out altogether."""
    working = any(window.start < end and start < window.end for window in book.plan.windows)
    return book.words.of("session", "idle" if working else "break")


def _piece_words(book: Book, piece: Piece) -> str:
    room = book.room(piece.step)
    notes = [room] if room and book.several_rooms else []
    if piece.step.people > 1:
        notes.append(book.words.people(piece.step.people))
    return book.title(piece.step) + (f" ({', '.join(notes)})" if notes else "")


def notes_under(
    book: Book,
    piece: Piece,
    session: Session,
    said: set[Beware],
    *,
    brief: bool = False,
    before: set[Beware] | None = None,
) -> Iterator[tuple[str, str]]:
    """The notes below a step, each with its kind, "note" or "caution"; `said` remembers the cautions that the session
    has told, `before` those that any has told in full: they are told in a few words from then on."""
    step, say = piece.step, book.say
    if piece.of > 1:
        other = piece.number + 1 if piece.number < piece.of else piece.number - 1
        when = _near(book, step.pieces[other - 1].start, session)
        yield say(message("note.part", number=piece.number, count=piece.of, other=other, when=when)), "note"
    if step.added is not None and piece.number == 1:
        yield say(message("note.added", why=step.added)), "note"
    for link in book.waits(piece, session)[-1:]:
        yield book.waits_words(link, piece.span.start), "note"
    window = book.start_by(piece, session)
    if window and window.latest is not None:
        by = _near(book, window.latest, session)
        kind = f"note.start by.{window.window}" if window.window else "note.start by"
        yield say(message(kind, when=by, step=window.step)), "note"
    for item in step.needs if piece.number == 1 else ():
        yield say(_item(book, item)), "note"
    if piece.number == 1 or step.pieces[piece.number - 2].start < session.start:
        for caution in _cautions(step, said, brief, set() if before is None else before):
            yield say(caution), "caution"


def cautions_of(step: PlannedStep) -> tuple[Beware, ...]:
    """What to beware of at a step, each once, without line breaks."""
    plain = (Beware(*map(one_line, (each.text, each.plain, each.short, each.name))) for each in step.cautions)
    return tuple(dict.fromkeys(plain))


def _cautions(step: PlannedStep, said: set[Beware], brief: bool, before: set[Beware]) -> Iterator[Message]:
    """Each caution at the first step of the session that asks for it, in full or `brief`; in a word at all later."""
    cautions = cautions_of(step)
    again = [caution for caution in cautions if caution in said]
    for caution in cautions:
        if caution not in said:
            said.add(caution)
            yield message("note.caution", text=caution.brief if brief or caution in before else caution.text)
            before.add(caution)
    if again:
        yield message("note.caution again", texts="; ".join(opening(caution) for caution in again))


def _near(book: Book, minute: int, session: Session) -> str:
    return book.face.since(minute, session.start)


def opening(caution: Beware) -> str:
    """What a caution that has been said in full is known by: its name, its few words; else what stands before its
    colon, or its first words."""
    if caution.name or caution.short:
        return caution.name or caution.short
    parts = caution.text.split(" ")
    head = " ".join(parts[:5]).partition(":")
    return head[0] if head[1] else " ".join(parts[:4]) + (" …" if len(parts) > 4 else "")


def _item(book: Book, name: str) -> Message:
    item, title = book.items.get(name), book.item_title(name)
    if item is None:
        return message("note.needs", item=title)
    if item.arrived:
        return message("note.needs there", item=title, day=book.face.date_of(item.arrived))
    if item.expected:
        return message("note.needs coming", item=title, day=book.face.date_of(item.expected))
    return message("note.needs without date", item=title)


def _leaving(book: Book, session: Session) -> Iterator[Line]:
    films, needs = book.drying(session), book.overnight(session)
    if films:
        yield Line(book.words.of("session", "drying"), first="  ")
    for film in films:
        yield Line(book.drying_words(film), first="    ", rest="      ")
    taken = book.out_of_use(session)
    if taken:
        yield Line(book.words.of("session", "taken"), first="  ")
    for words in taken:
        yield Line(words, first="    ", rest="      ")
    if needs:
        yield Line(book.words.of("session", "air"), first="  ")
    for need in needs:
        yield Line(need, first="    ", rest="      ")


def people_at(book: Book, session: Session) -> str:
    """Who is at it, and which session it is: `two people, session 3`."""
    return book.words.tell("session.people", people=book.words.people(session.people), number=session.number)
