"""A bigger wall never takes less: no labour, no material, step by step."""

from __future__ import annotations

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from scheduler.model.job import Job
from tests.support.scoped import job_of

ROOM = """\
den: [clear and protect, strip trim and covers: {boxes: 2, old trim: 20 ft}, put back: {boxes: 2}]
ceiling: [patch, prime, paint ceiling]
walls: [patch, sand, wipe down, prime]
panel:
  on: [north wall, east wall]
  up to: 1/2
  do: [backer, box extenders: {boxes: 2}, rails and battens, panel mouldings]
window: {around: window, do: case an opening}
joinery: {of: [panel, window], do: [fill, sand: {over: new work}, wipe down, caulk, mask, prime]}
base: {along: floor, do: [base, shoe]}
crown: {along: ceiling, do: crown}
floor: [varnish floor]
"""
COLOURS = """\
colours:
  grey: {on: walls, material: acrylic-latex-wall-paint, coats: 2}
  green: {on: panel, material: waterborne-alkyd-enamel, coats: 2}
"""


def made(length: int, width: int, height: int) -> Job:
    window = "{window: {on: east wall, width: 3 ft, height: 3 ft, sill: 3 ft}}"
    return job_of(ROOM, COLOURS, length=f"{length} in", width=f"{width} in", height=f"{height} in", openings=window)


def all_amounts(job: Job) -> dict[str, float]:
    """Minutes of every step and coat (low, likely, high), and what each uses of each thing."""
    found: dict[str, float] = {}
    for name, work, uses in (
        *((step.id, step.work, step.uses) for step in job.steps),
        *((colour.id, colour.coat.plus(colour.tape), (*colour.uses, *colour.tape_uses)) for colour in job.colours),
    ):
        found |= {f"{name} low": work.low, f"{name} likely": work.likely, f"{name} high": work.high}
        for use in uses:
            key = f"{name} uses {use.what}"
            found[key] = found.get(key, 0.0) + use.amount
    return found


INCHES = st.integers(min_value=72, max_value=240)


@pytest.mark.long
@settings(max_examples=20)
@given(
    length=INCHES, width=INCHES, height=st.integers(90, 140), more=st.integers(1, 60), which=st.sampled_from("lwh")
)
@example(length=72, width=72, height=90, more=54, which="h")  # the panel ends right where the window does
def test_a_bigger_wall_never_takes_less_labour_or_material(
    length: int, width: int, height: int, more: int, which: str
) -> None:
    small = all_amounts(made(length, width, height))
    large = all_amounts(
        made(length + more * (which == "l"), width + more * (which == "w"), height + more * (which == "h"))
    )
    assert small.keys() <= large.keys()
    less = {name: (small[name], large[name]) for name in small if large[name] < small[name] - 1e-9}
    assert not less
