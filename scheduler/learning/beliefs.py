"""The estimate: log factors in a tree of two levels, on a grid.

A parent (the household; a room) and its children (kinds of work; materials): parent ~ N(0, σ²), child ~ N(parent,
σ_k²), each child with the likelihood of its records. What is known of each follows by passing messages along the
tree, exactly but for the grid (J. Pearl, Probabilistic Reasoning in Intelligent Systems, 1988, from memory). It needs
no iteration, stands two peaks (two records that contradict each other), and takes sums and exponentials only.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Mapping, Sequence
from functools import cache, lru_cache
from itertools import accumulate
from operator import mul

from scheduler.learning.priors import ODD_SCALE
from scheduler.solver.causes import deviation

STEP = 0.02
"""Of the grid, in the logarithm of a factor."""

REACH = round(math.log(8) / STEP)
POINTS = tuple(i * STEP for i in range(-REACH, REACH + 1))
"""The logarithms of factors from 1/8 to 8."""

Weights = tuple[float, ...]
"""A weight for each of POINTS, of whatever sum."""

FAR = 6
"""Standard deviations beyond which a normal distribution is cut off."""


def density(x: float) -> float:
    """Of the standard normal distribution."""
    return math.exp(-0.5 * x * x) / math.sqrt(2 * math.pi)


def below(x: float) -> float:
    """The share of the standard normal distribution below x."""
    return 0.5 * math.erfc(-x / math.sqrt(2))


def fit(least: float, most: float, sigma: float, share: float, shift: float) -> tuple[float, float]:
    """How likely a record is, as an ordinary one and as an odd one, both with their shares.

    The logarithm of what was recorded less that of what is expected lies between `least` and `most`: a density where
    both are the same, else a probability. Ordinary ones are normal with `sigma`; a `share` of them is odd and follows
    a Cauchy distribution around `shift`.
    """
    if least == most:
        odd = 1 / (math.pi * ODD_SCALE * (1 + ((least - shift) / ODD_SCALE) ** 2))
        return (1 - share) * density(least / sigma) / sigma, share * odd
    plain = below(most / sigma) - below(least / sigma)
    odd = (math.atan((most - shift) / ODD_SCALE) - math.atan((least - shift) / ODD_SCALE)) / math.pi
    return (1 - share) * max(0.0, plain), share * odd


@cache
def normal(sigma: float) -> Weights:
    """The normal distribution around 0."""
    return tuple(density(x / sigma) for x in POINTS)


@cache
def _kernel(sigma: float) -> Weights:
    reach = math.ceil(FAR * sigma / STEP)
    return tuple(density(k * STEP / sigma) for k in range(-reach, reach + 1))


@lru_cache(1024)
def smoothed(weights: Weights, sigma: float) -> Weights:
    """Seen through one more normal step: the integral of weights(y) · N(y − x; sigma)."""
    kernel = _kernel(sigma)
    reach, size = len(kernel) // 2, len(weights)
    found = []
    for i in range(size):
        first, last = max(0, i - reach), min(size, i + reach + 1)
        found.append(sum(map(mul, kernel[first - i + reach : last - i + reach], weights[first:last])))
    return tuple(found)


def product(rows: Sequence[Weights]) -> Weights:
    """Point by point, the largest as 1; without any, or where they share nothing, 1 everywhere."""
    found: Weights = (1.0,) * len(POINTS)
    for row in rows:
        both = list(map(mul, found, row))
        most = max(both)
        found = tuple(value / most for value in both) if most > 0 else (1.0,) * len(POINTS)
    return found


def quantile(weights: Weights, share: float) -> float:
    """The logarithm below which that share of the weight lies; the weight of a point is spread over its cell."""
    return at_share(tuple(accumulate(weights)), share)


def at_share(cumulated: Weights, share: float) -> float:
    """The same of weights that have been summed up."""
    goal = share * cumulated[-1]
    i = min(bisect_left(cumulated, goal), len(cumulated) - 1)
    before = cumulated[i - 1] if i else 0.0
    here = cumulated[i] - before
    return POINTS[i] + ((goal - before) / here - 0.5) * STEP if here > 0 else POINTS[i]


def share_below(weights: Weights, log: float) -> float:
    """The share of the weight below a logarithm."""
    whole = sum(weights)
    inside = sum(w * min(1.0, max(0.0, (log - x) / STEP + 0.5)) for x, w in zip(POINTS, weights, strict=True))
    return inside / whole if whole > 0 else 0.0


class Beliefs:
    """What is known of a parent and its children. `sigma` is the parent's own spread; `spreads` those of the children
    that something is recorded of, `rows` the likelihoods of these records."""

    def __init__(self, sigma: float, spreads: Mapping[str, float], rows: Mapping[str, Weights]) -> None:
        self.sigma = sigma
        self._spreads, self._rows = dict(sorted(spreads.items())), dict(sorted(rows.items()))
        self._up = {name: product([smoothed(row, self._spreads[name])]) for name, row in self._rows.items()}
        self.parent = product([normal(sigma), *self._up.values()])
        self._known: dict[str, Weights] = {}
        self._drawn: dict[tuple[str, int], Weights] = {}

    def of(self, name: str, spread: float) -> Weights:
        """What is known of a child; one that nothing is recorded of lies one more step, `spread`, from the parent."""
        if name not in self._rows:
            return smoothed(self.parent, spread)
        if name not in self._known:
            above = smoothed(self._without(name), self._spreads[name])
            self._known[name] = product([self._rows[name], above])
        return self._known[name]

    def expected(self, name: str, spread: float, row: Weights | None) -> Weights:
        """What is known of a child by everything but its own records, and by `row` in place of these."""
        above = smoothed(self._without(name), spread)
        return above if row is None else product([row, above])

    def _without(self, name: str) -> Weights:
        """What is known of the parent but for the records of one child."""
        return product([normal(self.sigma), *(up for other, up in self._up.items() if other != name)])

    def draw_parent(self, share: float) -> float:
        """The parent's log factor below which that share of all draws lies."""
        key = "", 0
        if key not in self._drawn:
            self._drawn[key] = tuple(accumulate(self.parent))
        return at_share(self._drawn[key], share)

    def draw(self, name: str, spread: float, parent: float, share: float) -> float:
        """The same of a child, given the parent's, which is taken to the nearest point of the grid."""
        if name not in self._rows:
            return parent + spread * deviation(share)
        at = round(parent / STEP)
        if (name, at) not in self._drawn:
            sigma = self._spreads[name]
            given = (density((x - at * STEP) / sigma) for x in POINTS)
            self._drawn[name, at] = tuple(accumulate(map(mul, self._rows[name], given)))
        return at_share(self._drawn[name, at], share) + parent - at * STEP
