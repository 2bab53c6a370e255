"""Sums over named quantities: worked out by hand, and refused where they can't be."""

from __future__ import annotations

import pytest

from scheduler.model.formula import parse_formula
from scheduler.units import UnclearQuantityError


@pytest.mark.parametrize(
    ("text", "value"),
    [
        ("2 + 3 * 4", 14),
        ("(2 + 3) * 4", 20),
        ("12 - 6 / 3 - 1", 9),
        ("run", 5),
        ("2 * batten run / spacing", 2 * 10 / 0.4),
        ("16 in", 0.4064),
        ("1/4 in * 8", 0.0508),
        ("2 1/2 in", 0.0635),
        ("6/4", 1.5),
        ("ceil(run / 2 m)", 3),
        ("ceil(6 m / 2 m)", 3),
        ("max(run - 7, 0)", 0),
        ("min(run, batten run)", 5),
        ("run / nothing", 0),  # of nothing there is none, not endlessly many
    ],
)
def test_sums(text: str, value: float) -> None:
    known = {"run": 5.0, "batten run": 10.0, "spacing": 0.4, "nothing": 0.0}
    assert parse_formula(text).value(known.__getitem__) == pytest.approx(value)


def test_a_sum_names_what_it_asks_for() -> None:
    assert parse_formula("2 * (top + batten run) / nail spacing").names == {"top", "batten run", "nail spacing"}


@pytest.mark.parametrize(
    "text",
    ["", "2 +", "* 2", "(run", "run)", "2 run", "run run 3", "sqrt(run)", "ceil(1, 2)", "max(1)", "a $ b", "2..3"],
)
def test_what_is_no_sum_is_refused(text: str) -> None:
    with pytest.raises(UnclearQuantityError):
        parse_formula(text)


def test_a_pit_of_brackets_is_refused() -> None:
    with pytest.raises(UnclearQuantityError, match="too many brackets"):
        parse_formula("(" * 400 + "1" + ")" * 400)
