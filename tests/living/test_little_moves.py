"""Half an hour lost in January moved forty steps, most of them in February, where nothing had to move."""

from __future__ import annotations

import json
from pathlib import Path

from tests.cli.running import run


def test_a_first_step_that_took_longer_moves_nothing_weeks_later(tmp_path: Path) -> None:
    """A basement is boarded. The floor was covered at 10:40 and not at 9:53: the finish, the days and all work from
    the next day on stay."""
    assert run("starter", str(tmp_path / "basement"), "--kind", "drywall", "--as-of", "2026-12-01").code == 0
    job = tmp_path / "basement" / "job.yaml"
    assert run("plan", str(job), "--as-of", "2026-12-01").code == 0
    ran = run("did", str(job), "basement-cover", "--at", "10:40", "--as-of", "2026-12-05T11:00", "--json")
    moves = json.loads(ran.out)
    assert moves["finish_before"] == moves["finish_after"]
    assert (moves["new"], moves["gone"]) == ([], [])
    assert [move for move in moves["moved"] if move["from"] >= "2026-12-06"] == []
