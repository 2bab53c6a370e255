"""What is spared once the finish is found: remedies, and days on site."""

from __future__ import annotations

from collections.abc import Sequence

from scheduler.solver.activity_lists import Found, served
from scheduler.solver.decoding import Placer
from scheduler.solver.objective import aim_of, days_used, only_on
from scheduler.solver.population import Pools
from scheduler.solver.problem import Placement

ATTEMPTS = 6
"""In how many orders a set of days is tried."""

JITTER = 0.1
"""How far such an order strays, as a share of the time from the first start to the last."""


def spare(pools: Pools, effort: int) -> None:
    """Hold nothing back, mend nothing and come on no day that the finish does not need, with so much effort each."""
    _let_go(pools, pools.placed + effort)
    _fewer_remedies(pools, pools.placed + effort)
    _fewer_days(pools, effort)


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


def _fewer_days(pools: Pools, effort: int) -> None:
    """Leave out one day after another, the least used first, as long as the finish holds.

    Only the days that are used already stay open: whatever keeps the finish on them takes fewer. A day that was
    needed once is still needed when there are fewer.
    """
    limit, needed = pools.placed + effort, set[int]()
    while pools.best is not None and pools.problem.has_days and pools.placed < limit:
        used = days_used(pools.problem, pools.best.placement)
        day = min(used.keys() - needed, key=lambda day: (used[day], day), default=None)
        if day is None or len(used) < 2:
            return
        placer = Placer(only_on(pools.problem, used.keys() - {day}))
        found = _on_open_days(pools, placer, pools.best, effort)
        pools.forward.schedules += placer.schedules
        pools.forward.placements += placer.placements
        if found is None:
            needed.add(day)
        else:
            pools.best = found


def _on_open_days(pools: Pools, placer: Placer, best: Found, effort: int) -> Found | None:
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
            rank, options=best.placement.options, not_before=best.not_before, effort=effort, by=best.aim[0]
        )
        if isinstance(outcome, Placement):
            aim = aim_of(pools.problem, outcome)
            if aim < best.aim:
                return pools.found(outcome, rank, aim, best.not_before)
    return None
