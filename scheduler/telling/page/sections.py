"""From a plan to what the sections of the page say: the answer, the next session, weekends, things on order.

Each is a record that the template writes out; text is escaped there.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from scheduler.model.basics import STAGES
from scheduler.model.beware import Beware
from scheduler.model.plan import PlannedItem, PlannedStep, Session
from scheduler.telling.dates import LocalFace
from scheduler.telling.page.picture.scene import Stop
from scheduler.telling.page.tongue import Tongue
from scheduler.telling.text.agenda import minutes_left
from scheduler.telling.views.index import Book, Drying
from scheduler.telling.views.sessions import cautions_of, have_ready, notes_under, session_rows
from scheduler.telling.views.weekends import groups
from scheduler.wallclock import NEVER, to_datetime

HEADINGS = {"weekend": "Weekend of {day}", "evenings": "Evenings of the week of {day}", "week": "Week of {day}"}

FULL = 40
"""Sessions ahead that are told in full; later ones change often before they come, and would make the page heavy."""

ALWAYS = frozenset({"touch", "recoat", "tape", "use", "full"})
"""The stages of a film that the table tells of in any case."""


@dataclass(frozen=True, slots=True)
class Tick:
    """Something to tick off; boxes with one `key` are one and the same thing, wherever they stand."""

    key: str
    text: str


@dataclass(frozen=True, slots=True)
class Row:
    """A line of a session: when, what, whether it can be ticked, which step (its number in the picture, its id and
    whether it is done), and the (text, kind) notes below it."""

    time: str
    text: str
    key: str
    number: int | None
    anchor: str
    notes: tuple[tuple[str, str], ...]
    step: str = ""
    done: bool = False


@dataclass(frozen=True, slots=True)
class Clear:
    """What the household keeps clear of: where, of what, and the words for until when."""

    room: str
    what: str
    until: str
    kind: str


@dataclass(frozen=True, slots=True)
class SessionCard:
    """One session: what to have, what to do, what dries when people leave. `start` is its beginning, for programs."""

    anchor: str
    day: str
    hours: str
    people: str
    ready: tuple[Tick, ...]
    rows: tuple[Row, ...]
    drying: tuple[str, ...]
    taken: tuple[str, ...]
    air: tuple[str, ...]
    clear: tuple[Clear, ...]
    start: str


@dataclass(frozen=True, slots=True)
class SessionGroup:
    """The sessions of a weekend, or of the evenings of a week."""

    anchor: str
    kind: str
    heading: str
    sessions: tuple[SessionCard, ...]


@dataclass(frozen=True, slots=True)
class Brief:
    """A session in a line: when it is, and its steps as (id of the place or "", number, title)."""

    when: str
    steps: tuple[tuple[str, int, str], ...]


@dataclass(frozen=True, slots=True)
class Later:
    """The sessions of one month that lie far ahead."""

    month: str
    sessions: tuple[Brief, ...]


@dataclass(frozen=True, slots=True)
class ItemRow:
    """Something on order, in words, and its id."""

    key: str
    item: str
    title: str
    comes: str
    order_by: str
    late: bool
    there: bool
    ordered: bool
    needed: str
    holds: str


@dataclass(frozen=True, slots=True)
class StepRow:
    """One step in the table of the picture."""

    number: int
    anchor: str
    title: str
    room: str
    times: str
    film: str
    held: str


@dataclass(frozen=True, slots=True)
class StopRow:
    """A stop of the line that holds up the end: its number there, the step, when it begins, and what kept it."""

    number: int
    anchor: str
    title: str
    moment: str
    why: str


class Sections:
    """The words of one page."""

    def __init__(self, book: Book, face: LocalFace, tongue: Tongue):
        self.book, self.face, self.tongue = book, face, tongue
        self.numbers = {step.id: number for number, step in enumerate(book.plan.steps, 1)}
        self._anchored: set[str] = set()

    @property
    def over(self) -> bool:
        """Whether all of it is done."""
        return all(step.state == "done" for step in self.book.plan.steps)

    def answer(self) -> tuple[str, str]:
        """What stands over the date on which the work ends, and that date."""
        plan = self.book.plan
        if not plan.steps:
            return self.tongue("There is nothing to do."), ""
        words = self.tongue("Done since" if self.over else "Done on")
        return words, f"{self.face.date(plan.finish, year=True)}, {self.face.time(plan.finish)}"

    def sure(self) -> str:
        """How much earlier it might still be."""
        bound, finish = self.book.plan.bound, self.book.plan.finish
        if bound.proven:
            return self.tongue("It is proven that no plan ends earlier.")
        beaten = "It might be beaten by {gain} at most: no plan ends before {moment}."
        return self.tongue(
            f"The search was stopped early. {beaten}" if bound.stopped else beaten,
            gain=self.book.words.length(max(0, finish - bound.finish_not_before)),
            moment=self.face.moment(bound.finish_not_before),
        )

    def figures(self) -> tuple[tuple[str, str], ...]:
        """(label, value) pairs under the answer."""
        plan, tongue = self.book.plan, self.tongue
        left = sum(minutes_left(self.book, step) for step in plan.steps if step.state != "done")
        days = len({self.face.day(session.start) for session in self.book.ahead})
        return (
            (tongue("Usable"), self._far(plan.usable)),
            (tongue("Cured through"), self._far(plan.cured)),
            (tongue("Sessions ahead"), tongue("{sessions} on {days} days", sessions=len(self.book.ahead), days=days)),
            (tongue("Hands-on work ahead"), self.book.words.length(left, days=False)),
        )

    def _far(self, minute: int) -> str:
        if minute >= NEVER:
            return self.tongue("later than can be reckoned")
        return self.face.moment(minute, year=True)

    def next(self) -> SessionCard | None:
        """The session that is under way or comes next."""
        ahead = self.book.ahead
        return self._session(ahead[0], first=True) if ahead else None

    def now_drying(self) -> tuple[str, ...]:
        """What dries between now and the next session."""
        now = self.book.plan.as_of
        past = [session for session in self.book.sessions if session.end <= now]
        films = self.book.drying(past[-1]) if past else ()
        open_ = [film for film in films if film.stages[-1][1] > now]
        return tuple(self.book.drying_words(film) for film in open_)

    def weekends(self) -> tuple[SessionGroup, ...]:
        """The sessions ahead, in groups: at least so many as are told in full."""
        found = []
        full = {session.number for session in self.book.ahead[:FULL]}
        for group in groups(self.book):
            if not full & {session.number for session in group.sessions}:
                break
            day = self.face.date_of(group.day, year=True)
            heading = self.tongue(HEADINGS[group.kind], day=day)
            cards = tuple(self._session(session) for session in group.sessions)
            found.append(SessionGroup(f"w{group.day:%Y%m%d}", group.kind, heading, cards))
        return tuple(found)

    def later(self) -> tuple[Later, ...]:
        """The sessions after those that are told in full, month by month: their steps in a line each."""
        told = sum(len(group.sessions) for group in self.weekends())
        found: dict[str, list[Brief]] = {}
        for session in self.book.ahead[told:]:
            day = self.face.day(session.start)
            steps = []
            for piece in self.book.pieces(session):
                step = piece.step
                number = self.numbers[step.id]
                anchor = "" if step.id in self._anchored else f"s{number}"
                self._anchored.add(step.id)
                steps.append((anchor, number, self.book.title(step)))
            when = f"{self.face.short(day)}, {self.face.span(session.start, session.end)}"
            found.setdefault(self.face.month_of(day), []).append(Brief(when, tuple(steps)))
        return tuple(Later(month, tuple(sessions)) for month, sessions in found.items())

    def _session(self, session: Session, *, first: bool = False) -> SessionCard:
        """A session; the `first` card repeats it at the top of the page, without the places that links lead to."""
        day = f"{self.face.day(session.start):%Y%m%d}"
        people = self.tongue("1 person" if session.people == 1 else "{n} people", n=session.people)
        return SessionCard(
            anchor="" if first else f"n{session.number}",
            day=self.face.date(session.start),
            hours=self.face.span(session.start, session.end),
            people=people,
            ready=tuple(Tick(f"h:{day}:{thing}", thing) for thing in have_ready(self.book, session)),
            rows=tuple(self._rows(session, first=first)),
            drying=tuple(self.book.drying_words(film) for film in self.book.drying(session)),
            taken=self.book.out_of_use(session),
            air=self.book.overnight(session),
            clear=tuple(self._clear(session)),
            start=to_datetime(session.start, self.face.zone).isoformat(),
        )

    def _rows(self, session: Session, *, first: bool) -> Iterator[Row]:
        said: set[Beware] = set()
        for row in session_rows(self.book, session):
            if row.piece is None:
                yield Row(row.time, row.words, "", None, "", ())
                continue
            step = row.piece.step
            key = f"s:{step.id}:{row.piece.number}"
            notes = tuple(notes_under(self.book, row.piece, session, said))
            anchor = "" if first or step.id in self._anchored else f"s{self.numbers[step.id]}"
            if not first:
                self._anchored.add(step.id)
            yield Row(row.time, row.words, key, self.numbers[step.id], anchor, notes, step.id, step.state == "done")

    def _clear(self, session: Session) -> Iterator[Clear]:
        """Dust and noise while work goes on; wet films, and the air that they need, after it."""
        pieces = self.book.pieces(session)
        for kind, what in (("dust", "dust: stay out, doors shut"), ("noise", "noise: saw, nailer, sander")):
            rooms: dict[str, list[tuple[int, int]]] = {}
            for piece in pieces:
                if piece.step.dusty if kind == "dust" else piece.step.noisy:
                    rooms.setdefault(self.book.room(piece.step), []).append(piece.span)
            for room, spans in rooms.items():
                until = self.face.span(spans[0][0], max(end for _, end in spans))
                yield Clear(room, self.tongue(what), until, kind)
        for film in self.book.drying(session):
            yield from self._wet(film)
        for need in self.book.overnight(session):
            yield Clear("", self.tongue("air: {need}", need=need), "", "air")

    def _wet(self, film: Drying) -> Iterator[Clear]:
        """Until when a film is left alone, and until when it is not used, as far as that concerns the household."""
        stages = dict(film.stages)
        first = next((stage for stage in ("touch", "handle") if stage in stages), None)
        for stage in dict.fromkeys(stage for stage in (first, "use") if stage in stages):
            assert stage is not None
            what = f"{self.book.words.of('not yet', stage)}: {self.book.title(film.step)}"
            until = self.tongue("until {moment}", moment=self.face.moment(stages[stage]))
            yield Clear(self.book.room(film.step), what, until, "wet")

    def items(self) -> tuple[ItemRow, ...]:
        """Everything on order."""
        return tuple(self._item(item) for item in self.book.plan.items)

    def _item(self, item: PlannedItem) -> ItemRow:
        face, tongue, plan = self.face, self.tongue, self.book.plan
        if item.arrived:
            comes = tongue("there since {day}", day=face.date_of(item.arrived))
        else:
            comes = face.date_of(item.expected) if item.expected else tongue("no date yet")
        order = item.order_by if not item.arrived else None
        needed = item.needed is not None and item.needed < NEVER
        return ItemRow(
            key=f"o:{item.item}",
            item=item.item,
            title=self.book.item_title(item),
            comes=comes,
            order_by=face.date_of(order) if order else "",
            late=order is not None and order < face.day(plan.as_of),
            there=item.arrived is not None,
            ordered=item.ordered is not None,
            needed=face.moment(item.needed) if needed and item.needed is not None else "",
            holds=", ".join(self.book.title(step) for step in item.holds),
        )

    def done(self) -> tuple[str, ...]:
        """What is done, and what is under way with how much is left."""
        found = [self.book.title(step) for step in self.book.plan.steps if step.state == "done"]
        for step in self.book.plan.steps:
            if step.state == "under way":
                left = self.book.words.length(minutes_left(self.book, step), days=False)
                found.append(self.tongue("{title}, {left} to go", title=self.book.title(step), left=left))
        return tuple(found)

    def cautions(self) -> tuple[tuple[str, str], ...]:
        """Each caution with the numbers of the steps that ask for it."""
        found: dict[str, list[int]] = {}
        for step in self.book.plan.steps:
            for caution in cautions_of(step):
                found.setdefault(caution.text, []).append(self.numbers[step.id])
        return tuple((caution, ", ".join(str(number) for number in numbers)) for caution, numbers in found.items())

    def stops(self, stops: tuple[Stop, ...]) -> tuple[StopRow, ...]:
        """The stops of the line that holds up the end, in words."""
        return tuple(
            StopRow(
                number=stop.number,
                anchor=self._anchor(stop.step),
                title=self.book.title(stop.step),
                moment=self.face.moment(stop.step.start),
                why=self.book.say(stop.step.held),
            )
            for stop in stops
        )

    def steps(self, until: int) -> tuple[StepRow, ...]:
        """The table of the picture: all steps that begin before it ends."""
        return tuple(self._step(step) for step in self.book.plan.steps if step.start < until)

    def _anchor(self, step: PlannedStep) -> str:
        return f"s{self.numbers[step.id]}" if step.id in self._anchored else ""

    def _film(self, step: PlannedStep) -> str:
        """What is laid, and when it is at which of the stages that somebody may wait for."""
        if step.film is None:
            return ""
        shown = {*ALWAYS, *self.book.waited_stages(step)}
        at = [(stage, self.book.reached(step, stage)) for stage in STAGES if stage in shown]
        said = sorted((minute, stage) for stage, minute in at if minute is not None)
        words = "; ".join(f"{self.tongue.stage(stage)} {self.face.moment(minute)}" for minute, stage in said)
        return f"{self.book.material(step)}: {words}"

    def _step(self, step: PlannedStep) -> StepRow:
        times = "; ".join(f"{self.face.date(piece.start)}, {self.face.span(*piece)}" for piece in step.pieces)
        return StepRow(
            number=self.numbers[step.id],
            anchor=self._anchor(step),
            title=self.book.title(step),
            room=self.book.room(step),
            times=times,
            film=self._film(step),
            held=self.book.say(step.held),
        )
