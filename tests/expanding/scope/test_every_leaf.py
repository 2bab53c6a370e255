"""Nothing that stands in a job file vanishes: every leaf shows further down, is a fault, or has an excuse."""

from __future__ import annotations

from importlib import import_module
from pathlib import Path
from random import Random
from typing import Any

import pytest

from scheduler.reading.starter import KINDS, starter_text
from scheduler.reading.yamlfile import parse_yaml
from tests.support.anyjob import grown
from tests.support.leaves import at, downstream, is_fault, leaves, unseen
from tests.support.times import TIMES

pytestmark = pytest.mark.long

EXAMPLES = sorted((Path(__file__).parents[3] / "examples").glob("*/job.yaml"))


def unexcused(data: Any) -> list[str]:
    return [f"{path} = {at(data, path)!r}" for path, reason in unseen(data) if not reason]


@pytest.mark.parametrize("seed", range(4))
def test_every_leaf_of_a_random_job_comes_to_something(seed: int) -> None:
    """Rooms, parts, methods, options, colours, steps, changes, hours, items: whatever reads without a fault."""
    data = grown(Random(seed), 14)
    assert len(list(leaves(data))) > 25
    assert not unexcused(data)


@pytest.mark.parametrize("seed", range(1000, 1000 + 5 * TIMES))
def test_every_leaf_of_many_larger_random_jobs_comes_to_something(seed: int) -> None:
    data = grown(Random(seed), 30)
    assert not unexcused(data)


@pytest.mark.parametrize("kind", [*KINDS[::4], *(path.parent.name for path in EXAMPLES[::2])])
def test_every_leaf_of_the_examples_and_starters_comes_to_something(kind: str) -> None:
    texts = {path.parent.name: path.read_text("utf-8") for path in EXAMPLES}
    data: Any = parse_yaml(texts[kind] if kind in texts else starter_text(kind), "job.yaml", typed=False)[0]
    for room in data["rooms"].values():
        room.pop("readings", None)  # a file beside the job
    assert not unexcused(data)


def test_a_leaf_that_nobody_reads_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    """The test itself can fail: if what steps use up were no longer handed on, its leaves would be named."""
    data = grown(Random(0), 0)
    data["steps"]["first"] |= {"uses": {"masking tape": "20 ft"}, "caution": "Mind the cat."}
    assert not unexcused(data)
    monkeypatch.setattr("scheduler.reading.tomodel._uses", lambda uses: ())
    assert unexcused(data) == ["('steps', 'first', 'uses', 'masking tape') = '20 ft'"]


def test_random_jobs_have_every_key_that_there_is() -> None:
    """What no random job says, the test above does not look at."""
    wanted = {"title", "lays", "follows", "within", "takes", "uses", "disturbs", "phase", "thickness", "pull tape"}
    wanted |= {"tape off", "borders", "changes", "drop", "over", "of", "measured", "count", "leaves", "saw in"}
    said: set[str] = set()
    for seed in (103, *range(42)):  # a border by hand is rare: one of the first hundred and four has one
        said |= {str(key) for path in leaves(grown(Random(seed), 25)) for key in path}
        if wanted <= said:
            return
    raise AssertionError(wanted - said)


def test_a_method_that_finds_nothing_to_do_would_be_found_here_too(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without its own fault, a method on a part of no measures is a leaf that shows nowhere."""
    data = grown(Random(0), 0)
    data["rooms"]["den"] |= {"length": "12 ft", "width": "10 ft", "height": "8 ft"}
    data["scope"] = {"wall": {"room": "den", "do": ["prime", "wipe down"]}}
    assert is_fault(downstream(data))
    unfolding = import_module("scheduler.expanding.scope.unfold")
    monkeypatch.setattr(unfolding, "find_idle_method", lambda maker: None)
    assert "('scope', 'wall', 'do', 0) = 'prime'" in unexcused(data)
