"""`tackfree check` on a job without a fault."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.conftest import JOB
from tests.cli.running import run

TWO = "prime: {work: 1 h, lays: acrylic-bonding-primer}, hang: {work: 45 min, follows: [prime: recoat]}"


@pytest.mark.parametrize(
    ("steps", "said"),
    [
        ("hang: {work: 45 min}", "1 step, 0 materials: no fault found.\n"),
        (TWO, "2 steps, 1 material: no fault found.\n"),
    ],
)
def test_what_was_found_is_counted_as_people_count(tmp_path: Path, steps: str, said: str) -> None:
    """One is one step, not `1 steps`."""
    job = tmp_path / "job.yaml"
    job.write_text(JOB.partition("steps:")[0] + f"steps: {{{steps}}}\n", encoding="utf-8")
    ran = run("check", str(job))
    assert (ran.code, ran.out, ran.err) == (0, said, "")
