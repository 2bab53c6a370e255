"""Orders of service: read off a placement, and crossed with another one's."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from random import Random

from scheduler.model.basics import Span
from scheduler.solver.network import LONG_AGO
from scheduler.solver.objective import Aim
from scheduler.solver.problem import Placement, Problem
from scheduler.solver.proof.state import BACK, State

STRETCH = (0.1, 0.5)
"""Least and greatest share of the activities that a child takes from one parent in one stretch."""

STRETCHES = 3
"""How many stretches are looked at before one is taken."""

SHIFTED = 4
"""About how many activities change their place in a child's order, by up to a twentieth of it."""

FLIPPED = 0.05
"""Share of the choices that a child answers otherwise than its parents."""


@dataclass(frozen=True, slots=True)
class Decoded:
    """A placement in one direction of time and how good it is, with what a pass the other way needs of it.

    `order` is the last to end first, in the numbers of a rank. What pauses is taken to end with its first piece,
    which is its last the other way round, and then to begin with its last one. `times` are those ends seen from the
    finish, and `work` is the work in all activities of the order before each place.
    """

    placement: Placement
    aim: Aim
    order: list[int]
    times: list[int]
    work: list[float]
    not_before: Mapping[int, int] = field(default_factory=dict)

    def density(self, low: int, high: int) -> float:
        """Work in a stretch of the order, by the time it takes."""
        return (self.work[high] - self.work[low]) / (self.times[high - 1] - self.times[low] + 1)


def crossed(random: Random, father: Decoded, mother: Decoded) -> list[float]:
    """An order: a stretch of the father's in which he works densest, inside the mother's."""
    size = len(father.order)
    reach = max(size / 20, 3)
    best, low, high = -1.0, 0, size
    for _ in range(STRETCHES):
        length = max(1, int(size * random.uniform(*STRETCH)))
        begin = random.randrange(size - length + 1)
        density = father.density(begin, begin + length)
        if density > best:
            best, low, high = density, begin, begin + length
    kept = father.order[low:high]
    inside = set(kept)
    rest = [i for i in mother.order if i not in inside]
    rank = [0.0] * size
    for place, i in enumerate((*rest[:low], *kept, *rest[low:])):
        rank[i] = place
        if random.random() * size < SHIFTED:
            rank[i] += random.uniform(-reach, reach)
    return rank


def chosen(random: Random, father: Decoded, mother: Decoded) -> tuple[int, ...]:
    """The options of either parent, now and then the other one."""
    return tuple(
        random.choice(pair) ^ (random.random() < FLIPPED)
        for pair in zip(father.placement.options, mother.placement.options, strict=True)
    )


def served(problem: Problem, pieces: Sequence[tuple[Span, ...] | None]) -> list[float]:
    """The rank that gets these pieces again: by the start of the last piece, and of the first for what pauses.

    What pauses made way for whatever ran in between, so it was served after that, but began before.
    """
    far = max((spans[-1].start for spans in pieces if spans), default=0) + 1
    firsts = (pieces[i] for i in problem.pausing)
    return [
        *(float(spans[-1].start if spans else far) for spans in pieces),
        *(float(spans[0].start if spans else far) for spans in firsts),
    ]


def by_latest_starts(state: State) -> list[float]:
    """The rank of the latest starts that a state allows."""
    return [-float(at) if at > LONG_AGO else 0.0 for at in state.end[BACK]]


def in_pieces(problem: Problem, state: State) -> list[float]:
    """The same, but what pauses goes on by the latest start of its last piece."""
    late = by_latest_starts(state)
    firsts = [late[i] for i in problem.pausing]
    for i in problem.pausing:
        late[i] = max(late[i] + 1, -float(state.start[BACK][i]) - (problem.activities[i].smallest or 0))
    return late + firsts


def places(order: Sequence[int]) -> list[float]:
    """The rank that keeps an order."""
    rank = [0.0] * len(order)
    for place, i in enumerate(order):
        rank[i] = float(place)
    return rank


def weights_of(problem: Problem) -> list[float]:
    """How much work is in each place of a rank: the share it takes of each resource, scarce ones weighing more."""
    weights = [0.0] * len(problem.activities)
    for r, capacity in enumerate(zip(*(slot.capacity for slot in problem.slots), strict=True)):
        shares = [a.minutes * a.demand[r] / max(*capacity, 1) for a in problem.activities]
        scarcity = sum(shares)
        weights = [weight + share * scarcity for weight, share in zip(weights, shares, strict=True)]
    return weights + [0.0] * len(problem.pausing)


def scarcest(problem: Problem) -> int:
    """The number of the resource of which all work takes the greatest share."""

    def share(resource: int) -> float:
        given = sum((slot.end - slot.start) * slot.capacity[resource] for slot in problem.slots)
        return sum(a.minutes * a.demand[resource] for a in problem.activities) / max(given, 1)

    return max(range(len(problem.slots[0].capacity) if problem.slots else 0), key=share, default=0)
