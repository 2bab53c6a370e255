"""`tackfree plan` on the example: one screen of 80 columns, and all of it with `--all`."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from tests.cli.running import run
from tests.support.consoles import ROOT

NOW = ("--as-of", "2026-12-01")


@pytest.fixture(scope="module")
def job(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The example without anything recorded or kept."""
    folder = tmp_path_factory.mktemp("one-screen")
    shutil.copy(ROOT / "examples" / "hobby-room" / "job.yaml", folder)
    return folder / "job.yaml"


def test_the_example_is_answered_in_45_rows_of_80_columns(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Labels at the margin, in this order, and nothing wider than the terminal."""
    monkeypatch.setenv("COLUMNS", "80")
    said = run("plan", str(job), *NOW).out.splitlines()
    assert len(said) <= 45
    assert max(map(len, said)) <= 80
    labels = [row.split()[0] for row in said if row[:4].isupper()]
    assert labels == ["DONE", "ORDER", "BUY", "DRIES", "NEXT", "THEN", "END", "MORE"]


def test_all_prints_every_session_with_its_reasons_and_sources(job: Path) -> None:
    """Sixteen sessions by the plan; the short answer names no source of the law."""
    said = run("plan", str(job), "--all", *NOW).out
    assert "session 16)" in said
    assert "29 CFR 1926.1153" in said
    assert "What holds up the end" in said
    assert "29 CFR 1926.1153" not in run("plan", str(job), *NOW).out
