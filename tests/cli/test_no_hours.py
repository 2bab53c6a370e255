"""A job without hours is refused where its hours stand; it ended the tool once."""

from __future__ import annotations

from pathlib import Path

from tests.cli.conftest import JOB
from tests.cli.running import run


def test_no_hours(tmp_path: Path) -> None:
    """`hours: []` is one line, with what to write."""
    file = tmp_path / "job.yaml"
    file.write_text(JOB.replace("{on: Saturday, from: 8:30, to: 17:00}", "[]"), encoding="utf-8")
    hint = "write a line such as `- {on: Saturday, from: 8:30, to: 17:00}`"
    assert run("check", str(file)) == (2, "", f"{file}:5:1: there are no work hours in it; {hint}\n")
