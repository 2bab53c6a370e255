"""How long steps took -> the pace of each kind of work.

For a step of kind k with low, likely and high minutes, as they are reckoned before anything is learned, its time is
log-normal with the mean and variance of the beta distribution of PERT:

    ln took = ln centre + u_k + e    u_k = p + q_k    p ~ N(0, PERSON²)    q_k ~ N(0, KIND²)    e ~ N(0, own range² +
    STEP²)

A share of the records is odd (see `priors`), so that one of them moves little.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import lru_cache
from operator import add

from scheduler.learning import priors
from scheduler.learning.beliefs import POINTS, Beliefs, Weights, fit, product
from scheduler.model.basics import Estimate
from scheduler.model.learned import Work


def centre(low: float, likely: float, high: float) -> tuple[float, float]:
    """Middle (minutes) and log variance of the log-normal distribution with mean and variance of the PERT beta."""
    mean = (low + 4 * likely + high) / 6
    variance = math.log1p((mean - low) * (high - mean) / 7 / mean**2)
    return mean * math.exp(-variance / 2), variance


def spread(low: float, likely: float, high: float) -> float:
    """Log standard deviation of what a step takes, the pace being known."""
    return math.sqrt(centre(low, likely, high)[1] + priors.STEP**2)


@lru_cache(4096)
def likelihoods(work: Work) -> tuple[Weights, Weights]:
    """How well each log pace fits the record: as an ordinary one, and as an odd one, both with their shares."""
    middle, variance = centre(work.low, work.likely, work.high)
    mean = (work.low + 4 * work.likely + work.high) / 6
    sigma = math.sqrt(variance + priors.STEP**2 + (priors.ROUNDING / mean) ** 2)
    least = math.log(work.least / middle) if work.least > 0 else -math.inf
    most = math.log(work.most / middle) if work.most < math.inf else math.inf
    both = [fit(least - x, most - x, sigma, priors.ODD, priors.ODD_SHIFT) for x in POINTS]
    return tuple(plain for plain, _ in both), tuple(odd for _, odd in both)


@lru_cache(4096)
def _row(work: Work) -> Weights:
    return tuple(map(add, *likelihoods(work)))


@lru_cache(256)
def paces(works: tuple[Work, ...]) -> Beliefs:
    """What the records, in any order, say of the household's pace and of that of each kind of work."""
    rows: dict[str, list[Weights]] = {}
    for work in sorted(works):
        rows.setdefault(work.kind, []).append(_row(work))
    return Beliefs(
        priors.PERSON, dict.fromkeys(rows, priors.KIND), {kind: product(row) for kind, row in rows.items()}
    )


def oddness(beliefs: Beliefs, work: Work) -> float:
    """How likely a record says something else than the pace: an interruption, a slip of the key. 0 to 1."""
    weights = beliefs.of(work.kind, priors.KIND)
    plain, odd = likelihoods(work)
    found = sum(
        weight * strange / (usual + strange) if usual + strange > 0 else weight
        for weight, usual, strange in zip(weights, plain, odd, strict=True)
    )
    return found / sum(weights)


def used(factor: float) -> float:
    """The pace that is reckoned with: to the nearest 0.05, and no further out than a pace can be."""
    return round(min(priors.PACE_MOST, max(priors.PACE_LEAST, round(factor / priors.ROUNDED) * priors.ROUNDED)), 2)


def odd_ones(works: Mapping[str, Work]) -> frozenset[str]:
    """The steps whose record counts little: more likely than not it says something else than the pace."""
    odd = _odd(tuple(sorted(works.values())))
    return frozenset(step for step, work in works.items() if work in odd)


@lru_cache(256)
def _odd(works: tuple[Work, ...]) -> frozenset[Work]:
    known = paces(works)
    return frozenset(work for work in set(works) if oddness(known, work) > 0.5)


def at_pace(work: Estimate, factor: float) -> Estimate:
    """The minutes of a step at a pace, each to the nearest whole one and never none where there was some."""
    if factor == 1:
        return work
    return Estimate(
        *(max(1, round(minutes * factor)) if minutes else 0 for minutes in (work.low, work.likely, work.high))
    )
