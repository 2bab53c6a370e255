"""Found by planning wild jobs: a wait after a stage (`{stage: handle, wait: 2 days}`) was taken for the stage alone.

The plan came out two days early, with a note of the checker that it breaks a rule.
"""

from __future__ import annotations

from datetime import datetime
from pathlib import Path

import pytest

from scheduler.living.site import open_site, replan
from scheduler.model.plan import Plan
from scheduler.wallclock import to_datetime
from tests.support.lives import ZONE, moment, shelf
from tests.support.told import breaks

JOB = """\
job: Bath
start: 2026-12-01
zone: America/Denver
hours: {on: weekdays, from: 8:30, to: 21:00}
rooms: {bath: {air: {day: 77 °F, night: 77 °F, humidity: 50 %, day hours: 0:00 to 24:00}}}
steps:
  one: {work: 90 min, lays: shellac}
  two: {work: 20 min, follows: [one: HOW]}
"""


def planned(folder: Path, how: str) -> Plan:
    return replan(open_site(shelf(folder, JOB.replace("HOW", how))), moment("2026-12-01")).plan


def begins(plan: Plan) -> datetime:
    return to_datetime(plan.step("two").start, ZONE)


@pytest.mark.parametrize("within", ["", ", within: 3 days"])
def test_a_wait_counts_from_the_stage(tmp_path: Path, within: str) -> None:
    """Shellac is fit to be handled 45 min after it was laid at 10:00, by its profile at the reference air; two days
    after that is Thursday 10:45."""
    plan = planned(tmp_path, f"{{stage: handle, wait: 2 days{within}}}")
    assert f"{begins(plan):%a %d %H:%M}" == "Thu 03 10:45"
    assert not breaks(plan)


def test_the_stage_alone_is_what_it_was(tmp_path: Path) -> None:
    assert f"{begins(planned(tmp_path, 'handle')):%a %d %H:%M}" == "Tue 01 10:45"
