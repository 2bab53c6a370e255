"""A floor is kept clean of what is done above it; where nothing else is done there is nothing to keep off."""

from __future__ import annotations

import pytest

from scheduler.errors import InputError
from tests.support.scoped import unfolded

JOB = """\
job: One room
start: 2027-02-06
zone: Europe/Berlin
hours: {{on: weekends, from: 9:00, to: 15:00, people: 2}}
rooms:
  den: {{length: 4 m, width: 3 m, height: 2.5 m, air: {{day: 20 °C, night: 18 °C, humidity: 50 %}}}}
scope:
  den: [clear and protect{cover}, put back{cover}]
  floor: [varnish floor]
{rest}
"""
COVERS = {"den-cover", "den-uncover"}
PAINT = "colours: {white: {on: walls, material: acrylic-latex-wall-paint, coats: 1}}"


def steps(rest: str = "", cover: str = "") -> set[str]:
    """The ids of a room with a floor that is varnished, and of what else is done."""
    job, _ = unfolded(JOB.format(rest=rest, cover=cover))
    return {step.id for step in job.steps}


def test_a_floor_that_is_all_the_work_is_not_covered() -> None:
    """Nor with a moulding that lies over it; as soon as anything else is done it is, if only a colour says so."""
    assert not COVERS & steps()
    assert not COVERS & steps("  base: {along: floor, over: floor, do: shoe}")
    assert steps("  walls: [wash]") >= COVERS
    assert steps(PAINT) >= COVERS


def test_who_wants_it_covered_says_so() -> None:
    assert steps(cover=": {floor: covered}") >= COVERS


def test_what_is_not_there_by_itself_may_still_be_dropped() -> None:
    """A file that dropped the cover when there was one stays right; a name that no method has is told as ever."""
    assert not COVERS & steps("drop: [den-cover, den-uncover]")
    with pytest.raises(InputError, match="no step is called `den-covers`"):
        steps("drop: [den-covers]")
