"""What of a plan goes into a calendar: one event per session, drying film, delivery, day to buy and order-by day.

A UID belongs to one thing for life and holds neither a slash nor any other sign that servers refuse in an address.
"""

from __future__ import annotations

import hashlib
import re
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta

from scheduler.model.basics import STAGES
from scheduler.model.byhand import HandMove
from scheduler.model.ledger import CalendarEvent, EventKind, Ledger
from scheduler.model.plan import PlannedItem, PlannedStep, Session
from scheduler.model.sessions import SessionSlot, match_sessions, took_place
from scheduler.model.shopping import Lot
from scheduler.telling.text.shopping import lot_words
from scheduler.telling.views.agreed import broken_first
from scheduler.telling.views.index import Book
from scheduler.telling.views.sessions import cautions_of, people_at, session_lines, title_list
from scheduler.telling.wording import one_line
from scheduler.wallclock import DAY, EPOCH, NEVER

TITLE_COLUMNS = 60
"""How much of a session's title its steps may take up."""

NAMED = 2
"""So many of the things to buy stand in the title of such a day."""

EVE = 6 * 60
"""A last day to order or buy rings at least this long before it begins: at six in the evening of the day before."""

DO_NOT = ("touch", "handle", "sand", "recoat", "paint_over", "tape")
"""The stages of a single film that get an event of their own."""

MARKS = {"step": "[ ] ", "note": "- ", "caution": "- "}
"""What stands before the lines of a session's checklist."""

_PLAIN = frozenset("abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.")
_LONGEST, _KEPT = 200, 160
_OWN = re.compile(
    r"(?:session-[0-9]{8}-[0-9]+|step-.+-[0-9]+|film-.+-[a-z_]+|room-.+-(?:use|full)|(?:item|order|visit|buy)-.+)@tackfree"
)
_CUT = re.compile(rf".{{{_KEPT}}}~[0-9a-f]{{24}}@tackfree")


def uid(*parts: str) -> str:
    """The UID of a thing. Signs that an address could not hold are spelled out; RFC 5545 lets a reader cut at 255."""
    name = "-".join(_spelled(part) for part in parts)
    if len(name) > _LONGEST:
        name = f"{name[:_KEPT]}~{hashlib.sha256(name.encode()).hexdigest()[:24]}"
    return f"{name}@tackfree"


def is_of(job_id: str, name: str) -> bool:
    """Whether a UID is one that this module gives to the things of a job (a ledger that knows it says so better)."""
    head = _spelled(job_id) + "-"
    if _CUT.fullmatch(name):
        return name.startswith(head[:_KEPT])
    return name.startswith(head) and _OWN.fullmatch(name, len(head)) is not None


def _spelled(part: str) -> str:
    return "".join(sign if sign in _PLAIN else f"~{ord(sign):x}~" for sign in part)


def events(
    book: Book,
    previous: Ledger,
    remind: int | None,
    steps_too: bool,
    moves: Sequence[HandMove] = (),
    lots: Sequence[Lot] = (),
) -> tuple[CalendarEvent, ...]:
    """Everything that the plan puts into the calendar. Sessions that `previous` knows keep the UID they have; `moves`
    says which of them a person put where. `lots` are what has yet to be bought."""
    names = _session_uids(book, previous, moves)
    found = [*_sessions(book, names, remind), *_films(book, names), *_rooms(book, names)]
    if steps_too:
        found += _pieces(book, names)
    for item in book.plan.items:
        found += _item(book, item, remind)
    found += _visits(book, remind)
    found += _buying(book, lots, remind)
    return tuple(found)


