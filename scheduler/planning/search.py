"""The search: orders of service, each turned into a schedule, and crossed with each other.

Two pools are kept: schedules made forwards and schedules made backwards. A child gets its order from two of one
pool and is placed the other way round, serving first what its parents ended with, so that every pass closes gaps
that the one before left open. A child takes a stretch in which one parent uses the hours better than the other
did, and everything else in the order of the other.

Effort is counted in activities placed, never in seconds, so that the same question gets the same answer on every
machine. Aims, in order: earliest finish, fewest days, least moved against the plan handed out before, earliest
starts.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from itertools import accumulate
from random import Random

from scheduler.planning.aims import Aim, aim_of, days_used, only_on
from scheduler.planning.bound import has_no_room, is_proven, latest_starts, lower_bound
from scheduler.planning.network import mirrored
from scheduler.planning.orders import Found, chosen, crossed, places, served, weights_of
from scheduler.planning.placing import Placer
from scheduler.planning.problem import Placement, Problem, Result, Slot
from scheduler.planning.stuck import Stuck

DEFAULT_EFFORT = 300_000
"""Activities placed before a search that has not met its bound gives up."""

FIRST_LOOK = 10_000
"""Activities placed before it is looked at closely for the first time whether the finish found can be beaten. The
second time is after all of the effort."""

GLANCE = 5_000
"""Effort of a look at the first finish of all where nothing but that is asked for: a proof ends the search then."""

LEAST_POOL = 6
"""Schedules kept in each direction. Given more effort there are as many as could each give every activity a turn."""

NARROWS = (1.5, 0.5)
"""By how much more than that are kept at first, and how much less at last: first wide, then close."""

SHAKEN = 40
"""The first orders are shaken little; from this one on by up to the whole span of latest starts."""

EAGER = 0.8
"""Share of the children that serve the sooner who could start sooner, instead of keeping to the order alone."""

PULL = 8.0
"""By how much at most all open minutes until the finish outweigh all places of the order then."""

AT_ONCE = 1e6
"""Pull enough that the order decides only among those who could start at the same minute."""

ATTEMPTS = 6
"""In how many orders a set of days is tried."""

JITTER = 0.1
"""How far such an order strays, as a share of the time from the first start to the last."""


class Search:
    """One search over one problem."""

    def __init__(
        self,
        problem: Problem,
        effort: int,
        seed: int = 0,
        tell: Callable[[float], None] | None = None,
        schedules: int | None = None,
        needed: int | None = None,
        goal: int | None = None,
    ) -> None:
        self.needed = needed
        self.goal = goal
        self.problem = problem
        self.effort = effort
        self.schedules = schedules
        self.random = Random(seed)
        self.tell = tell
        self.forward = Placer(problem)
        self.backward = Placer(_with_room(mirrored(problem)))
        self.weights = weights_of(problem)
        size = max(len(problem.activities), 1)
        self.turns = (effort // size if schedules is None else schedules) // size
        self.fresh = self.pool
        self.sampled = 0
        self.fores: list[Found] = []
        self.backs: list[Found] = []
        self.best: Found | None = None
        self.stuck: Stuck | None = None
        self.bound = 0
        self.looked = 0, 0
        self.hopeless = False

    def run(self) -> Result | Stuck:
        """The best placement within the effort, or where every schedule got stuck."""
        self._begin()
        if self.needed is not None:
            self._look_closely(min(GLANCE, self.effort))
        for placed in (min(FIRST_LOOK, self.effort), self.effort):
            self._until(placed)
            self._look_closely(self.effort)
        if self.best is None:
            return self.stuck or Stuck(0, "room")
        if self.needed is None:
            self._fewer_remedies()
            self._fewer_days()
        finish = self.best.placement.finish
        return Result(
            placement=self.best.placement,
            finish_not_before=min(self.bound, finish),
            schedules=self.made,
            placements_tried=self.spent,
        )

    def _until(self, placed: int) -> None:
        """Search on until that many activities have been placed, or the bound is met."""
        while not self._done() and self.spent < placed:
            if self.fresh:
                self.fresh -= 1
                self._sample()
            else:
                self._breed()

    def _look_closely(self, effort: int) -> None:
        """Whether the finish found can be beaten at all, as closely as the effort allows."""
        if self.best is None or self.best.aim[0] == self.bound or self.hopeless:
            return
        if self.goal is not None and self.best.aim[0] <= self.goal:
            return
        if (self.best.aim[0], effort) != self.looked:
            self.looked = self.best.aim[0], effort
            finish = self.best.aim[0]
            if self.needed is None:
                self.bound = max(self.bound, lower_bound(self.problem, finish, effort))
            elif is_proven(self.problem, finish if self.goal is None else self.goal + 1, effort):
                self.bound = finish if self.goal is None else self.goal + 1
                self.hopeless = True

    @property
    def spent(self) -> int:
        """Activities placed so far; a schedule counts as one at least."""
        return self.forward.placements + self.backward.placements + self.made

    @property
    def made(self) -> int:
        """Schedules so far, forwards and backwards."""
        return self.forward.schedules + self.backward.schedules

    @property
    def pool(self) -> int:
        """How many schedules are kept in each direction: ever fewer."""
        used = self.made / self.schedules if self.schedules else self.spent / self.effort
        wide, close = NARROWS
        return max(LEAST_POOL, int(self.turns * (wide + (close - wide) * min(used, 1.0))))

    def _done(self) -> bool:
        if self.tell is not None:
            self.tell(min(1.0, self.spent / self.effort))
        if self.hopeless or self.spent >= self.effort or (self.schedules is not None and self.made >= self.schedules):
            return True
        enough = self.bound if self.goal is None else max(self.bound, self.goal)
        return self.best is not None and self.best.aim[0] <= enough

    def _begin(self) -> None:
        """The order of the plan handed out before, if any, and that of the latest starts."""
        problem = self.problem
        if problem.stay is not None:
            self._fore(served(problem, problem.stay), None)
        far = max((slot.end for slot in problem.slots), default=0)
        self.urgency = latest_starts(problem, far)
        first = self._fore(self.urgency, None)
        if self.best is not None:
            self.urgency = latest_starts(problem, self.best.aim[0])
        elif has_no_room(problem):
            self.hopeless = True
        if not self._done():
            self._turn(first)

    def _sample(self) -> None:
        """An order of latest starts shaken, forwards and back; in turn eager or not, and choices left to chance."""
        self.sampled += 1
        longest = max(activity.minutes for activity in self.problem.activities)
        spread = (max(self.urgency) - min(self.urgency) + longest) * min(self.sampled / SHAKEN, 1.0)
        spread *= self.random.random()
        rank = [value + self.random.uniform(-spread, spread) for value in self.urgency]
        rank += [rank[i] - self.random.uniform(-spread, spread) for i in self.problem.pausing]
        by_chance = self.forward.settle([self.random.random() for _ in self.urgency]) if self.fresh % 4 < 2 else None
        found = self._fore(rank, by_chance, pull=AT_ONCE if self.fresh % 2 == 0 else 0.0)
        if not self._done():
            self._turn(found)

    def _turn(self, found: Found | None) -> None:
        """The same order backwards."""
        if found is not None:
            self._back(places(found.order), found.placement.options, found.aim[0])

    def _breed(self) -> None:
        """Children of one pool for the other, as many as it holds; then the other way round."""
        for forwards in (True, False):
            parents = self.backs if forwards else self.fores
            for _ in range(self.pool):
                if self._done():
                    return
                if len(parents) < 2 or parents[0].aim[0] == parents[-1].aim[0]:  # nothing to learn from each other
                    self.fores.clear()
                    self.backs.clear()
                    self.fresh = self.pool
                    return
                father = self.random.choice(parents)
                mother = min((self.random.choice(parents) for _ in range(2)), key=lambda found: found.aim)
                if mother is father:
                    mother = parents[(parents.index(father) + 1) % len(parents)]
                rank, options = crossed(self.random, father, mother), chosen(self.random, father, mother)
                pull = self._pull(len(rank)) if self.random.random() < EAGER else 0.0
                if forwards:
                    self._fore(rank, options, pull=pull)
                else:
                    self._back(rank, options, min(father.aim[0], mother.aim[0]), pull=pull)

    def _pull(self, places: int) -> float:
        """How many places an open minute is worth to a child, at random."""
        minutes = self.forward.open.before(self.best.aim[0]) if self.best is not None else 0
        return self.random.uniform(0.0, PULL) * places / max(minutes, 1)

    def _fore(
        self,
        rank: Sequence[float],
        options: tuple[int, ...] | None,
        *,
        pull: float = 0.0,
        not_before: Mapping[int, int] | None = None,
    ) -> Found | None:
        """One schedule forwards; the best of all is remembered."""
        outcome = self.forward.place(rank, options=options, pull=pull, not_before=not_before)
        if isinstance(outcome, Stuck):
            self.stuck = outcome
            return None
        aim = aim_of(self.problem, outcome)
        found = self._found(outcome, rank, aim, not_before)
        if self.best is None:
            self.bound = lower_bound(self.problem, aim[0]) if self.needed is None else min(self.needed, aim[0])
        if self.best is None or aim < self.best.aim:
            self.best = found
        self._into(self.fores, found)
        return found

    def _back(self, rank: Sequence[float], options: tuple[int, ...], finish: int, *, pull: float = 0.0) -> None:
        """One schedule backwards from a finish."""
        outcome = self.backward.place(rank, options=options, pull=pull, floor=-finish)
        if isinstance(outcome, Stuck):
            return
        found = self._found(outcome, rank, (outcome.finish + finish, 0, 0, 0))
        record = not self.backs or found.aim < self.backs[0].aim
        self._into(self.backs, found)
        if record and not self._done():
            self._fore(places(found.order), options)

    def _found(
        self,
        placement: Placement,
        rank: Sequence[float],
        aim: Aim,
        not_before: Mapping[int, int] | None = None,
    ) -> Found:
        """A placement with what the pass the other way needs; what has no pieces keeps its place in the rank."""
        finish, pieces = placement.finish, placement.pieces
        times = [finish - spans[0].end if spans else finish for spans in pieces]
        size = len(times)
        times += [finish - pieces[i][-1].end if pieces[i] else finish for i in self.problem.pausing]
        rank = [*rank, *([0.0] * (len(times) - len(rank)))]
        order = sorted(range(len(times)), key=lambda i: (times[i], i >= size, -rank[i], i))
        return Found(
            placement=placement,
            aim=aim,
            order=order,
            times=[times[i] for i in order],
            work=list(accumulate((self.weights[i] for i in order), initial=0.0)),
            not_before=not_before or {},
        )

    def _into(self, pool: list[Found], found: Found) -> None:
        """Keep the best, each only once; of equals the newer one."""
        if any(found.aim == other.aim and found.placement.pieces == other.placement.pieces for other in pool):
            return
        pool.append(found)
        pool.sort(key=lambda entry: entry.aim[:3])
        del pool[self.pool :]

    def _fewer_remedies(self) -> None:
        """Where a window was missed, see whether the earlier one can come later instead, with as much effort again
        at most."""
        limit = self.spent + self.effort
        for wait in (*self.problem.waits, *(w for pair in self.problem.choices for o in pair for w in o.waits)):
            best = self.best
            if best is None or wait.remedy is None or wait.until is None:
                continue
            if self.spent >= limit:
                return
            after, before = best.placement.pieces[wait.after], best.placement.pieces[wait.before]
            if not best.placement.pieces[wait.remedy] or not after or not before:
                continue
            if self.problem.activities[wait.before].fixed:
                continue
            late = after[0].start - (self.forward.ready.of(wait.until)[before[-1].end] - before[-1].end)
            delayed = dict(best.not_before)
            delayed[wait.before] = max(late - self.problem.activities[wait.before].minutes, before[0].start + 1)
            self._fore(served(self.problem, best.placement.pieces), best.placement.options, not_before=delayed)

    def _fewer_days(self) -> None:
        """Leave out one day after another, the least used first, as long as the finish holds.

        Only the days that are used already stay open: whatever keeps the finish on them takes fewer. A day that was
        needed once is still needed when there are fewer. It takes as much effort again at most.
        """
        limit, needed = self.spent + self.effort, set[int]()
        while self.best is not None and self.problem.has_days and self.spent < limit:
            used = days_used(self.problem, self.best.placement)
            day = min(used.keys() - needed, key=lambda day: (used[day], day), default=None)
            if day is None or len(used) < 2:
                return
            placer = Placer(only_on(self.problem, used.keys() - {day}))
            found = self._on_open_days(placer, self.best)
            self.forward.schedules += placer.schedules
            self.forward.placements += placer.placements
            if found is None:
                needed.add(day)
            else:
                self.best = found

    def _on_open_days(self, placer: Placer, best: Found) -> Found | None:
        """Something better than the best on these days: in its own order, by urgency, or in orders near to those."""
        starts = served(self.problem, best.placement.pieces)
        reach = (max(starts) - min(starts)) * JITTER
        for attempt in range(ATTEMPTS):
            if placer.placements >= self.effort:
                break
            rank: Sequence[float] = starts if attempt % 2 == 0 else self.urgency
            if attempt > 1:
                rank = [value + self.random.uniform(-reach, reach) for value in rank]
            outcome = placer.place(
                rank, options=best.placement.options, not_before=best.not_before, effort=self.effort, by=best.aim[0]
            )
            if isinstance(outcome, Placement):
                aim = aim_of(self.problem, outcome)
                if aim < best.aim:
                    return self._found(outcome, rank, aim, best.not_before)
        return None


def _with_room(problem: Problem) -> Problem:
    """The same with much room after the last slot: backwards, a schedule may begin before the job does."""
    if not problem.slots:
        return problem
    end = problem.slots[-1].end
    capacity = tuple(max(amounts) for amounts in zip(*(slot.capacity for slot in problem.slots), strict=True))
    work = sum(activity.minutes for activity in problem.activities)
    return replace(problem, slots=(*problem.slots, Slot(end, end + 2 * work + 1, capacity, -1)))


def search(
    problem: Problem,
    effort: int,
    seed: int = 0,
    tell: Callable[[float], None] | None = None,
    schedules: int | None = None,
    needed: int | None = None,
    goal: int | None = None,
) -> Result | Stuck:
    """Plan one problem with at most about `effort` activities placed. `tell` hears the share of the effort spent.

    `schedules` bounds the effort in whole schedules too, as published comparisons count it. With `needed`, before
    which no placement is known to finish, only the finish is asked for, and nothing is spent on the other aims; with
    a `goal` as well only whether one finishes by then.
    """
    return Search(problem, effort, seed, tell, schedules, needed, goal).run()
