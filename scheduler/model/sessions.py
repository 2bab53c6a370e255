"""Which session of a new plan is which session of the plan before it.

The rule, in this order:
1. a session that has already taken place is only ever one that overlaps it in time;
2. sessions with the same work belong together, wherever they are now: those that share most steps first; of those
   that share as many, the ones that have the same place among all sessions of these steps, then those on the same
   local day, then those that start nearest to each other;
3. what is left belongs together if it lies on the same day, the nearest start first.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from scheduler.model.plan import Plan


@dataclass(frozen=True, slots=True)
class SessionSlot:
    """A session for matching: a name for it, its local day, its minutes, its steps, whether it has taken place."""

    key: str
    day: date
    start: int
    end: int
    steps: frozenset[str]
    took_place: bool = False

    def overlaps(self, start: int, end: int) -> bool:
        """Whether the two have a minute in common."""
        return self.start < end and start < self.end


def match_sessions(old: Sequence[SessionSlot], new: Sequence[SessionSlot]) -> dict[str, str]:
    """New key -> old key, for those that belong together. The order of the input does not matter."""
    found: dict[str, str] = {}
    _take(
        found, [_pair(was, now) for was in old for now in new if was.took_place and was.overlaps(now.start, now.end)]
    )
    ahead, rest = [slot for slot in old if not slot.took_place], [slot for slot in new if slot.key not in found]
    before, after = _places(ahead), _places(rest)
    alike = {
        (was.key, now.key): sum(before[was.key, step] == after[now.key, step] for step in was.steps & now.steps)
        for was in ahead
        for now in rest
    }
    _take(
        found,
        [_pair(was, now, alike[was.key, now.key]) for was in ahead for now in rest if was.steps & now.steps],
    )
    _take(found, [_pair(was, now) for was in ahead for now in rest if was.day == now.day])
    return found


_Pair = tuple[int, int, bool, int, str, str]
"""How well two sessions go together, the best first, and both keys, the old one before the new."""


def _pair(was: SessionSlot, now: SessionSlot, alike: int = 0) -> _Pair:
    shared = len(was.steps & now.steps)
    return -shared, -alike, was.day != now.day, abs(was.start - now.start), was.key, now.key


def _take(found: dict[str, str], pairs: Sequence[_Pair]) -> None:
    """Have each session of either side belong to the best that is left for it."""
    taken = set(found.values())
    for *_, before, after in sorted(pairs):
        if before not in taken and after not in found:
            found[after] = before
            taken.add(before)


def _places(slots: Sequence[SessionSlot]) -> dict[tuple[str, str], int]:
    """By session and step: its place among the sessions of that step, counted from the last: what is done is gone
    from the front."""
    by_step: dict[str, list[str]] = {}
    for slot in sorted(slots, key=lambda slot: (-slot.start, slot.key)):
        for step in slot.steps:
            by_step.setdefault(step, []).append(slot.key)
    return {(key, step): place for step, keys in by_step.items() for place, key in enumerate(keys)}


def took_place(plan: Plan, end: int, steps: Sequence[str]) -> bool:
    """Whether a session that ended then has happened, by what the plan says is done or under way."""
    if end > plan.as_of:
        return False
    begun = {step.id for step in plan.steps if step.state != "planned"}
    return not begun.isdisjoint(steps)