def _sessions(book: Book, names: Mapping[int, str], remind: int | None) -> Iterator[CalendarEvent]:
    for session in book.sessions:
        lines = [MARKS.get(line.kind, "") + line.whole for line in session_lines(book, session, brief=True)]
        yield CalendarEvent(
            uid=names[session.number],
            kind="session",
            start=session.start,
            end=session.end,
            summary=f"{book.job}: {title_list(book, session, TITLE_COLUMNS)}",
            description="\n".join([_sentence(people_at(book, session)), *lines]),
            busy=True,
            remind=remind,
            steps=session.steps,
            place=_rooms_of(book, session.steps),
        )


def _sentence(words: str) -> str:
    return f"{words[:1].upper()}{words[1:]}."


def _rooms_of(book: Book, steps: Sequence[str]) -> str:
    """The rooms of these steps in words, each once."""
    wanted = set(steps)
    return book.words.listing(dict.fromkeys(book.room(step) for step in book.plan.steps if step.id in wanted))


def _session_at(book: Book, names: Mapping[int, str], minute: int) -> str:
    """The UID of the session in which work ended then; empty if it was in none."""
    session = book.session_of(minute)
    return "" if session is None else names[session.number]


def _session_uids(book: Book, previous: Ledger, moves: Sequence[HandMove]) -> dict[int, str]:
    """A UID for each session: that of the session it was before, else one after its day, never one given twice.

    Which one it was before is decided by where a person put it, then by its work, then by its day. A withdrawn
    session comes back to life only if a new one falls on its very day.
    """
    known = [entry for entry in previous.entries if entry.event.kind == "session"]
    live = [_slot_of_entry(book, entry.event) for entry in known if not entry.withdrawn]
    new = [_slot(book, session) for session in book.sessions]
    names = _put_by_hand(live, new, moves)
    names |= match_sessions(
        [slot for slot in live if slot.key not in names.values()], [slot for slot in new if slot.key not in names]
    )
    rest = [slot for slot in new if slot.key not in names]
    asleep = [_slot_of_entry(book, entry.event) for entry in known if entry.withdrawn]
    for slot in rest:
        same_day = [old for old in asleep if old.day == slot.day and old.key not in names.values()]
        names |= match_sessions(same_day, [slot])
    taken = {entry.event.uid for entry in previous.entries} | set(names.values())
    for slot in rest:
        number = 1
        while slot.key not in names:
            name = uid(book.plan.job_id, "session", f"{slot.day:%Y%m%d}", str(number))
            if name not in taken:
                names[slot.key] = name
                taken.add(name)
            number += 1
    return {session.number: names[str(session.number)] for session in book.sessions}


def _put_by_hand(
    live: Sequence[SessionSlot], new: Sequence[SessionSlot], moves: Sequence[HandMove]
) -> dict[str, str]:
    """The sessions that lie where a person put them, with some of their work: new key -> UID."""
    by_uid = {slot.key: slot for slot in live if not slot.took_place}
    pairs = sorted(
        (-len(slot.steps & by_uid[move.uid].steps), abs(slot.start - move.now.start), move.uid, slot.key)
        for move in moves
        for slot in new
        if move.uid in by_uid and slot.overlaps(*move.now) and slot.steps & by_uid[move.uid].steps
    )
    found: dict[str, str] = {}
    for *_, name, key in pairs:
        if key not in found and name not in found.values():
            found[key] = name
    return found


def _slot(book: Book, session: Session) -> SessionSlot:
    day = book.face.day(session.start)
    return SessionSlot(str(session.number), day, session.start, session.end, frozenset(session.steps))


def _slot_of_entry(book: Book, event: CalendarEvent) -> SessionSlot:
    start, end = minutes_of(event)
    past = took_place(book.plan, end, event.steps)
    return SessionSlot(event.uid, book.face.day(start), start, end, frozenset(event.steps), past)


def begin_of(event: CalendarEvent) -> int:
    """The minute by which events are put in order; a whole day counts from its midnight in UTC."""
    return moment_of(event.start)


def moment_of(start: int | date) -> int:
    """The minute of a start; a whole day counts from its midnight in UTC."""
    return start if isinstance(start, int) else (start - EPOCH.date()).days * DAY


