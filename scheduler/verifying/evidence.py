"""The plan laid open beside what it was made from: the questions that several rules ask of it."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import TypeVar
from zoneinfo import ZoneInfo

from scheduler.model.basics import POT_LIFE, Estimate, Span
from scheduler.model.clock import FilmClocks
from scheduler.model.facts import Facts
from scheduler.model.graph import Choice, ColourOrder, Link, Task, TaskGraph, Visit
from scheduler.model.hours import Window
from scheduler.model.job import Job
from scheduler.model.material import Tape
from scheduler.model.message import Message, message
from scheduler.model.plan import Plan, PlannedStep
from scheduler.verifying.film import reached
from scheduler.verifying.overlap import Overlaps, Thing
from scheduler.wallclock import NEVER

Found = Iterator[tuple[str, Message]]
"""Pairs of (step, what is wrong), one for each place where a rule is broken."""

Check = Callable[["Evidence"], Found]
"""A rule: its docstring says what must hold, its name is the name of the rule."""

Key = TypeVar("Key", bound=Hashable)

Held = tuple[Span, PlannedStep]
"""A piece and the step it belongs to."""


@dataclass(frozen=True, kw_only=True)
class Evidence:
    """A plan and all that it must agree with. `chosen` has the option that the plan shows, for each choice.

    What several rules look for again and again is sorted once.
    """

    plan: Plan
    job: Job
    graph: TaskGraph
    windows: tuple[Window, ...]
    films: Mapping[str, FilmClocks]
    facts: Facts
    tape: Tape | None
    zone: ZoneInfo
    tasks: Mapping[str, Task]
    steps: Mapping[str, PlannedStep]
    chosen: tuple[ColourOrder, ...] = ()

    @property
    def choice_links(self) -> tuple[Link, ...]:
        """The links that hold because of the chosen options."""
        return tuple(link for option in self.chosen for link in option.links)

    @cached_property
    def links(self) -> tuple[Link, ...]:
        """Every link that holds, chosen ones included."""
        visited = tuple(link for visit in self.graph.visits for link in visit.then)
        return self.graph.links + self.choice_links + self.links_past_facts + visited

    @cached_property
    def links_past_facts(self) -> tuple[Link, ...]:
        """From each step that is not done to what the order of the job puts after it by way of facts.

        What those waited for, nobody asks them any more: whatever comes after them waits for it. So does the rest of
        a step that was begun before what it follows, if it can wait, and before a film under it was far enough.
        """
        out = gathered((link.before, link) for link in self.graph.links + self.choice_links)
        found: dict[Link, None] = {}
        for first in (link for link in self.graph.links + self.choice_links if link.before not in self.facts.done):
            ahead, seen = [first.after], {first.after}
            while ahead:
                name = ahead.pop()
                if not self.started(name) or self._can_wait(name):
                    if name != first.after or self.started(name):
                        plain = Link(before=first.before, after=name, stage=first.stage, wait=first.wait)
                        found[plain] = None
                    continue
                further = {link.after for link in out.get(name, ())} - seen
                ahead += sorted(further)
                seen |= further
        found |= dict.fromkeys(self._links_under_rests())
        return tuple(found)

    def _links_under_rests(self) -> Iterator[Link]:
        """From each film that is laid to the rest of a step that was begun on it."""
        for link in self.graph.links + self.choice_links:
            if link.stage is not None and link.after in self.facts.begun and self.started(link.before):
                yield Link(before=link.before, after=link.after, stage=link.stage, wait=link.wait)

    def _can_wait(self, name: str) -> bool:
        """Whether a step was begun that can be left for a while: no wet edge stands, no film dries."""
        task = self.tasks[name]
        return name in self.facts.begun and bool(task.smallest_piece) and not task.wet and task.film is None

    def links_into(self, name: str) -> list[Link]:
        """The links that hold and that a task follows."""
        return self._links_into.get(name, [])

    def links_mended(self, name: str) -> list[Link]:
        """The links that hold and whose remedy a task is."""
        return self._links_mended.get(name, [])

    @cached_property
    def _links_into(self) -> dict[str, list[Link]]:
        return gathered((link.after, link) for link in self.links)

    @cached_property
    def _links_mended(self) -> dict[str, list[Link]]:
        return gathered((link.remedy, link) for link in self.links if link.remedy is not None)

    def known(self) -> list[tuple[PlannedStep, Task]]:
        """Each step that has pieces, with its task; what the graph does not know is another rule's matter."""
        return self._known

    @cached_property
    def _known(self) -> list[tuple[PlannedStep, Task]]:
        return [(step, self.tasks[step.id]) for step in self.plan.steps if step.pieces and step.id in self.tasks]

    @cached_property
    def all_windows(self) -> Overlaps[Window]:
        """All work windows of the job."""
        return Overlaps((Span(window.start, window.end), window) for window in self.windows)

    @cached_property
    def stretches(self) -> dict[int, list[Window]]:
        """The windows of each stretch of work hours, by its number."""
        return gathered((window.session, window) for window in sorted(self.windows))

    @cached_property
    def all_pieces(self) -> Overlaps[PlannedStep]:
        """All pieces of the plan."""
        return Overlaps((piece, step) for step, _ in self.known() for piece in step.pieces)

    @cached_property
    def by_room(self) -> dict[str, list[tuple[PlannedStep, Task]]]:
        """What is known, room by room."""
        return gathered((task.room, (step, task)) for step, task in self.known())

    @cached_property
    def kept(self) -> frozenset[str]:
        """The shared things that some task keeps for longer than it works, or that are promised back in time."""
        kept = frozenset(keep.thing for task in self.tasks.values() for keep in task.keeps)
        return kept | {each.thing for each in self.job.at_most}

    @cached_property
    def visits(self) -> dict[str, Visit]:
        """The appointments, when the plan has them."""
        return {visit.id: visit for visit in self.graph.visits}

    def extras(self, name: str) -> list[Estimate]:
        """What the chosen options add to a task."""
        return self._extras.get(name, [])

    @cached_property
    def _extras(self) -> dict[str, list[Estimate]]:
        return gathered(entry for option in self.chosen for entry in option.extra)

    def idle(self, name: str) -> bool:
        """Whether a task has no work at all, so that a plan may leave it out."""
        return not self.tasks[name].work.planned and not any(extra.planned for extra in self.extras(name))

    def recorded(self, name: str) -> tuple[Span, ...]:
        """The pieces of a task that are facts."""
        if name in self.facts.done:
            return self.facts.done[name]
        return self.facts.begun[name][0] if name in self.facts.begun else ()

    def started(self, name: str) -> bool:
        """Whether the start of a task is a fact, which no plan can change any more."""
        return name in self.facts.done or bool(self.recorded(name))

    def planned(self, step: PlannedStep) -> tuple[Span, ...]:
        """The pieces that the plan itself decided on: all but the recorded ones. None of a step that is done."""
        if step.id in self.facts.done:
            return ()
        past = self.recorded(step.id)
        return tuple(piece for piece in step.pieces if piece not in past)

    def moment(self, name: str) -> Span | None:
        """From start to end of a task; None if it is not in the plan.

        A task without work may be left out of a plan. It then stands at the first minute that its links allow.
        """
        return self._moment(name, frozenset())

    def _moment(self, name: str, trail: frozenset[str]) -> Span | None:
        step = self.steps.get(name)
        if step and step.pieces:
            return Span(step.start, step.end)
        if (visit := self.visits.get(name)) is not None:
            return Span(visit.start, visit.end)
        if name in trail or name not in self.tasks or self.tasks[name].remedy_of or not self.idle(name):
            return None
        minute = self.job.start
        for link in self.links_into(name):
            before = self._moment(link.before, trail | {name})
            minute = max(minute, self._ready(link, before.end) if before else minute)
        return Span(minute, minute)

    def stage_at(self, name: str, stage: str) -> int | None:
        """When the film of a planned task is at a stage (or NEVER); None if it has no such stage."""
        moment = self.moment(name)
        clocks = self.films.get(name)
        if moment is None or clocks is None or stage not in clocks.stages:
            return None
        return reached(clocks.stages[stage], moment.end)

    def ready(self, link: Link) -> int | None:
        """From when on a link lets its follower start; None if what it follows is not in the plan."""
        before = self.moment(link.before)
        return None if before is None else self._ready(link, before.end)

    def _ready(self, link: Link, end: int) -> int:
        clocks = self.films.get(link.before)
        if link.stage and clocks and link.stage in clocks.stages:
            end = reached(clocks.stages[link.stage], end)
        return min(end + link.wait, NEVER)

    def latest(self, link: Link) -> int | None:
        """The last minute of a link's window; None if it has none, or one that does not end.

        A step without work that is left out of the plan begins no window: it might be done at any later time.
        """
        before = self.moment(link.before) if link.before in self.steps else None
        ends = [before.end + link.within] if before and link.within is not None else []
        clocks = self.films.get(link.closing)
        if before and link.until and clocks and link.until in clocks.stages:
            until = reached(clocks.stages[link.until], before.end)
            laying = self.tasks[link.after].work.planned if link.until == POT_LIFE else 0
            ends += [until - laying] if until < NEVER else []
        return min(ends, default=None)

    def missed(self, link: Link) -> bool:
        """Whether the follower starts after the window of the link, by the plan's own doing."""
        latest, after = self.latest(link), self.moment(link.after)
        return latest is not None and after is not None and after.start > latest

    def named(self, name: str) -> str:
        """What a message calls a task: its id, by which the plan knows the title; the title where it does not."""
        return name if name in self.steps or name not in self.tasks else self.tasks[name].title


