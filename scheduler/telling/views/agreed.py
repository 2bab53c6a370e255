"""What was agreed and promised, told first of all: what is broken, what is kept, who comes."""

from __future__ import annotations

from scheduler.model.message import Message, message
from scheduler.model.plan import PlannedPromise, PlannedVisit
from scheduler.telling.views.index import Book
from scheduler.wallclock import NEVER


def broken_first(book: Book) -> tuple[Message, ...]:
    """The appointments that are not kept, then the promises that are broken: what every answer says first. Of the day
    of the whole job alone the answer tells otherwise."""
    visits = [_not_kept(visit) for visit in book.plan.visits if not visit.kept and visit.end > book.plan.as_of]
    return (
        *visits,
        *(_broken(book, promise) for promise in book.plan.promises if promise.late and not _whole(promise)),
    )


def kept(book: Book) -> tuple[Message, ...]:
    """The promises that are kept."""
    found = []
    for promise in book.plan.promises:
        if not promise.late and not _whole(promise):
            kind = "agreed.kept out" if promise.thing is not None else "agreed.kept by"
            found.append(message(kind, what=what(book, promise), **_values(promise)))
    return tuple(found)


def to_come(book: Book) -> tuple[PlannedVisit, ...]:
    """The appointments that are not over, as the plan has them, in the order of time."""
    ahead = [visit for visit in book.plan.visits if visit.span.end > book.plan.as_of and (visit.kept or visit.comes)]
    return tuple(sorted(ahead, key=lambda visit: visit.span))


def comings(book: Book) -> tuple[str, ...]:
    """Who comes when, each as a line."""
    found = []
    for visit in to_come(book):
        when = f"{book.face.date(visit.span.start)}, {book.face.span(*visit.span)}"
        found.append(book.say(message("agreed.comes", visit=visit.appointment, when=when)))
    return tuple(found)


def what(book: Book, promise: PlannedPromise) -> str:
    """What a promise is about, as it is called."""
    if promise.thing is not None:
        return book.words.thing(promise.thing)
    if promise.step is not None:
        return book.title(promise.step)
    if promise.room is not None:
        rooms = {step.room: book.room(step) for step in book.plan.steps}
        return rooms.get(promise.room, promise.room)
    return book.say(message("agreed.the job"))


def _whole(promise: PlannedPromise) -> bool:
    return promise.thing is None and promise.step is None and promise.room is None


def _values(promise: PlannedPromise) -> dict[str, int | None]:
    if promise.thing is not None:
        return {"reached": promise.reached, "most": promise.at_most}
    return {"by": None if promise.by is None else promise.by - 1, "reached": promise.reached}


def _broken(book: Book, promise: PlannedPromise) -> Message:
    proven = message("agreed.proven") if promise.proven else None
    kind = "agreed.out" if promise.thing is not None else "agreed.late"
    holder = promise.holder or ""
    values = _values(promise)
    return message(kind, what=what(book, promise), late=promise.late, holder=holder, proven=proven, **values)


def _not_kept(visit: PlannedVisit) -> Message:
    name, start = visit.appointment, visit.start
    if visit.comes is None:
        return message("agreed.no day", visit=name, start=start)
    if visit.ready >= NEVER or visit.ready <= visit.start or visit.holder is None:
        return message("agreed.crowded", visit=name, start=start, comes=visit.comes.start)
    return message(
        "agreed.put off",
        visit=name,
        start=start,
        holder=visit.holder,
        ready=visit.ready,
        comes=visit.comes.start,
    )
