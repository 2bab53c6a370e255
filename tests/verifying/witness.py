"""A plan that nobody would want, but that is sound: one step after the other, in the order of the task graph.

It is the witness that a random job can be done at all, and that the verifier accepts a sound plan of any job. It
asks the dry clocks of the model; the verifier integrates for itself.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from zoneinfo import ZoneInfo

from scheduler.model.basics import Span
from scheduler.model.graph import ColourOrder, Link, Task
from scheduler.model.hours import Window
from scheduler.wallclock import at_local
from tests.support.written import Case


class NoRoomError(Exception):
    """A step finds no place before the work windows of the case run out."""


@dataclass
class Witness:
    """The pieces of each step, and the end of each task (those without work included)."""

    case: Case
    pieces: dict[str, tuple[Span, ...]] = field(default_factory=dict)
    ends: dict[str, int] = field(default_factory=dict)
    busy_until: int = 0
    known: dict[tuple[int, bool], list[Span]] = field(default_factory=dict)

    @property
    def chosen(self) -> dict[str, str]:
        """By choice, the option taken: the leader that comes first in the order of the graph."""
        return {choice.id: self._first(choice.options).name for choice in self.case.graph.choices}

    def _first(self, options: tuple[ColourOrder, ColourOrder]) -> ColourOrder:
        order = [task.id for task in self.case.graph.tasks]
        return min(options, key=lambda option: order.index(option.leader))

    def _options(self) -> list[ColourOrder]:
        return [self._first(choice.options) for choice in self.case.graph.choices]

    def links(self) -> list[Link]:
        """All links that hold, chosen ones included."""
        return [*self.case.graph.links, *(link for option in self._options() for link in option.links)]

    def work(self, task: Task) -> int:
        """Planned minutes with what the chosen options add."""
        extras = [extra for option in self._options() for name, extra in option.extra if name == task.id]
        return task.work.planned + sum(extra.planned for extra in extras)

    def ready(self, link: Link) -> int:
        """From when on the link lets its follower start."""
        end = self.ends[link.before]
        return link.wait + (self.case.films[link.before].stages[link.stage].ready(end) if link.stage else end)

    def latest(self, link: Link) -> int | None:
        """The last minute of the link's window."""
        end = self.ends[link.before]
        ends = [end + link.within] if link.within is not None else []
        ends += [self.case.films[link.before].stages[link.until].ready(end)] if link.until else []
        return min(ends, default=None)

    def build(self) -> Witness:
        """Place every task that has work, and every remedy that turns out to be due."""
        self.busy_until = max(self.case.job.start, self.case.facts.now)
        for task in self.case.graph.tasks:
            if task.remedy_of:
                continue
            into = [link for link in self.links() if link.after == task.id and link.before in self.ends]
            pieces = self._place(task, into)
            while (due := self._due(into, pieces, task)) is not None:
                remedy = self.case.graph.task(due.remedy or "")
                self._settle(remedy, self._place(remedy, [due]))
                pieces = self._place(task, into)
            self._settle(task, pieces)
        return self

    def _due(self, into: list[Link], pieces: tuple[Span, ...], task: Task) -> Link | None:
        """A link whose window would be missed and whose remedy is not placed yet."""
        if not pieces or not self.work(task):
            return None
        for link in into:
            latest = self.latest(link)
            if latest is not None and pieces[0].start > latest and link.remedy and link.remedy not in self.ends:
                return link
        return None

    def _settle(self, task: Task, pieces: tuple[Span, ...]) -> None:
        self.ends[task.id] = pieces[-1].end
        if self.work(task):
            self.pieces[task.id] = pieces
            self.busy_until = max(self.busy_until, pieces[-1].end)

    def _place(self, task: Task, into: list[Link]) -> tuple[Span, ...]:
        start = max([self.busy_until, *(self.ready(link) for link in into), *self._not_before(task)])
        work = self.work(task)
        if not work:
            return (Span(start, start),)
        for pieces in self._places(task, start, work):
            if self._air_is_fit(task, pieces):
                return pieces
        raise NoRoomError(task.id)

    def _not_before(self, task: Task) -> Iterator[int]:
        """Deliveries, films that are still wet, rooms that are still closed."""
        zone = ZoneInfo(self.case.job.zone)
        for item in self.case.job.items:
            day = item.arrived or item.expected
            if item.id in task.needs and day:
                yield at_local(day, 0, zone)
        for other in self.case.graph.tasks:
            if other.room != task.room or other.id not in self.pieces:
                continue
            stages = [self.case.graph.closed.get(other.id), "dust_free" if other.wet and task.dusty else None]
            for stage in stages:
                if stage:
                    yield self.case.films[other.id].stages[stage].ready(self.ends[other.id])

    def _stretches(self, task: Task) -> list[Span]:
        key = (task.people, task.noisy)
        if key not in self.known:
            self.known[key] = stretches(self.case.windows, task)
        return self.known[key]

    def _places(self, task: Task, start: int, work: int) -> Iterator[tuple[Span, ...]]:
        """Ways to place the work: at the start of each stretch, and where the air turns fit inside of one."""
        turns = self.case.films[task.id].fit or () if task.id in self.case.films else ()
        for stretch in self._stretches(task):
            if stretch.end <= start:
                continue
            for minute in sorted({stretch.start, start, *(span.start for span in turns)}):
                if max(start, stretch.start) <= minute < stretch.end:
                    pieces = self._from(task, minute, work)
                    if pieces:
                        yield pieces

    def _from(self, task: Task, start: int, work: int) -> tuple[Span, ...]:
        """The work from a minute on: in one piece, or in as long pieces as the stretches and the rest allow."""
        pieces: list[Span] = []
        for stretch in self._stretches(task):
            if stretch.end <= start:
                continue
            begin = max(start, stretch.start)
            free = stretch.end - begin
            left = work - sum(piece.minutes for piece in pieces)
            if free >= left:
                return (*pieces, Span(begin, begin + left))
            if task.smallest_piece is None:
                if begin == start:
                    return ()
                continue
            part = min(free, left - task.smallest_piece)
            if part >= task.smallest_piece:
                pieces.append(Span(begin, begin + part))
        return ()

    def _air_is_fit(self, task: Task, pieces: tuple[Span, ...]) -> bool:
        clocks = self.case.films.get(task.id)
        if clocks is None or clocks.fit is None:
            return True
        end = pieces[-1].end
        held = clocks.stages[clocks.hold_until].ready(end) if clocks.hold_until else end
        return any(span.start <= pieces[0].start and held <= span.end for span in clocks.fit)


def stretches(windows: tuple[Window, ...], task: Task) -> list[Span]:
    """Where a task can run without a break: windows that touch, with people enough, loud enough, set up."""
    found: list[Span] = []
    for window in windows:
        if window.people < task.people or (task.noisy and window.quiet):
            continue
        start, end = max(window.start, window.work_start), min(window.end, window.work_end)
        if end <= start:
            continue
        if found and found[-1].end == start == window.start and window.work_start < window.start:
            found[-1] = Span(found[-1].start, end)
        else:
            found.append(Span(start, end))
    return found
