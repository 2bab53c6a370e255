"""Low, likely and high as a PERT beta distribution, and the random numbers that draw it."""

from __future__ import annotations

import numpy as np
import pytest

from scheduler.solver.pert import Numbers, Pert

ESTIMATES = [(1, 2, 3), (2, 3.5, 8), (4, 4, 10), (3, 9, 9), (60, 70, 200), (0.5, 1, 1.25)]
"""The first four are estimates of Hillier and Lieberman's house (from memory); the others are invented."""


@pytest.mark.parametrize("estimate", ESTIMATES)
def test_its_moments_are_those_of_the_formulas(estimate: tuple[float, float, float]) -> None:
    """Mean (a + 4m + b) / 6 (Malcolm and others, Operations Research 7, 1959); variance of a beta distribution.

    With exponents p = 1 + 4(m − a)/(b − a) and q = 1 + 4(b − m)/(b − a) the variance is
    (b − a)² · p·q / ((p + q)² (p + q + 1)), any textbook.
    """
    low, likely, high = estimate
    width = high - low
    p, q = 1 + 4 * (likely - low) / width, 1 + 4 * (high - likely) / width
    shares = (np.arange(20_000) + 0.5) / 20_000
    drawn = np.array([Pert(low, likely, high).at(share) for share in shares])
    assert drawn.mean() == pytest.approx((low + 4 * likely + high) / 6, rel=1e-4)
    assert drawn.var() == pytest.approx(width**2 * p * q / ((p + q) ** 2 * (p + q + 1)), rel=1e-3)
    assert Pert(low, likely, high).mean == pytest.approx(drawn.mean(), rel=1e-4)
    assert Pert(low, likely, high).variance == pytest.approx(drawn.var(), rel=1e-3)


@pytest.mark.parametrize("estimate", ESTIMATES)
def test_its_quantiles_are_those_that_numpy_draws(estimate: tuple[float, float, float]) -> None:
    """Against a million draws of `numpy.random.Generator.beta`: within half a percent of the range."""
    low, likely, high = estimate
    width = high - low
    p, q = 1 + 4 * (likely - low) / width, 1 + 4 * (high - likely) / width
    drawn = low + width * np.random.default_rng(7).beta(p, q, 1_000_000)
    for share in (0.01, 0.05, 0.2, 0.5, 0.8, 0.95, 0.99):
        assert Pert(low, likely, high).at(share) == pytest.approx(np.quantile(drawn, share), abs=0.005 * width)


def test_what_is_sure_stays_as_it_is() -> None:
    """Low, likely and high alike: the same in every draw."""
    assert {Pert(5, 5, 5).at(share / 10) for share in range(11)} == {5}


def test_values_out_of_order_are_refused() -> None:
    """The likely value lies between the others."""
    with pytest.raises(ValueError, match="likely"):
        Pert(3, 2, 4)


def test_another_name_changes_nothing_in_the_numbers_of_the_others() -> None:
    """Common random numbers: whoever adds a step meets the same luck in all the others."""
    alone, with_another = Numbers(3), Numbers(3)
    first = [alone.of("work: fill", draw) for draw in range(50)]
    for draw in range(50):
        with_another.of("work: sand", draw)
    assert [with_another.of("work: fill", draw) for draw in reversed(range(50))] == first[::-1]
    assert [Numbers(4).of("work: fill", draw) for draw in range(50)] != first
