"""What is soiled and what is cleaned in a schedule that is being made, soil by soil."""

from __future__ import annotations

from bisect import bisect_left, insort
from copy import copy
from typing import NamedTuple

from scheduler.model.basics import Span
from scheduler.solver.network import LONG_AGO
from scheduler.solver.running import Stairs
from scheduler.wallclock import NEVER


class Dirt(NamedTuple):
    """What was in the way of a start: the soil by number, the end of the last piece, and the start that was tried."""

    soil: int
    end: int
    start: int


class Soiling:
    """The pieces placed so far that soil, clean, or want it clean. Soils go by their number in the problem."""

    def __init__(self, soils: int) -> None:
        self.cleanings = 0
        self.dirty = Dirt(0, 0, 0)
        self._begun: list[dict[int, tuple[Span, ...]]] = [{} for _ in range(soils)]
        self._dirt = [Stairs() for _ in range(soils)]  # by the starts of pieces that soil, their ends
        self._own_clean = [Stairs() for _ in range(soils)]  # and where they clean as well, the end of that
        self._cleaners = [Stairs() for _ in range(soils)]  # backwards in time: by their starts, their ends
        self._clean_starts: list[list[int]] = [[] for _ in range(soils)]  # of those that want it clean

    def copy(self) -> Soiling:
        """The same, to be written on by itself."""
        other = copy(self)
        other._begun = [begun.copy() for begun in self._begun]
        other._dirt = [stairs.copy() for stairs in self._dirt]
        other._own_clean = [stairs.copy() for stairs in self._own_clean]
        other._cleaners = [stairs.copy() for stairs in self._cleaners]
        other._clean_starts = [starts[:] for starts in self._clean_starts]
        return other

    def clean_from(self, number: int, start: int) -> int:
        """`start` if clean then, else when it is clean of what came before; long ago if nothing cleans yet."""
        clean_from = max(start, self._own_clean[number].before(start))
        last = self._dirt[number].before(start)
        for pieces in self._begun[number].values():
            last = max([last, *(piece.end for piece in pieces if piece.start < start)])
        if last == LONG_AGO:
            return clean_from
        done = self.cleaned_by(number, last)  # what is cleaned after the last piece is clean of all
        if done == NEVER:
            self.dirty = Dirt(number, last, start)
            return LONG_AGO
        return max(clean_from, done)

    def cleaned_by(self, number: int, moment: int) -> int:
        """The first end of a cleaning that starts at a moment or later; NEVER if there is none."""
        end = self._cleaners[number].before(1 - moment)
        return NEVER if end == LONG_AGO else -end

    def would_soil(self, number: int, found: tuple[Span, ...], *, cleans: bool) -> int:
        """Its own start, or that of the last which would start after a piece of it with no cleaning in between."""
        own, starts = found[-1].end if cleans else NEVER, self._clean_starts[number]
        for piece in found:
            at = bisect_left(starts, min(self.cleaned_by(number, piece.end), own))
            if at and starts[at - 1] > piece.start:
                return starts[at - 1]
        return found[0].start

    def soil(self, i: int, number: int, pieces: tuple[Span, ...], *, cleans: bool, whole: bool) -> None:
        """Write down the soil that pieces leave; what was noted as begun is noted anew as a whole."""
        self._begun[number].pop(i, None)
        if not whole:
            self._begun[number][i] = pieces
            return
        for piece in pieces:
            if cleans:
                self._own_clean[number].note(piece.start, pieces[-1].end)
            else:
                self._dirt[number].note(piece.start, piece.end)

    def want(self, number: int, start: int) -> None:
        """Write down a start at which it must be clean."""
        insort(self._clean_starts[number], start)

    def clean(self, number: int, start: int, end: int) -> None:
        """Write down a cleaning."""
        self._cleaners[number].note(-start, -end)
        self.cleanings += 1
