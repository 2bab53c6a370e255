"""The verifier's own integration of a dry clock. It reads the table and trusts none of the clock's answers."""

from __future__ import annotations

from bisect import bisect_right
from math import ceil

from scheduler.model.clock import DryClock, StageClock
from scheduler.wallclock import NEVER

SLACK = 1e-5
"""Reference minutes forgiven: sums of floats differ in the last digits by the order in which they were made."""


def reached(stage: StageClock, end: int) -> int:
    """First whole minute at which the film laid by `end` is at the stage; NEVER if the clock runs out before.

    It is there no earlier than at each stage that it stands on. The rate of each stretch between two knots is
    multiplied by the minutes spent in it, from `end` on, until the amount is used up. Before its first knot a clock
    stands still.
    """
    return max(_reached(stage, end), *(_reached(before, end) for _, before in stage.after), end)


def _reached(stage: StageClock, end: int) -> int:
    left = stage.amount - SLACK
    if left <= 0:
        return end
    knots = stage.clock.knots
    minute = max(end, knots[0])
    for i in range(bisect_right(knots, minute), len(knots)):
        rate = _rate(stage.clock, i)
        if rate > 0 and rate * (knots[i] - minute) >= left:
            return minute + ceil(left / rate)
        left -= rate * (knots[i] - minute)
        minute = knots[i]
    return NEVER


def _rate(clock: DryClock, i: int) -> float:
    """Reference minutes per minute between the knots i − 1 and i."""
    return (clock.progress[i] - clock.progress[i - 1]) / (clock.knots[i] - clock.knots[i - 1])
