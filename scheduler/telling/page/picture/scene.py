"""What the picture shows, before it is known where: which days, which surfaces, which marks, and the line of stops.

Drawn twice, across for a wide window and for paper, down for a phone; both read from here.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from scheduler.model.page import DaysAway, PageFacts
from scheduler.model.plan import PlannedStep, PlannedVisit, Session
from scheduler.telling.dates import LocalFace
from scheduler.telling.page.picture.axis import Axis, folded
from scheduler.telling.page.picture.shapes import Point
from scheduler.telling.page.tongue import Tongue
from scheduler.telling.views.agreed import to_come
from scheduler.telling.views.index import Book
from scheduler.telling.views.layers import Layer, Surface, surfaces
from scheduler.telling.views.now import stops
from scheduler.telling.wording import one_line
from scheduler.wallclock import DAY, NEVER, at_local

AFTER = 10
"""Days after the end of the work that are shown at most, for a film that may be used then."""

NEAR = 6
"""Days for which a weekday says which day is meant."""

NIGHT = (20 * 60, 8 * 60)
"""What counts as night where no room says otherwise: decoration, the times stand beside the marks."""

MOST = 78
"""Days and folds that are drawn at most: what comes after them is told in a line a session."""


STATES = ("off", "dries", "thin", "hard")
"""How a film is drawn from stage to stage: see `Scene.stretches`."""

LEAST = 0.3
"""Pixels: what is shorter is not drawn."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Mark:
    """A moment of a film with its time in words; `kind` is "off" (hands off until), "next" (next on it from) or "use"
    (in use from)."""

    kind: str
    minute: int
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """A step that had to wait, among those that hold up the end: its number from 1, and the film at whose foot it
    stands (None: no film had to dry before it, then the bare `surface`, if any)."""

    number: int
    step: PlannedStep
    film: PlannedStep | None
    surface: Surface | None


