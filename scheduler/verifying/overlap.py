"""Things that lie in time, to ask which of them share a minute with a span without going through all of them."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable
from itertools import accumulate
from typing import Generic, TypeVar

from scheduler.model.basics import Span

Thing = TypeVar("Thing")


class Overlaps(Generic[Thing]):
    """Spans, each with what it belongs to. They may overlap, and come in any order."""

    def __init__(self, entries: Iterable[tuple[Span, Thing]]) -> None:
        self._entries = sorted(entries, key=lambda entry: entry[0])
        self._starts = [span.start for span, _ in self._entries]
        self._reach = list(accumulate((span.end for span, _ in self._entries), max))  # the last end of all up to here

    def touching(self, start: int, end: int) -> list[tuple[Span, Thing]]:
        """Those that begin before `end` and end after `start`, in order; equal ones as they were handed in."""
        found = []
        for at in range(bisect_left(self._starts, end) - 1, -1, -1):
            if self._reach[at] <= start:
                break
            if self._entries[at][0].end > start:
                found.append(self._entries[at])
        return found[::-1]
