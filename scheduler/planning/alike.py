"""What a problem says once for many activities, laid out for quick use: who is barred alike, who is in which set."""

from __future__ import annotations

from collections.abc import Iterable

from scheduler.planning.network import Readiness, Ready
from scheduler.planning.problem import Problem


def least_demand(problem: Problem) -> tuple[int, ...]:
    """Of each resource the least that anything with work takes."""
    longer = {i for pair in problem.choices for option in pair for i, _ in option.extra}
    activities = problem.activities
    working = {a.demand for i, a in enumerate(activities) if a.minutes or i in longer}
    return tuple(min(amounts) for amounts in zip(*(working or {a.demand for a in activities}), strict=True))


def numbers(size: range, sets: Iterable[frozenset[int]]) -> list[list[int]]:
    """For every activity the numbers of the sets that it is in."""
    found: list[list[int]] = [[] for _ in size]
    for number, members in enumerate(sets):
        for i in members:
            found[i].append(number)
    return found


Closing = list[list[tuple[Ready, list[int]]]]


def barred_alike(problem: Problem, ready: Readiness) -> tuple[list[int], int, Closing]:
    """Activities that the same barriers bar share what is closed to them, and are looked at together.

    The answer says for every activity which group it is in (0: nothing bars it), how many groups there are, and
    what it closes itself: the table of when that opens again, and the groups that are kept out meanwhile.
    """
    size = range(len(problem.activities))
    bars = numbers(size, (barrier.bars - {barrier.by} for barrier in problem.barriers))
    groups: dict[tuple[int, ...], int] = {(): 0}
    barred = [groups.setdefault(tuple(bars[i]), len(groups)) for i in size]
    kept_out: list[list[int]] = [[] for _ in problem.barriers]
    for by, group in groups.items():
        for number in by:
            kept_out[number].append(group)
    closing: Closing = [[] for _ in size]
    for barrier, out in zip(problem.barriers, kept_out, strict=True):
        closing[barrier.by].append((ready.of(barrier.until), out))
    return barred, len(groups), closing
