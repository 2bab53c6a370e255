"""Half an hour lost in January moved forty steps, most of them in February, where nothing had to move."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

from tests.cli.running import run

EXAMPLE = Path(__file__).parents[2] / "examples" / "hobby-room" / "job.yaml"


def test_a_first_step_that_took_longer_moves_nothing_weeks_later(tmp_path: Path) -> None:
    """The furniture was out at 10:30 and not at 9:58. The finish, the days and all work from 30 January on stay."""
    job = tmp_path / "job.yaml"
    shutil.copy(EXAMPLE, job)
    assert run("plan", str(job), "--as-of", "2026-12-01").code == 0
    ran = run("did", str(job), "hobby-room-clear", "--at", "10:30", "--as-of", "2027-01-09T10:40", "--json")
    moves = json.loads(ran.out)
    assert moves["finish_before"] == moves["finish_after"]
    assert (moves["new"], moves["gone"]) == ([], [])
    assert [move for move in moves["moved"] if move["from"] >= "2027-01-30"] == []
