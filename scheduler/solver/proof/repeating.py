"""Conclusions that only creep on from week to week are drawn for many weeks at once.

Who must follow soon finds no room this week, so both are put off to the next, where it is the same again; over five
years of hours that is a long way. What is concluded depends on the hours and on nothing else that knows the date. So
where hours are the same a week later, what led from one stand to another, a week after it, leads from there to one a
week later still (the drawing of conclusions is monotone, and commutes with such a shift).
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

from scheduler.solver.problem import Lag, Problem, Slot
from scheduler.wallclock import DAY, NEVER

WEEK = 7 * DAY


class Repeats:
    """In which stretches the hours are those of a week later."""

    def __init__(self, slots: Sequence[Slot]) -> None:
        self._breaks = list(_breaks(slots))
        self._ends = [end for _, end in self._breaks]

    def weeks(self, low: int, high: int) -> int:
        """How many weeks on the hours between two minutes come again, and in every week on the way there."""
        at = bisect_right(self._ends, low)
        until = self._breaks[at][0] if at < len(self._breaks) else NEVER
        return max((until - high) // WEEK + 1, 0)


def _breaks(slots: Sequence[Slot]) -> Iterator[tuple[int, int]]:
    """The stretches, ascending, in which the capacities are not those of a week later."""
    later = [Slot(slot.start - WEEK, slot.end - WEEK, slot.capacity) for slot in slots]
    edges = sorted({edge for slot in (*slots, *later) for edge in (slot.start, slot.end)})
    here, there = _Pointer(slots), _Pointer(later)
    for begin, end in pairwise(edges):
        if here.capacity(begin) != there.capacity(begin):
            yield begin, end


class _Pointer:
    """What there is at minutes that are asked for in ascending order."""

    def __init__(self, slots: Sequence[Slot]) -> None:
        self._slots = slots
        self._at = 0

    def capacity(self, minute: int) -> tuple[int, ...]:
        slots = self._slots
        while self._at < len(slots) and slots[self._at].end <= minute:
            self._at += 1
        if self._at < len(slots) and slots[self._at].start <= minute:
            return slots[self._at].capacity
        return ()


def dateless(problem: Problem) -> bool:
    """Whether no lag of a problem runs on a clock, and nothing asks for its own spans: all is as long on any day."""
    waits = [*problem.waits, *(wait for pair in problem.choices for option in pair for wait in option.waits)]
    lags: list[Lag | None] = [lag for wait in waits for lag in (wait.lag, wait.until)]
    lags += [barrier.until for barrier in problem.barriers]
    lags += [hold.lag for hold in problem.holds]
    return all(lag is None or lag.clock is None for lag in lags) and not any(
        activity.fixed or activity.fit is not None for activity in problem.activities
    )


@dataclass(frozen=True, slots=True)
class Stand:
    """How early everything could start and end at one moment of the drawing of conclusions, in one direction of time,
    and of whom something was still to be passed on then."""

    start: tuple[int, ...]
    end: tuple[int, ...]
    waiting: frozenset[int]

    def moved_since(self, start: Sequence[int], end: Sequence[int]) -> list[int]:
        """Who can no longer be as early as that, in start or end."""
        known = zip(self.start, self.end, strict=True)
        return [i for i, (began, ended) in enumerate(known) if start[i] != began or end[i] != ended]

    def leap(self, start: Sequence[int], end: Sequence[int], moved: Sequence[int], repeats: Repeats) -> int | None:
        """By how many minutes all that has moved since can be put off at once; None while it is too early to tell.

        Everything that was passed on since must have come from somebody who moved, start and end by a week at least:
        then the same follows a week later. Of the others nothing was waiting to be passed on.
        """
        if not moved or not self.waiting <= set(moved):
            return 0
        if any(start[i] < self.start[i] + WEEK or end[i] < self.end[i] + WEEK for i in moved):
            return None
        low = min(min(self.start[i], self.end[i]) for i in moved)
        high = max(max(start[i], end[i]) for i in moved)
        return WEEK * repeats.weeks(low, high)
