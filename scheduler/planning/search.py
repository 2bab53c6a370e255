"""The search: orders of service, each turned into a schedule, mended forwards and backwards, crossed with each
other.

Effort is counted in activities placed, never in seconds, so that the same question gets the same answer on every
machine. Aims, in order: earliest finish, fewest days, least moved against the plan handed out before, earliest
starts.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from random import Random

from scheduler.planning.bound import lower_bound
from scheduler.planning.network import mirrored
from scheduler.planning.placing import Placer, Stuck
from scheduler.planning.problem import Placement, Problem, Result
from scheduler.wallclock import NEVER

DEFAULT_EFFORT = 20_000
"""Activities placed before a search that has not met its bound gives up."""

POOL = 24
"""How many orders are kept to be crossed."""

Aim = tuple[int, int, int, int]


@dataclass(frozen=True, slots=True)
class Found:
    """A placement with the order and the delays that gave it, and how good it is."""

    placement: Placement
    rank: tuple[float, ...]
    aim: Aim
    not_before: Mapping[int, int] = field(default_factory=dict)


def aim_of(problem: Problem, placement: Placement) -> Aim:
    """How good a placement is, less is better: finish, days used, activities moved, sum of starts."""
    days = 0
    if problem.has_days:
        days = len(set(days_used(problem, placement)))
    moved = 0
    if problem.stay is not None:
        moved = sum(
            1
            for stay, spans in zip(problem.stay, placement.pieces, strict=True)
            if stay is not None and tuple(spans) != tuple(stay)
        )
    return placement.finish, days, moved, sum(spans[0].start for spans in placement.pieces if spans)


def days_used(problem: Problem, placement: Placement) -> dict[int, int]:
    """Minutes of work by day."""
    minutes: dict[int, int] = {}
    slots = problem.slots
    spans = sorted(span for spans in placement.pieces for span in spans)
    at = 0
    for start, end in spans:
        while at < len(slots) and slots[at].end <= start:
            at += 1
        j = at
        while j < len(slots) and slots[j].start < end:
            inside = min(end, slots[j].end) - max(start, slots[j].start)
            minutes[slots[j].day] = minutes.get(slots[j].day, 0) + inside
            j += 1
    return minutes


class Search:
    """One search over one problem."""

    def __init__(
        self,
        problem: Problem,
        effort: int,
        seed: int,
        tell: Callable[[float], None] | None = None,
        schedules: int | None = None,
    ) -> None:
        self.schedules = NEVER if schedules is None else schedules
        self.problem = problem
        self.effort = effort
        self.random = Random(seed)
        self.tell = tell
        self.forward = Placer(problem)
        self.backward = Placer(mirrored(problem))
        self.best: Found | None = None
        self.stuck: Stuck | None = None
        self.bound = 0

    def run(self) -> Result | Stuck:
        """The best placement within the effort, or where every schedule got stuck."""
        pool: list[Found] = []
        for rank in self._first_orders():
            self._into(pool, self._mended(rank))
        if self.best is None:
            return self.stuck or Stuck(0, "room")
        self.bound = lower_bound(self.problem, self.best.placement.finish)
        while not self._done() and len(pool) > 1:
            self._into(pool, self._mended(self._crossed(pool)))
            if self.tell is not None:
                self.tell(min(1.0, self.spent / self.effort))
        self._fewer_remedies()
        self._fewer_days()
        return Result(
            placement=self.best.placement,
            finish_not_before=min(self.bound, self.best.placement.finish),
            schedules=self.forward.schedules + self.backward.schedules,
            placements_tried=self.spent,
        )

    @property
    def spent(self) -> int:
        """Activities placed so far."""
        return self.forward.placements + self.backward.placements

    def _done(self) -> bool:
        best = self.best
        made = self.forward.schedules + self.backward.schedules
        spent = self.spent >= self.effort or made >= self.schedules
        return best is not None and (best.placement.finish <= self.bound or spent)

    def _first_orders(self) -> Iterator[tuple[float, ...]]:
        """The orders to begin with: the plan handed out before, the longest tail first, and shuffled ones."""
        size = len(self.problem.activities)
        if self.problem.stay is not None:
            far = max((spans[0].start for spans in self.problem.stay if spans), default=0) + 1
            yield tuple(float(spans[0].start if spans else far) for spans in self.problem.stay)
        tail = self._tails()
        yield tail
        most = max(POOL // 2, 2)
        for _ in range(most - 1):
            if self._done() or self.spent >= self.effort // 3:
                return
            spread = (max(tail) - min(tail) or 1) * 0.3
            yield tuple(value + self.random.uniform(-spread, spread) for value in tail) if size > 1 else tail

    def _tails(self) -> tuple[float, ...]:
        """The order of a backward schedule: who must start early for the end to be early."""
        size = len(self.problem.activities)
        network = self.backward.bare_network
        depth = [0.0] * size
        for i in network.ordered([0] * size):
            for before, lag in network.lags[i]:
                depth[i] = max(depth[i], depth[before] + lag)
            depth[i] += network.minutes[i]
        return tuple(-value for value in depth)

    @staticmethod
    def _length(amount: float) -> float:
        return amount

    def _mended(self, rank: Sequence[float]) -> Found | None:
        """Forwards in this order, backwards from its end, and forwards again: each pass can only close gaps."""
        first = self._try(rank)
        if first is None:
            return None
        finish = first.placement.finish
        back = self.backward.place(
            [-spans[-1].end if spans else 0.0 for spans in first.placement.pieces],
            options=first.placement.options,
            floor=-finish,
        )
        if isinstance(back, Stuck):
            return first
        far = float(finish + 1)
        again = self._try(
            [float(-spans[-1].end) if spans else far for spans in back.pieces], options=first.placement.options
        )
        return first if again is None or first.aim <= again.aim else again

    def _try(
        self,
        rank: Sequence[float],
        options: tuple[int, ...] | None = None,
        not_before: Mapping[int, int] | None = None,
    ) -> Found | None:
        """One schedule forwards; the best of all is remembered."""
        outcome = self.forward.place(rank, options=options, not_before=not_before)
        if isinstance(outcome, Stuck):
            self.stuck = outcome
            return None
        found = Found(outcome, tuple(rank), aim_of(self.problem, outcome), not_before or {})
        if self.best is None or found.aim < self.best.aim:
            self.best = found
        return found

    def _into(self, pool: list[Found], found: Found | None) -> None:
        """Keep the best orders, each only once."""
        if found is None or any(found.placement == other.placement for other in pool):
            return
        pool.append(found)
        if len(pool) > POOL:
            pool.remove(max(pool, key=lambda entry: entry.aim))

    def _crossed(self, pool: Sequence[Found]) -> tuple[float, ...]:
        """A new order: a stretch of one parent's schedule inside the other's."""
        mother, father = self.random.sample(pool, 2)
        order_a = self._order(mother)
        order_b = self._order(father)
        size = len(order_a)
        low = self.random.randrange(size)
        high = min(size, low + self.random.randint(size // 4, max(size // 2, 1)))
        kept = order_a[low:high]
        inside = set(kept)
        rest = [i for i in order_b if i not in inside]
        order = rest[:low] + kept + rest[low:]
        for at in range(size - 1):
            if self.random.random() < 0.05:
                order[at], order[at + 1] = order[at + 1], order[at]
        rank = [0.0] * size
        for place, i in enumerate(order):
            rank[i] = float(place)
        return tuple(rank)

    @staticmethod
    def _order(found: Found) -> list[int]:
        spans = found.placement.pieces
        return sorted(range(len(spans)), key=lambda i: (spans[i][0].start if spans[i] else found.rank[i], i))

    def _fewer_remedies(self) -> None:
        """Where a window was missed, see whether the earlier one can come later instead."""
        for wait in (*self.problem.waits, *(w for pair in self.problem.choices for o in pair for w in o.waits)):
            best = self.best
            if best is None or wait.remedy is None or wait.until is None:
                continue
            after, before = best.placement.pieces[wait.after], best.placement.pieces[wait.before]
            if not best.placement.pieces[wait.remedy] or not after or not before:
                continue
            if self.problem.activities[wait.before].fixed:
                continue
            late = after[0].start - (self.forward.ready.of(wait.until)[before[-1].end] - before[-1].end)
            delayed = dict(best.not_before)
            delayed[wait.before] = max(late - self.problem.activities[wait.before].minutes, before[0].start + 1)
            self._try(_starts(best.placement), best.placement.options, delayed)

    def _fewer_days(self) -> None:
        """Leave out one day after another, the least used first, as long as the finish holds."""
        if self.best is None or not self.problem.has_days:
            return
        closed: set[int] = set()
        used = days_used(self.problem, self.best.placement)
        for day, _ in sorted(used.items(), key=lambda entry: (entry[1], entry[0])):
            best = self.best
            open_days = replace(
                self.problem, slots=tuple(s for s in self.problem.slots if s.day not in closed and s.day != day)
            )
            placer = Placer(open_days)
            ranks: tuple[Sequence[float], ...] = (_starts(best.placement), best.rank)
            for rank in ranks:
                outcome = placer.place(rank, options=best.placement.options, not_before=best.not_before)
                if isinstance(outcome, Stuck):
                    continue
                aim = aim_of(self.problem, outcome)
                if aim < self.best.aim:
                    self.best = Found(outcome, tuple(rank), aim, best.not_before)
                    closed.add(day)
                    break
            self.forward.schedules += placer.schedules
            self.forward.placements += placer.placements


def _starts(placement: Placement) -> tuple[float, ...]:
    """The order in which a placement begins its activities."""
    far = float(placement.finish + 1)
    return tuple(float(spans[0].start) if spans else far for spans in placement.pieces)


def search(
    problem: Problem,
    effort: int,
    seed: int = 0,
    tell: Callable[[float], None] | None = None,
    schedules: int | None = None,
) -> Result | Stuck:
    """Plan one problem with at most about `effort` activities placed. `tell` hears the share of the effort spent.

    `schedules` bounds the effort in whole schedules too, as published comparisons count it.
    """
    return Search(problem, effort, seed, tell, schedules).run()
