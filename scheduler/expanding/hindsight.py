"""What the record adds to the work: dust that was made out of turn is wiped up all the same.

Where a room was wiped down before the dust, it is wiped down again after it. Where dust lies already and wet work
comes before any wipe-down that is still to be done, it is wiped down at once.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from itertools import chain

from scheduler.model.basics import Span
from scheduler.model.graph import Link, Task, TaskGraph

Pieces = Mapping[str, Sequence[Span]]
"""When the tasks that were done, or begun, were worked on."""

AGAIN, AT_ONCE = "again", "at once"


def in_hindsight(graph: TaskGraph, done: Pieces, begun: Mapping[str, tuple[Sequence[Span], int]]) -> TaskGraph:
    """The graph with the wipe-downs that the record calls for.

    What has been recorded of such a wipe-down stays in the job, whatever is taken back later.
    """
    recorded = {**done, **{name: pieces for name, (pieces, _) in begun.items()}}
    usual = [task for task in graph.tasks if task.wipes and task.remedy_of is None]
    while recorded:  # what is added may call for more
        dust = _Dust(graph, done, recorded)
        added = next(chain(dust.wiped_again(), dust.wiped_at_once(usual)), None)
        if added is None:
            break
        first, more, links = added
        at = dust.places[first] + 1
        tasks = (*graph.tasks[:at], more, *graph.tasks[at:])
        graph = replace(graph, tasks=tasks, links=(*graph.links, *links))
    return graph


Added = tuple[str, Task, tuple[Link, ...]]
"""The wipe-down after which another one stands in the job, that one, and its links."""


class _Dust:
    """Which dust lies where it should not. Sets of tasks are whole numbers, a bit for each."""

    def __init__(self, graph: TaskGraph, done: Pieces, recorded: Pieces) -> None:
        self.graph, self.done, self.recorded = graph, done, recorded
        self.places = {task.id: at for at, task in enumerate(graph.tasks)}
        self.wiping = [task for task in graph.tasks if task.wipes and task.remedy_of is None]
        self.dusty = [task for task in graph.tasks if task.dusty and task.work.planned and task.remedy_of is None]
        self.ahead = [0] * len(graph.tasks)
        for link in sorted(graph.links, key=lambda link: self.places[link.before]):  # what comes before is complete
            before = self.places[link.before]
            self.ahead[self.places[link.after]] |= self.ahead[before] | 1 << before

    def wiped_again(self) -> Iterator[Added]:
        """For each wipe-down that was recorded too soon, another one in its place."""
        for task in self.wiping:
            again = _another(task, AGAIN)
            late = self._late(task) if task.id in self.recorded else None
            if again.id in self.places or (late is None and again.id not in self.recorded):
                continue
            dust = f"the dust of “{late.title}”" if late is not None else "dust"
            reason = f"“{task.title}” is recorded, and {dust} comes after it."
            yield task.id, replace(again, remedy_reason=reason), tuple(self._in_place_of(task.id, again.id))

    def _late(self, wiping: Task) -> Task | None:
        """The first task whose dust that one was to wipe up, and which was not over when that began."""
        ahead, begin = self.ahead[self.places[wiping.id]], self.recorded[wiping.id][0].start
        for task in self.dusty:
            over = task.id in self.done and self.done[task.id][-1].end <= begin
            if not over and task.room == wiping.room and ahead >> self.places[task.id] & 1:
                return task
        return None

    def _in_place_of(self, first: str, again: str) -> Iterator[Link]:
        """What it follows, and what follows it, holds for the other one too; windows are no affair of dust."""
        for link in self.graph.links:
            if link.after == first:
                yield Link(before=link.before, after=again, stage=link.stage, wait=link.wait)
            elif link.before == first:
                yield Link(before=again, after=link.after, wait=link.wait)

    def wiped_at_once(self, usual: Sequence[Task]) -> Iterator[Added]:
        """For dust that lies in a room now: another one like the wipe-down that was to follow it."""
        for task in usual:
            more = _another(task, AT_ONCE)
            while more.id in self.places and more.id in self.recorded:
                more = _another(more, AGAIN)
            why = self._wanted_at_once(task)
            if more.id not in self.places and (why is not None or more.id in self.recorded):
                yield task.id, replace(more, remedy_reason=why or "Dust lay there, and wet work came first."), ()

    def _wanted_at_once(self, wiping: Task) -> str | None:
        """Why dust cannot wait for any wipe-down of the job; None if it can, or if this is not the first after it."""
        inside = [task for task in self.graph.tasks if task.room == wiping.room]
        wet = [task for task in inside if task.wet and task.remedy_of is None and task.id not in self.recorded]
        before = sum(1 << self.places[task.id] for task in wet)
        dust = self._lying(inside, before)
        if dust is None or wiping is not self._first_after(dust):
            return None
        ready = [task for task in inside if task.wipes and task.remedy_of is None and task.id not in self.recorded]
        if not wet or any(not self.ahead[self.places[task.id]] & before for task in ready):
            return None
        return f"The dust of “{dust.title}” lies there, and “{wet[0].title}” comes before any other wipe-down."

    def _lying(self, inside: Sequence[Task], wet: int) -> Task | None:
        """The task of a room whose dust was the last to fall, if nothing that is recorded has wiped it up.

        Nor will what is left of a wipe-down that was begun, if that has to wait for something `wet`.
        """
        here = [task for task in inside if task.id in self.recorded]
        makers = [task for task in here if task.dusty and not task.wipes]
        last = max(makers, key=lambda task: self.recorded[task.id][-1].end, default=None)
        if last is None:
            return None
        fell = self.recorded[last.id][-1].end
        wiping = [task for task in here if task.wipes and self.recorded[task.id][0].start >= fell]
        over = any(task.id in self.done or not self.ahead[self.places[task.id]] & wet for task in wiping)
        return None if over else last

    def _first_after(self, dust: Task) -> Task | None:
        """The first wipe-down that was to follow it, else the last of its room."""
        mine = [task for task in self.wiping if task.room == dust.room]
        after = [task for task in mine if self.ahead[self.places[task.id]] >> self.places[dust.id] & 1]
        return next(iter([*after, *mine[-1:]]), None)


def _another(wiping: Task, which: str) -> Task:
    """One more wipe-down like that, with nothing wet about it."""
    name = f"{wiping.id}-{which.replace(' ', '-')}"
    return replace(wiping, id=name, title=f"{wiping.title}, {which}", wet=False, film=None, remedy_reason="")
