"""What holds, promises, appointments and modes add to the question that `oracle` asks of OR-Tools CP-SAT.

Written from the docstrings of `Problem`, in single minutes; nothing is shared with the planner but the records. What
is least is sought in the order of the aims: the minutes by which promises are broken, all together, then the finish.
"""

from __future__ import annotations

import time
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from ortools.sat.python import cp_model

from scheduler.solver.problem import Hold, Problem
from scheduler.wallclock import DAY
from tests.bench.oracle import Model

BEYOND = 60 * DAY
"""Minutes after the last hour in which things may still be taken, and films dry."""

Modes = Mapping[int, Sequence[tuple[int, int]]]
"""By activity: the (people, minutes) of each of its modes. People are the first resource."""


@dataclass(frozen=True)
class Least:
    """What the oracle says: "optimal", "infeasible" or "unknown"; minutes late and finish, and its seconds."""

    status: str
    late: int
    finish: int
    seconds: float


def least(problem: Problem, modes: Modes | None = None, effort: float = 20.0, workers: int = 1) -> Least:
    """The least minutes late of any placement, and of those that are no later the least finish.

    `effort` is in the solver's own deterministic seconds, for each of the two aims; `seconds` are of processor time.
    """
    begun = time.process_time()
    model = HeldModel(problem, modes or {})
    solver = cp_model.CpSolver()
    solver.parameters.max_deterministic_time = effort
    solver.parameters.num_workers = workers
    found = []
    for aim in (sum(model.late), model.finish):
        model.cp.minimize(aim)
        status = solver.solve(model.cp)
        if status != cp_model.OPTIMAL:
            said = "infeasible" if status == cp_model.INFEASIBLE else "unknown"
            return Least(said, 0, 0, time.process_time() - begun)
        found.append(round(solver.objective_value))
        model.cp.clear_objective()
        model.cp.add(aim <= found[-1])
    return Least("optimal", found[0], found[1], time.process_time() - begun)


class HeldModel(Model):
    """A problem as constraints, with all that is kept of things; `late` are the minutes of its promises."""

    def __init__(self, problem: Problem, modes: Modes) -> None:
        self.modes, self.literals = modes, dict[int, list[Any]]()
        super().__init__(problem, BEYOND)
        self.cp.clear_objective()
        self.taken_until: dict[int, tuple[Any, Any, list[Any]]] = {}
        for number in range(len(problem.things)):
            self._thing(number)
        self.late = [self._late(number) for number in range(len(problem.promises))]

    def _minutes(self, i: int) -> tuple[int, list[tuple[int, Any]]]:
        if i not in self.modes:
            return super()._minutes(i)
        literals = [self.cp.new_bool_var("") for _ in self.modes[i]]
        self.cp.add_exactly_one(literals)
        self.literals[i] = literals
        shortest = min(minutes for _, minutes in self.modes[i])
        return shortest, [
            (m - shortest, x) for (_, m), x in zip(self.modes[i], literals, strict=True) if m > shortest
        ]

    def _demand(self, i: int, resource: int) -> Any:
        if resource or i not in self.modes:
            return super()._demand(i, resource)
        people = self.cp.new_int_var(0, max(people for people, _ in self.modes[i]), "")
        self.cp.add(people == sum(p * x for (p, _), x in zip(self.modes[i], self.literals[i], strict=True)))
        return people

    # -- things ------------------------------------------------------------------------------------------------------

    def _thing(self, number: int) -> None:
        """What is taken and what is closed together never exceeds the places."""
        thing = self.problem.things[number]
        intervals, places = [], []
        for at, hold in enumerate(self.problem.holds):
            if hold.thing == number:
                found = self._held(at, hold)
                intervals += found
                places += [hold.places] * len(found)
        for start, end, closed in thing.closed:
            intervals.append(self.cp.new_fixed_size_interval_var(start, end - start, ""))
            places.append(closed)
        if intervals:
            self.cp.add_cumulative(intervals, places, thing.places)

    def _held(self, at: int, hold: Hold) -> list[Any]:
        if hold.at_work:
            return self.intervals[hold.taker]
        start, end, there = self.starts[hold.taker], self.ends[hold.taker], self.there[hold.taker]
        when = self._if(there)
        until = self._var([(self.low - DAY, self.high)])
        self._at_least(until, end, when)
        if hold.until is not None:
            self._at_least(until, hold.until, when)
        else:
            giver = hold.taker if hold.giver is None else hold.giver
            event = self.starts[giver] if hold.at_start else self.ends[giver]
            if hold.giver is not None:
                self._at_least(event, end, when)
            self._passed(hold.lag, event, until, when)
        self.taken_until[at] = start, until, when
        size = self.cp.new_int_var(0, self.high - self.low + 2 * DAY, "")
        if there is None:
            return [self.cp.new_interval_var(start, size, until, "")]
        return [self.cp.new_optional_interval_var(start, size, until, there, "")]

    # -- promises ----------------------------------------------------------------------------------------------------

    def _late(self, number: int) -> Any:
        """The minutes by which a promise is broken; of a thing those of its longest stretch, all holds as one."""
        promise = self.problem.promises[number]
        late = self.cp.new_int_var(0, self.high - self.low + 2 * DAY, "")
        for i, lag in promise.ends:
            ready, when = self._var([(self.low, self.high)]), self._if(self.there[i])
            self._passed(lag, self.ends[i], ready, when)
            self._at_least(late, ready - promise.by, when)
        assert len(promise.holds) <= 1, "of several holds only their union counts"
        for one in promise.holds:
            start, until, when = self.taken_until[one]
            self._at_least(late, until - start - promise.at_most, when)
        return late
