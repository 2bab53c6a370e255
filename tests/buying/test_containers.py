"""Containers: never too little, never one too many, the cheapest under a known price, and never less for more."""

from __future__ import annotations

from itertools import product
from math import ceil, pi

import pytest
from hypothesis import given
from hypothesis import strategies as st

from scheduler.buying.containers import fewest
from scheduler.model.shopping import Size
from scheduler.units import parse_length, parse_mass, parse_spread, parse_volume

BULK = 0.7
CANS = tuple(Size(label=label, amount=parse_volume(label), metric=False) for label in ("1 qt", "1 gal", "5 gal"))
CARTRIDGE = (Size(label="10.1 fl oz", amount=parse_volume("10.1 fl oz"), metric=False),)

amounts = st.floats(min_value=0.05, max_value=60, allow_nan=False)
size_sets = st.lists(st.integers(1, 40), min_size=1, max_size=4, unique=True).map(
    lambda found: tuple(Size(label=f"{n} dl", amount=n / 10, metric=True) for n in found)
)


def said(need: str | float, sizes: tuple[Size, ...] = CANS) -> str:
    litres = parse_volume(need) if isinstance(need, str) else need
    return " + ".join(f"{count} × {size.label}" for count, size in fewest(litres, sizes, BULK))


def held(bought: tuple[tuple[int, Size], ...]) -> float:
    return sum(count * size.amount for count, size in bought)


@pytest.mark.parametrize(
    ("need", "cans"),
    [
        # By k^0.7 a quart costs 1, a gallon 4^0.7 = 2.64, five gallons 20^0.7 = 8.14.
        ("1 fl oz", "1 × 1 qt"),
        ("2 qt", "2 × 1 qt"),  # 2 < 2.64
        ("3 qt", "1 × 1 gal"),  # 3 > 2.64
        ("1 gal", "1 × 1 gal"),  # just full: no drop more
        ("5 qt", "1 × 1 gal + 1 × 1 qt"),  # 3.64 < 2 gallons at 5.28
        ("7 qt", "2 × 1 gal"),  # 5.28 < 5.64
        ("3 gal", "3 × 1 gal"),  # 7.92 < 8.14
        ("13 qt", "1 × 5 gal"),  # 3 gal 1 qt would be 8.92
        ("11 gal", "2 × 5 gal + 1 × 1 gal"),
    ],
)
def test_cans_as_a_thrifty_person_buys_them(need: str, cans: str) -> None:
    """Quarts as long as they are cheaper than a gallon, gallons as long as they are cheaper than five."""
    assert said(need) == cans


def test_nothing_is_bought_where_nothing_is_needed() -> None:
    """No amount, no container; no sizes, no answer."""
    assert fewest(0, CANS, BULK) == ()
    assert fewest(1, (), BULK) == ()


@given(need=amounts, sizes=size_sets, mixed=st.booleans())
def test_enough_and_not_one_too_many(need: float, sizes: tuple[Size, ...], mixed: bool) -> None:
    """They hold what is needed; without any single one of them they would not."""
    bought = fewest(need, sizes, BULK, mixed=mixed)
    assert held(bought) >= need * (1 - 1e-8)
    for _, size in bought:
        assert held(bought) - size.amount < need
    assert mixed or len(bought) == 1


@given(need=amounts, more=st.floats(min_value=0, max_value=20, allow_nan=False), sizes=size_sets, mixed=st.booleans())
def test_who_needs_more_never_gets_less(need: float, more: float, sizes: tuple[Size, ...], mixed: bool) -> None:
    """More need never means fewer litres."""
    less, greater = fewest(need, sizes, BULK, mixed=mixed), fewest(need + more, sizes, BULK, mixed=mixed)
    assert held(greater) >= held(less) - 1e-9


