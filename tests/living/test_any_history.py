"""What is recorded never takes the plan away, whatever it is, and in whatever order and at whatever time.

Random histories of jobs that ship, of starters and of random jobs, as `tests.bench.histories` lives them by the
thousand: after each record a plan comes, facts stand, nothing is planned before now, all that is left is in the plan
with all its minutes, and what is broken is told, by the rules of `tests.support.rulebook`.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path
from random import Random
from zoneinfo import ZoneInfo

import pytest

from scheduler.wallclock import at_local
from tests.bench.histories import Case, Lived, drawn, live
from tests.support.histories import Played, Said, ends_alike, local, play
from tests.support.manyjobs import EXAMPLES

pytestmark = pytest.mark.long

SEED = 3


def faults(lived: Lived) -> list[str]:
    """Each failure of a history, with the commands that show it."""
    return [f"{failure.kind}: {failure.said}\n" + "\n".join(lines) for failure, lines in lived.shown]


@pytest.mark.parametrize("number", range(8))
def test_from_any_record_there_is_a_plan_of_the_rest(number: int, tmp_path: Path) -> None:
    """Eight histories of random jobs, four of starters and four of examples, of two to four records each."""
    kind = ("random", "starters", "random", "examples")[number % 4]
    lived = live(number, SEED, kind, (2, 4), str(tmp_path / "failing"), shrink=False)
    assert faults(lived) == []
    assert lived.played.records


def test_what_the_past_broke_and_no_plan_tells_is_a_failure(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Two coats of varnish within half an hour: told, and the history passes; kept quiet about, and it fails."""
    text = (EXAMPLES / "floor" / "job.yaml").read_text(encoding="utf-8")
    coats = [
        Said("did", (f"floor-coat-{coat}",), {"at": f"2027-05-22T1{coat}:00-04:00"}) for coat in (1, 2)
    ]  # the second takes an hour and more: it is begun before the first is over, or just then

    def lived(folder: Path) -> Played:
        begin = at_local(date(2027, 5, 1), 0, ZoneInfo("America/New_York"))
        return play(Case("examples", text, {}, begin, told=False).begun(folder), 2, coats, lambda: 0, patience=60)

    told = lived(tmp_path / "told")
    assert told.failures == []
    assert sum(count for rule, count in told.breaches.items() if rule.endswith("(past)")) > 0
    monkeypatch.setattr("scheduler.living.site.past_breaks", lambda *_: ())
    quiet = lived(tmp_path / "quiet")
    assert {failure.kind.partition(":")[0] for failure in quiet.failures} == {"not told (past)"}


def test_an_end_that_is_told_otherwise_is_a_failure(tmp_path: Path) -> None:
    """The end of the plan an hour later than its last piece: what the JSON, the page and the plan say disagrees."""
    _, story, _ = drawn(Random(3), "examples", tmp_path)
    step = story.plan.steps[0]
    zone = story.zone
    result = story.record(Said("did", (step.id,), {"at": local(step.end, zone)}, step.end), tmp_path / "job.ics")
    assert list(ends_alike(result, tmp_path / "job.ics")) == []
    late = replace(result.made, plan=replace(result.made.plan, finish=result.made.plan.finish + 60))
    found = {failure.kind for failure in ends_alike(replace(result, made=late), tmp_path / "job.ics")}
    assert {"ends differ: JSON", "ends differ: page"} <= found


@pytest.mark.parametrize("number", range(100, 104))
def test_from_any_long_history_there_is_a_plan_of_the_rest(number: int, tmp_path: Path) -> None:
    """Four histories of all kinds, of 10 to 40 records each; `tests.bench.histories` plays as many as one likes."""
    lived = live(number, SEED, "all", (10, 40), str(tmp_path / "failing"), shrink=False)
    assert faults(lived) == []
    assert len(lived.played.records) >= 10
