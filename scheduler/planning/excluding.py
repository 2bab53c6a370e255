"""What excludes each other: of two orders one holds in every placement, and one has to be found out which.

Only what runs in one piece is paired. What may pause can stand on both sides of another, which no order says.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from scheduler.planning.problem import Lag, Option, Problem, Wait

Arc = tuple[int, int, Lag]
"""What comes before, what comes after, and how long that one waits for the end of the first."""


@dataclass(frozen=True, slots=True)
class Order:
    """One way round: arcs that then hold, and minutes added to activities."""

    arcs: tuple[Arc, ...]
    extra: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Alternative:
    """Two orders of which one holds in every placement."""

    either: Order
    other: Order


def whole(problem: Problem) -> list[bool]:
    """For every activity whether what is left of it runs in one piece: too short for two, whatever is chosen."""
    most = [activity.minutes for activity in problem.activities]
    for pair in problem.choices:
        for option in pair:
            for i, minutes in option.extra:
                most[i] += minutes
    return [
        a.smallest is None or minutes < 2 * a.smallest for a, minutes in zip(problem.activities, most, strict=True)
    ]


def lasting(problem: Problem, waits: Iterable[Wait]) -> tuple[Arc, ...]:
    """The waits that apply in every placement: not of what is optional, nor of a fact, which may not have waited."""
    activities = problem.activities
    return tuple(
        (wait.before, wait.after, wait.lag)
        for wait in waits
        if not activities[wait.before].optional
        and not activities[wait.after].optional
        and (activities[wait.after].minutes or not activities[wait.after].fixed)
    )


def choices(problem: Problem) -> list[Alternative]:
    """The choices of a problem, with what then holds in every placement."""

    def order(option: Option) -> Order:
        return Order(lasting(problem, option.waits), option.extra)

    return [Alternative(order(a), order(b)) for a, b in problem.choices]


def pairs(problem: Problem, in_one: Sequence[bool]) -> list[Alternative]:
    """All pairs that cannot run at once, with how long the later one must wait for the earlier one.

    Two that together need more of something than there ever is, one after the other. A wet one i that bars j from
    its start until it is ready: either j starts after that, or it has ended when i starts. If j leaves dirt on which
    i does not begin, something that cleans must run whole in between, so that i waits for at least as long.
    """
    lags = _rivals(problem, in_one)
    activities = problem.activities
    for barrier in problem.barriers:
        i = barrier.by
        if activities[i].optional or activities[i].fixed or not activities[i].minutes:
            continue
        for j in barrier.bars:
            if j != i and in_one[j] and activities[j].minutes and not activities[j].optional:
                lags.setdefault((j, i), Lag())
                if lags.get((i, j), Lag()) == Lag():
                    lags[i, j] = barrier.until
    for soil in problem.soils:
        cleaning = min((activities[c].minutes for c in soil.cleans), default=0)
        for j in soil.soils - soil.cleans:
            for i in soil.wants_clean:
                if lags.get((j, i)) == Lag() and in_one[j] and not activities[i].fixed:
                    lags[j, i] = Lag(cleaning)
    return [Alternative(Order(((i, j, lag),)), Order(((j, i, lags[j, i]),))) for (i, j), lag in lags.items() if i < j]


def _rivals(problem: Problem, in_one: Sequence[bool]) -> dict[tuple[int, int], Lag]:
    """Pairs that together need more of something than there is in any slot."""
    activities = problem.activities
    peaks = [max(amounts) for amounts in zip(*(slot.capacity for slot in problem.slots), strict=True)]
    lags = {}
    paired = [i for i, a in enumerate(activities) if in_one[i] and a.minutes and not a.optional]
    for place, i in enumerate(paired):
        room = [peak - demand for peak, demand in zip(peaks, activities[i].demand, strict=True)]
        for j in paired[place + 1 :]:
            if any(demand > left for demand, left in zip(activities[j].demand, room, strict=True)):
                lags[i, j] = lags[j, i] = Lag()
    return lags
