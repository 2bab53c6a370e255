"""The same question asked of OR-Tools CP-SAT: an independent model of `Problem`, from its docstrings, in minutes.

Nothing here is shared with the planner but the records. It minimises the finish and nothing else. Dry clocks are
piecewise linear: exact if their progress is in whole `1 / SCALE` reference minutes at every minute, as it is with
rates in whole hundredths. A moment without minutes is taken to be any minute that its waits allow.

`python -m tests.bench.proof` holds the search against it.
"""

from __future__ import annotations

import time
from dataclasses import dataclass, replace
from itertools import pairwise
from typing import Any

from ortools.sat.python import cp_model

from scheduler.solver.problem import Lag, Problem, Wait

DEFAULT_EFFORT = 20000

SCALE = 100
Ranges = list[tuple[int, int]]
"""Minutes that are possible, both ends included."""


@dataclass(frozen=True)
class Answer:
    """What the oracle says: "optimal", "infeasible" or "unknown"; the least finish, its bound, the seconds."""

    status: str
    finish: int
    bound: int
    seconds: float


@dataclass
class Piece:
    start: Any
    end: Any
    there: Any  # literal, or None if always there


def ask(problem: Problem, by: int | None = None, effort: float = 60.0, workers: int = 1) -> Answer:
    """The least finish of any placement; with `by`, of any that is done by then (later hours are left out).

    `effort` is in the solver's own deterministic seconds, `seconds` of the answer in processor time.
    """
    begun = time.process_time()
    if by is not None:
        open_slots = (replace(slot, end=min(slot.end, by)) for slot in problem.slots if slot.start < by)
        problem = replace(problem, slots=tuple(open_slots))
    model = Model(problem)
    solver = cp_model.CpSolver()
    solver.parameters.max_deterministic_time = effort
    solver.parameters.num_workers = workers
    status = solver.solve(model.cp)
    took = time.process_time() - begun
    if status == cp_model.OPTIMAL:
        return Answer("optimal", round(solver.objective_value), round(solver.objective_value), took)
    if status == cp_model.INFEASIBLE:
        return Answer("infeasible", 0, 0, took)
    if status == cp_model.FEASIBLE:
        return Answer("unknown", round(solver.objective_value), round(solver.best_objective_bound), took)
    return Answer("unknown", 0, 0, took)


