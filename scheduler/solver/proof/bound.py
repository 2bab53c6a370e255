"""No plan ends before this: a lower bound on the finish, from chains, hours, workload and what excludes what.

Every step here relaxes the problem (what it leaves out could only make a plan later), so the bound is valid
whatever the search finds. It is destructive: it takes a finish for granted, passes backwards to the latest end of
every activity, and asks whether what must be done between heads and latest ends can be done at all; the last finish
refuted is the bound. First comes what is cheap. If that does not meet the finish of a known placement, one minute
less than that is looked at as closely as the effort allows.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from scheduler.solver.activity_lists import by_latest_starts
from scheduler.solver.problem import Problem
from scheduler.solver.promises import out_at_least
from scheduler.solver.proof.branching import Refuter
from scheduler.solver.proof.propagation import workload
from scheduler.solver.proof.state import BACK, FORE, ProofInstance, Refuted, State
from scheduler.solver.proof.taking import keep_promises

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


class Prover:
    """What can be told of the finishes of one problem. Its size decides how closely it is looked at.

    With a `grace` only of those placements that break their promises by no more minutes than that.
    """

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.last = max((slot.end for slot in problem.slots), default=0)
        self.promises = problem.promises
        self.grace: int | None = None
        self.passes = 0
        """How often the chains were passed along so far."""
        self.question = ProofInstance(problem)
        state = State(self.question)
        self.ground: State | None = state
        try:
            state.begin()
        except Refuted:  # something has no place at all
            self.ground = None

    @property
    def looks_close(self) -> bool:
        """Whether the problem is small enough for closer looks."""
        return self.ground is not None and self.ground.question.size <= MOST_CLOSE

    def states(self, effort: int) -> int:
        """On how many states so much effort may be spent; none where no closer look is worth it."""
        if self.ground is None or not effort or not self.looks_close:
            return 0
        return min(max(min(effort, MOST_EFFORT) // max(self.ground.question.size, 1), 1), MOST_STATES)

    def has_no_room(self) -> bool:
        """Whether chains and workload alone show that not everything fits into the hours there are."""
        return self._too_early(self.last)

    def refutes(self, finish: int, refuter: Refuter) -> bool:
        """Whether it is certain that nothing is done by a finish."""
        if self._too_early(finish):
            return True
        return bool(refuter.left) and self._refuted(finish, refuter)

    def at_least(self, known_finish: int) -> int:
        """A minute before which no placement finishes, by chains and workload."""
        if self.ground is None:
            return known_finish
        ends = zip(self.ground.end[FORE], self.ground.question.problem.activities, strict=True)
        placed = ((end, a) for end, a in ends if not a.optional and not a.booked)
        low = max((end for end, a in placed if a.minutes or a.fixed), default=0)
        return min(_least(low, known_finish, self._too_early), known_finish)

    def closer(self, low: int, known_finish: int, refuter: Refuter, states: int) -> int:
        """The same as known by now, `low`, or more by looks at so many states each, all of them the refuter's."""
        if self.ground is None or not states:
            return low
        return _least(low, known_finish, lambda finish: self._refuted(finish, refuter.anew(states)), GRAIN)

    def late_at_least(self, known: Sequence[int]) -> int:
        """A sum of minutes by which promises are broken in every placement, for those broken by `known` minutes in
        one: each looked at alone, by chains and workload, and what is out of use by what must happen in between."""
        if self.ground is None:
            return sum(known)
        problem, total = self.problem, 0
        for number, (promise, late) in enumerate(zip(problem.promises, known, strict=True)):
            if late and promise.ends:
                self.promises = (promise,)
                total += _least(0, late, self._breaks_more)
            elif late:
                total += out_at_least(problem, number, late)
        self.promises = problem.promises
        return total

    def _breaks_more(self, grace: int) -> bool:
        """Whether a promise is broken by more than that in any case."""
        self.grace = grace
        return self._too_early(self.last)

    def granted(self, finish: int) -> State | None:
        """What chains say if a finish is taken for granted; None if they refute it, or workload does."""
        if self.ground is None:
            return None
        self.passes += 1
        state = self.ground.copy()
        try:
            state.done_by(finish)
            self._keep_promises(state)
            workload(state)
        except Refuted:
            return None
        return state

    def _keep_promises(self, state: State) -> None:
        """Take for granted that no promise is broken by more than the grace. Raises Refuted."""
        state.grace, state.promises = self.grace, self.promises
        keep_promises(state)
        state.flow()

    def _too_early(self, finish: int) -> bool:
        """Whether chains and workload alone refute a finish."""
        return self.granted(finish) is None

    def _refuted(self, finish: int, refuter: Refuter) -> bool:
        """Whether a closer look refutes a finish."""
        if self.ground is None:
            return True
        state = self.ground.copy()
        try:
            state.done_by(finish)
            self._keep_promises(state)
            state.look_closer()
        except Refuted:
            return True
        return refuter.refutes(state)


def refuted(problem: Problem, finish: int, effort: int = EFFORT) -> bool:
    """Whether it is certain that no placement is done by a finish: all of the effort goes into this one."""
    prover = Prover(problem)
    return prover.refutes(finish, Refuter(prover.states(effort)))


def fewer(states: int) -> int:
    """How many states are looked at of all other finishes, if so many are of the one before the known one."""
    return -(-states // FEWER)


def latest_starts(
    problem: Problem, finish: int, due: Mapping[int, int] | None = None, question: ProofInstance | None = None
) -> list[float]:
    """For every activity how late it may start, with nothing else running, to be done by a finish, and what is due
    by then: who is urgent. Whoever has the problem's `question` already hands it in."""
    question = question or ProofInstance(problem)
    state = State(question)
    try:
        for i in reversed(range(len(problem.activities))):  # as in `done_by`
            if not problem.activities[i].optional:
                state.raise_start(BACK, i, -min(finish, (due or {}).get(i, finish)))
        state.flow()
    except Refuted:  # not even alone: any order shows where it is stuck
        return (
            latest_starts(problem, finish, None, question)
            if due
            else [float(i) for i in range(len(problem.activities))]
        )
    return by_latest_starts(state)


def _least(low: int, high: int, refuted: Callable[[int], bool], grain: int = 0) -> int:
    """The least finish from `low` on that is not refuted, or at most `grain` less; `high` if all before it are."""
    while low + grain < high:
        middle = (low + high) // 2
        if refuted(middle):
            low = middle + 1
        else:
            high = middle
    return low
