"""What many draws say together: values that hold in so many of them, how sure those are, where the spread is from."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from math import ceil, sqrt

NINETEEN_IN_TWENTY = 1.96
"""Standard deviations within which a normal variable lies 19 times in 20."""


def held_by(ordered: Sequence[int], share: float) -> int:
    """The least of the ascending values that at least this share of them does not exceed."""
    return ordered[max(0, ceil(share * len(ordered) - 1e-9) - 1)]


def held_between(ordered: Sequence[int], share: float) -> tuple[int, int]:
    """Where `held_by` of other draws of the same thing lies 19 times in 20.

    By the ranks of order statistics, whatever the distribution (David and Nagaraja, Order Statistics, 2003, section
    7.1, from memory), with the normal approximation of the binomial.
    """
    size = len(ordered)
    off = NINETEEN_IN_TWENTY * sqrt(size * share * (1 - share))
    low = max(0, int(size * share - off) - 1)
    high = min(size - 1, ceil(size * share + off) - 1)
    return ordered[low], ordered[high]


def spread_from(results: Sequence[int], causes: Mapping[str, Sequence[float]]) -> list[tuple[str, float]]:
    """The share of the spread of the results that goes with each cause, the largest first.

    The squared rank correlation (Spearman) of cause and result. Causes are drawn independently, so the shares add up
    to what single causes explain; the rest is their interplay. A share that pure chance would reach once in twenty
    times is left out. None if the results do not differ.
    """
    size = len(results)
    outcome = ranks(results)
    found = [(name, _correlation(outcome, ranks(values)) ** 2) for name, values in causes.items()]
    least = NINETEEN_IN_TWENTY**2 / max(size, 1)
    found = [(name, share) for name, share in found if share > least]
    total = sum(share for _, share in found)
    if total > 1:  # chance has made the parts exceed the whole
        found = [(name, share / total) for name, share in found]
    return sorted(found, key=lambda entry: (-entry[1], entry[0]))


def ranks(values: Sequence[float]) -> list[float]:
    """The place of each value in their order; equal ones share the middle of their places."""
    order = sorted(range(len(values)), key=lambda i: values[i])
    found = [0.0] * len(values)
    at = 0
    while at < len(order):
        end = at
        while end + 1 < len(order) and values[order[end + 1]] == values[order[at]]:
            end += 1
        for place in range(at, end + 1):
            found[order[place]] = (at + end) / 2
        at = end + 1
    return found


def _correlation(one: Sequence[float], other: Sequence[float]) -> float:
    size = len(one)
    if size < 2:
        return 0.0
    mean_one, mean_other = sum(one) / size, sum(other) / size
    both = sum((a - mean_one) * (b - mean_other) for a, b in zip(one, other, strict=True))
    square_one = sum((a - mean_one) ** 2 for a in one)
    square_other = sum((b - mean_other) ** 2 for b in other)
    return both / sqrt(square_one * square_other) if square_one and square_other else 0.0
