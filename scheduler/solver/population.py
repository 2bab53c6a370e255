"""Orders of service, each turned into a schedule, and crossed with each other.

Two pools are kept: schedules made forwards and schedules made backwards. A child gets its order from two of one
pool and is placed the other way round, serving first what its parents ended with, so that every pass closes gaps
that the one before left open. A child takes a stretch in which one parent uses the hours better than the other
did, and everything else in the order of the other.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from itertools import accumulate
from random import Random

from scheduler.solver.activity_lists import Decoded, chosen, crossed, places, served, weights_of
from scheduler.solver.conflicts import Stuck
from scheduler.solver.decoding import AT_ONCE, Placer
from scheduler.solver.network import mirrored
from scheduler.solver.objective import Aim, aim_of
from scheduler.solver.problem import Placement, Problem, Slot
from scheduler.solver.promises import dues_of
from scheduler.solver.proof.bound import latest_starts
from scheduler.solver.proof.state import ProofInstance

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


HELD = 0.5
"""Share of the children that hold back what the best holds back, while a promise is broken."""


class Pools:
    """The best schedules made so far in both directions of time, and what makes more of them.

    `turns` is how often the effort could give every activity a turn, `used` says which share of it is spent, and
    `done` whether to go on; `question` is what the bound has laid out of the problem.
    """

    def __init__(
        self,
        problem: Problem,
        random: Random,
        turns: int,
        used: Callable[[], float],
        done: Callable[[], bool],
        question: ProofInstance,
    ) -> None:
        self.problem = problem
        self.question = question
        self.random = random
        self.turns = turns
        self.used = used
        self.done = done
        self.due = dues_of(problem, problem.promises)
        self.forward = Placer(problem)
        self.backward = Placer(_with_room(_released(mirrored(problem), self.due)))
        self.weights = weights_of(problem)
        self.fresh = 0
        self.sampled = 0
        self.fores: list[Decoded] = []
        self.backs: list[Decoded] = []
        self.best: Decoded | None = None
        self.stuck: Stuck | None = None

    @property
    def made(self) -> int:
        """Schedules so far, forwards and backwards."""
        return self.forward.schedules + self.backward.schedules

    @property
    def placed(self) -> int:
        """Activities placed so far; a schedule counts as one at least."""
        return self.forward.placements + self.backward.placements + self.made

    @property
    def room(self) -> int:
        """How many schedules are kept in each direction: ever fewer."""
        wide, close = NARROWS
        return max(LEAST_POOL, int(self.turns * (wide + (close - wide) * min(self.used(), 1.0))))

    def begin(self, like: Sequence[Placement] = ()) -> None:
        """The orders of the plan handed out before, if any, of what is `like` a placement of this problem, and of the
        latest starts."""
        problem, self.fresh = self.problem, self.room
        if problem.stay is not None:
            self.fore(served(problem, problem.stay))
        for placement in like:
            self.fore(served(problem, placement.pieces), placement.options)
        far = max((slot.end for slot in problem.slots), default=0)
        self.urgency = latest_starts(problem, far, self.due, self.question)
        first = self.fore(self.urgency)
        if self.best is not None:
            self.urgency = latest_starts(problem, self.best.aim.finish, self._dues(), self.question)
        if not self.done():
            self._turn(first)

    def _dues(self) -> dict[int, int]:
        """When what is promised is due, if no more is broken than by the best so far."""
        grace = self.best.aim.late if self.best is not None else 0
        return {i: due + grace for i, due in self.due.items()}

    def more(self) -> None:
        """A fresh order while there is room for one, then a generation of children."""
        if self.fresh:
            self.fresh -= 1
            self._sample()
        else:
            self._breed()

    def _sample(self) -> None:
        """An order of latest starts shaken, forwards and back; in turn eager or not, and choices left to chance."""
        self.sampled += 1
        longest = max(activity.minutes for activity in self.problem.activities)
        spread = (max(self.urgency) - min(self.urgency) + longest) * min(self.sampled / SHAKEN, 1.0)
        spread *= self.random.random()
        rank = [value + self.random.uniform(-spread, spread) for value in self.urgency]
        rank += [rank[i] - self.random.uniform(-spread, spread) for i in self.problem.pausing]
        by_chance = self.forward.settle([self.random.random() for _ in self.urgency]) if self.fresh % 4 < 2 else None
        found = self.fore(rank, by_chance, pull=AT_ONCE if self.fresh % 2 == 0 else 0.0)
        if not self.done():
            self._turn(found)

    def _turn(self, found: Decoded | None) -> None:
        """The same order backwards."""
        if found is not None:
            self._back(places(found.order), found.placement.options, found.aim.finish)

    def _breed(self) -> None:
        """Children of one pool for the other, as many as it holds; then the other way round."""
        for forwards in (True, False):
            parents = self.backs if forwards else self.fores
            for _ in range(self.room):
                if self.done():
                    return
                if len(parents) < 2 or parents[0].aim[:2] == parents[-1].aim[:2]:  # nothing to learn from each other
                    self.fores.clear()
                    self.backs.clear()
                    self.fresh = self.room
                    return
                father = self.random.choice(parents)
                mother = min((self.random.choice(parents) for _ in range(2)), key=lambda found: found.aim)
                if mother is father:
                    mother = parents[(parents.index(father) + 1) % len(parents)]
                rank, options = crossed(self.random, father, mother), chosen(self.random, father, mother)
                pull = self._pull(len(rank)) if self.random.random() < EAGER else 0.0
                if forwards:
                    self.fore(rank, options, pull=pull, not_before=self._held())
                else:
                    self._back(rank, options, min(father.aim.finish, mother.aim.finish), pull=pull)

    def _held(self) -> Mapping[int, int] | None:
        """What the best takes later than it could, for a promise: half of the children do so too."""
        held = self.best.not_before if self.best is not None and self.best.aim.late else None
        return held if held and self.random.random() < HELD else None

    def _pull(self, places: int) -> float:
        """How many places an open minute is worth to a child, at random."""
        minutes = self.forward.open.before(self.best.aim.finish) if self.best is not None else 0
        return self.random.uniform(0.0, PULL) * places / max(minutes, 1)

    def fore(
        self,
        rank: Sequence[float],
        options: tuple[int, ...] | None = None,
        *,
        pull: float = 0.0,
        not_before: Mapping[int, int] | None = None,
    ) -> Decoded | None:
        """One schedule forwards; the best of all is remembered."""
        outcome = self.forward.place(rank, options=options, pull=pull, not_before=not_before)
        return self.take(outcome, rank, not_before)

    def take(
        self, outcome: Placement | Stuck, rank: Sequence[float], not_before: Mapping[int, int] | None = None
    ) -> Decoded | None:
        """Put a schedule forwards into its pool."""
        if isinstance(outcome, Stuck):
            self.stuck = outcome
            return None
        aim = aim_of(self.problem, outcome)
        found = self.found(outcome, rank, aim, not_before)
        if self.best is None or aim < self.best.aim:
            self.best = found
        self._into(self.fores, found)
        return found

    def _back(self, rank: Sequence[float], options: tuple[int, ...], finish: int, *, pull: float = 0.0) -> None:
        """One schedule backwards from a finish."""
        outcome = self.backward.place(rank, options=options, pull=pull, floor=-finish)
        if isinstance(outcome, Stuck):
            return
        found = self.found(outcome, rank, Aim(0, outcome.finish + finish))
        record = not self.backs or found.aim < self.backs[0].aim
        self._into(self.backs, found)
        if record and not self.done():
            self.fore(places(found.order), options)

    def found(
        self,
        placement: Placement,
        rank: Sequence[float],
        aim: Aim,
        not_before: Mapping[int, int] | None = None,
    ) -> Decoded:
        """A placement with what the pass the other way needs; what has no pieces keeps its place in the rank."""
        finish, pieces = placement.finish, placement.pieces
        times = [finish - spans[0].end if spans else finish for spans in pieces]
        size = len(times)
        times += [finish - pieces[i][-1].end if pieces[i] else finish for i in self.problem.pausing]
        rank = [*rank, *([0.0] * (len(times) - len(rank)))]
        order = sorted(range(len(times)), key=lambda i: (times[i], i >= size, -rank[i], i))
        return Decoded(
            placement=placement,
            aim=aim,
            order=order,
            times=[times[i] for i in order],
            work=list(accumulate((self.weights[i] for i in order), initial=0.0)),
            not_before=not_before or {},
        )

    def _into(self, pool: list[Decoded], found: Decoded) -> None:
        """Keep the best, each only once; of equals the newer one."""
        if any(found.aim == other.aim and found.placement.pieces == other.placement.pieces for other in pool):
            return
        pool.append(found)
        pool.sort(key=lambda entry: entry.aim[:4])
        del pool[self.room :]


def _released(problem: Problem, due: Mapping[int, int]) -> Problem:
    """A problem backwards, in which what is due begins no earlier than that, as seen from the end."""
    activities = tuple(
        replace(activity, release=max(activity.release, -due[i])) if i in due else activity
        for i, activity in enumerate(problem.activities)
    )
    return replace(problem, activities=activities)


def _with_room(problem: Problem) -> Problem:
    """The same with much room after the last slot: backwards, a schedule may begin before the job does."""
    if not problem.slots:
        return problem
    end = problem.slots[-1].end
    capacity = tuple(max(amounts) for amounts in zip(*(slot.capacity for slot in problem.slots), strict=True))
    work = sum(activity.minutes for activity in problem.activities)
    return replace(problem, slots=(*problem.slots, Slot(end, end + 2 * work + 1, capacity, -1)))