@dataclass(frozen=True)
class Scene:
    """One plan as it is drawn."""

    book: Book
    facts: PageFacts
    tongue: Tongue

    @property
    def face(self) -> LocalFace:
        """Dates and times in the language of the page."""
        return self.tongue.face

    @property
    def over(self) -> bool:
        """Whether all of it is done."""
        return all(step.state == "done" for step in self.book.plan.steps)

    @property
    def since(self) -> int:
        """The first minute that matters: of the last work that is over, if any is and some is left; else of all."""
        plan = self.book.plan
        begun = [piece.start for step in plan.steps for piece in step.pieces if piece.start <= plan.as_of]
        if begun and not self.over:
            return min(max(begun), plan.as_of)
        return min((step.start for step in plan.steps), default=plan.as_of)

    def days(self) -> tuple[list[tuple[date, int]], date | None]:
        """The days with their folds, and the last day that is left out, if the job is longer than what is drawn."""
        plan, face = self.book.plan, self.face
        first, last = face.day(self.since), face.day(max(self.since, plan.finish - 1))
        usable = [layer.settled for each in self.surfaces for layer in each.layers]
        near = [minute for minute in usable if plan.finish < minute <= plan.finish + AFTER * DAY]
        shown = max([last, *(face.day(minute) for minute in near)])
        busy = {face.day(piece.start) for step in plan.steps for piece in step.pieces}
        busy |= {face.day(layer.hands_off) for each in self.surfaces for layer in each.layers if layer.hands_off}
        busy |= {face.day(plan.as_of), last, *(face.day(visit.span.start) for visit in to_come(self.book))}
        found = list(folded(first, shown, busy))
        left = found[MOST:]
        return found[:MOST], (left[-1][0] + timedelta(days=left[-1][1] - 1) if left else None)

    def until(self) -> int:
        """The minute until which is drawn."""
        days, left = self.days()
        return NEVER if left is None else self.minute_of(days[-1][0] + timedelta(days=days[-1][1]))

    def left(self) -> str:
        """The last day of the job, where it is too long to be drawn; else nothing."""
        day = self.days()[1] if self.book.plan.steps else None
        return "" if day is None else self.face.date_of(day)

    @cached_property
    def surfaces(self) -> tuple[Surface, ...]:
        """All surfaces with their layers."""
        return surfaces(self.book)

    def live(self, axis: Axis) -> list[tuple[Surface, int, list[Layer]]]:
        """The surfaces of which something is to be said in this line: how many layers are settled by then, and those
        that are not, the lowest first."""
        found = []
        for surface in self.surfaces:
            hard = [layer for layer in surface.layers if layer.settled <= axis.start]
            wet = [layer for layer in surface.layers if layer.settled > axis.start and layer.laid < axis.end]
            if wet or (surface.waits is not None and not hard):
                found.append((surface, len(hard), wet))
        return found

    def marks(self, layer: Layer) -> tuple[Mark, ...]:
        """The three marks of a film in the order in which they come."""
        known = (("off", layer.hands_off), ("next", layer.next_on), ("use", layer.in_use))
        found = [
            Mark(kind=kind, minute=minute, said=self.moment(minute, layer.laid))
            for kind, minute in known
            if minute is not None and minute < NEVER
        ]
        return tuple(sorted(found, key=lambda mark: mark.minute))

    def moment(self, minute: int, near: int) -> str:
        """As short as it can be told beside a drop of `near`: the time alone on that day, then the weekday with it,
        then the date."""
        day, gone = self.face.day(minute), self.face.day(minute) - self.face.day(near)
        if not gone.days:
            return self.face.time(minute)
        if gone.days <= NEAR:
            return f"{self.face.weekday(day)} {self.face.time(minute)}"
        return self.face.short(day)

    def name(self, layer: Layer, surface: Surface) -> str:
        """What a film is called beside its surface, which needs not be said again."""
        title = self.book.title(layer.step)
        ending = f": {surface.title}"
        return title.removesuffix(ending) if title.casefold().endswith(ending.casefold()) else title

    @cached_property
    def stops(self) -> tuple[Stop, ...]:
        """The steps that hold up the end and had to wait, numbered."""
        waited = {step.id: number for number, step in enumerate(stops(self.book), 1)}
        order = self.book.plan.chain()[::-1]
        found, film = [], None
        for place, step in enumerate(order):
            if step.id in waited:
                later = next((each for each in order[place:] if each.film is not None), None)
                where = film or later
                lies = next((each for each in self.surfaces if _lies(where, each)), None)
                found.append(Stop(number=waited[step.id], step=step, film=film, surface=lies))
            film = step if step.film is not None else film
        return tuple(found)

    def stretches(self, layer: Layer, axis: Axis) -> Iterator[tuple[str, float, float]]:
        """The states of a film in a line, from place to place: "off" while hands stay off, "dries" on until the next
        step may come, "thin" until it may be used, "hard" to the end of the line."""
        places = [axis.place(layer.laid)]
        for minute in (layer.hands_off, layer.next_on, layer.in_use):
            places.append(places[-1] if minute is None else max(places[-1], axis.place(minute)))
        for kind, start, end in zip(STATES, places, (*places[1:], axis.until), strict=True):
            if end - start > LEAST:
                yield kind, start, end

    def done_words(self) -> str:
        """When the work ends."""
        finish = self.book.plan.finish
        return f"{self.tongue('done')} {self.face.short(self.face.day(finish))}, {self.face.time(finish)}"

    def route(
        self, axis: Axis, foot: Callable[[Stop], float], hands: float
    ) -> tuple[list[Point], list[tuple[Stop, float, float]]]:
        """The line of stops within one line of time, as (along time, across it): its corners, and its stops.

        `foot` says how far across a stop stands; where the work ends the line goes back to the `hands`.
        """
        points: list[Point] = []
        found: list[tuple[Stop, float, float]] = []
        comes = self.delivery()
        for stop in self.stops:
            along, across = axis.place(stop.step.start), foot(stop)
            if stop.step.start < axis.start:
                points = [(axis.at, across)]
                continue
            if not points and stop.number == 1 and comes is not None and axis.start <= comes < stop.step.start:
                points = [(axis.place(comes), across)]
            if points:
                points.append((along, points[-1][1]))
            if stop.step.start >= axis.end:
                break
            points.append((along, across))
            found.append((stop, along, across))
        finish = self.book.plan.finish
        if axis.holds(finish - 1) and points:
            points += [(axis.place(finish), points[-1][1]), (axis.place(finish), hands)]
        return points, found

    def delivery(self) -> int | None:
        """The day on which what the first stop waits for comes, as its first minute."""
        first = self.stops[0].step if self.stops else None
        if first is None or "held.delivery" not in first.held.kinds():
            return None
        items = [self.book.items[name] for name in first.needs if name in self.book.items]
        days = [item.expected for item in items if item.expected is not None and item.arrived is None]
        return self.minute_of(max(days)) if days else None

    def minute_of(self, day: date) -> int:
        """When a day begins."""
        return at_local(day, 0, self.face.zone)

    def sessions(self, axis: Axis) -> list[Session]:
        """The sessions that begin in a line."""
        return [session for session in self.book.sessions if axis.holds(session.start)]

    def taken(self, axis: Axis) -> list[tuple[str, list[tuple[int, int]]]]:
        """What is out of use longer than the step that takes it works, by what it is called: (from, until)."""
        rooms = {step.room: self.book.room(step) for step in self.book.plan.steps}
        found = []
        for thing in self.book.plan.things:
            spans = [
                (each.start, each.until)
                for each in thing.taken
                if each.by in self.book.steps
                and each.until > self.book.steps[each.by].end
                and each.start < axis.end
                and each.until > axis.start
            ]
            if spans:
                name = rooms.get(thing.thing, thing.thing) if thing.room else self.book.words.thing(thing.thing)
                found.append((name, spans))
        return found

    def visits(self, axis: Axis) -> list[tuple[PlannedVisit, str]]:
        """Who comes by appointment in a line, each with the hours and the rooms in words."""
        rooms = {step.room: self.book.room(step) for step in self.book.plan.steps}
        found = []
        for visit in to_come(self.book):
            if axis.holds(visit.span.start):
                where = ", ".join(rooms.get(room, room) for room in visit.rooms)
                said = self.face.span(*visit.span) + (f" ({where})" if where else "")
                found.append((visit, said))
        return found

    def away(self, axis: Axis) -> list[tuple[int, int, str]]:
        """The days away in a line: from when, until when, and that in words."""
        found = []
        for each in self.facts.away:
            start, end = self.minute_of(each.first), self.minute_of(each.last + timedelta(days=1))
            if start < axis.end and end > axis.start:
                found.append((max(start, axis.start), min(end, axis.end), self.away_words(each)))
        return sorted(found)

    def away_words(self, each: DaysAway) -> str:
        """From which day to which, and why, if anybody says."""
        days = list(dict.fromkeys(map(self.face.short, (each.first, each.last))))
        return " – ".join(days) + (f" ({one_line(each.reason)})" if each.reason else "")

    def beside(self) -> tuple[str, ...]:
        """Who comes and when nobody is there, for whom the picture is a table."""
        rooms = {step.room: self.book.room(step) for step in self.book.plan.steps}
        came = tuple(
            f"{one_line(visit.title)}: {self.face.date(visit.span.start)}, {self.face.span(*visit.span)}"
            + (f" ({', '.join(rooms.get(room, room) for room in visit.rooms)})" if visit.rooms else "")
            for visit in to_come(self.book)
        )
        return (*came, *(f"{self.tongue('away')}: {self.away_words(each)}" for each in self.facts.away))

    def nights(self, axis: Axis) -> list[tuple[int, int]]:
        """From evening to morning, day by day, where days are not folded."""
        found = []
        for cell in axis.cells:
            if not cell.folded:
                hours = (room.day_hours[cell.day.weekday()] for room in self.facts.air)
                evening, morning = next(((end, start) for start, end in hours if start < end), NIGHT)
                found += [(cell.start, cell.start + morning), (cell.start + evening, cell.end)]
        return found


def _lies(step: PlannedStep | None, surface: Surface) -> bool:
    return step is not None and any(layer.step.id == step.id for layer in surface.layers)
