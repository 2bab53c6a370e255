"""What the record taught, in sentences: how long steps took, how films felt, and what is reckoned with for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from scheduler.model.diary import Did, Entry, Felt, Left, living
from scheduler.model.job import Job
from scheduler.model.learned import Learned, Lesson, Look
from scheduler.model.message import Message, message
from scheduler.model.plan import Plan
from scheduler.model.scope import ALL_WORK
from scheduler.model.tradewords import ENGLISH
from scheduler.telling.text.sheet import Sheet, point
from scheduler.telling.views.index import Book
from scheduler.telling.wording import one_line
from scheduler.telling.words import Words

_TOLD = 0.05
"""A factor that is nearer to 1 is no news."""

_BOUNDS = (0.5, 2.5)
"""What is used of a pace is held between these."""


def learned_words(lessons: Sequence[Lesson], words: Words) -> Iterator[str]:
    """A sentence for each factor that the plan reckons with, and for each that something keeps it from; one for all
    kinds of work that nothing is recorded of and that are reckoned alike."""
    return (one_line(words.say(each)) for each in _told(lessons))


def _told(lessons: Sequence[Lesson]) -> Iterator[Message]:
    unseen: dict[float, list[Message]] = {}
    for lesson in lessons:
        if lesson.about == "pace" and not lesson.steps and not lesson.fixed and lesson.factor != 1:
            unseen.setdefault(lesson.factor, []).append(_work(lesson))
    for lesson in lessons:
        if lesson.about == "pace":
            yield from _pace(lesson)
        elif lesson.factor != 1:
            felt = _counted("learned.coat", "learned.coat many", len(lesson.steps))
            yield message(
                "learned.dries",
                material=lesson.title,
                room=one_line(lesson.room_title),
                times=number(lesson.factor),
                seen=felt if lesson.steps else message("learned.others"),
                low=number(lesson.low),
                high=number(lesson.high),
            )
    for factor, works in unseen.items():
        yield message("learned.elsewhere", works=tuple(works), times=number(factor))


def learned_text(lessons: Sequence[Lesson], width: int = 80, ascii: bool = False, lang: str = ENGLISH) -> str:  # noqa: A002
    """These sentences under their heading; empty if there are none."""
    sheet, words = Sheet(width, ascii), Words(lang=lang)
    sheet.section(f"{words.of('agenda', 'learned')}:", map(point, learned_words(lessons, words)), gap=False)
    return sheet.text(colour=False)


def _pace(lesson: Lesson) -> Iterator[Message]:
    work, times, low, high = _work(lesson), number(lesson.factor), number(lesson.low), number(lesson.high)
    if lesson.fixed:
        if lesson.steps and abs(lesson.found - 1) >= _TOLD:
            yield message("learned.fixed", work=work, seen=_seen(lesson))
    elif lesson.factor != 1 and len(lesson.odd) == len(lesson.steps) > 0:
        yield message("learned.far off", work=work, times=times, low=low, high=high)
    elif lesson.factor != 1 and lesson.steps:
        yield message("learned.pace", work=work, seen=_seen(lesson), times=times, low=low, high=high)
        if lesson.factor in _BOUNDS:
            yield message("learned.no pace", work=work)


def _work(lesson: Lesson) -> Message:
    """What a factor is about: `painting`; `painting by your own times`."""
    return message("learned.own work" if lesson.by_hand else "learned.work", work=lesson.of.replace("-", " "))


def _seen(lesson: Lesson) -> Message:
    odd = len(lesson.odd)
    return message(
        "learned.seen",
        times=number(lesson.seen),
        against=message("learned.reckoned" if lesson.by_hand else "learned.rate"),
        steps=_counted("learned.step", "learned.step many", len(lesson.steps)),
        odd=_counted("learned.odd", "learned.odd many", odd) if odd else None,
    )


def _counted(one: str, many: str, count: int) -> Message:
    """The message for one thing, or for several."""
    return message(one if count == 1 else many, count=count)


def what_words(lesson: Lesson, words: Words) -> str:
    """What a factor is about, in a word or two: `painting`; `painting by your own times`."""
    return words.say(_work(lesson))


def times(factor: float, words: Words) -> str:
    """`1.3 times`."""
    return words.tell("use.times", times=words.figures(number(factor)))


def number(factor: float) -> str:
    """`1.3`, `0.85`."""
    return f"{factor:.2f}".rstrip("0").rstrip(".")


def contradictions(book: Book) -> Iterator[str]:
    """The films that were said to be at a stage, and later not yet."""
    for lesson in book.plan.learned:
        for step, stage in lesson.contradicted:
            yield book.say(message("learned.contradicted", step=step, stage=stage))


def newly_learned(before: Plan, after: Plan) -> Iterator[str]:
    """What a plan says of what was learned, and the one before it did not."""
    was, now = Book(before), Book(after)
    known = {*learned_words(before.learned, was.words), *contradictions(was)}
    found = (*learned_words(after.learned, now.words), *contradictions(now))
    return (said for said in found if said not in known)


def aftersaid(entries: Sequence[Entry], before: Plan, after: Plan) -> Iterator[str]:
    """What follows from entries that say how long a step took or how a film felt."""
    book, was = Book(after), {step.id: step for step in before.steps}
    odd = {step for lesson in after.learned for step in lesson.odd}
    for entry in entries:
        event = entry.event
        if isinstance(event, Did | Left) and event.took is not None and event.step in odd:
            yield book.words.tell("learned.between", step=book.quoted(event.step))
        if isinstance(event, Felt) and event.step in book.steps:
            step = book.steps[event.step]
            now = book.reached(step, event.stage)
            old = book.reached(was[step.id], event.stage) if step.id in was else None
            yield from _of_film(book, event, now, old)


def _of_film(book: Book, event: Felt, now: int | None, old: int | None) -> Iterator[str]:
    if now is None:
        return
    how, face = book.words.of("allowed", event.stage), book.face
    tell = book.words.tell
    before = "" if old is None or old == now else tell("learned.before", when=face.since(old, now))
    said = {"step": book.quoted(event.step), "how": how, "when": face.moment(now), "before": before}
    if not event.reached and now > event.minute:
        yield tell("learned.likely", **said)
    elif event.reached and now > event.minute:
        yield tell("learned.no finger", **said)
    elif event.reached and before:
        yield tell("learned.then", **said)


def uses(entries: Sequence[Entry], learned: Learned, lang: str = ENGLISH) -> dict[int, str]:
    """Whether what an entry could teach was used, by its line; of those that hold and could teach something."""
    words = Words(lang=lang)
    paces = {step: lesson for lesson in learned.lessons if lesson.about == "pace" for step in lesson.steps}
    looks = {look for pairs in learned.readings.values() for look, _ in pairs}
    found: dict[int, str] = {}
    said: dict[str, int] = {}
    for entry in living(tuple(entries)):
        if isinstance(entry.event, Did | Left) and entry.event.took is not None:
            found.pop(said.get(entry.event.step, -1), None)  # the whole of a step goes before a part of it
            said[entry.event.step] = entry.line
        match entry.event:
            case Did(step=step, took=int()) | Left(step=step, took=int()):
                lesson = paces.get(step)
                if lesson is None:
                    found[entry.line] = words.tell("use.nothing")
                elif lesson.fixed:
                    found[entry.line] = words.tell("use.fixed")
                elif step in lesson.odd:
                    found[entry.line] = words.tell("use.little")
                else:
                    found[entry.line] = words.tell(
                        "use.pace", what=what_words(lesson, words), times=times(lesson.factor, words)
                    )
            case Felt(step=step, stage=stage, minute=minute, reached=reached):
                look = Look(step=step, stage=stage, minute=minute, reached=reached)
                found[entry.line] = words.tell("use.used" if look in looks else "use.no film")
    return found


def taught_lines(lessons: Sequence[Lesson], job: Job) -> Iterator[str]:
    """Lines for the job file of the next job: the pace by kind of work, and the dry times of materials by room, with
    what the file of this one says already."""
    paces = dict(job.pace_said)
    for lesson in lessons:
        if lesson.about == "pace" and not lesson.by_hand and lesson.steps and abs(lesson.found - 1) >= _TOLD:
            paces[lesson.of] = paces.get(lesson.of, paces.get(ALL_WORK, 1.0)) / lesson.found
    if paces:
        yield "pace:"
    for kind, pace in sorted(paces.items()):
        yield f"  {kind.replace('-', ' ')}: {min(300, max(20, round(100 * pace)))} %"
    known = {(room.id, told.material): told.factor for room in job.rooms for told in room.dry_times}
    rooms: dict[str, list[Lesson]] = {}
    for lesson in lessons:
        if lesson.about == "dries" and lesson.steps and lesson.factor != 1:
            rooms.setdefault(lesson.room, []).append(lesson)
    if rooms:
        yield "rooms:"
    for room, found in rooms.items():
        yield f"  {room.replace('-', ' ')}:"
        yield "    dry times:"
        for lesson in found:
            percent = round(100 * lesson.factor * known.get((room, lesson.of), 1.0))
            yield f"      {lesson.of}: {min(500, max(20, percent))} %"
