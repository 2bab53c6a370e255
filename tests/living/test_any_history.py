"""What is recorded never takes the plan away, whatever it is, and in whatever order and at whatever time.

Random histories of jobs that ship, of starters and of random jobs, as `tests.bench.histories` lives them by the
thousand: after each record a plan comes, facts stand, nothing is planned before now, all that is left is in the plan
with all its minutes, and what is broken is told, by the rules of `tests.support.rulebook`.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.bench.histories import Lived, live

SEED = 18


def faults(lived: Lived) -> list[str]:
    """Each failure of a history, with the commands that show it."""
    return [f"{failure.kind}: {failure.said}\n" + "\n".join(lines) for failure, lines in lived.shown]


@pytest.mark.parametrize("number", range(20))
def test_from_any_record_there_is_a_plan_of_the_rest(number: int, tmp_path: Path) -> None:
    """Ten histories of random jobs, five of starters and five of examples, of two to five records each."""
    kind = ("random", "starters", "random", "examples")[number % 4]
    lived = live(number, SEED, kind, (2, 5), str(tmp_path / "failing"), shrink=False)
    assert faults(lived) == []
    assert lived.played.records


@pytest.mark.long
@pytest.mark.parametrize("number", range(100, 250))
def test_from_any_long_history_there_is_a_plan_of_the_rest(number: int, tmp_path: Path) -> None:
    """150 histories of all kinds, of 10 to 40 records each."""
    lived = live(number, SEED, "all", (10, 40), str(tmp_path / "failing"), shrink=False)
    assert faults(lived) == []
    assert len(lived.played.records) >= 10
