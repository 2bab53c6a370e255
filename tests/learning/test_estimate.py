"""What must hold of every estimate, whatever the numbers of the model are."""

from __future__ import annotations

import math
from dataclasses import replace
from itertools import pairwise, permutations

import pytest

from scheduler.learning import priors
from scheduler.learning.beliefs import quantile
from scheduler.learning.felt import Dries, between, films_of_room, next_look
from scheduler.learning.pace import at_pace, centre, oddness, paces, used
from scheduler.model.basics import Estimate
from scheduler.model.learned import FilmReading, Work
from scheduler.model.material import Material, StageTime

STEP = (86.0, 120.0, 192.0)
"""Minutes reckoned for a step of two hours."""
PAINT = (("paint", 0.21),)


def took(minutes: float, kind: str = "painting") -> Work:
    return Work(kind, *STEP, minutes, minutes)


def factor(works: list[Work], kind: str = "painting") -> float:
    return math.exp(quantile(paces(tuple(works)).of(kind, priors.KIND), 0.5))


def look(multiple: float, reached: bool, film: str = "1", stage: str = "recoat") -> FilmReading:
    return FilmReading("paint", film, stage, multiple, reached)


def dry(readings: list[FilmReading]) -> float:
    return math.exp(quantile(films_of_room(tuple(readings), PAINT).material("paint", 0.21), 0.5))


def test_without_a_record_every_factor_is_one() -> None:
    """A plan without records is the plan without learning."""
    assert factor([]) == pytest.approx(1, abs=1e-12)
    assert factor([], "tiling") == pytest.approx(1, abs=1e-12)
    assert dry([]) == pytest.approx(1, abs=1e-12)


def test_the_order_of_the_entries_plays_no_part() -> None:
    """The same bits, whoever was recorded first."""
    works = [took(150), took(90, "sanding"), took(240), Work("painting", *STEP, 200.0, math.inf)]
    looks = [look(0.8, False), look(1.4, True), look(1.1, False, "2"), look(0.5, True, "2", "touch")]
    assert len({factor(list(order)) for order in permutations(works)}) == 1
    assert len({dry(list(order)) for order in permutations(looks)}) == 1


@pytest.mark.parametrize("others", [[], [150.0], [100.0, 110.0, 180.0]])
def test_a_longer_time_never_makes_quicker_as_long_as_it_is_believed(others: list[float]) -> None:
    """Up to where a record is more likely odd than not: from there on it counts less and less (a slip of the key)."""
    known = [took(minutes) for minutes in others]
    rising = [took(40 * 1.05**i) for i in range(40)]
    believed = [work for work in rising if oddness(paces((*known, work)), work) < 0.3]
    assert len(believed) > 10
    found = [factor([*known, work]) for work in believed]
    assert all(later >= earlier - 1e-9 for earlier, later in pairwise(found))


def test_more_minutes_without_an_end_never_make_quicker() -> None:
    """Begun and not finished after so long: only slower follows."""
    found = [factor([took(130), Work("painting", *STEP, minutes, math.inf)]) for minutes in (10, 60, 120, 200)]
    assert all(later >= earlier - 1e-9 for earlier, later in pairwise([factor([took(130)]), *found]))


def test_not_yet_never_makes_quicker_and_reached_never_slower() -> None:
    """Nor does a `not yet` at a later time make quicker than at an earlier one."""
    for base in ([], [look(1.2, True, "0")], [look(0.7, False, "0"), look(1.5, True, "0")]):
        before = dry(base)
        later = [dry([*base, look(multiple, False)]) for multiple in (0.3, 0.6, 0.9, 1.2, 1.5)]
        sooner = [dry([*base, look(multiple, True)]) for multiple in (2.5, 2.0, 1.5, 1.0, 0.7)]
        assert all(b >= a - 1e-9 for a, b in pairwise([before, *later]))
        assert all(b <= a + 1e-9 for a, b in pairwise([before, *sooner]))


def test_one_odd_record_moves_little() -> None:
    """Five of two hours and one of ten: ln(10/2)/6 would make 1.31 of it; it makes less than 1.05."""
    usual = [took(minutes) for minutes in (120, 125, 118, 130, 122)]
    assert abs(factor([*usual, took(600)]) / factor(usual) - 1) < 0.05


def test_a_record_moves_its_own_kind_more_than_another() -> None:
    assert 1 < factor([took(187)], "tiling") < factor([took(187)])