def minutes_of(event: CalendarEvent) -> tuple[int, int]:
    """Start and end of a timed event in minutes. Raises ValueError for a whole day."""
    if isinstance(event.start, date) or isinstance(event.end, date):
        raise ValueError(f"event {event.uid!r} is about whole days")
    return event.start, event.end


def _pieces(book: Book, names: Mapping[int, str]) -> Iterator[CalendarEvent]:
    """Each piece of each step, inside its session and therefore taking up no time of its own."""
    for step in book.plan.steps:
        for number, span in enumerate(step.pieces, 1):
            if not span.minutes:
                continue
            title, of = book.title(step), len(step.pieces)
            part = book.words.tell("event.part", title=title, number=number, of=of) if of > 1 else title
            yield CalendarEvent(
                uid=uid(book.plan.job_id, "step", step.id, str(number)),
                kind="step",
                start=span.start,
                end=span.end,
                summary=f"{book.job}: {part}",
                description="\n".join(
                    book.words.tell("event.caution", text=caution.brief) for caution in cautions_of(step)
                ),
                busy=False,
                steps=(step.id,),
                place=book.room(step),
                session=_session_at(book, names, span.end),
            )


def _films(book: Book, names: Mapping[int, str]) -> Iterator[CalendarEvent]:
    """Films that people leave behind while something must not be done to them yet, an event for each such thing."""
    for step in book.plan.steps:
        if step.film is None:
            continue
        wanted = {"touch", *book.waited_stages(step)}
        session = book.session_of(step.end)
        left = session.end if session else max(step.end, book.plan.as_of)
        for stage in STAGES:
            until = book.reached(step, stage)
            if stage not in DO_NOT or stage not in wanted or until is None or until <= left:
                continue
            yield CalendarEvent(
                uid=uid(book.plan.job_id, "film", step.id, stage),
                kind="film",
                start=step.end,
                end=until,
                summary=f"{book.job}: {book.words.of('event', stage).format(step=book.title(step))}",
                description="\n".join(_film_words(book, step, stage, until)),
                busy=False,
                steps=(step.id,),
                place=book.room(step),
                session="" if session is None else names[session.number],
            )


def _film_words(book: Book, step: PlannedStep, stage: str, until: int) -> Iterator[str]:
    where = f", {book.room(step)}" if book.several_rooms else ""
    allowed = book.words.of("allowed", stage)
    tell, moment = book.words.tell, book.face.moment
    yield tell("event.film", what=f"{book.material(step)}{where}", allowed=allowed, moment=moment(until))
    for waiter in book.waiters(step, stage):
        yield tell("event.then", step=book.title(waiter), moment=moment(waiter.start))
    if step.film and step.film.limits_said and step.film.hold_until == stage:
        yield tell("event.air", air=book.air_words(step.film))


def _rooms(book: Book, names: Mapping[int, str]) -> Iterator[CalendarEvent]:
    """After the last film of a room: one event until the room may be used, one until it may be washed."""
    for room in sorted({step.room for step in book.plan.steps}):
        films = [step for step in book.plan.steps if step.room == room and step.film and step.pieces]
        if not films:
            continue
        last = max(films, key=lambda step: (step.end, step.id))
        use = max((book.reached(step, "use") or 0 for step in films), default=0)
        full = max((book.reached(step, "full") or 0 for step in films), default=0)
        where = f" ({book.room(last)})" if book.several_rooms else ""
        cure_from = max(last.end, use)
        for stage, start, end, rule in (("use", last.end, use, "used"), ("full", cure_from, full, "cured")):
            if start < end < NEVER:
                yield CalendarEvent(
                    uid=uid(book.plan.job_id, "room", room, stage),
                    kind="room",
                    start=start,
                    end=end,
                    summary=f"{book.job}: {book.words.of('event', stage)}{where}",
                    description=book.words.of("event", rule).format(moment=book.face.moment(end)),
                    busy=False,
                    steps=(last.id,),
                    place=book.room(last),
                    session=_session_at(book, names, last.end),
                )


