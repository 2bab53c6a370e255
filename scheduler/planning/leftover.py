"""What a schedule has not placed yet, held against a finish: by how much it comes late, as far as hours go."""

from __future__ import annotations

from collections.abc import Iterator

from scheduler.planning.known import BACK, FORE, State
from scheduler.planning.network import LONG_AGO
from scheduler.planning.schedule import Schedule
from scheduler.planning.workload import lateness
from scheduler.wallclock import NEVER


class Leftover:
    """What is left of one problem, in minutes of one resource, with the heads and latest ends that a look found."""

    def __init__(self, state: State, resource: int) -> None:
        activities = state.question.problem.activities
        self.activities = activities
        self.takes = [activity.demand[resource] for activity in activities]
        self.before = state.question.supplies[FORE][resource].before
        self.heads = state.start[FORE]
        latest = ((-at if at > LONG_AGO else NEVER) for at in state.start[BACK])
        self.deadlines = [self.before(at) if at < NEVER else NEVER for at in latest]

    def lateness(self, schedule: Schedule, at: int) -> int:
        """By how much something misses its latest end at least, if all that is left is done from a minute on.

        What is left is taken to be cut as one likes, and to wait only for what is placed already. If it is none, 0.
        """
        placed = (
            self.before(spans[-1].end) - deadline
            for spans, deadline in zip(schedule.pieces, self.deadlines, strict=True)
            if spans
        )
        return max(0, lateness(list(self._wanting(schedule, at))), *placed)

    def _wanting(self, schedule: Schedule, at: int) -> Iterator[tuple[int, int, int]]:
        """Head, deadline and amount of all that is still to be done: what has its place already has no choice."""
        before = self.before
        for i, takes in enumerate(self.takes):
            spans = schedule.pieces[i]
            if not takes:
                continue
            if spans is None:
                if not self.activities[i].optional:
                    yield self._open(schedule, i, at)
            elif spans and spans[-1].end > at:
                for begin, end in spans:
                    if end > at:
                        head, done = before(max(begin, at)), before(end)
                        yield head, done, done - head

    def _open(self, schedule: Schedule, i: int, at: int) -> tuple[int, int, int]:
        """The same of one that has no place yet. Its deadline keeps a window; one that is missed adds the remedy."""
        network = schedule.network
        head = max(self.heads[i], at, schedule.earliest(i))
        amount, deadline = network.minutes[i] * self.takes[i], self.deadlines[i]
        for wait, until in network.limited[i]:
            end = schedule.ends[wait.before]
            if end <= LONG_AGO or (wait.remedy is not None and schedule.pieces[wait.remedy] is not None):
                continue
            if until[end] >= head:
                deadline = min(deadline, self.before(until[end]) + amount)
            elif wait.remedy is not None:
                amount += self.activities[wait.remedy].minutes * self.takes[wait.remedy]
        return self.before(head), deadline, amount
