"""Who is at work when: the pieces of a placement by their start."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection
from itertools import accumulate

from scheduler.solver.problem import Placement, Problem


class AtWork:
    """All pieces of a placement, and what each activity takes of the resources that are not `free` to all."""

    def __init__(self, problem: Problem, placement: Placement, free: Collection[int] = ()) -> None:
        self._takes = [
            sum(1 << r for r, amount in enumerate(activity.demand) if amount and r not in free)
            for activity in problem.activities
        ]
        self._pieces = sorted((*piece, j) for j, spans in enumerate(placement.pieces) for piece in spans)
        self._starts = [start for start, _, _ in self._pieces]
        self._reach = list(accumulate((end for _, end, _ in self._pieces), max))  # the last end of all up to here

    def last_before(self, i: int, after: int, moment: int) -> int | None:
        """Of those that take something i takes, and are at work between two moments, the one that ends last.

        What ends at the second moment or later counts alike; of several it is the one with the lowest number.
        """
        best: tuple[int, int] | None = None
        for at in range(bisect_left(self._starts, moment) - 1, -1, -1):
            reach = min(self._reach[at], moment)
            if reach <= after or (best is not None and reach < best[0]):
                break
            _, end, j = self._pieces[at]
            if end > after and j != i and self._takes[i] & self._takes[j]:
                ranked = min(end, moment), -j
                best = ranked if best is None else max(best, ranked)
        return None if best is None else -best[1]
