"""A case for the planner, and the means to write a whole plan from nothing but the pieces of its steps."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from typing import Any

from scheduler.model.basics import Span
from scheduler.model.broken import Broken
from scheduler.model.clock import FilmClocks
from scheduler.model.facts import Facts
from scheduler.model.graph import Link, Task, TaskGraph
from scheduler.model.hours import Window
from scheduler.model.job import Item, Job
from scheduler.model.material import Tape
from scheduler.model.message import message
from scheduler.model.plan import Bound, Plan, PlannedFilm, PlannedItem, PlannedStep, Ready, Session
from scheduler.verifying import verify
from scheduler.wallclock import NEVER

Pieces = Mapping[str, tuple[Span, ...]]


@dataclass(frozen=True, kw_only=True, repr=False)
class Case:
    """What a plan is made from, and what it is held against."""

    job: Job
    graph: TaskGraph
    windows: tuple[Window, ...]
    films: Mapping[str, FilmClocks]
    facts: Facts

    def __repr__(self) -> str:
        """The steps and how far they are: all of a case are a thousand lines, which nobody reads."""
        tasks = ", ".join(f"{task.id} {task.title} {task.work.planned} min" for task in self.graph.tasks)
        return f"<case as of {self.facts.now}: {tasks}; {len(self.graph.links)} links, {len(self.facts.done)} done>"

    def _repr_pretty_(self, printer: Any, cycle: bool) -> None:
        """What a falsifying example prints of it: hypothesis would print all of it, field by field."""
        printer.text(repr(self))

    def broken(self, plan: Plan, tape: Tape | None = None) -> tuple[Broken, ...]:
        """What the verifier says of a plan for this case."""
        return verify(plan, self.job, self.graph, self.windows, self.films, self.facts, tape)

    def task(self, name: str, **change: object) -> Case:
        """This case with one task changed."""
        tasks = tuple(replace(task, **change) if task.id == name else task for task in self.graph.tasks)  # type: ignore[arg-type]
        return replace(self, graph=replace(self.graph, tasks=tasks))


def written(case: Case, pieces: Pieces, chosen: Mapping[str, str]) -> Plan:
    """The plan with these pieces, all that follows from them worked out. Says nothing of whether it is sound."""
    links = case.graph.links + tuple(
        link
        for choice in case.graph.choices
        for option in choice.options
        if option.name == chosen[choice.id]
        for link in option.links
    )
    steps = tuple(
        _step(case, case.graph.task(name), pieces, links) for name in sorted(pieces, key=lambda name: pieces[name])
    )
    sessions = _sessions(case, steps)
    finish = max(step.end for step in steps)
    used = [window for window in case.windows if any(s.start <= window.start < s.end for s in sessions)]
    return Plan(
        job_id=case.job.id,
        job=case.job.name,
        zone=case.job.zone,
        clock24=case.job.clock24,
        metric=case.job.metric,
        as_of=case.facts.now,
        seed=0,
        finish=finish,
        usable=_last(steps, "use", finish),
        cured=_last(steps, "full", finish),
        bound=Bound(finish_not_before=case.facts.now, proven=False),
        placements_tried=1,
        windows=tuple(w for w in case.windows if used and used[0].start <= w.start <= used[-1].start),
        sessions=sessions,
        steps=steps,
        items=tuple(_told_item(item) for item in case.job.items),
        warnings=(),
    )


def _step(case: Case, task: Task, pieces: Pieces, links: tuple[Link, ...]) -> PlannedStep:
    mine = pieces[task.id]
    state = "done" if task.id in case.facts.done else "under way" if task.id in case.facts.begun else "planned"
    labour = sum(piece.minutes for piece in mine)
    return PlannedStep(
        id=task.id,
        title=task.title,
        room=task.room,
        room_title=next(room.title for room in case.job.rooms if room.id == task.room),
        state=state,
        people=task.people,
        labour=labour,
        can_pause=task.smallest_piece is not None,
        smallest_piece=labour if task.smallest_piece is None else task.smallest_piece,
        pieces=mine,
        dusty=task.dusty,
        noisy=task.noisy,
        wet=task.wet,
        wipes=task.wipes,
        takes=task.takes,
        after=tuple(
            _wait(case, link, pieces[link.before][-1].end)
            for link in links
            if link.after == task.id and link.before in pieces
        ),
        needs=task.needs,
        film=_told_film(case, task, mine[-1].end),
        held=message("held.nothing"),
        holder=None,
        added=task.added,
        cautions=task.cautions,
    )


def _told_item(item: Item) -> PlannedItem:
    return PlannedItem(
        item=item.id,
        title=item.title,
        expected=item.expected,
        arrived=item.arrived,
        order_by=None,
        needed=None,
        holds=(),
    )


def _wait(case: Case, link: Link, end: int) -> Ready:
    stages = case.films[link.before].stages if link.before in case.films else {}
    ready = stages[link.stage].ready(end) if link.stage else end
    ends = [end + link.within] if link.within is not None else []
    ends += [stages[link.until].ready(end)] if link.until else []
    latest = min((minute for minute in ends if minute < NEVER), default=None)
    return Ready(step=link.before, stage=link.stage or "end", ready=ready + link.wait, latest=latest)


def _told_film(case: Case, task: Task, end: int) -> PlannedFilm | None:
    if task.film is None:
        return None
    clocks = case.films[task.id]
    stages = {stage: clock.ready(end) for stage, clock in clocks.stages.items()}
    return PlannedFilm(
        material=task.film.material,
        material_title=task.film.material,
        coat=task.film.coat,
        thickness_factor=clocks.factor,
        stages={stage: minute for stage, minute in stages.items() if minute < NEVER},
    )


def _sessions(case: Case, steps: tuple[PlannedStep, ...]) -> tuple[Session, ...]:
    """Each stretch of work hours in which something runs, as long as it is."""
    sessions: list[Session] = []
    for stretch in dict.fromkeys(window.session for window in case.windows):
        windows = [window for window in case.windows if window.session == stretch]
        span = Span(windows[0].start, windows[-1].end)
        runs = sorted(
            (piece.start, step.id)
            for step in steps
            for piece in step.pieces
            if piece.start < span.end and span.start < piece.end
        )
        if runs:
            people = max(window.people for window in windows)
            names = tuple(dict.fromkeys(name for _, name in runs))
            sessions.append(
                Session(number=len(sessions) + 1, start=span.start, end=span.end, people=people, steps=names)
            )
    return tuple(sessions)


def _last(steps: tuple[PlannedStep, ...], stage: str, finish: int) -> int:
    films = [step.film for step in steps if step.film]
    return max((film.stages[stage] for film in films if stage in film.stages), default=finish)
