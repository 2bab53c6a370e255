"""What `fuzz` damages is sound before, and a few hundred of its inputs leave neither crash nor broken line."""

from __future__ import annotations

import json
from pathlib import Path
from random import Random

import pytest

from scheduler.errors import Fault, InputError, Place
from tests.bench.fuzz import MUCH, SLOW, Came, Worker, judged, one, said_well, written
from tests.bench.fuzzkinds import Kind, kinds
from tests.support.damage import rebuilt

pytestmark = pytest.mark.long

WELL = ("read", "refused", "no plan")


@pytest.mark.parametrize("kind", kinds(), ids=lambda kind: kind.name)
def test_sound_before(tmp_path: Path, kind: Kind) -> None:
    """A seed that is refused undamaged would test nothing but its own mistake."""
    for number, seed in enumerate(kind.seeds):
        came = one(kind, seed, tmp_path / str(number))
        assert came.outcome == "read", came.trace


@pytest.mark.parametrize("kind", kinds(), ids=lambda kind: kind.name)
def test_no_crash(tmp_path: Path, kind: Kind) -> None:
    """Whatever a file holds, it is read or refused, each fault in one line with a remedy."""
    random = Random(5)
    for number in range(4):
        came = one(kind, kind.write(random), tmp_path / str(number))
        assert came.outcome in WELL, came.trace


def test_the_same_number_is_the_same_input() -> None:
    """What a run has found can be written again from its number."""
    assert written(7, 1) == written(7, 1)
    assert len({written(number, 1)[1] for number in range(20)}) == 20


def test_what_is_damaged_stays_sound_itself() -> None:
    """Found by a run: a piece of another file came in uncopied, was damaged in both, and came to hold itself."""
    one: dict[str, object] = {"a": {"b": [1, {"c": 2}]}, "d": [{"a": 3}]}
    other = {"a": {"a": {"b": {"c": [5]}}}, "b": {"a": 1}, "c": {"c": {"c": 2}}}
    before = json.dumps([one, other])
    for number in range(300):
        json.dumps(rebuilt(one, other, Random(number)))
    assert json.dumps([one, other]) == before


def test_a_worker_that_dies_is_started_again(tmp_path: Path) -> None:
    """An input that ends the process is counted, and the next one is read."""
    worker = Worker(1, str(tmp_path))
    worker.process.kill()
    assert worker.ask(0).outcome == "DIED"
    came = worker.ask(0)
    worker.stop()
    assert came.outcome in WELL
    assert came.memory > 1


def test_what_is_wrong_is_seen() -> None:
    """A run that calls everything well would find nothing: each fault of an answer has its name."""
    here = Place("job.yaml", 1, 1)
    assert said_well(InputError([Fault(here, "this is wrong", "write that")])) == "refused"
    assert said_well(InputError([Fault(here, "this is wrong")])) == "NO REMEDY"
    assert said_well(InputError([Fault(here, "x" * 700, "write that")])) == "LONG LINE"
    assert said_well(InputError([])) == "BROKEN LINE"
    assert judged(Came("read", SLOW + 1, MUCH + 1)) == "SLOW LARGE read"