def told(span: Span) -> Message:
    """From when to when."""
    return message("span", start=span.start, end=span.end)


def gathered(entries: Iterable[tuple[Key, Thing]]) -> dict[Key, list[Thing]]:
    """By key, all that stands under it, in order."""
    found: dict[Key, list[Thing]] = {}
    for key, thing in entries:
        found.setdefault(key, []).append(thing)
    return found


def decided(evidence: Evidence, choice: Choice) -> ColourOrder:
    """The option that the plan shows: the one whose leader starts first; in a tie, the one whose links hold."""
    options = choice.options
    first, second = (_leads_at(evidence, option.leader, frozenset()) for option in options)
    if first is not None and second is not None and first != second:
        return options[0] if first < second else options[1]
    return next((option for option in options if _links_hold(evidence, option)), options[0])


def _leads_at(evidence: Evidence, name: str, trail: frozenset[str]) -> int | None:
    """Start of a leader; where it is not in the plan for want of work, of the first task that follows it."""
    step = evidence.steps.get(name)
    if step and step.pieces:
        return step.start
    followers = {link.after for link in evidence.graph.links if link.before == name} - trail
    starts = [_leads_at(evidence, follower, trail | {name}) for follower in followers]
    return min((start for start in starts if start is not None), default=None)


def _links_hold(evidence: Evidence, option: ColourOrder) -> bool:
    return all(holds(evidence, link) for link in option.links)


def holds(evidence: Evidence, link: Link) -> bool:
    """Whether the follower starts no earlier than the link allows. A start that is a fact always holds."""
    ready, after = evidence.ready(link), evidence.moment(link.after)
    return ready is None or after is None or evidence.started(link.after) or after.start >= ready


def minutes_inside(evidence: Evidence, start: int, end: int) -> int:
    """Work minutes of the windows between two moments."""
    inside = evidence.all_windows.touching(start, end)
    return sum(max(0, min(window.end, end) - max(window.start, start)) for _, window in inside)
