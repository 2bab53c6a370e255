"""One mistake brings one line, and no mistake hides another: over the whole way from the text to the task graph."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.errors import Fault
from scheduler.looking import look
from tests.reading.lookjobs import WHOLE, data_of, mistakes, text_of

pytestmark = pytest.mark.long

MISTAKES = dict(mistakes(data_of(WHOLE)))


def faults_of(text: str, folder: Path) -> tuple[Fault, ...]:
    """All that is found in a job."""
    (folder / "job.yaml").write_text(text, encoding="utf-8")
    return look(folder / "job.yaml").faults


def test_the_job_itself_has_no_fault(tmp_path: Path) -> None:
    """As it is written, and as one entry a line."""
    assert faults_of(WHOLE, tmp_path) == ()
    assert faults_of(text_of(data_of(WHOLE)), tmp_path) == ()


def _held(names: list[str], folder: Path) -> None:
    found = {name: faults_of(MISTAKES[name], folder) for name in names}
    several = {name: [str(fault) for fault in faults] for name, faults in found.items() if len(faults) > 1}
    assert not several
    assert sum(map(len, found.values())) > 0.9 * len(names)  # a few are no mistakes: free texts, a name for a name


def test_one_mistake_brings_one_line(tmp_path: Path) -> None:
    """A wrong value, a wrong kind of entry, a misspelt key, a key that is missing: every 37th of some 1,500."""
    assert len(MISTAKES) > 1000
    _held(list(MISTAKES)[::37], tmp_path)


def test_many_mistakes_bring_one_line_each(tmp_path: Path) -> None:
    """Every eleventh, from another one on: all of them take many minutes."""
    _held(list(MISTAKES)[3::11], tmp_path)
