"""Two holes are two holes: who counts them is not given five percent of the walls and a bag of five kilograms."""

from __future__ import annotations

import pytest

from tests.support.scoped import job_of, quantity, step_of

HOLE = (4 * 0.0254) ** 2
"""Square metres of a patch: a square of four inches."""


def test_so_many_holes_are_patched_and_nothing_else() -> None:
    """Two holes at four minutes each and two squares of four inches at 30 ft² an hour: 8 min + 2/9 ft² / 30 = 26 s,
    in steps of five minutes as all work of methods; the usual share is none of it."""
    job = job_of("walls: [patch: {holes: 2}]")
    assert quantity(job, "walls", "patched area") == pytest.approx(2 * HOLE)
    assert step_of(job, "walls-patch").work.likely == 10


def test_holes_come_on_top_of_a_share_that_is_written() -> None:
    """Walls of 12 and 10 ft, 8 ft high: 352 ft², of which one percent is 3.52 ft²."""
    job = job_of("walls: [patch: {holes: 3, share: 1}]")
    assert quantity(job, "walls", "patched area") == pytest.approx(0.01 * 352 * 0.3048**2 + 3 * HOLE)


def test_without_holes_it_is_the_share_as_ever() -> None:
    job = job_of("walls: [patch]")
    assert quantity(job, "walls", "patched area") == pytest.approx(0.05 * 352 * 0.3048**2)
