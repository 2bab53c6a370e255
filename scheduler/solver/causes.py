"""Quantities that share a cause: log-normal around a middle, with a factor that several of them have in common.

What hangs on one cause (a slow hand, a cold wall) is slow together, and does not cancel out as independent errors do
(Trietsch and others, A new stochastic engine for PERT, 2010, abstract: "the main deficiency we expose is the
stochastic independence assumption").
"""

from __future__ import annotations

from dataclasses import dataclass
from math import exp, inf, sqrt
from statistics import NormalDist

_NORMAL = NormalDist()
FAR = 1e-9
"""A share is never nearer to 0 or 1 than this: six standard deviations."""


def deviation(share: float) -> float:
    """The standard normal value below which that share lies."""
    return _NORMAL.inv_cdf(min(1 - FAR, max(FAR, share)))


def half_shared(own: float, common: float) -> float:
    """A share that hangs by half on a common cause: Φ(√½ z + √½ z'), evenly distributed if both are."""
    return _NORMAL.cdf((deviation(own) + deviation(common)) / sqrt(2))


@dataclass(frozen=True, slots=True)
class LogNormal:
    """`middle` in whatever unit, times the factor of `cause`, times its own with the log standard deviation `sigma`.

    The logarithm of all but the middle is known to lie between `least` and `most`.
    """

    middle: float
    sigma: float
    cause: str
    least: float = -inf
    most: float = inf

    @property
    def sure(self) -> bool:
        """There is always something to be drawn."""
        return False

    @property
    def high(self) -> float:
        """It has no highest value."""
        return inf if self.most == inf else self.middle * exp(self.most)

    def at(self, share: float, log: float) -> float:
        """The value below which that share of all draws lies in which the cause has this log factor."""
        if self.least == -inf and self.most == inf:
            return self.middle * exp(log + self.sigma * deviation(share))
        below = 0.0 if self.least == -inf else _NORMAL.cdf((self.least - log) / self.sigma)
        above = 1.0 if self.most == inf else _NORMAL.cdf((self.most - log) / self.sigma)
        if above - below < FAR:  # the cause alone would put it far outside of what is known
            return self.middle * exp(min(self.most, max(self.least, log)))
        found = log + self.sigma * deviation(below + share * (above - below))
        return self.middle * exp(min(self.most, max(self.least, found)))
