"""The card at the top of the page: what to do now, what is wet until when, what to get, by when it is done."""

from __future__ import annotations

import json
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date

from scheduler.model.asides import Asides, Unheard
from scheduler.model.beware import Beware
from scheduler.telling.dates import LocalFace
from scheduler.telling.page.sections import Tick
from scheduler.telling.page.tongue import Tongue
from scheduler.telling.text.shopping import containers_words
from scheduler.telling.views.agreed import broken_first, to_come
from scheduler.telling.views.index import Book
from scheduler.telling.views.now import (
    LIKELY,
    SAFE,
    Ahead,
    OrderToMake,
    Todo,
    Wet,
    ahead,
    broken_else,
    causes,
    finish,
    hours_over,
    missed,
    orders,
    purchases,
    wet_now,
)
from scheduler.telling.wording import one_line
from scheduler.wallclock import NEVER, to_datetime

OPEN = 1
"""Steps that stand open of a session that is to come; of one under way the next one does, too."""

MOST = 3
"""Things to buy that are named, where nothing is urgent; one less for each thing that is, and for many wet ones, but
one at least."""

BARE = 2
"""Of so many such things the packs of what is to be bought are left to the list of it."""

MOST_WET = 2
"""Rows of what is wet or taken, with which the card still has room."""

WEEK = 7
"""Days within which a weekday says which day is meant."""


@dataclass(frozen=True, slots=True)
class Urgent:
    """What comes before everything else: a heading and a sentence. `key` is that of its box, "" if it has none;
    `thing` is what is to be ordered. `commands` are those that answer it, given in the folder of the job; where the
    page is served, it asks about `unheard` instead."""

    title: str
    said: str
    key: str = ""
    thing: str = ""
    commands: tuple[str, ...] = ()
    unheard: Unsaid | None = None


@dataclass(frozen=True, slots=True)
class Unsaid:
    """The first session of which nobody has said whether it took place: its day, when it began (for programs), the id
    and title of each of its steps as JSON, and how many `more` there are."""

    day: str
    start: str
    steps: str
    more: int


@dataclass(frozen=True, slots=True)
class NowStep:
    """One step of the session: its box and time, the cautions that the job has for the first time and those that are
    `known`, both in a few words and in full, and its id."""

    tick: Tick
    time: str
    fresh: tuple[Beware, ...]
    known: tuple[Beware, ...]
    done: bool
    step: str


@dataclass(frozen=True, slots=True)
class Until:
    """Something that is not free: what, the moment at which it is, and small print under either."""

    what: str
    until: str
    note: str = ""
    later: str = ""


@dataclass(frozen=True, slots=True)
class Cell:
    """One of the days by which it is done: what it is called, the day, how many times in a hundred."""

    label: str
    day: str
    share: int | None


@dataclass(frozen=True, slots=True)
class Buy:
    """Something to buy, in which packs, and the day by which it must be there. `thing` is its id, `title` what it is
    called, and `way` how one gets it: "ordered" or "bought". `late`: that day is over."""

    thing: str
    title: str
    way: str
    tick: Tick
    by: str
    late: bool
    packs: str = ""


