"""Stages of one film keep their natural order in every air, at every thickness, at both ends of their ranges."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import pytest

from scheduler.drying.air import AirPiece
from scheduler.drying.clocks import ClockMaker, End
from scheduler.model.basics import Span
from scheduler.model.material import Material, StageTime, Trade
from scheduler.reading.profiles import read_trade
from scheduler.verifying.film import reached
from scheduler.wallclock import DAY
from tests.drying.airs import constant_air

ORDER = (
    ("dust_free", "touch"),
    ("touch", "handle"),
    ("dust_free", "handle"),
    ("handle", "use"),
    ("handle", "tape"),
    ("use", "full"),
    ("touch", "recoat"),
    ("recoat", "recoat_by"),
    ("touch", "sand"),
    ("touch", "paint_over"),
)
"""By the definitions of ASTM D1640 and ISO 9117 (from memory): `touch` is this program's *dry to the touch*, so
nothing that floats in the air sticks to it any more. Handled before used before cured, tape no sooner than a hand:
common practice."""

AIRS = tuple(product((5, 10, 15, 20, 25, 30, 35, 40), (0.2, 0.5, 0.8, 0.9, 0.98)))
ENDS: tuple[End, ...] = ("low", "typical", "high")
SPAN = Span(0, 4000 * DAY)


@pytest.fixture(scope="module")
def shipped() -> Trade:
    return read_trade(None)


def turned(trade: Trade) -> Iterator[tuple[str, float, float, End, str, str]]:
    """Every stage that comes before one that it stands on: of all families in all airs, low, typical and high."""
    for temp, humidity in AIRS:
        maker = ClockMaker(constant_air(temp, humidity, SPAN))
        for material, end in product(trade.materials, ENDS):
            at = {stage.stage: maker.stage(material, stage, 1.0, end).ready(0) for stage in material.stages}
            for before, after in ORDER:
                if before in at and after in at and at[before] > at[after]:
                    yield material.id, temp, humidity, end, before, after


def test_no_stage_comes_before_one_that_it_stands_on(shipped: Trade) -> None:
    """Fifty families in forty airs."""
    assert len(shipped.materials) >= 50
    assert list(turned(shipped)) == []


def two_laws(dust_free: int, touch: int) -> Material:
    """A film that is touched once its water has gone, and coated again by a law that humidity hardly slows."""
    return Material(
        id="two-laws",
        title="two laws",
        group="paints",
        temp=25.0,
        humidity=0.5,
        thickness=1e-4,
        thickness_kind="film",
        stages=tuple(
            StageTime(stage=name, low=minutes, typical=minutes, high=minutes, law=law, exponent=n, source="invented")
            for name, minutes, law, n in (
                ("touch", touch, "water", 1),
                ("dust_free", dust_free, "set", 1),
                ("recoat", 120, "film", 2),
            )
        ),
        limits=None,
        source="invented",
    )


def hours(material: Material, temp: float, humidity: float, ratio: float = 1.0) -> dict[str, float]:
    maker = ClockMaker(constant_air(temp, humidity, SPAN))
    return {stage.stage: round(maker.stage(material, stage, ratio).ready(0) / 60, 1) for stage in material.stages}


def test_a_second_coat_waits_until_the_first_is_dry_to_the_touch() -> None:
    """25 °C, 80 %: water leaves at (0.2/0.5)^0.9 = 0.438 of its speed, so 60 min of it take 2.3 h; the film itself is
    not slowed up to 80 % and would be coated after 2 h. It waits for the 2.3 h."""
    assert hours(two_laws(30, 60), 25, 0.5) == {"touch": 1.0, "dust_free": 0.5, "recoat": 2.0}
    assert hours(two_laws(30, 60), 25, 0.8) == {"touch": 2.3, "dust_free": 0.5, "recoat": 2.3}


def test_a_thin_coat_is_not_coated_before_it_may_be_touched() -> None:
    """A third of the thickness: touch 60/3 = 20 min, recoat 120/9 = 13 min; it waits for the 20."""
    assert hours(two_laws(10, 60), 25, 0.5, 1 / 3)["recoat"] == hours(two_laws(10, 60), 25, 0.5, 1 / 3)["touch"]


@pytest.mark.parametrize(("dust_free", "touch"), [(30, 60), (90, 60)])
def test_of_touch_and_dust_free_the_one_that_the_sheet_has_first_stays_first(dust_free: int, touch: int) -> None:
    """Dust-free comes before dry-to-touch and after set-to-touch: a sheet may mean either. Damp air slows only one of
    these laws, dry air makes only that one faster; in neither does the order turn."""
    for humidity in (0.05, 0.5, 0.95):
        found = hours(two_laws(dust_free, touch), 25, humidity)
        first, second = ("dust_free", "touch") if dust_free < touch else ("touch", "dust_free")
        assert found[first] <= found[second]


def test_the_verifier_holds_a_stage_by_its_own_sum() -> None:
    """2.3 h as above: 60 min / 0.438 = 137 min, not the 120 of the film's own law."""
    maker = ClockMaker(constant_air(25, 0.8, SPAN))
    material = two_laws(30, 60)
    recoat = material.stage("recoat")
    assert recoat is not None
    assert reached(maker.stage(material, recoat, 1.0), 0) == 137


def test_an_air_that_turns_nothing_holds_nothing() -> None:
    """The planner is asked no more than it must be: at the reference air each stage stands by itself."""
    maker = ClockMaker((AirPiece(0, DAY, 25, 0.5),))
    material = two_laws(30, 60)
    assert [maker.stage(material, stage, 1.0).after for stage in material.stages] == [(), (), ()]
