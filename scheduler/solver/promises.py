"""By how many minutes a placement breaks its promises, what is due by when to keep them, and what no placement keeps.

A promise is soft: the sum of the minutes by which promises are broken (the total tardiness of the field: P. Brucker,
A. Drexl, R. Möhring, K. Neumann and E. Pesch, "Resource-constrained project scheduling: notation, classification,
models, and methods", European Journal of Operational Research 112, 1999, section 2.3, from memory) is the first of
the aims, before the finish.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from heapq import heapify, heappop, heappush

from scheduler.model.basics import Span
from scheduler.model.spans import union
from scheduler.solver.heads import Runs
from scheduler.solver.holds import Holding
from scheduler.solver.network import LONG_AGO, Network, Readiness, ReadyTimes
from scheduler.solver.problem import Hold, Placement, Problem, Promise
from scheduler.wallclock import NEVER

REACH = 1 << 24
"""Minutes (some 32 years) before a due minute in which the end is looked for that keeps it."""

HALVED = 3000
"""How often stretches of starts are halved at most to find how short a hold can be."""


def late_minutes(problem: Problem, placement: Placement) -> tuple[int, ...]:
    """For each promise of a problem by how many minutes it is broken."""
    ready = Readiness(problem.clocks)
    return tuple(_late(problem, promise, placement, ready) for promise in problem.promises)


def _late(problem: Problem, promise: Promise, placement: Placement, ready: Readiness) -> int:
    pieces = placement.pieces
    if not promise.holds:
        reached = (ready(lag, pieces[i][-1].end) for i, lag in promise.ends if pieces[i])
        return max(0, max(reached, default=LONG_AGO) - promise.by)
    lengths = [end - start for start, end in taken(problem, promise, placement, ready)]
    out = sum(lengths) if promise.in_all else max(lengths, default=0)
    return max(0, out - promise.at_most)


def taken(problem: Problem, promise: Promise, placement: Placement, ready: Readiness) -> tuple[Span, ...]:
    """The stretches in which the holds of a promise have something of their thing, in order; those that touch are
    one."""
    return union(_spans(problem, promise, placement, ready))


def _spans(problem: Problem, promise: Promise, placement: Placement, ready: Readiness) -> Iterator[Span]:
    for number in promise.holds:
        hold = problem.holds[number]
        spans = placement.pieces[hold.taker]
        giver = placement.pieces[hold.taker if hold.giver is None else hold.giver]
        if not spans:
            continue
        if hold.at_work:
            yield from spans
            continue
        event = (giver[0].start if hold.at_start else giver[-1].end) if giver else spans[-1].end
        yield Span(spans[0].start, max(spans[-1].end, ready(hold.lag, event), hold.until or LONG_AGO))


def dues_of(problem: Problem, promises: Iterable[Promise]) -> dict[int, int]:
    """For each activity that is promised the last minute at which it may end for these promises to be kept."""
    found: dict[int, int] = {}
    ready = Readiness(problem.clocks)
    for promise in promises:
        for i, lag in promise.ends:
            if not problem.activities[i].fixed:
                found[i] = min(found.get(i, NEVER), _last_end(ready.of(lag), promise.by))
    return found


def _last_end(reached: ReadyTimes, by: int) -> int:
    """The last end whose lag has passed by a minute."""
    low, high = by - REACH, by
    while low < high:
        middle = (low + high + 1) // 2
        if reached[middle] <= by:
            low = middle
        else:
            high = middle - 1
    return low


def out_at_least(problem: Problem, number: int, late: int) -> int:
    """By how many minutes promise `number`, about what is taken, is broken in every placement; `late` is enough.

    One hold of it takes at least as long as all that must happen from its start until it is given back, with nothing
    else in the way, whenever it starts. When that is given back never falls as the start rises, so a stretch of
    starts is no better than its first release less its last start: the best stretches are halved until one is a
    minute.
    """
    promise, ready = problem.promises[number], Readiness(problem.clocks)
    holding, network = Holding(problem, ready), Network(problem, (), ready)
    least = 0
    for each in promise.holds:
        hold = problem.holds[each]
        activity = problem.activities[hold.taker]
        if activity.optional or activity.fixed or hold.at_work or not activity.minutes:
            continue
        runs = Runs(problem, activity.demand)

        def lasts(start: int, hold: Hold = hold, each: int = each, runs: Runs = runs) -> int:
            """When it is given back at the earliest if it is taken at `start` or later."""
            taker = problem.activities[hold.taker]
            found = runs.first(start, taker.minutes, taker.smallest)
            if found is None:
                return NEVER
            back = holding.earliest(each, found[1], network)
            return max(back, ready(hold.lag, found[0])) if hold.giver is None and hold.at_start else back

        least = max(least, _shortest(lasts, [(max(a, activity.release), b) for a, b in runs.spans]))
        if least >= late + promise.at_most:
            return late
    return max(0, least - promise.at_most)


def _shortest(lasts: Callable[[int], int], spans: Iterable[tuple[int, int]]) -> int:
    """The least of `lasts(start) - start` over all starts in the spans, or less where that takes too long."""
    heap = [(lasts(begin) - (end - 1), begin, end) for begin, end in spans if begin < end]
    heapify(heap)
    for _ in range(HALVED):
        if not heap:
            return NEVER
        least, begin, end = heappop(heap)
        if end - begin == 1:
            return least
        middle = (begin + end) // 2
        heappush(heap, (lasts(begin) - (middle - 1), begin, middle))
        heappush(heap, (lasts(middle) - (end - 1), middle, end))
    return heap[0][0]
