"""What is kept of a plan comes back as it was; what this program did not write is refused, not guessed at."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from scheduler.diary.kept import Kept, kept_bytes, read_kept, write_kept
from scheduler.diary.record import Files
from scheduler.errors import InputError
from scheduler.presenting.calendar import calendar
from tests.support.lives import Life, moment, shelf


@pytest.fixture
def life(tmp_path: Path) -> Life:
    found = Life(shelf(tmp_path))
    found.plan(moment("2027-01-08"))
    return found


def test_a_plan_comes_back_as_it_was(life: Life) -> None:
    """Steps, films, sessions, items, the answer, what a calendar was told: all equal, and the same bytes."""
    kept, files = life.site.kept, life.site.files
    assert kept.plan is not None
    _, ledger = calendar(kept.plan)
    whole = Kept(plan=kept.plan, answer=kept.answer, ledger=ledger, remind=30, effort=500)
    write_kept(files, whole)
    assert read_kept(files) == whole
    assert kept_bytes(read_kept(files)) == files.plan.read_bytes()


def test_without_a_file_nothing_is_kept(tmp_path: Path) -> None:
    assert read_kept(Files(tmp_path / "job.yaml")) == Kept()


def test_a_plan_of_another_make_is_passed_over_and_the_rest_is_read(life: Life) -> None:
    """A field that this version asks for is missing: the plan is planned anew, the calendar's memory stays."""
    assert life.site.kept.plan is not None
    _, ledger = calendar(life.site.kept.plan)
    files = life.site.files
    write_kept(files, Kept(plan=life.site.kept.plan, ledger=ledger))
    whole = json.loads(files.plan.read_bytes())
    del whole["plan"]["finish"]
    files.plan.write_text(json.dumps(whole), encoding="utf-8")
    assert read_kept(files).plan is None
    assert read_kept(files).ledger == ledger


@pytest.mark.parametrize(
    ("content", "line", "column"),
    [
        (b"{", 1, 2),
        (b"[]", 1, 1),
        (b'{"format": 1,\n "answer": }', 2, 12),
        (b'{"format": 99}', 1, 1),
        (b"\xff", 1, 1),
    ],
)
def test_what_is_no_kept_plan_is_refused_with_its_place(life: Life, content: bytes, line: int, column: int) -> None:
    """Exit code 2 and what to do; nothing is overwritten."""
    life.site.files.plan.write_bytes(content)
    with pytest.raises(InputError) as caught:
        read_kept(life.site.files)
    (fault,) = caught.value.faults
    assert (fault.place.line, fault.place.column) == (line, column)
    assert "move the file away" in str(fault)
    assert life.site.files.plan.read_bytes() == content
