"""What is still free, when: the capacities of all resources over time, and the earliest place for some work in
them.

All capacities of a segment are packed into one integer, each in a field of its own with a guard bit above it.
Taking a demand away leaves every guard bit standing exactly if no field went below nothing, so one subtraction
compares all resources at once.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from scheduler.model.basics import Span
from scheduler.planning.problem import Slot


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


class Timeline:
    """Segments of constant free capacity, ascending; where two do not touch nothing runs in between."""

    __slots__ = ("ends", "free", "guards", "starts")

    def __init__(self, starts: list[int], ends: list[int], free: list[int], guards: int) -> None:
        self.starts = starts
        self.ends = ends
        self.free = free
        self.guards = guards

    @classmethod
    def of(cls, slots: Sequence[Slot], packing: Packing) -> Timeline:
        """The empty timeline of these slots."""
        return cls(
            [slot.start for slot in slots],
            [slot.end for slot in slots],
            [packing.pack(slot.capacity) | packing.guards for slot in slots],
            packing.guards,
        )

    def mirrored(self) -> Timeline:
        """The same with time running backwards: minute t becomes -t."""
        return Timeline(
            [-end for end in reversed(self.ends)],
            [-start for start in reversed(self.starts)],
            self.free[::-1],
            self.guards,
        )

    def copy(self) -> Timeline:
        """A timeline of its own with the same segments."""
        return Timeline(self.starts[:], self.ends[:], self.free[:], self.guards)

    def whole(self, after: int, minutes: int, demand: int) -> int | None:
        """The earliest start from `after` on at which `demand` is free for `minutes` on end, or None."""
        starts, ends, free, guards = self.starts, self.ends, self.free, self.guards
        i = bisect_right(starts, after) - 1
        if i < 0 or ends[i] <= after:
            i += 1
        begin = until = -(1 << 62)
        for j in range(i, len(starts)):
            if (free[j] - demand) & guards != guards:
                until = -(1 << 62)
                continue
            if starts[j] != until:
                begin = starts[j] if starts[j] > after else after
            until = ends[j]
            if until - begin >= minutes:
                return begin
        return None

    def runs(self, after: int, demand: int, blocked: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int]]:
        """The longest stretches from `after` on in which `demand` is free and nothing is blocked, in order."""
        starts, ends, free, guards = self.starts, self.ends, self.free, self.guards
        i = bisect_right(starts, after) - 1
        if i < 0 or ends[i] <= after:
            i += 1
        begin = until = 0
        for j in range(i, len(starts)):
            if (free[j] - demand) & guards != guards:
                continue
            start = starts[j] if starts[j] > after else after
            if until > begin and start == until:
                until = ends[j]
                continue
            if until > begin:
                yield from outside(begin, until, blocked)
            begin, until = start, ends[j]
        if until > begin:
            yield from outside(begin, until, blocked)

    def pieces(
        self,
        after: int,
        minutes: int,
        smallest: int | None,
        demand: int,
        blocked: Sequence[tuple[int, int]] = (),
    ) -> list[Span] | None:
        """The earliest pieces from `after` on that make up `minutes`, none below `smallest`, or None."""
        if smallest is None or minutes <= smallest:
            if not blocked:
                start = self.whole(after, minutes, demand)
                return None if start is None else [Span(start, start + minutes)]
            for begin, until in self.runs(after, demand, blocked):
                if until - begin >= minutes:
                    return [Span(begin, begin + minutes)]
            return None
        return split(self.runs(after, demand, blocked), minutes, smallest)

    def take(self, start: int, end: int, demand: int) -> None:
        """Take `demand` away in [start, end), which must lie inside segments that touch."""
        starts, ends, free = self.starts, self.ends, self.free
        i = bisect_right(starts, start) - 1
        if starts[i] < start:
            starts.insert(i + 1, start)
            ends.insert(i, start)
            free.insert(i, free[i])
            i += 1
        while True:
            if ends[i] > end:
                starts.insert(i + 1, end)
                ends.insert(i, end)
                free.insert(i, free[i])
            free[i] -= demand
            if ends[i] >= end:
                return
            i += 1


def outside(begin: int, until: int, blocked: Sequence[tuple[int, int]]) -> Iterator[tuple[int, int]]:
    """The parts of [begin, until) that no blocked span covers. Blocked spans ascend by start and may overlap."""
    for start, end in blocked:
        if end <= begin:
            continue
        if start >= until:
            break
        if start > begin:
            yield begin, start
        begin = max(begin, end)
        if begin >= until:
            return
    if begin < until:
        yield begin, until


def split(runs: Iterable[tuple[int, int]], minutes: int, smallest: int) -> list[Span] | None:
    """The pieces of at least `smallest` inside ascending runs that make up `minutes` and end first, or None.

    With n runs before the last piece anything between n smallest pieces and the n longest runs can be done in
    them, so for each run and each n the shortest last piece is plain.
    """
    before: list[tuple[int, int]] = []
    for begin, until in runs:
        room = until - begin
        if room < smallest:
            continue
        longest = sorted(before, key=lambda run: (run[0] - run[1], run[0]))
        best: tuple[int, int] | None = None
        most = 0
        for n in range(min(len(before), minutes // smallest - 1) + 1):
            if n:
                most += longest[n - 1][1] - longest[n - 1][0]
            last = max(smallest, minutes - most)
            if last <= min(room, minutes - n * smallest) and (best is None or last < best[0]):
                best = last, n
        if best is not None:
            last, n = best
            extra = minutes - last - n * smallest
            found = []
            for start, end in sorted(longest[:n]):
                more = min(extra, end - start - smallest)
                found.append(Span(start, start + smallest + more))
                extra -= more
            return [*found, Span(begin, begin + last)]
        before.append((begin, until))
    return None
