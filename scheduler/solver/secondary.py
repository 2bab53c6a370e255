"""What is spared once a placement is found: minutes for which a thing is out of use, remedies, days on site, and time
for which something is held."""

from __future__ import annotations

from collections.abc import Sequence, Set
from dataclasses import replace

from scheduler.model.basics import Span
from scheduler.solver.activity_lists import Decoded, served
from scheduler.solver.decoding import AT_ONCE, Placer
from scheduler.solver.objective import aim_of, days_used, only_on, open_holds
from scheduler.solver.population import Pools
from scheduler.solver.problem import Hold, Lag, Placement, Problem, Promise, Wait
from scheduler.solver.promises import taken
from scheduler.solver.proof.bound import latest_starts
from scheduler.wallclock import DAY

ATTEMPTS = 14
"""In how many orders a set of days is tried: with less than half of it three of five jobs took a day more on site."""

FURTHER = 14 * DAY
"""How much later than it is given back now something is taken at most, so that it is out of use for less long."""

SHAKES = 40
"""How many orders are tried at a time with what is promised as a rule."""

JITTER = 0.1
"""How far such an order strays, as a share of the time from the first start to the last."""


def spare(pools: Pools, effort: int) -> None:
    """Hold nothing back, come on no day and mend nothing that the finish does not need, and take nothing before it is
    needed, with so much effort in all. Days come before remedies, as in the aims: what is held back so that nothing
    has to be mended leaves days no way to be spared."""
    limit = pools.placed + effort
    _let_go(pools, limit)
    _fewer_days(pools, limit)
    _fewer_remedies(pools, limit)
    _held_less(pools, limit)


def take_later(pools: Pools, limit: int) -> None:
    """Where something is out of use for longer than promised, take it later: no earlier than each stretch of hours in
    turn, in the order of the best, or with all that comes until it is given back served right after that. First of
    each promise alone, then of all together, as two may wait for the same one to be given back.

    A pass forwards takes everything as early as it can, and gives nothing back any sooner for that.
    """
    best = pools.best
    while best is not None and pools.placed < limit:
        found = [each for each in (_out(pools, best, promise) for promise in pools.problem.promises) if each]
        if len(found) > 1:
            spans = [span for span, _, _ in found]
            whole = Span(min(span.start for span in spans), max(span.end for span in spans))
            found.append(
                (whole, set().union(*(each[1] for each in found)), set().union(*(each[2] for each in found)))
            )
        for inside, between, takers in found:
            _put_right(pools, between)
            _delayed(pools, inside, between, takers, limit)
        if pools.best is best:
            return
        best = pools.best


def in_windows(pools: Pools, placer: Placer, limit: int) -> None:
    """The same as a rule instead of an aim: who gives back must come in time after who takes (see `windowed`). Orders
    of latest starts, shaken more and more, are served under it: a taker that a window holds back makes way for what
    the others need first.
    """
    last = max((slot.end for slot in pools.problem.slots), default=0)
    late = latest_starts(placer.problem, last, pools.due)
    reach = max(pools.urgency) - min(pools.urgency) + 1
    for attempt in range(SHAKES):
        best = pools.best
        if best is None or not best.aim.late or pools.placed + placer.placements >= limit:
            break
        spread = reach * attempt / SHAKES
        base = late if attempt % 2 else pools.urgency
        rank = [value + pools.random.uniform(-spread, spread) for value in base]
        options = None if attempt % 4 else best.placement.options
        outcome = placer.place(rank, options=options, pull=AT_ONCE if attempt % 3 else 0.0)
        if isinstance(outcome, Placement):
            pools.take(outcome, rank)
    pools.forward.placements += placer.placements
    placer.placements = 0


def windowed(problem: Problem) -> Problem | None:
    """The problem in which each hold of a promise that another activity gives back is given back in time: as far as
    its minutes say, a window without a remedy. None if there is no such hold."""
    waits = []
    for promise in problem.promises:
        for hold in (problem.holds[number] for number in promise.holds):
            if hold.giver is None or hold.at_work or problem.activities[hold.giver].booked:
                continue
            taker, giver = problem.activities[hold.taker], problem.activities[hold.giver]
            lag = int(hold.lag.amount) + hold.lag.then
            left = promise.at_most - taker.minutes - lag - (0 if hold.at_start else giver.minutes)
            if left > 0 and not taker.fixed and not giver.fixed:
                waits.append(Wait(before=hold.taker, after=hold.giver, until=Lag(left)))
    return replace(problem, waits=(*problem.waits, *waits)) if waits else None


Out = tuple[Span, set[int], set[int]]