class NowCard:
    """The words of the card."""

    def __init__(self, book: Book, asides: Asides, face: LocalFace, tongue: Tongue):
        self.book, self.asides, self.face, self.tongue = book, asides, face, tongue
        self.session: Ahead | None = ahead(book, book.ahead[0]) if book.ahead else None

    @property
    def as_of(self) -> str:
        """The moment that the card shows."""
        return self._moment(self.book.plan.as_of)

    def urgent(self) -> Iterator[Urgent]:
        """Overdue orders, a promise that is missed, sessions that nobody has told of, rules that were broken."""
        tongue, book = self.tongue, self.book
        if (over := hours_over(book)) is not None:
            end, steps = over
            many = "{n} steps are planned as if they went on. Say in the job file when you can work."
            one = "1 step is planned as if they went on. Say in the job file when you can work."
            said = tongue(many, n=steps) if steps > 1 else tongue(one)
            yield Urgent(tongue("No work hours after {day}", day=self._day(end)), said)
        for each in broken_first(book):
            yield Urgent(tongue("Can’t be kept"), self.face.said(book.say(each)))
        for order in orders(book, self.asides):
            if order.passed:
                said = tongue("That was due by {day}.", day=self.face.short(order.by))
                comes = f" {tongue('It comes {day}.', day=self.face.short(order.expected))}" if order.expected else ""
                title = tongue("Order now: {thing}", thing=order.title)
                yield Urgent(title, said + comes, f"n:{order.thing}", order.thing)
        days = missed(book, self.asides)
        if days and self.asides.promised is not None:
            promised = self.face.short(self.asides.promised)
            yield Urgent(tongue("Promise missed by {n} days", n=days), tongue("Promised by {day}.", day=promised))
        if self.asides.unrecorded:
            days_said = ", ".join(dict.fromkeys(self._day(each.span.start) for each in self.asides.unrecorded))
            said = tongue("Nothing of it counts as done until somebody says so.")
            unheard = self.asides.unrecorded[0]  # what is said of a later one builds on it
            day = self.face.day(unheard.span.start)
            commands = (f"tackfree did . --session --at {day}", f"tackfree lost . {day}")
            title = tongue("Not recorded: {days}", days=days_said)
            yield Urgent(title, said, commands=commands, unheard=self._unsaid(unheard))
        if broken := broken_else(book):
            first, *more = broken
            said = self.face.said(book.say(first.said))
            left = f" {tongue('And {n} more, below.', n=len(more))}" if more else ""
            yield Urgent(tongue("A rule was broken"), f"{said}{left}")

    def _unsaid(self, unheard: Unheard) -> Unsaid:
        start = to_datetime(unheard.span.start, self.face.zone).isoformat()
        steps = [(step, self.book.title(step)) for step in unheard.steps if step in self.book.steps]
        more = len(self.asides.unrecorded) - 1
        return Unsaid(self._day(unheard.span.start), start, json.dumps(steps), more)

    def heading(self) -> tuple[str, str]:
        """Whether it is now or next and on which day, and the hours."""
        if self.session is None:
            return "", ""
        session = self.session.session
        word = self.tongue("Now") if self.session.under_way else self.tongue("Next")
        return f"{word}: {self._day(session.start)}", self.face.span(session.start, session.end)

    @property
    def start(self) -> str:
        """When the session begins, for programs."""
        return "" if self.session is None else to_datetime(self.session.session.start, self.face.zone).isoformat()

    def steps(self) -> tuple[tuple[NowStep, ...], tuple[NowStep, ...], tuple[NowStep, ...]]:
        """Of the session at hand: what is done, the first to be done, and all others."""
        if self.session is None:
            return (), (), ()
        told: set[int] = set()
        done = tuple(self._step(todo, set()) for todo in self.session.todo if todo.done)
        to_do = tuple(self._step(todo, told) for todo in self.session.todo if not todo.done)
        open_ = OPEN + self.session.under_way
        return done, to_do[:open_], to_do[open_:]

    def _step(self, todo: Todo, told: set[int]) -> NowStep:
        """Each caution at the first step that has it."""
        assert self.session is not None
        fresh = [number for number in todo.cautions if number not in told]
        told |= set(fresh)
        found = [self.session.cautions[number] for number in fresh]
        new = tuple(caution for caution, first in found if first)
        known = tuple(caution for caution, first in found if not first)
        step = todo.step
        rooms = {self.book.room(each.step) for each in self.session.todo}
        room = f" ({self.book.room(step)})" if len(rooms) > 1 and self.book.room(step) else ""
        tick = Tick(f"s:{step.id}:{todo.number}", f"{self.book.title(step)}{room}")
        return NowStep(tick, self.face.time(todo.start), new, known, todo.done, step.id)

    @property
    def later_in_the_job(self) -> bool:
        """Whether the job had cautions before this session: only then is a new one worth the word."""
        return self.session is not None and not all(new for _, new in self.session.cautions)

    def people(self) -> str:
        """How many people the session has."""
        people = 0 if self.session is None else self.session.session.people
        return self.tongue("1 person") if people == 1 else self.tongue("{n} people", n=people)

    def drying(self) -> tuple[Until, ...]:
        """What is wet now, the air that it wants, and what is taken; the room is named where the job has several."""
        wets = wet_now(self.book)
        several = len({wet.room for wet in wets}) > 1
        found = [self._film(wet, several=several) for wet in wets]
        for room, air, until in self.book.air_at(self.book.plan.as_of):
            found.append(Until(self.tongue("Air in {room}", room=room), self._moment(until), air))
        for thing, until, by in self.book.taken_at(self.book.plan.as_of):
            found.append(Until(thing, self._moment(until) if until < NEVER else "?", self.book.title(by)))
        return tuple(found)

    def comes(self) -> tuple[Until, ...]:
        """Who comes by appointment, when, and into which rooms."""
        rooms = {step.room: self.book.room(step) for step in self.book.plan.steps}
        return tuple(
            Until(
                one_line(visit.title),
                self._day(visit.span.start),
                ", ".join(rooms.get(room, room) for room in visit.rooms),
                self.face.span(*visit.span),
            )
            for visit in to_come(self.book)
        )

    def _film(self, wet: Wet, *, several: bool) -> Until:
        (first, until), *rest = rules_of(wet, self.tongue)
        name = name_of(self.book, wet)
        room = f"{wet.room}: " if several and wet.room else ""
        later = "; ".join(f"{words} {self._moment(minute)}" for words, minute in rest)
        return Until(f"{room}{name}", self._moment(until), first, later)

    def buy(self) -> tuple[tuple[Buy, ...], int, int] | None:
        """What is to be had: what is overdue, orders, things for the next two sessions; how many more there are, and
        how many of these are overdue.

        None where nobody reckoned what is to be bought, and nothing is on order.
        """
        waiting = [order for order in orders(self.book, self.asides) if not order.passed]
        if self.asides.shopping is None and not waiting:
            return None
        late: list[Buy] = []
        crowded = len(tuple(self.urgent())) + (len(self.drying()) > MOST_WET)
        found = [self._order(order) for order in waiting]
        for purchase in purchases(self.book, self.asides):
            for lot in purchase.lots:
                title, day = one_line(lot.title), self.face.short(purchase.by)
                tick = Tick(f"b:{lot.name}", title)
                packs = containers_words(lot.containers, self.book.words) if crowded < BARE else ""
                buy = Buy(lot.name, title, "bought", tick, day, purchase.passed, packs)
                (late if purchase.passed else found).append(buy)
        found = [*late, *found]
        most = max(MOST - crowded, 1)
        return tuple(found[:most]), len(found[most:]), sum(each.late for each in found[most:])

    def _order(self, order: OrderToMake) -> Buy:
        text = self.tongue("order: {thing}", thing=order.title)
        tick = Tick(f"n:{order.thing}", text)
        return Buy(order.thing, order.title, "ordered", tick, self.face.short(order.by), False)

    def done(self) -> tuple[Cell, ...]:
        """At best, likely, safe; days that are the same share a cell. One cell where the chances were not drawn."""
        found, tongue = finish(self.book, self.asides), self.tongue
        if not found.reckoned:
            return (Cell(tongue("as planned"), self._far(found.best), None),)
        cells: dict[str, list[tuple[str, int | None]]] = {}
        days = (("at best", found.best, None), ("likely", found.likely, LIKELY), ("safe", found.safe, SAFE))
        for label, day, share in days:
            said = tongue("later than can be reckoned") if day is None else self._far(day)
            cells.setdefault(said, []).append((tongue(label), share))
        return tuple(Cell(", ".join(label for label, _ in named), day, named[-1][1]) for day, named in cells.items())

    def since(self) -> tuple[str, str]:
        """What has become of the end since somebody last looked, with the reason; and the reason by itself where the
        end stays, so that it can be folded. Nothing if nobody has looked before."""
        found, tongue = self.asides.since, self.tongue
        if found is None or found.looked >= self.book.plan.as_of:
            return "", ""
        told = "; ".join(causes(self.book, self.asides))
        looked = self._day(found.looked)
        was, now = self.face.day(found.finish_before), self.face.day(self.book.plan.finish)
        if was != now:
            said = tongue(
                "Since {day}: done {now} instead of {was}", day=looked, was=self._far(was), now=self._far(now)
            )
            return f"{said}: {told}." if told else f"{said}.", ""
        if found.moved:
            said = tongue("Since {day}: the end stays, {n} steps are on another day", day=looked, n=len(found.moved))
            return f"{said}.", f"{told}." if told else ""
        return tongue("Since {day}: no date moved.", day=looked), ""

    def moved(self) -> tuple[tuple[tuple[str, str, str], ...], int]:
        """The steps that are on another day since somebody last looked, (what, before, now), and how many moved less
        than that."""
        found = self.asides.since
        if found is None:
            return (), 0
        rows = [
            (self.book.title(move.step), self._day(move.before.start), self._day(move.after.start))
            for move in found.moved
        ]
        rows += [(self.book.title(name), "–", self.tongue("new")) for name in found.new]
        return tuple(rows), found.small

    def over(self) -> tuple[str, str] | None:
        """Since when all of it is done, and when the last film is cured; None while something is left."""
        plan = self.book.plan
        if not plan.steps or any(step.state != "done" for step in plan.steps):
            return None
        if plan.cured >= NEVER:
            return self._moment(plan.finish), self.tongue("later than can be reckoned")
        return self._moment(plan.finish), self._moment(plan.cured) if plan.cured > plan.as_of else ""

    def _far(self, day: date) -> str:
        return self.face.short(day)

    def _day(self, minute: int) -> str:
        return self.face.short(self.face.day(minute))

    def _moment(self, minute: int) -> str:
        now = self.book.plan.as_of
        return (
            f"{self._day(minute)}, {self.face.time(minute)}" if minute == now else moment_on(self.face, minute, now)
        )


def rules_of(wet: Wet, tongue: Tongue) -> list[tuple[str, int]]:
    """What a wet film forbids or allows, in words, and until or from which minute; the soonest first."""
    known = (("hands off until", wet.hands_off), ("next on it from", wet.next_on), ("in use from", wet.in_use))
    return [(tongue(words), minute) for words, minute in known if minute is not None]


def name_of(book: Book, wet: Wet) -> str:
    """What the films that are told as one are called: by the step that laid it, or how many of which material."""
    return book.title(wet.steps[0]) if len(wet.steps) == 1 else f"{len(wet.steps)} × {wet.material}"


def moment_on(face: LocalFace, minute: int, near: int) -> str:
    """A moment as short as it can be told: the time alone on the day of `near`, with the weekday in the week after
    it, else with its day; another year is named."""
    day, today = face.day(minute), face.day(near)
    if day == today:
        return face.time(minute)
    if 0 < (day - today).days < WEEK:
        return f"{face.weekday(day)} {face.time(minute)}"
    return f"{face.short(day)}{'' if day.year == today.year else f' {day.year}'}, {face.time(minute)}"