def test_the_rule_of_thumb_for_ordinary_records() -> None:
    """Without odd records ln factor = n ȳ / (n + s² / τ²), s² = v + 0.2² + (5/M)², τ² = 0.25² + 0.2² = 0.1025.

    Three of 140 min against a middle of 125: ȳ = ln(140 / 124.9) = 0.114. s² = 0.0234 + 0.04 + 0.0016 = 0.065 (v from
    PERT: M = 126.33, V = (M − 86)(192 − M)/7 = 378.4, v = ln(1 + 378.4/126.33²) = 0.0234). So 3 · 0.114 / 3.634 =
    0.094.
    """
    assert math.log(factor([took(140)] * 3)) == pytest.approx(0.094, abs=0.006)


def test_the_middle_of_a_range_has_the_mean_and_variance_of_pert() -> None:
    """M = (86 + 480 + 192)/6 = 126.33; V = (126.33 − 86)(192 − 126.33)/7 = 378.4 (Malcolm et al. 1959)."""
    middle, variance = centre(*STEP)
    mean = middle * math.exp(variance / 2)
    assert mean == pytest.approx(126.333, abs=0.001)
    assert mean**2 * (math.exp(variance) - 1) == pytest.approx(378.4, abs=0.2)


def test_a_pace_is_rounded_and_held_where_it_is_no_pace_any_more() -> None:
    assert (used(1.02), used(1.03), used(1.28)) == (1.0, 1.05, 1.3)
    assert (used(0.2), used(7.0)) == (0.5, 2.5)


def test_minutes_at_a_pace_are_whole_and_never_none() -> None:
    assert at_pace(Estimate(1, 30, 45), 0.5) == Estimate(1, 15, 22)
    assert at_pace(Estimate(0, 0, 0), 2.0) == Estimate(0, 0, 0)


def stage(name: str, low: int, typical: int, high: int) -> StageTime:
    return StageTime(stage=name, low=low, typical=typical, high=high, law="film", exponent=1.0, source="invented")


FAMILY = Material(
    id="paint",
    title="paint",
    group="paints",
    temp=23.0,
    humidity=0.5,
    thickness=1e-4,
    thickness_kind="film",
    stages=(stage("recoat", 180, 240, 480), stage("recoat_by", 1000, 2000, 3000), stage("use", 600, 900, 1800)),
    limits=None,
    source="invented",
)


def test_quicker_only_where_the_evidence_is_strong_and_a_not_yet_was_among_it() -> None:
    """Whoever writes down only what is dry makes every film look quick."""
    assert Dries(0.8, 0.6, 0.95, watched=True).factor == 0.8
    assert Dries(0.8, 0.6, 0.95, watched=False).factor == 1
    assert Dries(0.8, 0.6, 1.02, watched=True).factor == 1
    assert Dries(1.2, 0.9, 1.6, watched=False).factor == 1.2


def test_what_a_factor_may_do_to_a_stage() -> None:
    """Recoat 180 to 480 around 240: never below 180/240 = 0.75, nor past 480/240 = 2 while the range begins below it.

    Use is never quicker; the end of a window never moves out; what bears a load is never quicker.
    """
    slow, quick = Dries(2.4, 1.5, 3.5, watched=True), Dries(0.5, 0.4, 0.7, watched=True)
    assert slow.of_stage(FAMILY, "recoat") == 2.0
    assert replace(slow, low=2.2).of_stage(FAMILY, "recoat") == 2.2
    assert slow.of_stage(FAMILY, "recoat_by") == 1.0
    assert slow.of_stage(FAMILY, "use") == 2.0
    assert quick.of_stage(FAMILY, "recoat") == 0.75
    assert quick.of_stage(FAMILY, "use") == 1.0
    assert quick.of_stage(replace(FAMILY, by_touch=False), "recoat") == 1.0


def test_the_next_look_lies_beyond_the_last_not_yet() -> None:
    """However late it was, and the later the later."""
    found = []
    for multiple in (0.5, 1.0, 1.5, 3.0, 20.0):
        room = films_of_room((look(multiple, False),), PAINT)
        found.append(next_look(room, FAMILY, "1", "recoat", math.log(multiple)))
        assert found[-1] > multiple * 1.05
    assert found == sorted(found)


def test_looks_at_one_stage_are_put_together() -> None:
    """Not yet at 0.5 and 0.8, reached at 1.3 and 1.6: between ln 0.8 and ln 1.3."""
    looks = [(0.5, False), (1.6, True), (0.8, False), (1.3, True)]
    assert between(looks) == pytest.approx((math.log(0.8), math.log(1.3)))