def _out(pools: Pools, best: Decoded, promise: Promise) -> Out | None:
    """The stretch in which a thing is out of use for too long, who comes between taking and giving back in it, and
    who takes; None if the promise is kept, or about something else."""
    problem, placement = pools.problem, best.placement
    stretches = taken(problem, promise, placement, pools.forward.ready)
    lengths = [span.minutes for span in stretches]
    if not lengths or (sum(lengths) if promise.in_all else max(lengths)) <= promise.at_most:
        return None
    longest = max(stretches, key=lambda span: span.minutes)
    inside = Span(stretches[0].start, stretches[-1].end) if promise.in_all else longest
    network = pools.forward.network(placement.options)
    between, takers = set[int](), set[int]()
    for number in promise.holds:
        hold = problem.holds[number]
        spans = placement.pieces[hold.taker]
        if spans and inside.start <= spans[0].start < inside.end and not problem.activities[hold.taker].fixed:
            takers.add(hold.taker)
            ahead = network.ahead_of([hold.taker])
            between |= network.ahead_of([hold.taker if hold.giver is None else hold.giver]) - ahead | {hold.taker}
    return (inside, between, takers) if takers else None


def _delayed(pools: Pools, inside: Span, between: Set[int], takers: Set[int], limit: int) -> None:
    """Take what is taken in a stretch no earlier than each stretch of hours in turn, nor than it last fits in."""
    slots = [slot for slot in pools.problem.slots if slot.end > inside.start]
    opening = {max(slot.start, inside.start) for slot in slots}
    shortest = min(pools.problem.activities[i].minutes for i in takers)
    opening |= {slot.end - shortest for slot in slots if slot.end - shortest > max(slot.start, inside.start)}
    moments = [moment for moment in sorted(opening) if moment < inside.end + FURTHER]
    pools.random.shuffle(moments)
    for moment in moments:
        best = pools.best
        if best is None or pools.placed >= limit:
            return
        held = {**best.not_before, **dict.fromkeys(takers, moment)}
        rank = served(pools.problem, best.placement.pieces)
        pools.fore(rank, best.placement.options, not_before=held)
        for i in between:
            rank[i] = min(rank[i], float(moment))
        pools.fore(rank, best.placement.options, not_before=held, pull=AT_ONCE)
        pools.fore(rank, best.placement.options, not_before=held)


def _put_right(pools: Pools, between: Set[int]) -> None:
    """Take something as late as all that follows it lets it be: backwards, with nothing else ending later."""
    best = pools.best
    if best is None:
        return
    pieces, finish = best.placement.pieces, best.placement.finish
    ends = {i: -spans[-1].end for i, spans in enumerate(pieces) if spans}
    giving = min((ends[i] for i in between if i in ends), default=0)
    held = {i: end for i, end in ends.items() if i not in between or end == giving}
    rank = [float(ends.get(i, -finish)) for i in range(len(pieces))]
    back = pools.backward.place(rank, options=best.placement.options, not_before=held, floor=-finish)
    if isinstance(back, Placement):
        late = {i: -back.pieces[i][-1].end for i in between if back.pieces[i]}
        rank = [float(spans[0].start) if spans else 0.0 for spans in pieces]
        for i, start in late.items():
            rank[i] = float(start)
        pools.fore(rank, best.placement.options, not_before={**best.not_before, **late})


def _let_go(pools: Pools, limit: int) -> None:
    """Hold nothing back that can come earlier without harm: all of it at once, or one after the other."""
    for i in (None, *(pools.best.not_before if pools.best is not None else ())):
        best = pools.best
        if best is None or not best.not_before or pools.placed >= limit:
            return
        held = {} if i is None else {j: at for j, at in best.not_before.items() if j != i}
        found = pools.fore(served(pools.problem, best.placement.pieces), best.placement.options, not_before=held)
        if found is not None and found.aim <= best.aim:
            pools.best = found


def _fewer_remedies(pools: Pools, limit: int) -> None:
    """Where a window was missed, see whether the earlier one can come later instead."""
    problem = pools.problem
    for wait in (*problem.waits, *(w for pair in problem.choices for option in pair for w in option.waits)):
        best = pools.best
        if best is None or wait.remedy is None or wait.until is None:
            continue
        if pools.placed >= limit:
            return
        after, before = best.placement.pieces[wait.after], best.placement.pieces[wait.before]
        if not best.placement.pieces[wait.remedy] or not after or not before:
            continue
        if problem.activities[wait.before].fixed:
            continue
        late = after[0].start - (pools.forward.ready.of(wait.until)[before[-1].end] - before[-1].end)
        delayed = dict(best.not_before)
        delayed[wait.before] = max(late - problem.activities[wait.before].minutes, before[0].start + 1)
        pools.fore(served(problem, best.placement.pieces), best.placement.options, not_before=delayed)


