"""What many draws say together."""

from __future__ import annotations

import numpy as np
import pytest

from scheduler.whatif.statistics import held_between, held_by, ranks, spread_from


def test_a_share_holds_by_the_least_value_that_so_many_do_not_exceed() -> None:
    """Of 1..10 eight do not exceed 8, so 8 holds in 80 %; half of them do not exceed 5."""
    values = list(range(1, 11))
    assert [held_by(values, share) for share in (0.5, 0.8, 0.95, 1.0)] == [5, 8, 10, 10]
    assert held_by([7], 0.8) == 7


def test_the_band_of_a_share_holds_nineteen_times_in_twenty() -> None:
    """Of 400 samples of 300 uniform numbers the band around the 80 % value must hold 0.8 in 93 to 98 %."""
    random = np.random.default_rng(11)
    held = 0
    for _ in range(400):
        sample = sorted(int(value) for value in random.uniform(0, 1_000_000, 300))
        low, high = held_between(sample, 0.8)
        held += low <= 800_000 <= high
    assert 0.93 <= held / 400 <= 0.98


def test_equal_values_share_the_middle_of_their_places() -> None:
    """10, 20, 20, 30 have the ranks 0, 1.5, 1.5, 3 (Spearman's way with ties)."""
    assert ranks([20, 10, 30, 20]) == [1.5, 0.0, 3.0, 1.5]


def test_shares_of_a_sum_are_those_of_the_variances() -> None:
    """x + 2y + 3z of independent normal numbers: variances 1, 4, 9 of 14, so 7, 29 and 64 %.

    The rank correlation of normal variables with correlation r is 6/π·asin(r/2) (Kendall and Gibbons, Rank
    Correlation Methods, from memory): 26, 52 and 79 % squared give 7, 27 and 62 %.
    """
    random = np.random.default_rng(5)
    x, y, z, idle = random.normal(size=(4, 4000))
    total = [int(value) for value in 100_000 * (x + 2 * y + 3 * z)]
    shares = dict(spread_from(total, {"x": list(x), "y": list(y), "z": list(z), "idle": list(idle)}))
    for name, variance in (("x", 1), ("y", 4), ("z", 9)):
        expected = (6 / np.pi * np.arcsin(np.sqrt(variance / 14) / 2)) ** 2
        assert shares[name] == pytest.approx(expected, abs=0.03)
    assert "idle" not in shares
    assert [name for name, _ in spread_from(total, {"x": list(x), "z": list(z)})] == ["z", "x"]


def test_results_that_do_not_differ_come_from_nothing() -> None:
    """Where every draw ends alike nothing has a share."""
    assert spread_from([5] * 100, {"x": [i / 100 for i in range(100)]}) == []