class Model:
    """A problem as constraints, its finish to be minimised. `beyond`: as many minutes after the last hour count."""

    def __init__(self, problem: Problem, beyond: int = 0) -> None:
        self.problem = problem
        self.cp = cp_model.CpModel()
        self.windows: Ranges = []
        for slot in problem.slots:
            if self.windows and self.windows[-1][1] == slot.start:
                self.windows[-1] = self.windows[-1][0], slot.end
            else:
                self.windows.append((slot.start, slot.end))
        self.low = min([a.release for a in problem.activities] + [slot.start for slot in problem.slots] + [0])
        self.high = max([slot.end for slot in problem.slots], default=0) + beyond
        self.gaps = [
            self.cp.new_fixed_size_interval_var(a[1], b[0] - a[1], "")
            for a, b in zip(self.windows, self.windows[1:], strict=False)
        ]
        self.domains: dict[int, Ranges] = {}
        self.known_progress: dict[tuple[int, int, int], Any] = {}
        self.taken = [self.cp.new_bool_var("") for _ in problem.choices]  # true: the first option
        self.pieces: list[list[Piece]] = []
        self.starts: list[Any] = []
        self.ends: list[Any] = []
        self.there: list[Any] = []
        self.intervals: list[list[Any]] = []
        for i in range(len(problem.activities)):
            self._activity(i)
        self._capacity()
        for wait in problem.waits:
            self._wait(wait, [])
        for (a, b), taken in zip(problem.choices, self.taken, strict=True):
            for wait in a.waits:
                self._wait(wait, [taken])
            for wait in b.waits:
                self._wait(wait, [taken.negated()])
        self._barriers()
        self._soils()
        facts = (span.end for activity in problem.activities for span in activity.fixed)
        self.finish = self._var([(min([self.low, *facts]), self.high)])
        for i, pieces in enumerate(self.pieces):
            if pieces:
                self._at_least(self.finish, self.ends[i], self._if(self.there[i]))
            for span in problem.activities[i].fixed if not problem.activities[i].booked else ():
                self.cp.add(self.finish >= span.end)
        self.cp.minimize(self.finish)

    def _var(self, ranges: Ranges) -> Any:
        domain = cp_model.Domain.from_intervals([list(pair) for pair in ranges])
        variable = self.cp.new_int_var_from_domain(domain, "")
        self.domains[variable.index] = ranges
        return variable

    @staticmethod
    def _if(*literals: Any) -> list[Any]:
        return [literal for literal in literals if literal is not None]

    def _at_least(self, left: Any, right: Any, when: list[Any]) -> None:
        self.cp.add(left >= right).only_enforce_if(when)

    def _activity(self, i: int) -> None:
        activity = self.problem.activities[i]
        there = self.cp.new_bool_var("") if activity.optional else None
        least, extras = self._minutes(i)
        most = least + sum(minutes for minutes, _ in extras)
        self.there.append(there)
        earliest = max([activity.release, *(span.end for span in activity.fixed)])
        if not most:
            moment: Any = (
                activity.fixed[-1].end if activity.fixed else self._var([(earliest, max(earliest, self.high))])
            )
            self.pieces.append([])
            self.intervals.append([])
            self.starts.append(activity.fixed[0].start if activity.fixed else moment)
            self.ends.append(moment)
            return
        if activity.smallest is None or most <= activity.smallest:
            pieces = [self._whole(least, extras, there, earliest)]
        else:
            pieces = self._cut(least, most, extras, activity.smallest, there, earliest)
        self.pieces.append(pieces)
        self.starts.append(pieces[0].start)
        self.ends.append(pieces[-1].end)
        if activity.fit is not None and not activity.fixed:
            self._fit(i)

    def _minutes(self, i: int) -> tuple[int, list[tuple[int, Any]]]:
        """The minutes of an activity, and those that come on top with a literal."""
        extras = [
            (minutes, taken if side == 0 else taken.negated())
            for pair, taken in zip(self.problem.choices, self.taken, strict=True)
            for side, option in enumerate(pair)
            for j, minutes in option.extra
            if j == i
        ]
        return self.problem.activities[i].minutes, extras

    def _demand(self, i: int, resource: int) -> Any:
        """How much of a resource an activity takes."""
        return self.problem.activities[i].demand[resource]

    def _ranges(self, least: int, earliest: int) -> tuple[Ranges, Ranges]:
        """Where something of at least so many minutes can start and end."""
        starts = [(max(a, earliest), b - least) for a, b in self.windows if b - least >= max(a, earliest)]
        ends = [(max(a, earliest) + least, b) for a, b in self.windows if b - least >= max(a, earliest)]
        if not starts:  # no room at all: leave a contradiction behind
            self.cp.add_bool_or([])
            return [(self.low, self.high)], [(self.low, self.high)]
        return starts, ends

    def _whole(self, least: int, extras: list[tuple[int, Any]], there: Any, earliest: int) -> Piece:
        starts, ends = self._ranges(least, earliest)
        start, end = self._var(starts), self._var(ends)
        size = self._work(least, extras)
        if there is None:
            interval = self.cp.new_interval_var(start, size, end, "")
        else:
            interval = self.cp.new_optional_interval_var(start, size, end, there, "")
        self.intervals.append([interval])
        if extras:
            self.cp.add_no_overlap([interval, *self.gaps])
        return Piece(start, end, there)

    def _work(self, least: int, extras: list[tuple[int, Any]]) -> Any:
        if not extras:
            return least
        work = self._var([(least, least + sum(minutes for minutes, _ in extras))])
        self.cp.add(work == least + sum(minutes * literal for minutes, literal in extras))
        return work

    def _cut(
        self, least: int, most: int, extras: list[tuple[int, Any]], smallest: int, there: Any, earliest: int
    ) -> list[Piece]:
        """Pieces in order; one that is not needed has no size and stands at the end of the one before."""
        pieces: list[Piece] = []
        sizes, intervals = [], []
        starts, ends = self._ranges(min(smallest, least), earliest)
        for k in range(max(1, most // smallest)):
            used = there if k == 0 else self.cp.new_bool_var("")
            start, end = self._var(starts), self._var(ends)
            size = self._var([(0, 0), (min(smallest, least), most)] if k else [(min(smallest, least), most)])
            if used is None:
                interval = self.cp.new_interval_var(start, size, end, "")
            else:
                interval = self.cp.new_optional_interval_var(start, size, end, used, "")
            if k:
                before = pieces[-1]
                self.cp.add(start >= before.end).only_enforce_if(used)
                self.cp.add(size >= smallest).only_enforce_if(used)
                self.cp.add(sizes[0] >= smallest).only_enforce_if(used)
                self.cp.add(size == 0).only_enforce_if(used.negated())
                self.cp.add(start == before.end).only_enforce_if(used.negated())
                self.cp.add(end == before.end).only_enforce_if(used.negated())
                if before.there is not None:
                    self.cp.add_implication(used, before.there)
            pieces.append(Piece(start, end, used))
            sizes.append(size)
            intervals.append(interval)
            # an empty piece stands at an end, which must therefore be a possible start
            if k == 0:
                starts = sorted([*starts, *ends])
                starts = _merged(starts)
            self.cp.add_no_overlap([interval, *self.gaps])
        self.cp.add(sum(sizes) == self._work(least, extras)).only_enforce_if(self._if(there))
        self.intervals.append(intervals)
        return pieces

    def _capacity(self) -> None:
        activities = self.problem.activities
        for r in range(len(activities[0].demand) if activities else 0):
            most = max([slot.capacity[r] for slot in self.problem.slots], default=0)
            intervals, demands = [], []
            for i in range(len(activities)):
                demand = self._demand(i, r)
                if not isinstance(demand, int) or demand:
                    intervals += self.intervals[i]
                    demands += [demand] * len(self.intervals[i])
            for slot in self.problem.slots:
                if slot.capacity[r] < most:
                    intervals.append(self.cp.new_fixed_size_interval_var(slot.start, slot.end - slot.start, ""))
                    demands.append(most - slot.capacity[r])
            if intervals:
                self.cp.add_cumulative(intervals, demands, most)

    def _progress(self, clock: int, moment: Any, back: int = 0) -> Any:
        """Progress of a clock, scaled, at `moment - back`."""
        table = self.problem.clocks[clock]

        def scaled(minute: int) -> int:
            return round(table.at(minute) * SCALE)

        if isinstance(moment, int):
            return scaled(moment - back)
        key = (clock, moment.index, back)
        if key in self.known_progress:
            return self.known_progress[key]
        knots = [self.low - 1, *(k for k in table.knots if self.low - 1 < k < self.high), self.high + 1]
        parts: list[tuple[int, int, int, int]] = []  # first minute, last minute, progress at the first, rate
        for a, b in pairwise(knots):
            rate = scaled(a + 1) - scaled(a)
            if parts and parts[-1][3] == rate and parts[-1][2] + rate * (a - parts[-1][0]) == scaled(a):
                parts[-1] = (parts[-1][0], b - 1, parts[-1][2], rate)
            else:
                parts.append((a, b - 1, scaled(a), rate))
        progress = self.cp.new_int_var(0, scaled(self.high + 1), "")
        literals = []
        for first, last, base, rate in parts:
            if not any(low - back <= last and high - back >= first for low, high in self.domains[moment.index]):
                continue
            here = self.cp.new_bool_var("")
            literals.append(here)
            self.cp.add(moment - back >= first).only_enforce_if(here)
            self.cp.add(moment - back <= last).only_enforce_if(here)
            self.cp.add(progress == base + rate * (moment - back - first)).only_enforce_if(here)
        self.cp.add_exactly_one(literals)
        self.known_progress[key] = progress
        return progress

    def _passed(self, lag: Lag, end: Any, moment: Any, when: list[Any]) -> None:
        """`moment` is no earlier than `lag` after `end`."""
        if lag.clock is None or lag.amount <= 0:
            self._at_least(moment, end + int(lag.amount) + lag.then, when)
            return
        self._at_least(moment, end + lag.then, when)
        amount = round(lag.amount * SCALE)
        made = self._progress(lag.clock, moment, lag.then)
        self._at_least(made, self._progress(lag.clock, end) + amount, when)

    def _not_passed(self, lag: Lag, end: Any, moment: Any, when: list[Any]) -> None:
        """`moment` is no later than `lag` after `end`."""
        if lag.clock is None or lag.amount <= 0:
            self._at_least(end + int(lag.amount) + lag.then, moment, when)
            return
        amount = round(lag.amount * SCALE)
        made = self._progress(lag.clock, moment, 1 + lag.then)
        self._at_least(self._progress(lag.clock, end) + amount - 1, made, when)

    def _fit(self, i: int) -> None:
        activity = self.problem.activities[i]
        inside = []
        for span in activity.fit or ():
            here = self.cp.new_bool_var("")
            inside.append(here)
            self.cp.add(self.starts[i] >= span.start).only_enforce_if(here)
            self.cp.add(self.starts[i] < span.end).only_enforce_if(here)
            self._passed(activity.hold, self.ends[i], span.end, [here])
        self.cp.add_bool_or(inside + ([self.there[i].negated()] if self.there[i] is not None else []))

    def _wait(self, wait: Wait, when: list[Any]) -> None:
        after, before = wait.after, wait.before
        fact = not self.pieces[after] and self.problem.activities[after].fixed
        if fact and not self.problem.activities[after].booked:
            return
        when = [*when, *self._if(self.there[after], self.there[before])]
        self._passed(wait.lag, self.ends[before], self.starts[after], when)
        if wait.until is None or self.problem.activities[after].fixed or not self.pieces[after]:
            return
        if wait.remedy is None:
            self._not_passed(wait.until, self.ends[before], self.starts[after], when)
            return
        kept, remedy = self.cp.new_bool_var(""), wait.remedy
        self._not_passed(wait.until, self.ends[before], self.starts[after], [*when, kept])
        missed = [*when, kept.negated()]
        if self.there[remedy] is not None:
            self.cp.add_bool_or([self.there[remedy]]).only_enforce_if(missed)
        self._at_least(self.starts[remedy], self.ends[before], missed)
        self._at_least(self.starts[after], self.ends[remedy], missed)

    def _barriers(self) -> None:
        for barrier in self.problem.barriers:
            i = barrier.by
            fixed = self.problem.activities[i].fixed
            if not self.pieces[i] and not fixed:
                continue
            start = fixed[0].start if fixed else self.starts[i]
            for j in barrier.bars - {i}:
                for piece in self.pieces[j]:
                    there = self._if(self.there[i], piece.there)
                    first = self.cp.new_bool_var("")
                    self._at_least(start, piece.end, [*there, first])
                    self._passed(barrier.until, self.ends[i], piece.start, [*there, first.negated()])

    def _soils(self) -> None:
        for soil in self.problem.soils:
            for i in sorted(soil.soils):
                facts = [Piece(span.start, span.end, None) for span in self.problem.activities[i].fixed]
                for piece in (*facts, *self.pieces[i]):
                    for j in sorted(soil.wants_clean - {i}):
                        if self.pieces[j] and not self.problem.activities[j].fixed:
                            self._clean(sorted(soil.cleans), i, piece, j)

    def _clean(self, cleans: list[int], i: int, piece: Piece, j: int) -> None:
        begun, ways = self.starts[j], []
        after = self.cp.new_bool_var("")
        self.cp.add(piece.start >= begun).only_enforce_if(after)
        ways.append(after)
        for c in cleans:
            fixed = self.problem.activities[c].fixed
            if not self.pieces[c] and not fixed:
                continue
            way = self.cp.new_bool_var("")
            ways.append(way)
            if self.there[c] is not None:
                self.cp.add_implication(way, self.there[c])
            self._at_least(begun, self.ends[c], [way])
            if c != i:
                self._at_least(fixed[0].start if fixed else self.starts[c], piece.end, [way])
        self.cp.add_bool_or(ways).only_enforce_if(self._if(piece.there, self.there[i], self.there[j]))


def _merged(ranges: Ranges) -> Ranges:
    merged: Ranges = []
    for low, high in sorted(ranges):
        if merged and low <= merged[-1][1] + 1:
            merged[-1] = merged[-1][0], max(high, merged[-1][1])
        else:
            merged.append((low, high))
    return merged
