"""What fits into which stretch of hours: between the first and the last minute of a stretch, all that must run there
anyway takes its time, wherever in it that goes.

Energetic reasoning (J. Erschler, P. Lopez, "Energy-based approach for task scheduling under time and resources
constraints", 2nd International Workshop on Project Management and Scheduling, 1990; P. Baptiste, C. Le Pape,
W. Nuijten, "Constraint-Based Scheduling", Kluwer 2001, chapter 3) over the stretches that hours fall into. What runs
in one piece needs all its minutes in one of them. What pauses uses none that has less left than its shortest piece:
the ten minutes of an evening that a coat leaves are of no use to it, which counting minutes alone does not see.
"""

from __future__ import annotations

from collections.abc import Iterator

from scheduler.solver.proof.disjunctions import Pausing
from scheduler.solver.proof.state import BACK, FORE, Refuted, State

MOST = 60
"""With more activities than this stretches are not looked at: that grows with their square."""


def within_stretches(state: State) -> None:
    """Nothing starts or ends where its stretch has no room for it. Raises Refuted if it has none at all."""
    question = state.question
    if question.size > MOST:
        return
    for i in question.counted:
        if question.whole[i]:
            _in_one(state, i, FORE)
            _in_one(state, i, BACK)
    for pausing in question.pausing:
        _in_several(state, pausing)


def _in_one(state: State, i: int, side: int) -> None:
    """What runs in one piece begins in a stretch that holds all of it. Raises Refuted."""
    for begin, until in _spans(state, i, i, side):
        if _room(state, begin, until, i, (i,)) >= state.minutes[i]:
            state.raise_start(side, i, begin if side == FORE else -until)
            return
    raise Refuted


def _in_several(state: State, pausing: Pausing) -> None:
    """What pauses has ended no earlier than its stretches give it all its minutes, and begun no later than they still
    do. Raises Refuted."""
    first, last = pausing.parts[0], pausing.parts[-1]
    minutes = sum(state.minutes[part] for part in pausing.parts)
    for side, (begins, ends) in ((FORE, (first, last)), (BACK, (last, first))):
        left = minutes
        for begin, until in _spans(state, first, last, side):
            room = _room(state, begin, until, first, pausing.parts)
            if room < pausing.smallest:
                continue
            if left == minutes:
                state.raise_start(side, begins, begin if side == FORE else -until)
            if room >= left:
                least = max(left, pausing.smallest)
                state.raise_end(side, ends, begin + least if side == FORE else least - until)
                break
            left -= room
        else:
            raise Refuted


def _spans(state: State, first: int, last: int, side: int) -> Iterator[tuple[int, int]]:
    """The stretches between the earliest start of one and the latest end of another, in that direction of time."""
    runs = state.question.directions[FORE].runs[first]
    earliest, latest = state.start[FORE][first], -state.start[BACK][last]
    low, high = runs.index(earliest), runs.index(latest - 1)
    for place in range(low, high + 1) if side == FORE else range(high, low - 1, -1):
        if place < len(runs.spans):
            begin, until = max(runs.spans[place][0], earliest), min(runs.spans[place][1], latest)
            if begin < until:
                yield begin, until


def _room(state: State, begin: int, until: int, i: int, own: tuple[int, ...]) -> int:
    """The most minutes that one may run between two moments beside all that must run there anyway."""
    question, length = state.question, until - begin
    demand = question.problem.activities[i].demand
    room = length
    for r in question.scarce:
        if not demand[r]:
            continue
        before = question.supplies[FORE][r].before
        free, alone = before(until) - before(begin), length
        peak = question.peaks[r]
        for j, amount in question.using[r]:
            if j not in own and (inside := _overlap(state, j, begin, until)):
                free -= amount * inside
                if amount + demand[r] > peak and 2 * amount > peak:  # beside these nothing of it runs, one at a time
                    alone -= inside
        room = min(room, free // demand[r], alone)
    return max(room, 0)


def _overlap(state: State, i: int, begin: int, until: int) -> int:
    """The fewest minutes that one runs between two moments, wherever it goes."""
    earliest, latest = state.start[FORE][i], -state.start[BACK][i]
    if latest <= begin or earliest >= until:
        return 0
    minutes = state.minutes[i]
    if state.question.whole[i]:
        return max(0, min(minutes, until - begin, state.end[FORE][i] - begin, until + state.end[BACK][i]))
    given = state.question.directions[FORE].runs[i].before
    outside = given(begin) - given(min(earliest, begin)) + given(max(latest, until)) - given(until)
    return max(0, minutes - outside)
