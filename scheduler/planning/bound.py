"""No plan ends before this: a lower bound on the finish, from chains, hours, workload and what excludes what.

Every step here relaxes the problem (what it leaves out could only make a plan later), so the bound is valid
whatever the search finds. It is destructive: it takes a finish for granted, passes backwards to the latest end of
every activity, and asks whether what must be done between heads and latest ends can be done at all; the last finish
refuted is the bound. First comes what is cheap. If that does not meet the finish of a known placement, one minute
less than that is looked at as closely as the effort allows.
"""

from __future__ import annotations

from collections.abc import Callable

from scheduler.planning.known import BACK, FORE, Question, Refuted, State
from scheduler.planning.lastdays import Refuter
from scheduler.planning.network import LONG_AGO
from scheduler.planning.problem import Problem
from scheduler.planning.refuting import workload

EFFORT = 1_000
"""How much is spent on looking closer, if nothing else is said: states settled times activities."""

MOST_EFFORT = 8_000
MOST_STATES = 200
"""How much is spent at most, and on how many states: what is not refuted by then seldom is by more."""

FEWER = 20
"""By how much less closely all other finishes are looked at than the one before the known one."""

GRAIN = 15
"""How exactly the least finish that is not refuted is found if it is not the known one, in minutes."""

MOST_CLOSE = 150
"""With more activities than this only chains and workload are looked at: closer looks grow with their square."""


def lower_bound(problem: Problem, known_finish: int, effort: int = EFFORT) -> int:
    """The latest minute of which it is certain that no placement finishes before it (at most `known_finish`).

    Without effort only chains and workload are looked at. A close look costs about as much time for each state and
    activity as placing that activity a few times.
    """
    ground = _ground(problem)
    if ground is None:
        return known_finish
    question = ground.question
    placed = zip(ground.end[FORE], problem.activities, strict=True)
    low = max((end for end, a in placed if not a.optional and (a.minutes or a.fixed)), default=0)
    low = _least(low, known_finish, lambda finish: _too_early(ground, finish))
    if low >= known_finish or not effort or question.size > MOST_CLOSE:
        return min(low, known_finish)
    states = _states(question, effort)
    if _refuted(ground, known_finish - 1, Refuter(states)):
        return known_finish
    fewer = max(states // FEWER, 1)
    return _least(low, known_finish - 1, lambda finish: _refuted(ground, finish, Refuter(fewer)), GRAIN)


def is_proven(problem: Problem, finish: int, effort: int) -> bool:
    """Whether it is certain that no placement finishes before that minute; a part of what `lower_bound` asks."""
    ground = _ground(problem)
    if ground is None or _too_early(ground, finish - 1):
        return True
    close = effort and ground.question.size <= MOST_CLOSE
    return bool(close) and _refuted(ground, finish - 1, Refuter(_states(ground.question, effort)))


def _ground(problem: Problem) -> State | None:
    """What is known before a finish is taken for granted; None if something has no place at all."""
    state = State(Question(problem))
    try:
        state.begin()
    except Refuted:
        return None
    return state


def _states(question: Question, effort: int) -> int:
    """On how many states so much effort may be spent."""
    return min(max(min(effort, MOST_EFFORT) // question.size, 1), MOST_STATES)


def latest_starts(problem: Problem, finish: int) -> list[float]:
    """For every activity how late it may start, with nothing else running, to be done by a finish: who is urgent."""
    state = State(Question(problem))
    try:
        for i in reversed(range(len(problem.activities))):  # as in `done_by`
            if not problem.activities[i].optional:
                state.raise_start(BACK, i, -finish)
        state.flow()
    except Refuted:  # not even alone: any order shows where it is stuck
        return [float(i) for i in range(len(problem.activities))]
    return [-float(end) if end > LONG_AGO else 0.0 for end in state.end[BACK]]


def has_no_room(problem: Problem) -> bool:
    """Whether chains and workload alone show that not everything fits into the hours there are."""
    ground = _ground(problem)
    return ground is None or _too_early(ground, max((slot.end for slot in problem.slots), default=0))


def _least(low: int, high: int, refuted: Callable[[int], bool], grain: int = 0) -> int:
    """The least finish from `low` on that is not refuted, or at most `grain` less; `high` if all before it are."""
    while low + grain < high:
        middle = (low + high) // 2
        if refuted(middle):
            low = middle + 1
        else:
            high = middle
    return low


def _too_early(ground: State, finish: int) -> bool:
    """Whether chains and workload alone refute a finish."""
    state = ground.copy()
    try:
        state.done_by(finish)
        workload(state)
    except Refuted:
        return True
    return False


def _refuted(ground: State, finish: int, refuter: Refuter) -> bool:
    """Whether a closer look refutes a finish."""
    state = ground.copy()
    try:
        state.done_by(finish)
        state.look_closer()
    except Refuted:
        return True
    return refuter.refutes(state)
