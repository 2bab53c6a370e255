"""The damaged files of `fuzz` come from sound ones, and a hundred of them leave neither crash nor broken line."""

from __future__ import annotations

from pathlib import Path
from random import Random

import pytest

from tests.bench.fuzz import Kind, damaged, kinds, one


@pytest.mark.parametrize("kind", kinds(), ids=lambda kind: kind.name)
def test_sound_before(tmp_path: Path, kind: Kind) -> None:
    """A seed that is refused undamaged would test nothing but its own mistake."""
    for number, seed in enumerate(kind.seeds):
        assert one(kind, seed, tmp_path / str(number))[0] == "read"


@pytest.mark.parametrize("kind", kinds(), ids=lambda kind: kind.name)
def test_no_crash(tmp_path: Path, kind: Kind) -> None:
    """Whatever a file holds, it is read or refused, each fault in one line."""
    random = Random(5)
    for number in range(15):
        data = damaged(random.choice(kind.seeds), random.choice(kind.seeds), random)
        outcome, _, trace = one(kind, data, tmp_path / str(number))
        assert outcome in ("read", "refused"), trace
