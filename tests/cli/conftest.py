"""The smallest job there is, for tests of what stands around it. Who needs another one has a `job` of its own."""

from __future__ import annotations

from pathlib import Path

import pytest

JOB = """\
job: Shelf
start: 2027-01-09
zone: America/Denver
measures: US
hours: {on: Saturday, from: 8:30, to: 17:00}
rooms: {study: {air: {day: 68 °F, night: 60 °F, humidity: 45 %}}}
steps: {hang: {title: Hang the shelf, work: 45 min}}
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A job of one step, in a folder of its own."""
    folder = tmp_path / "shelf"
    folder.mkdir()
    (folder / "job.yaml").write_text(JOB, encoding="utf-8")
    return folder
