"""Which session of a new plan is which session of the plan before it.

The rule, in this order:
1. sessions on the same local day belong together; of several on a day, those that share most steps, then those that
   start nearest to each other;
2. what is left belongs together if it shares a step: most shared steps first, then the nearest start;
3. a session that has already taken place is only ever one that overlaps it in time.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from scheduler.model.plan import Plan


@dataclass(frozen=True, slots=True)
class Slot:
    """A session for matching: a name for it, its local day, its minutes, its steps, whether it has taken place."""

    key: str
    day: date
    start: int
    end: int
    steps: frozenset[str]
    took_place: bool = False


def match_sessions(old: Sequence[Slot], new: Sequence[Slot]) -> dict[str, str]:
    """New key -> old key, for those that belong together. The order of the input does not matter."""
    pairs = sorted(
        (not same_day, -shared, abs(before.start - after.start), before.key, after.key)
        for before in old
        for after in new
        for same_day, shared in [(before.day == after.day, len(before.steps & after.steps))]
        if (same_day or shared) and (not before.took_place or _overlap(before, after))
    )
    found: dict[str, str] = {}
    taken: set[str] = set()
    for *_, before_key, after_key in pairs:
        if before_key not in taken and after_key not in found:
            found[after_key] = before_key
            taken.add(before_key)
    return found


def took_place(plan: Plan, end: int, steps: Sequence[str]) -> bool:
    """Whether a session that ended then has happened, by what the plan says is done or under way."""
    if end > plan.as_of:
        return False
    begun = {step.id for step in plan.steps if step.state != "planned"}
    return not begun.isdisjoint(steps)


def _overlap(one: Slot, other: Slot) -> bool:
    return one.start < other.end and other.start < one.end