def _fewer_days(pools: Pools, limit: int) -> None:
    """Leave out one day after another, the least used first, as long as the finish holds.

    Only the days that are used already stay open: whatever keeps the finish on them takes fewer. A day that was
    needed once is still needed when there are fewer.
    """
    needed = set[int]()
    while pools.best is not None and pools.problem.has_days and pools.placed < limit:
        used = days_used(pools.problem, pools.best.placement)
        day = min(used.keys() - needed, key=lambda day: (used[day], day), default=None)
        if day is None or len(used) < 2:
            return
        placer = Placer(only_on(pools.problem, used.keys() - {day}))
        found = _on_open_days(pools, placer, pools.best, limit - pools.placed)
        pools.forward.schedules += placer.schedules
        pools.forward.placements += placer.placements
        if found is None:
            needed.add(day)
        else:
            pools.best = found


def _held_less(pools: Pools, limit: int) -> None:
    """What another activity gives back is held no longer than the other aims ask for: what is held longest is tried
    first. All that comes between taking and giving back is served at once, or it is taken no earlier than each
    stretch of hours until the end, the last one first, or right before what waits for it. Only the days that are used
    anyway are open for that.
    """
    tried = set[tuple[int, int]]()
    going = True
    while going and pools.best is not None and pools.placed < limit:
        best = pools.best
        open_days = days_used(pools.problem, best.placement).keys() if pools.problem.has_days else None
        placer = Placer(pools.problem if open_days is None else only_on(pools.problem, open_days))
        holds = sorted(open_holds(pools.problem, best.placement), key=lambda one: -one[1] * one[0].places)
        going = any(_held_shorter(pools, placer, best, hold, tried, limit) for hold, _ in holds)


def _held_shorter(
    pools: Pools, placer: Placer, best: Decoded, hold: Hold, tried: set[tuple[int, int]], limit: int
) -> bool:
    """Whether a better placement was found by taking later, or giving back sooner, what one hold takes."""
    problem, taker = pools.problem, hold.taker
    if problem.activities[taker].fixed or hold.giver is None:
        return False
    start, rank = best.placement.pieces[taker][0].start, served(problem, best.placement.pieces)
    moments = [slot.start for slot in placer.problem.slots if start < slot.start < best.aim.finish]
    waiting = (best.placement.pieces[wait.after] for wait in problem.waits if wait.before == taker)
    moments.append(min((spans[0].start for spans in waiting if spans), default=0) - problem.activities[taker].minutes)
    ways = [(rank, {**best.not_before, taker: moment}) for moment in sorted(moments, reverse=True) if moment > start]
    network = pools.forward.network(best.placement.options)
    between = (network.ahead_of([hold.giver]) - network.ahead_of([taker])) | {taker, hold.giver}
    at_once = [min(each, rank[taker]) if i in between else each for i, each in enumerate(rank)]
    for order, held in [(at_once, dict(best.not_before)), *ways]:
        key = taker, held[taker] if order is rank else -start
        if key not in tried and pools.placed < limit:
            tried.add(key)
            if _is_better(pools, placer, best, order, held):
                return True
    return False


def _is_better(pools: Pools, placer: Placer, best: Decoded, rank: Sequence[float], held: dict[int, int]) -> bool:
    """Whether these orders lead to something better, which is kept then."""
    outcome = placer.place(rank, options=best.placement.options, not_before=held, by=best.aim.finish)
    pools.forward.schedules += placer.schedules
    pools.forward.placements += placer.placements
    placer.schedules = placer.placements = 0
    if isinstance(outcome, Placement):
        aim = aim_of(pools.problem, outcome)
        if aim < best.aim:
            pools.best = pools.found(outcome, rank, aim, held)
            return True
    return False


def _on_open_days(pools: Pools, placer: Placer, best: Decoded, effort: int) -> Decoded | None:
    """Something better than the best on these days: in its own order, by urgency, or in orders near to those."""
    starts = served(pools.problem, best.placement.pieces)
    reach = (max(starts) - min(starts)) * JITTER
    for attempt in range(ATTEMPTS):
        if placer.placements >= effort:
            break
        rank: Sequence[float] = starts if attempt % 2 == 0 else pools.urgency
        if attempt > 1:
            rank = [value + pools.random.uniform(-reach, reach) for value in rank]
        outcome = placer.place(
            rank, options=best.placement.options, not_before=best.not_before, effort=effort, by=best.aim.finish
        )
        if isinstance(outcome, Placement):
            aim = aim_of(pools.problem, outcome)
            if aim < best.aim:
                return pools.found(outcome, rank, aim, best.not_before)
    return None
