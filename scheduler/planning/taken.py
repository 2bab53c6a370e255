"""When every shared thing is taken in a plan, and every room that a film closes."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from scheduler.model.clock import FilmClocks
from scheduler.model.graph import Task, TaskGraph
from scheduler.model.job import Job
from scheduler.model.keep import Keep
from scheduler.model.plan import PlannedStep, PlannedThing, Taken
from scheduler.wallclock import NEVER


def things_taken(
    job: Job,
    graph: TaskGraph,
    films: Mapping[str, FilmClocks],
    steps: Sequence[PlannedStep],
    warming: Iterable[tuple[str, Taken]] = (),
) -> tuple[PlannedThing, ...]:
    """The shared things in the order of the job, then the rooms that are closed, each with what is taken of it.

    `warming` is what things warm rooms by.
    """
    tasks = {task.id: task for task in graph.tasks}
    spans = {step.id: (step.start, step.end) for step in steps}
    spans |= {visit.id: (visit.start, visit.end) for visit in graph.visits}
    by_thing: dict[str, list[Taken]] = {thing.id: [] for thing in job.things}
    for thing, taken in warming:
        by_thing.setdefault(thing, []).append(taken)
    rooms: dict[str, list[Taken]] = {}
    for step in steps:
        for thing, taken in _taken(step, tasks[step.id], films, spans):
            by_thing.setdefault(thing, []).append(taken)
        if step.id in graph.closed:
            stage = graph.closed[step.id]
            until = max(step.end, films[step.id].stages[stage].ready(step.end))
            closed = Taken(start=step.start, until=until, by=step.id, amount=1, stage=stage)
            rooms.setdefault(step.room, []).append(closed)
    counts = {thing.id: thing.count for thing in job.things}
    return (
        *(
            PlannedThing(thing=name, places=counts.get(name, 1), taken=_in_order(each))
            for name, each in by_thing.items()
        ),
        *(PlannedThing(thing=name, places=1, taken=_in_order(rooms[name]), room=True) for name in sorted(rooms)),
    )


def _in_order(taken: Sequence[Taken]) -> tuple[Taken, ...]:
    return tuple(sorted(taken, key=lambda each: (each.start, each.until, each.by)))


def _taken(
    step: PlannedStep, task: Task, films: Mapping[str, FilmClocks], spans: Mapping[str, tuple[int, int]]
) -> Iterator[tuple[str, Taken]]:
    keeps = {keep.thing: keep for keep in task.keeps}
    for thing, amount in task.takes:
        keep = keeps.get(thing)
        if keep is None:
            for piece in step.pieces:
                yield thing, Taken(start=piece.start, until=piece.end, by=step.id, amount=amount)
        else:
            until = max(step.end, _back(step, keep, films, spans))
            yield (
                thing,
                Taken(start=step.start, until=until, by=step.id, amount=amount, stage=keep.stage, giver=keep.step),
            )


def _back(
    step: PlannedStep, keep: Keep, films: Mapping[str, FilmClocks], spans: Mapping[str, tuple[int, int]]
) -> int:
    """When it is given back; NEVER if that is not known."""
    if keep.stage is not None:
        return films[step.id].stages[keep.stage].ready(step.end)
    if keep.step is not None:
        start, end = spans.get(keep.step, (NEVER, NEVER))
        return start if keep.at_start else end
    return step.start + keep.minutes
