"""The `set` law against the maturity method: equivalent age after ASTM C1074 (Arrhenius form).

The formula and Q = E/R = 5000 K are what is published (ASTM C1074, annex; Carino and Lew, NIST 2001; Q from memory).
The figures below were computed from it apart from this code, with 0 °C = 273.15 K: no worked example was seen in
print.
"""

from __future__ import annotations

import pytest

from scheduler.drying.air import AirPiece
from scheduler.drying.clocks import build_clock
from scheduler.drying.laws import rate

AGE_FACTORS = {
    20: {
        0: 0.2868,
        5: 0.3986,
        10: 0.5475,
        15: 0.7438,
        20: 1.0,
        23: 1.1886,
        25: 1.3311,
        30: 1.7553,
        35: 2.2939,
        40: 2.9723,
    },
    23: {
        0: 0.2413,
        5: 0.3354,
        10: 0.4606,
        15: 0.6258,
        20: 0.8413,
        23: 1.0,
        25: 1.1199,
        30: 1.4768,
        35: 1.9299,
        40: 2.5006,
    },
}


@pytest.mark.source("c1074")
@pytest.mark.parametrize("standard", AGE_FACTORS)
def test_age_factors(standard: int) -> None:
    """exp[−Q(1/T − 1/Ts)] at two standard temperatures, to the four printed decimals."""
    for temp, factor in AGE_FACTORS[standard].items():
        assert rate("set", temp, 0.5, standard, 0.5) == pytest.approx(factor, abs=0.00006), f"{temp} °C"


@pytest.mark.source("c1074")
def test_worked_sum() -> None:
    """12 h at 10 °C + 12 h at 15 + 24 h at 20 + 24 h at 30 = 81.62 h at 20 °C.

    12 × 0.5475 + 12 × 0.7438 + 24 × 1 + 24 × 1.7553 = 6.570 + 8.926 + 24 + 42.127 = 81.62.
    """
    hours = [(12, 10), (12, 15), (24, 20), (24, 30)]
    pieces, at = [], 0
    for length, temp in hours:
        pieces.append(AirPiece(at, at + length * 60, temp, 0.5))
        at += length * 60
    clock = build_clock(pieces, "set", 20, 0.5)
    assert clock.at(at) / 60 == pytest.approx(81.62, abs=0.005)


def test_ages_add_up_piece_by_piece() -> None:
    """te = Σ exp[…]Δt: the age over the whole is the sum of the ages over its parts."""
    whole = build_clock([AirPiece(0, 600, 10, 0.5), AirPiece(600, 1200, 30, 0.5)], "set", 20, 0.5)
    first = build_clock([AirPiece(0, 600, 10, 0.5)], "set", 20, 0.5)
    second = build_clock([AirPiece(600, 1200, 30, 0.5)], "set", 20, 0.5)
    assert whole.at(1200) == pytest.approx(first.at(600) + second.at(1200), abs=1e-9)


@pytest.mark.source("pot-life")
def test_ten_degrees_double_the_speed_at_the_activation_that_says_so() -> None:
    """49.5 kJ/mol is Q10 = 2 from 15 to 25 °C.

    A sheet of polyester bonding paste: pot life 60, 45 and 30 min at 15, 20 and 25 °C.
    """
    speed = {temp: rate("set", temp, 0.5, 15, 0.5, activation=49_500) for temp in (15, 20, 25)}
    assert 60 / speed[25] == pytest.approx(30, abs=0.2)
    assert 60 / speed[20] == pytest.approx(45, abs=3)
