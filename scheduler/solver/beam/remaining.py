"""What a schedule has not placed yet, held against a finish: by how much it comes late, as far as hours go."""

from __future__ import annotations

from collections.abc import Iterator

from scheduler.solver.energy import lateness
from scheduler.solver.generation import Schedule
from scheduler.solver.network import LONG_AGO, Network
from scheduler.solver.proof.state import BACK, FORE, State
from scheduler.wallclock import NEVER

Work = tuple[int, int, int]
"""Head, deadline and amount, in resource minutes."""

NO_ROOM: Work = (0, -1, NEVER)


class Leftover:
    """What is left of one problem, in minutes of one resource, with the heads and latest ends that a look found."""

    def __init__(self, state: State, resource: int, network: Network) -> None:
        activities = state.question.problem.activities
        self.activities = activities
        self.optional = [activity.optional for activity in activities]
        self.network = network
        self.order = network.ordered([0.0] * len(activities))
        self.takes = [activity.demand[resource] for activity in activities]
        self.place = state.question.directions[FORE].place
        self.before = state.question.supplies[FORE][resource].before
        self.heads = state.start[FORE]
        latest = [-at if at > LONG_AGO else NEVER for at in state.start[BACK]]
        self.deadlines = [self.before(at) if at < NEVER else NEVER for at in latest]
        self.finish = max((at for at in latest if at < NEVER), default=NEVER)

    def allowed(self, known_finish: int) -> int:
        """By how much something may come late if all is to be done before a known finish."""
        return NEVER if known_finish >= NEVER else self.before(known_finish - 1) - self.before(self.finish)

    def lateness(self, schedule: Schedule, at: int) -> int:
        """By how much something misses its latest end at least, if all that is left is done from a minute on.

        What is left is taken to be cut as one likes, once all that it waits for could have been done with nothing
        else in its way. If nothing does, 0.
        """
        before = self.before
        placed = (
            before(end) - deadline
            for end, deadline, spans in zip(schedule.ends, self.deadlines, schedule.pieces, strict=True)
            if spans
        )
        return max(0, lateness(list(self._wanting(schedule, at))), *placed)

    def _wanting(self, schedule: Schedule, at: int) -> Iterator[Work]:
        """Head, deadline and amount of all that is still to be done: what has its place already has no choice."""
        before, takes, optional, pieces = self.before, self.takes, self.optional, schedule.pieces
        heads, least, minutes, ends = self.heads, schedule.at_least, schedule.left, schedule.ends[:]
        for i in self.order:
            spans = pieces[i]
            if spans is None:
                if not optional[i]:
                    found = self._soonest(i, max(heads[i], at, least[i]), minutes[i], ends)
                    if found is None:
                        yield NO_ROOM
                        return
                    ends[i] = found[1]
                    if takes[i]:
                        yield self._open(schedule, i, found[0])
            elif spans and ends[i] > at and takes[i]:
                for begin, end in spans:
                    if end > at:
                        yield before(max(begin, at)), before(end), (end - max(begin, at)) * takes[i]

    def _soonest(self, i: int, start: int, minutes: int, ends: list[int]) -> tuple[int, int] | None:
        """Start and end of so many minutes of one at the soonest from a start on, after what it waits for."""
        network = self.network
        for before, lag in network.lags[i]:
            when = ends[before] + lag
            if when > start:  # noqa: PLR1730 - twice as fast as max(), millions of times
                start = when
        for before, ready in network.clocked[i]:
            when = ready[ends[before]]
            if when > start:  # noqa: PLR1730
                start = when
        return self.place(i, start, minutes) if minutes else (start, start)

    def _open(self, schedule: Schedule, i: int, head: int) -> Work:
        """The same of one that has no place yet. Its deadline keeps a window; one that is missed adds the remedy."""
        amount, deadline = schedule.left[i] * self.takes[i], self.deadlines[i]
        if i in schedule.begun:
            return self.before(head), deadline, amount
        for wait, until in self.network.limited[i]:
            end = schedule.ends[wait.before]
            if end <= LONG_AGO or (wait.remedy is not None and schedule.pieces[wait.remedy] is not None):
                continue
            if until[end] >= head:
                deadline = min(deadline, self.before(until[end]) + amount)
            elif wait.remedy is not None:
                amount += self.activities[wait.remedy].minutes * self.takes[wait.remedy]
        return self.before(head), deadline, amount
