"""Where a schedule got stuck, and what is learned from that before it is begun anew."""

from __future__ import annotations

from dataclasses import dataclass, field

from scheduler.solver.network import LONG_AGO, Network
from scheduler.wallclock import NEVER


@dataclass(frozen=True, slots=True)
class Stuck:
    """A schedule that could not be completed: at which activity, and which rule stood in the way.

    `rule` is "room" (no free span long enough), "fit", "clean", "window", "circle", "closed" (something begun keeps
    it out, and is to go on only after it), "taken" (what it takes is not free), "due" (an appointment that waits for
    it is over by then) or "late" (past `by`).
    For a missed window without a remedy, `later` names the activity that would have to end later and the minute at
    which it may end at the earliest. For what never gets clean, or waits for somebody who in turn waits, `first`
    names pairs of which the first should be placed before the second. `held` names who must not start before which
    minute, so that what it takes is given back before it is closed.

    `deadlock` says who holds what and who waits for it, where what is taken can never be given back in any order.

    `proven`: it is certain that there is no placement at all; else none was found.
    """

    activity: int
    rule: str
    later: tuple[int, int] | None = None
    first: tuple[tuple[int, int], ...] = ()
    held: tuple[int, int] | None = None
    proven: bool = False
    deadlock: Deadlock | None = None


@dataclass(frozen=True, slots=True)
class Deadlock:
    """Where every order ends: which holds are taken by then, and who waits for which thing.

    `holds` are numbers of holds of the problem, `waiting` pairs of an activity and the number of a thing.
    """

    holds: tuple[int, ...]
    waiting: tuple[tuple[int, int], ...]


@dataclass(slots=True)
class Mends:
    """What a schedule is begun anew with: starts held back, ends held back, pairs put in order, activities that go
    first.
    """

    held: dict[int, int]
    not_ended: dict[int, int] = field(default_factory=dict)
    first: set[tuple[int, int]] = field(default_factory=set)
    urgent: set[int] = field(default_factory=set)

    def learn(self, stuck: Stuck, network: Network) -> bool:
        """Whether there is something new to try."""
        if stuck.later is not None and self.not_ended.get(stuck.later[0], LONG_AGO) < stuck.later[1]:
            self.not_ended[stuck.later[0]] = stuck.later[1]
            return True
        if stuck.held is not None and self.held.get(stuck.held[0], LONG_AGO) < stuck.held[1] < NEVER:
            self.held[stuck.held[0]] = stuck.held[1]
            return True
        fresh = {
            (first, then)
            for first, then in stuck.first
            if (then, first) not in self.first and then not in network.ahead_of([first])
        } - self.first
        if fresh:
            self.first |= fresh
            return True
        if stuck.activity not in self.urgent:
            self.urgent |= network.ahead_of([stuck.activity])
            return True
        return False
