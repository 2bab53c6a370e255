"""What a job promises: the day by which it, a room or a step is done, and how long a thing is out of use at most."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from datetime import date

from scheduler.errors import Place
from scheduler.model.graph import Task
from scheduler.model.job import Job


@dataclass(frozen=True, slots=True, kw_only=True)
class Promised:
    """One promise: `day` for the whole job, or for a `room`, or for a `step`; or a `thing` out of use for `minutes`
    at most, in one stretch or `in_all`."""

    room: str | None = None
    step: str | None = None
    thing: str | None = None
    day: date | None = None
    minutes: int = 0
    in_all: bool = False
    place: Place | None = field(default=None, compare=False)

    def is_about(self, task: Task) -> bool:
        """Whether a task must be done for it."""
        if self.thing is not None:
            return False
        return (self.room is None or task.room == self.room) and (self.step is None or task.id == self.step)

    @property
    def whole(self) -> bool:
        """Whether it is about the whole job."""
        return self.room is None and self.step is None and self.thing is None


def promises_of(job: Job) -> Iterator[Promised]:
    """The promises of a job: of the whole, of rooms, of steps, of things, each in the order of the file."""
    if job.done_by is not None:
        yield Promised(day=job.done_by)
    for room in job.rooms:
        if room.done_by is not None:
            yield Promised(room=room.id, day=room.done_by, place=room.place)
    for step in job.steps:
        if step.done_by is not None:
            yield Promised(step=step.id, day=step.done_by, place=step.place)
    for each in job.at_most:
        yield Promised(thing=each.thing, minutes=each.minutes, in_all=each.in_all, place=each.place)
