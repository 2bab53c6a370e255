"""A job that is opened many times a minute is read once, and anew when anything of it has changed."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.diary.record import Files
from scheduler.living import memory
from scheduler.living.memory import Memory, mark_of

JOB = """\
job: Shelf
start: 2027-01-09
zone: America/Denver
hours: [{on: Saturday, from: 9:00, to: 17:00}]
rooms: {den: {air: {day: 70 °F, night: 65 °F, humidity: 45 %}}}
steps: {sand: {work: 1 h}}
"""
"""Invented."""


@pytest.fixture
def files(tmp_path: Path) -> Files:
    (tmp_path / "job.yaml").write_text(JOB, "utf-8")
    return Files(tmp_path / "job.yaml")


def test_a_job_is_read_once(files: Files, monkeypatch: pytest.MonkeyPatch) -> None:
    remembering = Memory()
    job, trade = remembering.job(files)
    monkeypatch.setattr(memory, "read", lambda path: 1 / 0)
    assert remembering.job(files) == (job, trade)


def test_an_edit_of_the_job_is_seen(files: Files) -> None:
    remembering = Memory()
    assert remembering.job(files)[0].steps[0].work.likely == 60
    files.job.write_text(JOB.replace("1 h", "90 min"), "utf-8")
    assert remembering.job(files)[0].steps[0].work.likely == 90


def test_an_edit_of_an_own_profile_is_seen(files: Files) -> None:
    """It lies in `profiles/` beside the job file and comes before what this program has."""
    remembering, before = Memory(), mark_of(files)
    known = remembering.job(files)[1].known
    own = files.job.parent / "profiles" / "materials"
    own.mkdir(parents=True)
    (own / "my-oil.yaml").write_text("based_on: penetrating-oil\ntitle: My oil\n", "utf-8")
    assert mark_of(files) != before
    assert set(remembering.job(files)[1].known) - set(known) == {"my-oil"}