def _item(book: Book, item: PlannedItem, remind: int | None) -> Iterator[CalendarEvent]:
    """The day on which an item comes, and the day by which it must be ordered; both leave the time free."""
    title, tell = book.item_title(item), book.words.tell
    words = []
    if item.needed is not None and item.needed < NEVER:
        words.append(tell("event.needed", moment=book.face.moment(item.needed)))
    if item.holds:
        words.append(tell("event.holds", steps=book.words.listing(book.title(step) for step in item.holds)))
    comes = item.arrived or item.expected
    if comes:
        yield _day(
            uid(book.plan.job_id, "item", item.item),
            "delivery",
            comes,
            f"{book.job}: {tell('event.came' if item.arrived else 'event.comes', item=title)}",
            "\n".join(words),
        )
    if item.order_by and not item.arrived:
        expected = [tell("event.expected", day=book.face.date_of(item.expected))] if item.expected else []
        yield _day(
            uid(book.plan.job_id, "order", item.item),
            "order",
            item.order_by,
            f"{book.job}: {tell('event.order', item=title)}",
            "\n".join([*expected, *words]),
            None if remind is None else max(remind, EVE),
        )


def _visits(book: Book, remind: int | None) -> Iterator[CalendarEvent]:
    """Somebody else's work when it was agreed, or when the plan has it if that can't be kept."""
    rooms = {step.room: book.room(step) for step in book.plan.steps}
    broken = {dict(said.values).get("visit"): said for said in broken_first(book)}
    for visit in book.plan.visits:
        if not visit.kept and visit.comes is None:
            continue
        where = book.words.listing(rooms.get(room, room) for room in visit.rooms)
        said = book.say(broken[visit.appointment]) if visit.appointment in broken else ""
        yield CalendarEvent(
            uid=uid(book.plan.job_id, "visit", visit.appointment),
            kind="visit",
            start=visit.span.start,
            end=visit.span.end,
            summary=f"{book.job}: {one_line(visit.title)}" + (f" ({where})" if where else ""),
            description=said,
            busy=False,
            remind=remind,
            proposed=visit.comes is not None,
        )


def _buying(book: Book, lots: Sequence[Lot], remind: int | None) -> Iterator[CalendarEvent]:
    """The last days on which to get what must be in the house on the next, or what a shop takes time for.

    Such a day goes by the name of the first thing on its list, so that it is known again when it moves.
    """
    by_day: dict[date, list[Lot]] = {}
    for lot in lots:
        day = lot.needed_by - timedelta(days=1) if lot.order_by is None else lot.order_by
        if day >= book.face.day(book.plan.as_of):
            by_day.setdefault(day, []).append(lot)
    given: Counter[str] = Counter()
    for day, some in sorted(by_day.items()):
        given[some[0].name] += 1
        number = [str(given[some[0].name])] if given[some[0].name] > 1 else []
        names = [one_line(lot.title) for lot in some]
        more = (
            [book.words.tell("event.more things", count=len(names) - NAMED)]
            if len(names) > NAMED + 1
            else names[NAMED:]
        )
        yield _day(
            uid(book.plan.job_id, "buy", some[0].name, *number),
            "buy",
            day,
            f"{book.job}: {book.words.tell('event.buy', things=book.words.listing([*names[:NAMED], *more]))}",
            "\n".join(f"{MARKS['step']}{lot_words(book, lot)}" for lot in some),
            None if remind is None else max(remind, EVE),
        )


def _day(
    name: str, kind: EventKind, day: date, summary: str, description: str, remind: int | None = None
) -> CalendarEvent:
    return CalendarEvent(
        uid=name,
        kind=kind,
        start=day,
        end=day + timedelta(days=1),
        summary=summary,
        description=description,
        busy=False,
        remind=remind,
    )
