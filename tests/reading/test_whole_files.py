"""Whole files written at random are read, or refused in lines that say what would be right; nothing else comes."""

from __future__ import annotations

import tempfile
from collections.abc import Callable
from pathlib import Path
from random import Random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.bench.fuzz import one
from tests.bench.fuzzkinds import kinds
from tests.support.wild import wild_calendar, wild_diary, wild_job, wild_readings

pytestmark = pytest.mark.long

KINDS = {kind.name: kind for kind in kinds()}
READ = ("wild job", "material", "method", "tape", "cautions", "wares", "wild readings", "wild calendar", "wild diary")


@pytest.mark.parametrize("name", READ)
def test_a_whole_file_is_read_or_refused(name: str) -> None:
    """Jobs, profiles, readings, diaries, calendars: an odd value at any place in any of them."""

    @settings(max_examples=20)
    @given(st.randoms(use_true_random=False))
    def holds(random: Random) -> None:
        with tempfile.TemporaryDirectory() as folder:
            came = one(KINDS[name], KINDS[name].write(random), Path(folder))
            assert came.outcome in ("read", "refused"), came.trace

    holds()


@pytest.mark.parametrize("name", ["kept plan", "moved calendar", "job planned"])
def test_what_is_planned_from_it_keeps_the_rules(name: str) -> None:
    """A plan comes of it that breaks no rule, or one line says why none does."""

    @settings(max_examples=10)
    @given(st.randoms(use_true_random=False))
    def holds(random: Random) -> None:
        with tempfile.TemporaryDirectory() as folder:
            came = one(KINDS[name], KINDS[name].write(random), Path(folder))
            assert came.outcome in ("read", "refused", "no plan"), came.trace

    holds()


@pytest.mark.parametrize(
    ("write", "kind", "least"),
    [
        (wild_job, "wild job", 0.5),
        (wild_diary, "wild diary", 0.6),
        (wild_readings, "wild readings", 0.7),
        (wild_calendar, "wild calendar", 0.9),
    ],
)
def test_most_are_sound_without_odd_values(
    tmp_path: Path, write: Callable[[Random, float], str], kind: str, least: float
) -> None:
    """Files that are all refused for the same slip of their writer would test one line of the readers."""
    sound = 0
    for number in range(50):
        came = one(KINDS[kind], write(Random(number), 0.0).encode(), tmp_path / str(number))
        sound += came.outcome == "read"
    assert sound / 50 >= least
