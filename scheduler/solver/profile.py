"""What is still free, when: the capacities of all resources over time, and the earliest place for some work in
them.

All capacities of a segment are packed into one integer, each in a field of its own with a guard bit above it.
Taking a demand away leaves every guard bit standing exactly if no field went below nothing, so one subtraction
compares all resources at once.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterable, Iterator, Sequence
from heapq import heappush, heapreplace
from itertools import chain
from operator import itemgetter
from typing import NamedTuple

from scheduler.model.basics import Span
from scheduler.solver.problem import Problem, Slot


class Packing(NamedTuple):
    """How a tuple of amounts becomes one integer: the width of each field, and all guard bits."""

    widths: tuple[int, ...]
    guards: int

    @classmethod
    def of(cls, largest: Sequence[int]) -> Packing:
        """Fields wide enough for the largest amount of each resource."""
        widths = tuple(amount.bit_length() + 1 for amount in largest)
        guards = at = 0
        for width in widths:
            at += width
            guards |= 1 << (at - 1)
        return cls(widths, guards)

    def pack(self, amounts: Sequence[int]) -> int:
        """The amounts side by side, without guard bits."""
        packed = at = 0
        for width, amount in zip(self.widths, amounts, strict=True):
            packed |= amount << at
            at += width
        return packed

    def field(self, resource: int) -> tuple[int, int]:
        """Where the amount of one resource stands: by how much to shift, and the mask."""
        return sum(self.widths[:resource]), (1 << (self.widths[resource] - 1)) - 1


def packing_of(problem: Problem) -> Packing:
    """The packing that holds every capacity and every demand of a problem."""
    capacities = {slot.capacity for slot in problem.slots}
    demands = {activity.demand for activity in problem.activities}
    resources = range(len(problem.activities[0].demand) if problem.activities else 0)
    return Packing.of([max([1, *(amounts[r] for amounts in (*capacities, *demands))]) for r in resources])


class Timeline:
    """Segments of constant free capacity, ascending; where two do not touch nothing runs in between.

    A segment that has not even `least` left is of no use to anybody and is dropped when something is taken from it.
    """

    __slots__ = ("ends", "free", "guards", "least", "starts")

    def __init__(self, starts: list[int], ends: list[int], free: list[int], guards: int, least: int = 0) -> None:
        self.starts = starts
        self.ends = ends
        self.free = free
        self.guards = guards
        self.least = least

    @classmethod
    def of(cls, slots: Sequence[Slot], packing: Packing, least: int = 0) -> Timeline:
        """The empty timeline of these slots. Nobody will ask for less than `least`."""
        return cls(
            [slot.start for slot in slots],
            [slot.end for slot in slots],
            [packing.pack(slot.capacity) | packing.guards for slot in slots],
            packing.guards,
            least,
        )

    def copy(self) -> Timeline:
        """A timeline of its own with the same segments."""
        return Timeline(self.starts[:], self.ends[:], self.free[:], self.guards, self.least)

    def whole(self, after: int, minutes: int, demand: int) -> int | None:
        """The earliest start from `after` on at which `demand` is free for `minutes` on end, or None."""
        starts, ends, free, guards = self.starts, self.ends, self.free, self.guards
        i = bisect_right(starts, after) - 1
        if i < 0 or ends[i] <= after:
            i += 1
        size = len(starts)
        while i < size:
            if (free[i] - demand) & guards != guards:
                i += 1
                continue
            begin = starts[i] if starts[i] > after else after
            end = begin + minutes
            until = ends[i]
            i += 1
            while until < end:
                if i == size or starts[i] != until or (free[i] - demand) & guards != guards:
                    break
                until = ends[i]
                i += 1
            else:
                return begin
        return None

    def idle(self, start: int, end: int, field: tuple[int, int]) -> int:
        """What is free of one resource in [start, end), in its minutes; what is of no use to anybody is left out."""
        shift, mask = field
        free = 0
        for i in range(max(bisect_right(self.starts, start) - 1, 0), bisect_left(self.starts, end)):
            span = min(self.ends[i], end) - max(self.starts[i], start)
            if span > 0:
                free += span * (self.free[i] >> shift & mask)
        return free

    def runs(self, after: int, demand: int, blocked: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int]]:
        """The longest stretches from `after` on in which `demand` is free and nothing is blocked, in order."""
        starts, ends, free, guards = self.starts, self.ends, self.free, self.guards
        i = bisect_right(starts, after) - 1
        if i < 0 or ends[i] <= after:
            i += 1
        begin = until = at = 0
        for j in range(i, len(starts)):
            if (free[j] - demand) & guards != guards:
                continue
            start = starts[j] if starts[j] > after else after
            if until > begin and start == until:
                until = ends[j]
                continue
            if until > begin:
                while at < len(blocked) and blocked[at][1] <= begin:
                    at += 1
                yield from outside(begin, until, blocked, at)
            begin, until = start, ends[j]
        if until > begin:
            yield from outside(begin, until, blocked, at)

    def pieces(
        self,
        after: int,
        minutes: int,
        smallest: int | None,
        demand: int,
        blocked: Sequence[tuple[int, int]] = (),
        not_ended: int | None = None,
    ) -> list[Span] | None:
        """The earliest pieces from `after` on that make up `minutes`, none below `smallest`, or None; what may be cut
        does not end before `not_ended`.
        """
        if smallest is None or minutes <= smallest:
            if not blocked:
                start = self.whole(after, minutes, demand)
                return None if start is None else [Span(start, start + minutes)]
            for begin, until in self.runs(after, demand, blocked):
                if until - begin >= minutes:
                    return [Span(begin, begin + minutes)]
            return None
        return split(self.runs(after, demand, blocked), minutes, smallest, not_ended)

    def take(self, start: int, end: int, demand: int) -> None:
        """Take `demand` away in [start, end), which must lie inside segments that touch."""
        starts, ends, free, guards, least = self.starts, self.ends, self.free, self.guards, self.least
        i = bisect_right(starts, start) - 1
        if starts[i] < start:
            starts.insert(i + 1, start)
            ends.insert(i, start)
            free.insert(i, free[i])
            i += 1
        while True:
            until = ends[i]
            if until > end:
                starts.insert(i + 1, end)
                ends.insert(i, end)
                free.insert(i, free[i])
            left = free[i] - demand
            if (left - least) & guards == guards:
                free[i] = left
                i += 1
            else:
                del starts[i], ends[i], free[i]
            if until >= end:
                return


def joined(kept: Span, runs: Iterable[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    """Runs that come after a kept span, and the span itself ahead of them or as the beginning of the first."""
    ahead: tuple[int, int] | None = (kept.start, kept.end)
    for begin, until in runs:
        if ahead is not None and begin == kept.end:
            yield kept.start, until
        else:
            if ahead is not None:
                yield ahead
            yield begin, until
        ahead = None


def outside(begin: int, until: int, blocked: Sequence[tuple[int, int]], at: int = 0) -> Iterator[tuple[int, int]]:
    """The parts of [begin, until) that none of the ascending, disjoint blocked spans from number `at` on covers."""
    for k in range(at, len(blocked)):
        start, end = blocked[k]
        if end <= begin:
            continue
        if start >= until:
            break
        if start > begin:
            yield begin, start
        begin = end
        if begin >= until:
            return
    if begin < until:
        yield begin, until


def block(blocked: list[tuple[int, int]], start: int, end: int) -> None:
    """Block one more span: those that ascend and do not touch stay so."""
    low = bisect_left(blocked, start, key=itemgetter(1))
    high = bisect_right(blocked, end, lo=low, key=itemgetter(0))
    if low < high:
        start, end = min(start, blocked[low][0]), max(end, blocked[high - 1][1])
    blocked[low:high] = ((start, end),)


def split(
    runs: Iterable[tuple[int, int]], minutes: int, smallest: int, not_ended: int | None = None
) -> list[Span] | None:
    """The pieces of at least `smallest` (no more than `minutes`) inside ascending runs that make up `minutes` and
    end first, or first of those that do not end before `not_ended`; or None.

    With n runs before the last piece anything between n smallest pieces and the n longest runs can be done in
    them. More runs leave less for the last piece, so the most that can be used are asked; if they leave a piece that
    fits, as few of them are used as leave no more.
    """
    before: list[tuple[int, int]] = []
    most = minutes // smallest - 1
    longest: list[int] = []  # of the runs before, the lengths of as many as can be used, the shortest on top
    used = 0  # their sum
    for begin, until in runs:
        room = until - begin
        if room < smallest:
            continue
        last = minutes - used if minutes - used > smallest else smallest
        if last <= room and (not_ended is None or not_ended <= until):
            start = begin if not_ended is None else max(begin, not_ended - last)
            end = Span(start, start + last)
            return [*_filled(before, minutes - last, smallest), end] if before else [end]
        before.append((begin, until))
        if len(longest) < most:
            heappush(longest, room)
            used += room
        elif most and room > longest[0]:
            used += room - heapreplace(longest, room)
    return None


def split_at_once(
    runs: Iterable[tuple[int, int]], minutes: int, smallest: int, not_ended: int | None = None
) -> list[Span] | None:
    """Pieces likewise, but the first of them in the first run that holds one, and as long as it can be there: those
    that begin first instead of those that end first. None if what is left then cannot be cut.
    """
    ahead = iter(runs)
    for begin, until in ahead:
        longest = min(until - begin, minutes - smallest)
        if longest < smallest:
            continue
        if until - begin >= minutes and (not_ended is None or not_ended <= begin + minutes):
            return [Span(begin, begin + minutes)]
        middle = begin + longest
        rest = split(chain([(middle, until)], ahead), minutes - longest, smallest, not_ended)
        if rest is None:
            return None
        first, *others = rest
        return [Span(begin, first.end), *others] if first.start == middle else [Span(begin, middle), *rest]
    return None


def _filled(runs: Sequence[tuple[int, int]], minutes: int, smallest: int) -> list[Span]:
    """Pieces that make up `minutes` in as few of the runs as can hold them, the longest ones."""
    n = held = 0
    longest = sorted(runs, key=lambda run: (run[0] - run[1], run[0]))
    while held < minutes:
        held += longest[n][1] - longest[n][0]
        n += 1
    extra = minutes - n * smallest
    found = []
    for start, end in sorted(longest[:n]):
        more = min(extra, end - start - smallest)
        found.append(Span(start, start + smallest + more))
        extra -= more
    return found
