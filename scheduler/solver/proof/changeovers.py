"""What wants it clean waits for somebody to clean, and that one for the dirt: drawn from what is certain so far."""

from __future__ import annotations

from dataclasses import dataclass

from scheduler.solver.problem import Lag, Soil
from scheduler.solver.proof.disjunctions import Order
from scheduler.solver.proof.state import BACK, FORE, Refuted, State


@dataclass(frozen=True, slots=True)
class _Dirt:
    """Somebody's dirt that is certain to come before the start of `wanting`: its first piece, or all of it."""

    by: int
    wanting: int
    all_of_it: bool


def cleaned(state: State) -> None:
    """Between dirt and the later start of what wants it clean there is room for one that cleans. Raises Refuted."""
    for soil, soiling, wanting in state.question.soils:
        for i in wanting:
            for j in soiling:
                if i == j:
                    continue
                if state.before[FORE][i] >> j & 1:
                    _between(state, soil, _Dirt(j, i, all_of_it=True))
                elif _begins_before(state, j, i):
                    _between(state, soil, _Dirt(j, i, all_of_it=False))


def _begins_before(state: State, j: int, i: int) -> bool:
    """Whether j begins before i in any case: i comes too late to be before it, and it can't begin while i runs, which
    it may where i pauses."""
    latest = -state.end[BACK][j]
    if latest < state.start[FORE][i]:
        return True
    return latest < state.end[FORE][i] and state.question.whole[i] and (i, j) in state.question.apart


def called_for(state: State, i: int) -> int:
    """The first minute at which something optional can start: what it waits for must be over."""
    end = state.end[FORE]
    release, waits = state.question.calling[i]
    return max([release, *(ready[end[before]] for before, ready in waits)])


def _between(state: State, soil: Soil, dirt: _Dirt) -> None:
    """Somebody cleans after that dirt and before that start: by whom, if only one is left, and when at the earliest
    and latest. Raises Refuted if nobody can.
    """
    i, j = dirt.wanting, dirt.by
    fore = state.question.directions[FORE]
    shortest = state.minutes[j] if state.question.whole[j] else min(fore.smallest[j] or 0, state.minutes[j])
    soiled = state.end[FORE][j] if dirt.all_of_it else state.start[FORE][j] + shortest
    by = -state.end[BACK][i]
    able, sure = list[tuple[int, int]](), True
    for c in soil.cleans - {i, j}:
        cleaner = state.question.problem.activities[c]
        if cleaner.fixed:
            sure = sure and cleaner.fixed[0].start < soiled
        elif cleaner.optional:
            sure = sure and called_for(state, c) + cleaner.minutes > by
        elif not cleaner.minutes:
            sure = False
        elif not (state.before[FORE][j] >> c & 1 or state.before[FORE][c] >> i & 1):
            found = fore.place(c, max(soiled, state.start[FORE][c]), state.minutes[c])
            if found is not None and found[0] <= -state.end[BACK][c] and found[1] <= min(by, -state.start[BACK][c]):
                able.append((c, found[1]))
    if not sure:
        return
    if not able:
        raise Refuted
    state.raise_start(FORE, i, min(end for _, end in able))
    if len(able) > 1:
        return
    (c, _), *_ = able
    arcs = [(c, i, Lag())]
    if dirt.all_of_it:
        arcs.append((j, c, Lag()))
    arcs = [(a, b, lag) for a, b, lag in arcs if not state.before[FORE][b] >> a & 1]
    if arcs:
        state.decide(Order(tuple(arcs)))
    state.raise_start(FORE, c, soiled)
    if not dirt.all_of_it:
        state.raise_end(BACK, j, state.end[BACK][c] + shortest)
