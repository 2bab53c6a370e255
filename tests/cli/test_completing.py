"""What a shell offers after the tab key: names of the job at hand, and nothing where there is no such job."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.reading.shipped import shipped_profiles
from tests.cli.running import run
from tests.support.lives import shelf

OWN = """\
title: paint from round the corner
based_on: acrylic-latex-wall-paint
source: invented for the test
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The shelf wall of `lives`: six steps, and boards on order."""
    return shelf(tmp_path)


def offered(monkeypatch: pytest.MonkeyPatch, *words: str) -> list[str]:
    """What bash is given for the last of these words, typed so far."""
    line = ["tackfree", *words]
    monkeypatch.setenv("_TACKFREE_COMPLETE", "complete_bash")
    monkeypatch.setenv("COMP_WORDS", " ".join(line))
    monkeypatch.setenv("COMP_CWORD", str(len(line) - 1))
    shown = run()
    monkeypatch.delenv("_TACKFREE_COMPLETE")
    assert (shown.code, shown.err) == (0, "")
    return shown.out.split()


def test_a_step_by_the_beginning_of_its_id(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Of the six steps those that begin so, in the order of the work; without a beginning all of them."""
    assert offered(monkeypatch, "did", str(job), "p") == ["prime", "paint"]
    assert set(offered(monkeypatch, "did", str(job), "")) == {"sand", "wipe", "prime", "paint", "fit", "hang"}


def test_what_is_done_is_not_offered_again_but_to_be_undone(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Sand is recorded: `did` offers the five others, `did --undo` that one."""
    done = run("did", str(job), "sand", "--at", "2027-01-09 10:10", "--as-of", "2027-01-09T10:15")
    assert done.code == 0
    assert set(offered(monkeypatch, "did", str(job), "")) == {"wipe", "prime", "paint", "fit", "hang"}
    assert offered(monkeypatch, "did", "--undo", str(job), "") == ["sand"]


def test_of_several_steps_each_is_offered_once(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Who has typed `prime` means another one next."""
    assert offered(monkeypatch, "did", str(job), "prime", "p") == ["paint"]


@pytest.mark.parametrize("verb", ["late", "arrived"])
def test_an_item_on_order(job: Path, verb: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """The boards; no step."""
    assert offered(monkeypatch, verb, str(job), "") == ["boards"]


def test_a_family_of_material(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The shipped ones; with --job those of the person as well."""
    own = job.parent / "profiles" / "materials"
    own.mkdir(parents=True)
    (own / "corner-paint.yaml").write_text(OWN, encoding="utf-8")
    assert offered(monkeypatch, "dry", "acrylic-latex-c") == ["acrylic-latex-caulk", "acrylic-latex-ceiling-paint"]
    assert offered(monkeypatch, "dry", "co") == ["concrete-floor-paint", "contact-cement"]
    assert offered(monkeypatch, "dry", "--job", str(job), "co") == [
        "concrete-floor-paint",
        "contact-cement",
        "corner-paint",
    ]


def test_a_method(job: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """By the name of its file, which is one word for a shell; with --job those of the person as well."""
    own = job.parent / "profiles" / "methods"
    own.mkdir(parents=True)
    shipped = shipped_profiles() / "methods"
    (own / "paint-by-night.yaml").write_text((shipped / "paint-walls.yaml").read_text("utf-8"), encoding="utf-8")
    paints = sorted(path.stem for path in shipped.glob("paint-*.yaml"))
    assert sorted(offered(monkeypatch, "methods", "paint-")) == paints
    assert set(offered(monkeypatch, "methods", "--job", str(job), "paint-")) == {*paints, "paint-by-night"}


def test_where_nothing_can_be_read_nothing_is_offered(
    job: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No such job, and a job with a fault: no line of error in the middle of a command line."""
    assert offered(monkeypatch, "did", str(tmp_path / "nowhere"), "") == []
    job.write_text("job: Broken\nhours: never\n", encoding="utf-8")
    assert offered(monkeypatch, "did", str(job), "") == []
    assert offered(monkeypatch, "late", str(job), "") == []
