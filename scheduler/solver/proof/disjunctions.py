"""What excludes each other: of two orders one holds in every placement, and one has to be found out which.

What may pause can also stand on both sides of another; such a pair waits until there is no more room for that.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from itertools import accumulate, pairwise
from typing import NamedTuple

from scheduler.model.basics import Span
from scheduler.model.spans import clip, union
from scheduler.solver.problem import Closure, Hold, Lag, Option, Problem, Slot, Soil, Thing, Wait
from scheduler.wallclock import NEVER

Arc = tuple[int, int, Lag]
"""What comes before, what comes after, and how long that one waits for the end of the first."""


@dataclass(frozen=True, slots=True)
class Order:
    """One way round: arcs that then hold, minutes added to activities, waits that last no longer than theirs, arcs
    `since` a start instead of an end, and the wait whose window is missed then.
    """

    arcs: tuple[Arc, ...]
    extra: tuple[tuple[int, int], ...] = ()
    kept: tuple[Arc, ...] = ()
    since: tuple[Arc, ...] = ()
    missed: Wait | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Alternative:
    """Two orders of which one holds in every placement; or the activity `around` pauses while the other one runs.

    In that case one of `cleaners`, if there is a set, must run whole between a piece before and the other one.
    """

    either: Order
    other: Order
    around: int | None = None
    cleaners: frozenset[int] | None = None
    members: int = field(init=False)
    """A bit for everybody that it depends on."""

    def __post_init__(self) -> None:
        arcs = [arc for order in (self.either, self.other) for arc in (*order.arcs, *order.kept, *order.since)]
        members = {i for before, after, _ in arcs for i in (before, after)} | (self.cleaners or frozenset())
        object.__setattr__(self, "members", sum(1 << i for i in members))


class Pausing(NamedTuple):
    """What pauses, whole or taken apart: its parts in order, and the shortest piece that it may be cut to."""

    parts: tuple[int, ...]
    smallest: int


def gains(problem: Problem) -> list[int]:
    """The minutes that options may add to every activity, all together."""
    added = [0] * len(problem.activities)
    for pair in problem.choices:
        for option in pair:
            for i, minutes in option.extra:
                added[i] += minutes
    return added


def whole(problem: Problem) -> list[bool]:
    """For every activity whether what is left of it runs in one piece: too short for two, whatever is chosen."""
    return [
        a.smallest is None or a.minutes + more < 2 * a.smallest
        for a, more in zip(problem.activities, gains(problem), strict=True)
    ]


def smallest_pieces(problem: Problem) -> list[int | None]:
    """The shortest piece of every activity that may pause, and one minute while it is open how long that is: 30
    minutes can be done in three tens, 25 cannot, so that more work may end earlier.
    """
    listed = zip(problem.activities, whole(problem), gains(problem), strict=True)
    return [None if in_one else 1 if more else a.smallest for a, in_one, more in listed]


def lasting(problem: Problem, waits: Iterable[Wait]) -> tuple[Arc, ...]:
    """The waits that apply in every placement: not of what is optional, nor of a fact, which may not have waited."""
    activities = problem.activities
    return tuple(
        (wait.before, wait.after, wait.lag)
        for wait in waits
        if not activities[wait.before].optional
        and not activities[wait.after].optional
        and (activities[wait.after].minutes or not activities[wait.after].fixed or activities[wait.after].booked)
    )


def choices(problem: Problem) -> list[Alternative]:
    """The choices of a problem, with what then holds in every placement."""

    def order(option: Option) -> Order:
        return Order(lasting(problem, option.waits), option.extra)

    return [Alternative(order(a), order(b)) for a, b in problem.choices]


def windows(problem: Problem) -> tuple[tuple[Arc, ...], list[Alternative]]:
    """The windows that every placement keeps; and those with a remedy: kept, or missed, and the remedy comes between.

    Left out is what a window asks of facts, of mere moments and in one option only.
    """
    activities, hard, mended = problem.activities, list[Arc](), list[Alternative]()
    for wait in problem.waits:
        before, after = activities[wait.before], activities[wait.after]
        if wait.until is None or before.optional or after.optional or after.fixed:
            continue
        if not before.minutes or not after.minutes:
            continue
        window = wait.before, wait.after, wait.until
        if wait.remedy is None:
            hard.append(window)
        elif not activities[wait.remedy].fixed:
            missed = (window, *_around_remedy(problem, wait.before, wait.remedy, wait.after))
            mended.append(Alternative(Order((), kept=(window,)), Order(missed, missed=wait)))
    return tuple(hard), mended


def _around_remedy(problem: Problem, before: int, remedy: int, after: int) -> Iterator[Arc]:
    """A remedy is there, between the two whose window it mends, and waits for what it waits for."""
    yield before, remedy, Lag()
    yield remedy, after, Lag()
    for wait in problem.waits:
        if wait.after == remedy and not problem.activities[wait.before].optional:
            yield wait.before, remedy, wait.lag


def soils(problem: Problem) -> list[tuple[Soil, list[int], list[int]]]:
    """The soils of a problem, with who is certain to soil and to want it clean; facts are left out."""

    def certain(members: frozenset[int]) -> list[int]:
        listed = ((i, problem.activities[i]) for i in sorted(members))
        return [i for i, activity in listed if activity.minutes and not activity.optional and not activity.fixed]

    return [(soil, certain(soil.soils - soil.cleans), certain(soil.wants_clean)) for soil in problem.soils]


def pairs(problem: Problem, in_one: Sequence[bool]) -> list[Alternative]:
    """All pairs that cannot run at once, with how long the later one must wait for the earlier one.

    Two that together need more of something than there ever is, one after the other. A wet one i that bars j from
    its start until it is ready: either j starts after that, or it has ended when i starts. If j leaves dirt on which
    i does not begin, something that cleans must run whole in between, so that i waits for at least as long. If j may
    pause, both hold for its pieces only, and it may be around i.
    """
    activities = problem.activities
    here = [bool(a.minutes) and not a.optional for a in activities]
    lags, around = _rivals(problem, in_one, here)
    barred = [
        (barrier.by, j, barrier.until)
        for barrier in problem.barriers
        for j in barrier.bars - {barrier.by}
        if here[barrier.by] and here[j] and not activities[barrier.by].fixed
    ]
    for i, j, until in sorted(barred, key=lambda entry: in_one[entry[1]]):
        lags.setdefault((j, i), Lag())
        if lags.get((i, j), Lag()) == Lag():
            lags[i, j] = until
        around[min(i, j), max(i, j)] = None if in_one[j] else j
    cleaners: dict[tuple[int, int], frozenset[int]] = {}
    for soil in problem.soils:
        cleaning = min((activities[c].minutes for c in soil.cleans), default=0)
        for j in soil.soils - soil.cleans:
            for i in soil.wants_clean:
                if lags.get((j, i)) == Lag() and not activities[i].fixed and around[min(i, j), max(i, j)] != i:
                    lags[j, i] = Lag(cleaning)
                    cleaners[min(i, j), max(i, j)] = soil.cleans - {i, j}
    held = holding_pairs(problem, in_one)
    return [
        Alternative(Order(((i, j, lags[i, j]),)), Order(((j, i, lags[j, i]),)), outer, cleaners.get((i, j)))
        for (i, j), outer in around.items()
        if (i, j) not in held or lags[i, j] != Lag() or lags[j, i] != Lag()
    ] + list(held.values())


def holding_pairs(problem: Problem, in_one: Sequence[bool]) -> dict[tuple[int, int], Alternative]:
    """All pairs of which one must have been given back before the other one is taken: together they take more places
    of a thing than there are. Nobody goes around anybody here, as a thing is kept in pauses too.
    """
    activities = problem.activities
    found: dict[tuple[int, int], tuple[list[Order], list[Order]]] = {}
    for number, one in enumerate(problem.holds):
        for other in problem.holds[number + 1 :]:
            i, j = one.taker, other.taker
            if one.thing != other.thing or i == j or one.places + other.places <= problem.things[one.thing].places:
                continue
            if any(activities[k].optional or activities[k].fixed for k in (i, j)):
                continue
            if any(hold.at_work and not in_one[hold.taker] for hold in (one, other)):
                continue  # one that pauses may do so around the other
            orders = found.setdefault((min(i, j), max(i, j)), ([], []))
            orders[i > j].append(given_back(problem, one, j))
            orders[i < j].append(given_back(problem, other, i))
    return {pair: Alternative(_all_of(either), _all_of(other)) for pair, (either, other) in found.items()}


def _all_of(orders: Iterable[Order]) -> Order:
    listed = list(orders)
    return Order(
        tuple(a for each in listed for a in each.arcs), since=tuple(a for each in listed for a in each.since)
    )


def given_back(problem: Problem, hold: Hold, then: int) -> Order:
    """What is known if another one takes a thing only after a hold is over: it waits for the end of the taker, and
    for the event that gives back.
    """
    activities, taker, giver = problem.activities, hold.taker, hold.giver
    if giver is None:
        if hold.at_start:
            return Order(((taker, then, Lag()),), since=((taker, then, hold.lag),))
        return Order(((taker, then, hold.lag),))
    ended, event = (taker, then, Lag()), (giver, then, hold.lag)
    begun = activities[giver].fixed and not activities[giver].booked
    if activities[giver].optional or begun or (giver == then and hold.at_start and hold.lag == Lag()):
        return Order((ended,))
    return Order((ended,), since=(event,)) if hold.at_start else Order((ended, event))


def between_closures(problem: Problem) -> Problem:
    """The problem with the spans in which a thing can be held as long as its taker holds it: for whom that is
    known."""
    activities, in_one = list(problem.activities), whole(problem)
    for hold in problem.holds:
        activity, thing = activities[hold.taker], problem.things[hold.thing]
        if not thing.closed or hold.giver is not None or hold.at_start or activity.fixed or not activity.minutes:
            continue
        if hold.at_work and not in_one[hold.taker]:
            continue
        if activity.fit is not None and activity.hold != hold.lag:
            continue
        shut = union(Span(c.start, c.end) for c in thing.closed if c.places + hold.places > thing.places)
        edges = [-NEVER, *(edge for span in shut for edge in span), NEVER]
        gaps = tuple(Span(a, b) for a, b in zip(edges[::2], edges[1::2], strict=True) if a < b)
        fit = gaps if activity.fit is None else union(clip(a, b) for a in activity.fit for b in gaps)
        activities[hold.taker] = replace(activity, fit=fit, hold=hold.lag)
    return problem if activities == list(problem.activities) else replace(problem, activities=tuple(activities))


def with_work(problem: Problem) -> Problem:
    """The problem in which a thing that some take only while they work is a resource of its own, besides what is said
    of it as a thing: so that what pauses takes it too. What others hold of it longer is left out there. And so is the
    room of an appointment, in which no piece of our work runs meanwhile."""
    things = {hold.thing: problem.things[hold.thing] for hold in problem.holds if hold.at_work}
    more = [
        (thing, [(hold.taker, hold.places) for hold in problem.holds if hold.at_work and hold.thing == number])
        for number, thing in things.items()
    ]
    for barrier in problem.barriers:
        by = problem.activities[barrier.by]
        if by.booked and barrier.until.clock is None:
            begin, end = by.fixed[0].start, by.fixed[-1].end + int(barrier.until.amount) + barrier.until.then
            plenty = len(problem.activities)
            more.append((Thing(plenty, (Closure(begin, end, plenty),)), [(i, 1) for i in barrier.bars]))
    if not more:
        return problem
    demands = [[*activity.demand, *(0 for _ in more)] for activity in problem.activities]
    base = len(demands[0]) - len(more)
    for at, (_, wanted) in enumerate(more):
        for i, places in wanted:
            demands[i][base + at] += places
    left = [_Left(thing) for thing, _ in more]
    edges = sorted({edge for each in left for edge in each.edges})
    slots = list[Slot]()
    for slot in problem.slots:
        between = edges[bisect_right(edges, slot.start) : bisect_left(edges, slot.end)]
        for begin, end in pairwise([slot.start, *between, slot.end]):
            slots.append(Slot(begin, end, (*slot.capacity, *(each.at(begin) for each in left)), slot.day))
    activities = (replace(a, demand=tuple(d)) for a, d in zip(problem.activities, demands, strict=True))
    return replace(problem, activities=tuple(activities), slots=tuple(slots))


class _Left:
    """How many places of a thing are not closed, from each of its edges on."""

    def __init__(self, thing: Thing) -> None:
        change: dict[int, int] = {}
        for begin, end, places in thing.closed:
            change[begin] = change.get(begin, 0) - places
            change[end] = change.get(end, 0) + places
        self.edges = sorted(change)
        self.places = list(accumulate((change[edge] for edge in self.edges), initial=thing.places))

    def at(self, minute: int) -> int:
        return max(0, self.places[bisect_right(self.edges, minute)])


def _rivals(
    problem: Problem, in_one: Sequence[bool], here: Sequence[bool]
) -> tuple[dict[tuple[int, int], Lag], dict[tuple[int, int], int | None]]:
    """Pairs that together need more of something than there is in any slot, and which of the two may be around.

    Two that may both pause can take turns, which no order says.
    """
    activities = problem.activities
    peaks = [max(amounts) for amounts in zip(*(slot.capacity for slot in problem.slots), strict=True)]
    lags: dict[tuple[int, int], Lag] = {}
    around: dict[tuple[int, int], int | None] = {}
    paired = [i for i in range(len(activities)) if here[i]]
    for place, i in enumerate(paired):
        room = [peak - demand for peak, demand in zip(peaks, activities[i].demand, strict=True)]
        for j in paired[place + 1 :]:
            if (in_one[i] or in_one[j]) and any(
                demand > left for demand, left in zip(activities[j].demand, room, strict=True)
            ):
                lags[i, j] = lags[j, i] = Lag()
                around[i, j] = (None if in_one[j] else j) if in_one[i] else i
    return lags, around
