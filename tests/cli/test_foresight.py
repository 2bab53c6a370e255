"""`tackfree odds` and `tackfree sooner` from the command line."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from scheduler.telling.machine.plan import schema_text
from tests.cli.running import run
from tests.whatif.jobs import IDLE, STUDY

AS_OF = ("--as-of", "2027-01-05")


@pytest.fixture
def study(tmp_path: Path) -> str:
    """The study in a folder of its own."""
    (tmp_path / "job.yaml").write_text(STUDY, encoding="utf-8")
    return str(tmp_path)


def test_odds_are_the_same_for_the_same_question(study: str) -> None:
    """JSON that keeps to its schema, byte for byte the same; another seed, other draws. Nothing is left behind."""
    first = run("odds", study, "--json", "--draws", "60", *AS_OF)
    assert first.code == 0
    jsonschema.validate(json.loads(first.out), json.loads(run("schema", "odds").out))
    assert run("odds", study, "--json", "--draws", "60", *AS_OF) == first
    assert run("odds", study, "--json", "--draws", "60", "--seed", "5", *AS_OF).out != first.out
    assert [path.name for path in Path(study).iterdir()] == ["job.yaml"]


def test_odds_are_told_in_eighty_columns(study: str) -> None:
    """Also on a terminal that knows ASCII alone."""
    text = run("odds", study, "--draws", "60", *AS_OF)
    assert "When it is done" in text.out
    assert max(len(line) for line in text.out.splitlines()) <= 80
    assert run("odds", study, "--draws", "60", *AS_OF, encoding="ascii").out.isascii()


def test_sooner_tells_what_to_write_where(study: str) -> None:
    """JSON that keeps to its schema, the best first; the text names the place in the file."""
    assert run("plan", study, "--effort", "300", *AS_OF).code == 0
    found = run("sooner", study, "--json", *AS_OF)
    assert found.code == 0
    entries = json.loads(found.out)
    jsonschema.validate(entries, json.loads(schema_text("sooner")))
    saved = [entry["saves_days"] for entry in entries]
    assert saved == sorted(saved, reverse=True)
    text = run("sooner", study, *AS_OF).out
    assert "in the job file: " in text
    assert max(len(line) for line in text.splitlines()) <= 80


def test_sooner_says_when_nothing_helps(tmp_path: Path) -> None:
    """An empty list, and a sentence."""
    (tmp_path / "job.yaml").write_text(IDLE, encoding="utf-8")
    assert json.loads(run("sooner", str(tmp_path), "--json", "--as-of", "2027-01-11").out) == []
    assert "none ends it sooner" in run("sooner", str(tmp_path), "--as-of", "2027-01-11").out


def test_a_job_that_cannot_be_planned_has_neither(tmp_path: Path) -> None:
    """Exit code 1 and one sentence, as for `plan`; 2 for a file that is wrong."""
    long = IDLE.replace("from: 0:00, to: 24:00", "from: 0:00, to: 0:30").replace("work: 1 h", "work: 1 h, pause: no")
    (tmp_path / "job.yaml").write_text(long, encoding="utf-8")
    for command in ("odds", "sooner"):
        ran = run(command, str(tmp_path), "--as-of", "2027-01-11")
        assert (ran.code, ran.out) == (1, "")
        assert "Put up the shelf" in ran.err
        assert run(command, str(tmp_path / "none.yaml")).code == 2
