"""What nobody knows for sure: low, likely, high as a PERT beta distribution, and random numbers by name.

The distribution is that of Malcolm, Roseboom, Clark and Fazar (Operations Research 7, 1959): a beta distribution
between low and high whose mean is (low + 4·likely + high) / 6; that fixes the sum of its two exponents at 6. It is
drawn by its inverse, so that one random number, used twice, means "as slow as before" each time.
"""

from __future__ import annotations

from bisect import bisect_left
from dataclasses import dataclass
from functools import lru_cache
from random import Random

SHAPE = 4
"""Weight of the likely value in the mean."""

CELLS = 1024
"""Steps of the table of the distribution: a drawn value is right to within a thousandth of the range."""


@dataclass(frozen=True, slots=True)
class Pert:
    """Low, likely and high of a quantity, in whatever unit it has; low <= likely <= high."""

    low: float
    likely: float
    high: float

    def __post_init__(self) -> None:
        if not self.low <= self.likely <= self.high:
            raise ValueError("the likely value lies between the low and the high one")

    @property
    def sure(self) -> bool:
        """Whether there is nothing to be drawn."""
        return self.low == self.high

    @property
    def mean(self) -> float:
        """(low + 4·likely + high) / 6."""
        return (self.low + SHAPE * self.likely + self.high) / (SHAPE + 2)

    @property
    def variance(self) -> float:
        """(mean − low)(high − mean) / 7: that of a beta distribution whose exponents add up to 6."""
        return (self.mean - self.low) * (self.high - self.mean) / (SHAPE + 3)

    def at(self, share: float) -> float:
        """The value below which that share (0..1) of all draws lies."""
        width = self.high - self.low
        if not width:
            return self.low
        table = _cumulated((self.likely - self.low) / width)
        i = bisect_left(table, share)
        if i <= 0:
            return self.low
        if i > CELLS:
            return self.high
        below, above = table[i - 1], table[i]
        inside = (share - below) / (above - below) if above > below else 0.0
        return self.low + width * (i - 1 + inside) / CELLS


@lru_cache(maxsize=512)
def _cumulated(likely: float) -> tuple[float, ...]:
    """The distribution function at 0, 1/CELLS, ... 1 with the likely value at that share of the range.

    By Simpson's rule in each cell; the density x^(a−1)·(1−x)^(b−1) has no pole, since neither exponent is below 1.
    """
    a, b = SHAPE * likely, SHAPE * (1 - likely)
    halves = [(i / (2 * CELLS)) ** a * (1 - i / (2 * CELLS)) ** b for i in range(2 * CELLS + 1)]
    sums = [0.0]
    for i in range(0, 2 * CELLS, 2):
        sums.append(sums[-1] + halves[i] + 4 * halves[i + 1] + halves[i + 2])
    return tuple(value / sums[-1] for value in sums)


class Numbers:
    """Random numbers in 0..1, a row of its own for each name.

    A row depends on seed and name alone: what else is drawn, and in which order, changes nothing in it. So two plans
    of jobs that differ in one step meet the same luck in all others (common random numbers).
    """

    def __init__(self, seed: int) -> None:
        self._seed = seed
        self._rows: dict[str, tuple[Random, list[float]]] = {}

    def of(self, name: str, draw: int) -> float:
        """The number of that name in draw 0, 1, 2, ..."""
        row = self._rows.get(name)
        if row is None:
            row = self._rows[name] = (Random(f"{self._seed}|{name}"), [])
        random, numbers = row
        while len(numbers) <= draw:
            numbers.append(random.random())
        return numbers[draw]
