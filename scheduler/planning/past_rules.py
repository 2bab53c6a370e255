"""Which rules of the trade were broken by what has happened: facts, which no plan can change any more. Pure.

Only what is recorded is judged, and only against what is recorded: a step that was begun before the film under it was
ready, or after its window; dust over a wet film; a wet step in dust; work in a closed room, in unfit air, or without
the thing that it needs. A rule that was broken and has been mended since (the room was wiped down once more after the
dust that came too late) is no longer told.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from zoneinfo import ZoneInfo

from scheduler.model.basics import POT_LIFE, Span
from scheduler.model.broken import PastBreak
from scheduler.model.clock import FilmClocks
from scheduler.model.facts import Facts
from scheduler.model.graph import Choice, ColourOrder, Link, Task, TaskGraph
from scheduler.model.job import Item
from scheduler.planning.encode import there_from
from scheduler.wallclock import NEVER

_GO_ON = ("recoat", "paint_over", "dust_free")
"""The stage at which work goes on over a film: the first of these that it has."""


def past_breaks(
    graph: TaskGraph, facts: Facts, films: Mapping[str, FilmClocks], items: tuple[Item, ...], zone: ZoneInfo
) -> tuple[PastBreak, ...]:
    """Every rule that the record shows broken, in the order in which the steps were begun."""
    past = _Past(graph, facts, films, items, zone)
    found: dict[tuple[str, str, str], PastBreak] = {}
    for rule in (_followed, _dust_over_wet, _wet_over_dust, _closed, _air, _items):
        for each in rule(past):
            found.setdefault((each.rule, each.step, each.other), each)
    return tuple(sorted(found.values(), key=lambda each: (each.began, each.step, each.rule, each.other)))


@dataclass(frozen=True)
class _Past:
    """The record beside what it is judged by."""

    graph: TaskGraph
    facts: Facts
    films: Mapping[str, FilmClocks]
    items: tuple[Item, ...]
    zone: ZoneInfo

    @cached_property
    def tasks(self) -> Mapping[str, Task]:
        """All tasks by id."""
        return {task.id: task for task in self.graph.tasks}

    @cached_property
    def pieces(self) -> Mapping[str, tuple[Span, ...]]:
        """When each recorded task was worked on."""
        begun = {name: pieces for name, (pieces, _) in self.facts.begun.items()}
        whole = {**begun, **self.facts.done}
        return {name: pieces for name, pieces in whole.items() if pieces and name in self.tasks}

    def recorded(self) -> Iterator[tuple[Task, tuple[Span, ...]]]:
        """What was done or begun, with its pieces."""
        return ((self.tasks[name], pieces) for name, pieces in self.pieces.items())

    def over(self, name: str) -> int | None:
        """When a task ended; None if it is not over by the record."""
        return self.pieces[name][-1].end if name in self.facts.done and name in self.pieces else None

    def stage(self, name: str, stage: str) -> int | None:
        """When the film that a task has laid is at a stage (or NEVER); None if it has no such stage."""
        clocks = self.films.get(name)
        if clocks is None or stage not in clocks.stages or name not in self.pieces:
            return None
        return clocks.stages[stage].ready(self.pieces[name][-1].end)

    def closed(self, link: Link, over: int) -> int | None:
        """When the window of a link closes (or NEVER) for whoever follows what was over then; None without its film.

        What lays a batch is to be over in the pot life: it begins as much earlier as it takes.
        """
        clocks, stage = self.films.get(link.closing), link.until or ""
        if clocks is None or stage not in clocks.stages:
            return None
        laying = self.tasks[link.after].work.planned if link.until == POT_LIFE else 0
        return clocks.stages[stage].ready(over) - laying

    def dry(self, *names: str) -> int | None:
        """From when on work may go on over these films; None without any, or if that is never."""
        found = [
            next((minute for stage in _GO_ON if (minute := self.stage(name, stage)) is not None), None)
            for name in names
        ]
        last = max((minute for minute in found if minute is not None), default=NEVER)
        return None if last >= NEVER else last

    @cached_property
    def links(self) -> Mapping[str, list[Link]]:
        """The links that hold, by the task that follows: of a choice those of the side that was begun first."""
        chosen = (link for choice in self.graph.choices if (one := self._taken(choice)) for link in one.links)
        found: dict[str, list[Link]] = {}
        for link in (*self.graph.links, *chosen):
            found.setdefault(link.after, []).append(link)
        return found

    @cached_property
    def taped(self) -> frozenset[str]:
        """The tasks to which the sides of choices that hold add work: taping along a border."""
        taken = (option for choice in self.graph.choices if (option := self._taken(choice)))
        return frozenset(name for option in taken for name, work in option.extra if work.planned)

    def _taken(self, choice: Choice) -> ColourOrder | None:
        """The side that was begun first. Before that, of the one that the record leaves: where something
        stands already that should have waited for the other side; where both have it so, as the plan takes it.
        """
        begun: list[tuple[int, ColourOrder]] = [
            (self.pieces[option.leader][0].start, option) for option in choice.options if option.leader in self.pieces
        ]
        if begun:
            return min(begun, key=lambda entry: entry[0])[1]
        refuted = [
            any(link.after in self.pieces and link.before not in self.facts.done for link in option.links)
            for option in choice.options
        ]
        return choice.options[int(refuted[0])] if any(refuted) else None

    def followed(self, name: str) -> Iterator[Link]:
        """What a task follows; in place of what is no work at all (nothing to tape off, say) what that follows."""
        for link in self.links.get(name, ()):
            before = self.tasks[link.before]
            works = before.work.planned or before.id in self.taped
            if link.before in self.pieces or (works and before.remedy_of is None):
                yield link
            elif before.remedy_of is None:
                yield from self.followed(before.id)


def _followed(past: _Past) -> Iterator[PastBreak]:
    """A step begins when what it follows is over and its film at the named stage, and within its window."""
    for task, pieces in past.recorded():
        began = pieces[0].start
        for link in past.followed(task.id):
            before, over = past.tasks[link.before], past.over(link.before)
            if over is None or over > began:
                called_for = before.added is not None and link.before not in past.pieces
                if not called_for and not _wiped_since(past, before, task, over):
                    yield PastBreak(
                        rule="out of order",
                        step=task.id,
                        other=before.id,
                        began=began,
                        since=over,
                        right=over,
                        dry=past.dry(before.id, task.id) if over is not None else None,
                    )
                continue
            yield from _in_time(past, link, task, began, over)


def _in_time(past: _Past, link: Link, task: Task, began: int, over: int) -> Iterator[PastBreak]:
    """Not before the stage and the wait, nor after the window without its remedy."""
    reached = over if link.stage is None else past.stage(link.before, link.stage)
    ready = NEVER if reached is None else min(NEVER, reached + link.wait)
    if began < ready:
        yield PastBreak(
            rule="wait not kept" if link.stage is None else "stage not reached",
            step=task.id,
            other=link.before,
            began=began,
            since=over,
            right=ready if ready < NEVER else None,
            stage=link.stage,
            dry=_later(past.dry(link.before, task.id), ready),
        )
    ends = [over + link.within] if link.within is not None else []
    until = None if link.until is None else past.closed(link, over)
    latest = min(ends if until is None else [*ends, until], default=NEVER)
    if began > latest and not _mended(past, link, over, began):
        yield PastBreak(
            rule="missed window",
            step=task.id,
            other=link.before,
            began=began,
            since=over,
            right=latest,
            stage=link.until,
            dry=past.dry(task.id),
        )


def _later(one: int | None, other: int) -> int | None:
    return None if one is None or other >= NEVER else max(one, other)


def _mended(past: _Past, link: Link, over: int, began: int) -> bool:
    """Whether the remedy for a missed window was done between the two steps."""
    done = None if link.remedy is None else past.over(link.remedy)
    return done is not None and over <= done <= began


def _wiped_since(past: _Past, before: Task, after: Task, over: int | None) -> bool:
    """Whether dust that came after its wipe-down has been wiped up by another one."""
    if not (before.dusty and after.wipes and over is not None):
        return False
    return any(
        task.wipes and task.room == before.room and past.over(task.id) is not None and pieces[0].start >= over
        for task, pieces in past.recorded()
    )


def _dust_over_wet(past: _Past) -> Iterator[PastBreak]:
    """From the start of a wet step until its film is `dust_free`, nothing dusty runs in its room."""
    dusty = [(task, pieces) for task, pieces in past.recorded() if task.dusty]
    for wet, laid in past.recorded():
        if not wet.wet:
            continue
        free = past.stage(wet.id, "dust_free")
        tacky = max(laid[-1].end, free or 0)
        for task, pieces in dusty:
            piece = next((p for p in pieces if p.start < tacky and laid[0].start < p.end), None)
            if task.id != wet.id and task.room == wet.room and piece is not None:
                yield PastBreak(
                    rule="dust over wet film",
                    step=task.id,
                    other=wet.id,
                    began=piece.start,
                    since=past.over(wet.id),
                    right=tacky if tacky < NEVER else None,
                    stage=None if free is None else "dust_free",
                    dry=past.dry(wet.id),
                )


def _wet_over_dust(past: _Past) -> Iterator[PastBreak]:
    """After dust in a room a wipe-down runs, from its start to its end, before anything wet begins there.

    Of several that left their dust the last one is named.
    """
    for wet, laid in past.recorded():
        if not wet.wet or wet.wipes:
            continue
        began = laid[0].start
        wiped = [
            pieces[0].start
            for task, pieces in past.recorded()
            if task.wipes and task.room == wet.room and (over := past.over(task.id)) is not None and over <= began
        ]
        dust = [
            (piece.end, task.id)
            for task, pieces in past.recorded()
            if task.dusty and task.room == wet.room and task.id != wet.id
            for piece in pieces
            if piece.end <= began
            and piece.end > max(wiped, default=-NEVER)
            and not (task.wipes and (over := past.over(task.id)) is not None and over <= began)
        ]
        if dust:
            end, name = max(dust)
            yield PastBreak(
                rule="wet over dust", step=wet.id, other=name, began=began, since=end, dry=past.dry(wet.id)
            )


def _closed(past: _Past) -> Iterator[PastBreak]:
    """Nobody else works in a room from the start of a step that closes it until its film is at the named stage."""
    for name, stage in past.graph.closed.items():
        if name not in past.pieces:
            continue
        laid = past.pieces[name]
        opened = past.stage(name, stage)
        until = max(laid[-1].end, opened or 0)
        for task, pieces in past.recorded():
            piece = next((p for p in pieces if p.start < until and laid[0].start < p.end), None)
            if task.id != name and task.room == past.tasks[name].room and piece is not None:
                yield PastBreak(
                    rule="closed room",
                    step=task.id,
                    other=name,
                    began=piece.start,
                    since=past.over(name),
                    right=until if until < NEVER else None,
                    stage=stage,
                    dry=past.dry(name),
                )


def _air(past: _Past) -> Iterator[PastBreak]:
    """A film is laid in air that is fit for it, from its start until the stage up to which it must stay so."""
    for task, pieces in past.recorded():
        clocks = past.films.get(task.id)
        if clocks is None or clocks.fit is None:
            continue
        held = past.stage(task.id, clocks.hold_until) if clocks.hold_until else None
        until = pieces[-1].end if held is None else held
        if until >= NEVER or not any(span.start <= pieces[0].start and until <= span.end for span in clocks.fit):
            yield PastBreak(
                rule="outside air limits",
                step=task.id,
                other="",
                began=pieces[0].start,
                since=past.over(task.id),
                right=until if until < NEVER else None,
                stage=clocks.hold_until,
                dry=past.dry(task.id),
            )


def _items(past: _Past) -> Iterator[PastBreak]:
    """A step that needs an ordered item begins after it is there, from the beginning of that day."""
    items = {item.id: item for item in past.items}
    for task, pieces in past.recorded():
        for need in task.needs:
            there = there_from(items[need], past.zone) if need in items else -NEVER
            if pieces[0].start < there:
                yield PastBreak(
                    rule="item not there yet",
                    step=task.id,
                    other=need,
                    began=pieces[0].start,
                    right=there if there < NEVER else None,
                )
