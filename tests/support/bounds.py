"""The bound of a whole problem in one figure: what the search draws from its looks at one finish after the other."""

from __future__ import annotations

from scheduler.solver.problem import Problem
from scheduler.solver.proof.bound import EFFORT, Prover, fewer
from scheduler.solver.proof.branching import Refuter


def lower_bound(problem: Problem, known_finish: int, effort: int = EFFORT) -> int:
    """The latest minute of which it is certain that no placement finishes before it (at most `known_finish`).

    Without effort only chains and workload are looked at. A close look costs about as much time for each state and
    activity as placing that activity a few times.
    """
    prover = Prover(problem)
    states = prover.states(effort)
    if prover.refutes(known_finish - 1, Refuter(states)):
        return known_finish
    return prover.closer(prover.at_least(known_finish), known_finish, Refuter(0), fewer(states))
