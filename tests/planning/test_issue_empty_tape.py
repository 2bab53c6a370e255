"""A colour without tape of its own that comes first at its border made the plan tell of one wait twice.

Its empty taping step handed the recoat wait on without the window, and the verifier called that a broken rule.
"""

from __future__ import annotations

from pathlib import Path

from scheduler import Facts, make_plan
from scheduler.reading import read_job_text
from scheduler.reading.profiles import named_in, read_trade
from tests.support.told import breaks

JOB = """
job: Two colours
start: 2027-01-09
zone: UTC
hours: {on: every day, from: 9:00, to: 18:00}
rooms: {den: {air: {day: 20 °C, night: 18 °C, humidity: 50 %}}}
steps:
  prime: {title: Prime, work: 1 h, lays: acrylic-bonding-primer}
colours:
  grey: {material: acrylic-latex-wall-paint, coats: 2, one coat: 1 h, follows: [prime: recoat]}
  blue: {material: acrylic-latex-wall-paint, coats: 2, one coat: 1 h, tape off: 10 min, follows: [prime: recoat]}
borders:
  - {between: [grey, blue], tape off: 20 min}
colour order: [grey, blue]
"""


def test_a_wait_is_told_once(tmp_path: Path) -> None:
    """Each wait stands once at a step, and the verifier finds nothing."""
    job = read_job_text(JOB, "job.yaml")
    plan = make_plan(job, read_trade(tmp_path, named_in(job)), Facts(now=job.start)).plan
    assert not breaks(plan)
    for step in plan.steps:
        told = [(wait.step, wait.stage) for wait in step.after]
        assert len(told) == len(set(told))
