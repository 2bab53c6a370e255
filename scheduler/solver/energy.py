"""Work against hours: whether work between heads and tails fits, and when a set of work is done at the earliest.

Everything is counted in the minutes that one resource gives, so that nights and days off vanish: `Supply` turns a
moment into the resource minutes given before it. In these coordinates every activity is taken to be cut as one
likes and done by as many as there are, which can only make it earlier.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right, insort
from collections.abc import Sequence
from heapq import heappop, heappush
from itertools import pairwise

from scheduler.solver.problem import Problem, Slot
from scheduler.wallclock import NEVER


class Supply:
    """How much of one resource is given before a minute, in resource minutes, and the way back."""

    __slots__ = ("_amounts", "_ends", "_known", "_starts", "_sums")

    def __init__(self, problem: Problem, resource: int) -> None:
        slots = [slot for slot in problem.slots if slot.capacity[resource]]
        self._starts = [slot.start for slot in slots]
        self._ends = [slot.end for slot in slots]
        self._amounts = [slot.capacity[resource] for slot in slots]
        self._sums = [0]
        for slot in slots:
            self._sums.append(self._sums[-1] + (slot.end - slot.start) * slot.capacity[resource])
        self._known: dict[int, int] = {}

    def before(self, minute: int) -> int:
        """Resource minutes in all slots before `minute`."""
        known = self._known.get(minute)
        if known is None:
            i = bisect_right(self._starts, minute) - 1
            inside = 0 if i < 0 else (min(minute, self._ends[i]) - self._starts[i]) * self._amounts[i]
            known = self._sums[max(i, 0)] + inside
            self._known[minute] = known
        return known

    def when(self, amount: int) -> int | None:
        """The first minute before which that much is given; None if it never is."""
        i = bisect_left(self._sums, amount) - 1
        if i >= len(self._starts):
            return None
        if i < 0:
            return self._starts[0] if self._starts else None
        return self._starts[i] + -(-(amount - self._sums[i]) // self._amounts[i])


def lateness(wanting: Sequence[tuple[int, int, int]], enough: int = NEVER) -> int:
    """By how much work (head, deadline, amount), in resource minutes, misses a deadline at most; negative if by none.

    It is done as it comes, the earliest deadline first, which meets all deadlines if any order does. Once more than
    `enough` is found nothing worse is looked for.
    """
    waiting: list[list[int]] = []
    now, worst = 0, -NEVER
    for head, deadline, amount in sorted(wanting):
        while waiting and now < head:
            first = waiting[0]
            spent = min(first[1], head - now)
            now += spent
            first[1] -= spent
            if now - first[0] > worst:
                worst = now - first[0]
                if worst > enough:
                    return worst
            if not first[1]:
                heappop(waiting)
        now = max(now, head)
        heappush(waiting, [deadline, amount])
    while waiting:
        deadline, amount = heappop(waiting)
        now += amount
        if now - deadline > worst:
            worst = now - deadline
            if worst > enough:
                return worst
    return worst


def last_after(
    entries: Sequence[tuple[int, int, int]],
) -> list[tuple[int, int]]:
    """Who can only end after a set of others on a resource that does one thing at a time: (number, work done before).

    Entries are (head, deadline, amount) in resource minutes. Take all work with heads from h and deadlines by d. If
    it and one more, which has a later deadline, do not fit between the earlier of the heads and d, that one is the
    last of them: were another the last, all of it would be done by d. The answer says by when, in resource minutes,
    the others can be done at the earliest.
    """
    size = len(entries)
    by_head = sorted(range(size), key=lambda k: entries[k][0])
    by_deadline = sorted(range(size), key=lambda place: entries[by_head[place]][1])
    later = [0] * (size + 1)  # the most work of one whose deadline comes as this one's or after it
    for number in range(size - 1, -1, -1):
        later[number] = max(later[number + 1], entries[by_head[by_deadline[number]]][2])
    best = [0] * size
    until: list[int] = []  # the places of those with deadlines so far
    for number, added in enumerate(by_deadline):
        insort(until, added)
        d = entries[by_head[added]][1]
        if number + 1 < size and entries[by_head[by_deadline[number + 1]]][1] == d:
            continue
        work = widest = 0
        for place in reversed(until):
            head, _, amount = entries[by_head[place]]
            work += amount
            widest = max(widest, head + work)
        if work and widest + later[number + 1] > d:
            _last_at(entries, by_head, d, best)
    return [(k, best[k]) for k in range(size) if best[k] > entries[k][0]]


def _last_at(entries: Sequence[tuple[int, int, int]], by_head: Sequence[int], d: int, best: list[int]) -> None:
    """Who comes last for one deadline: by when the others can be done is written to `best`, if it says more."""
    size = len(entries)
    work = done = 0
    inside = [0] * (size + 1)  # work with heads from this place on
    finish = [0] * (size + 1)  # by when that is done
    for place in range(size - 1, -1, -1):
        head, deadline, amount = entries[by_head[place]]
        if deadline <= d:
            work += amount
            done = max(done, head + work)
        inside[place], finish[place] = work, done
    widest = 0  # the most that head and work from there make, of the heads so far
    reached = -1
    records: list[tuple[int, int]] = []
    for place in range(size):
        k = by_head[place]
        head, deadline, amount = entries[k]
        if inside[place] and head + inside[place] > widest:
            widest = head + inside[place]
            records.append((widest, place))
        if deadline <= d:
            continue
        if widest + amount > d:
            for total, first in records:
                if total + amount > d:
                    reached = finish[first]
                    break
            best[k] = max(best[k], reached)
        elif head + inside[place] + amount > d and finish[place] > best[k]:
            best[k] = finish[place]


def rest(slots: Sequence[Slot], resource: int, parts: Sequence[tuple[int, int, int]]) -> list[tuple[int, int, int]]:
    """What parts (begin, end, demand) leave of a resource: ascending (begin, end, left), where any of them runs."""
    change: dict[int, int] = {}
    for begin, end, demand in parts:
        change[begin] = change.get(begin, 0) + demand
        change[end] = change.get(end, 0) - demand
    first, last = min(change), max(change)
    for slot in slots[max(bisect_right(slots, first, key=_start) - 1, 0) :]:
        if slot.start >= last:
            break
        for edge in (slot.start, slot.end):
            if first < edge < last:
                change.setdefault(edge, 0)
    edges = sorted(change)
    left, taken = [], 0
    for begin, end in pairwise(edges):
        taken += change[begin]
        at = bisect_right(slots, begin, key=_start) - 1
        if taken and at >= 0 and begin < slots[at].end:
            left.append((begin, end, slots[at].capacity[resource] - taken))
    return left


def _start(slot: Slot) -> int:
    return slot.start
