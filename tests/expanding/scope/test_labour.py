"""Rates of labour against what their sources say of the trade."""

from __future__ import annotations

import re

import pytest

from scheduler.model.method import Labour
from scheduler.reading.methods import read_methods
from tests.support.scoped import job_of

METHODS = read_methods(None).loaded
FT = 0.3048
UNITS = {"ft/h": FT, "ft²/h": FT**2}
PRINTED = re.compile(r"(\d+) to (\d+) (ft²?/h)")


def labours() -> list[tuple[str, Labour]]:
    return [
        (f"{name}: {template.key}", each)
        for name, method in METHODS.items()
        for template in method.templates
        for each in template.labour
    ]


def likely(method: str, step: str, per: str) -> float:
    """Likely hours a foot or square foot."""
    template = next(each for each in METHODS[method].templates if each.id == step)
    labour = next(each for each in template.labour if each.per.text == per)
    return labour.likely / 60 * (FT**2 if per in ("area", "face") else FT)


def test_no_quick_rate_is_above_the_range_of_its_own_source() -> None:
    """Whoever is quick is as quick as the trade at its best, not quicker."""
    seen = 0
    for where, labour in labours():
        printed = [(float(high), unit) for _, high, unit in PRINTED.findall(labour.source)]
        if printed and "without" not in labour.source:
            seen += 1
            quickest = max(high * UNITS[unit] for high, unit in printed)  # a foot or square foot an hour, metric
            hands = 2 if labour.source.endswith("for two") else 1
            assert 60 / labour.low <= hands * quickest * 1.001 or "timed" in labour.source, where
    assert seen >= 8


def test_a_room_of_walls_takes_an_amateur_half_as_long_again_as_a_contractor() -> None:
    """A contractor's page: 320 ft² of wall and about 109 ft of cutting in take 1.5 h (read).

    Here it is 320 / 220 + 109 / 180 = 2.06 h.
    """
    hours = 320 * likely("paint-walls", "coat", "area") + 109 * likely("paint-walls", "coat", "cut in")
    assert hours == pytest.approx(2.06, abs=0.01)
    assert 1.5 < hours <= 1.5 * 1.5


def test_crown_takes_no_three_times_the_trade() -> None:
    """An estimating manual of 2018: 0.050 to 0.060 h/ft for all of it (found); two people hold and nail."""
    cut = likely("crown", "cut-crown", "mouldings")
    up = sum(likely("crown", step, "mouldings") for step in ("nail-crown-quiet", "nail-crown"))
    elapsed, hands = cut + up, cut + 2 * up
    assert 0.050 < elapsed <= 0.060
    assert hands <= 2 * 0.050


def test_more_hands_have_rates_of_their_own() -> None:
    """A carpet of 12 × 10 ft: one person pulls 140 ft² an hour up, 51.4 min, and two 230, 31.3 min; in fives."""
    cut = next(step for step in job_of("floor: take up carpet").steps if step.id == "floor-cut-carpet")
    assert (cut.people, [(people, work.likely) for people, work in cut.hands]) == (1, [(1, 55), (2, 35)])


def test_who_says_how_many_or_how_long_says_it_for_good() -> None:
    """With `people: 2` under `changes` nothing is left to choose."""
    changes = "changes: {floor-cut-carpet: {people: 2, work: 40 min}}\n"
    cut = next(step for step in job_of("floor: take up carpet", changes).steps if step.id == "floor-cut-carpet")
    assert (cut.people, cut.work.likely, cut.hands) == (2, 40, ())