@given(need=st.floats(min_value=0.05, max_value=8, allow_nan=False), sizes=size_sets)
def test_no_other_set_of_containers_is_cheaper(need: float, sizes: tuple[Size, ...]) -> None:
    """Against all counts there are, one by one."""
    largest = sorted((size.amount for size in sizes), reverse=True)[:3]
    few = tuple(size for size in sizes if size.amount in largest)
    need = min(need, 6 * min(largest))  # so that all counts can be gone through
    bought = fewest(need, few, BULK)
    price = sum(count * size.amount**BULK for count, size in bought)
    every = product(*(range(ceil(need / size.amount) + 1) for size in few))
    cheapest = min(
        sum(n * size.amount**BULK for n, size in zip(counts, few, strict=True))
        for counts in every
        if sum(n * size.amount for n, size in zip(counts, few, strict=True)) >= need - 1e-9
    )
    assert price == pytest.approx(cheapest)


def test_a_very_large_need_is_answered_at_once() -> None:
    """Ten thousand litres: as many of the largest as go into it, and the rest."""
    bought = fewest(10_000, CANS, BULK)
    assert bought[0] == (528, CANS[2])  # 10 000 L / 18.927 L = 528.3


@pytest.mark.parametrize(
    ("bead", "feet"), [("1/8 in", 123.8), ("3/16 in", 55.0), ("1/4 in", 30.9), ("5/16 in", 19.8), ("3/8 in", 13.8)]
)
def test_a_cartridge_goes_as_far_as_its_table_says(bead: str, feet: float) -> None:
    """Yield of a 10.1 fl oz cartridge by round bead: 18.23 in³ over π/4·d² (geometry; makers print the same figures).

    A foot less than the table's length fits into one cartridge, a foot more needs a second.
    """
    section = pi / 4 * parse_length(bead) ** 2

    def cartridges(length: float) -> int:
        return sum(count for count, _ in fewest(length * 0.3048 * section * 1000, CARTRIDGE, BULK))

    assert cartridges(feet - 0.1) == 1
    assert cartridges(feet + 0.1) == 2


def test_a_gallon_is_1604_square_foot_mils() -> None:
    """1 US gal = 231 in³ = 1604 ft²·mil: 400 ft² at 4 mil wet take one gallon, 405 ft² a quart more."""

    def litres(square_feet: float, mils: float) -> float:
        return square_feet * 0.3048**2 * mils * 25.4e-6 * 1000

    assert litres(1604.2, 1) == pytest.approx(parse_volume("1 gal"), rel=1e-4)
    assert said(litres(401, 4)) == "1 × 1 gal"
    assert said(litres(405, 4)) == "1 × 1 gal + 1 × 1 qt"


def test_joint_compound_by_volume() -> None:
    """A skim of 1/16 in (62.5 mil) takes 1604/62.5 = 25.7 ft² a gallon: 100 ft² take 3.9 gal, one pail of 4.5."""
    pails = tuple(Size(label=each, amount=parse_volume(each), metric=False) for each in ("1 qt", "1 gal", "4.5 gal"))
    need = 100 * 0.3048**2 / parse_spread("25.7 ft²/gal")
    assert need == pytest.approx(3.89 * parse_volume("1 gal"), rel=1e-3)
    assert said(need, pails) == "1 × 4.5 gal"


def test_thinset_by_the_bag() -> None:
    """65 ft² a 50 lb bag under a 1/4 x 3/8 in notch, 90 under 1/4 x 1/4 (web, secondary): 200 ft² take 3 or 4.

    The profile's 21 ft²/gal and 0.62 L/kg lie between: 22.68 kg make 14.06 L = 3.71 gal, which cover 78 ft².
    """
    bag = (Size(label="50 lb", amount=parse_mass("50 lb") * 0.62, metric=False),)
    need = 200 * 0.3048**2 / parse_spread("21 ft²/gal")
    assert fewest(need, bag, BULK)[0][0] == 3  # 200/78 = 2.6
    assert 200 / 90 < need / bag[0].amount < 200 / 65
