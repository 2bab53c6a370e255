"""A job has one record, beside its file, by whichever way it is opened."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.running import run
from tests.support.lives import shelf

NOW = ("--as-of", "2027-01-09T20:00")
RECORD = ("job.diary.jsonl", "job.plan.json", ".job.lock")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """The job file in a folder of its own."""
    folder = tmp_path / "wall"
    folder.mkdir()
    return shelf(folder)


def link_to(job: Path, way: str) -> Path:
    """A name that leads to the job: its file beside it or elsewhere, by way of another link, or its folder."""
    elsewhere = job.parent.parent / "desk"
    elsewhere.mkdir()
    if way == "beside":
        (job.parent / "shelf.yaml").symlink_to("job.yaml")
        return job.parent / "shelf.yaml"
    if way == "elsewhere":
        (elsewhere / "job.yaml").symlink_to(job)
        return elsewhere
    if way == "twice":
        (elsewhere / "first.yaml").symlink_to(job)
        (elsewhere / "second.yaml").symlink_to("first.yaml")
        return elsewhere / "second.yaml"
    (elsewhere / "wall").symlink_to(job.parent)
    return elsewhere / "wall"


@pytest.mark.parametrize("way", ["beside", "elsewhere", "twice", "folder"])
def test_a_job_opened_through_a_link_has_one_record(job: Path, way: str) -> None:
    """What is recorded through the link is known to the file, and the other way round; nothing is kept twice."""
    link = link_to(job, way)
    assert run("late", str(link), "boards", "2027-01-23", *NOW).code == 0
    assert run("did", str(job), "sand", "--at", "10:10", *NOW).code == 0
    told = run("diary", str(link), *NOW).out
    assert told == run("diary", str(job), *NOW).out
    assert "23 January" in told and "Sand the wall" in told
    kept = [path for end in ("*.diary.jsonl", "*.plan.json", ".*.lock") for path in job.parents[1].rglob(end)]
    assert sorted(kept) == sorted(job.with_name(name) for name in RECORD)


def test_profiles_are_those_beside_the_file_it_leads_to(job: Path) -> None:
    """With the record go the profiles: the same job plans alike by every name."""
    own = job.parent / "profiles" / "materials"
    own.mkdir(parents=True)
    (own / "mine.yaml").write_text("based_on: shellac\ntitle: Mine\nsource: from memory\n", "utf-8")
    job.write_text(job.read_text("utf-8").replace("acrylic-bonding-primer", "mine"), "utf-8")
    link = link_to(job, "elsewhere")
    plans = [run("plan", str(name), "--json", *NOW) for name in (job, link)]
    assert [plan.code for plan in plans] == [0, 0], plans[1].err
    assert plans[0].out == plans[1].out
    assert run("check", str(link), *NOW).code == 0
    assert "Mine" in run("dry", "mine", "--job", str(link)).out


def test_a_record_beside_a_link_is_not_passed_over_in_silence(job: Path) -> None:
    """Earlier versions kept one there: the line names both, and once it is moved it counts."""
    link = link_to(job, "beside")
    assert run("late", str(job), "boards", "2027-01-23", *NOW).code == 0
    for name in ("diary.jsonl", "plan.json"):
        (job.parent / f"job.{name}").rename(job.parent / f"shelf.{name}")
    ran = run("plan", str(link), *NOW)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == (
        f"{job.parent}/shelf.diary.jsonl: this lies beside a link to {job}, and what is recorded of a job lies "
        f"beside its file; move it to {job.parent}/job.diary.jsonl, or away\n"
    )
    for name in ("diary.jsonl", "plan.json"):
        (job.parent / f"shelf.{name}").rename(job.parent / f"job.{name}")
    assert "23 January" in run("diary", str(link), *NOW).out


def test_a_link_to_nothing_is_said_with_what_it_leads_to(job: Path) -> None:
    link = link_to(job, "beside")
    job.unlink()
    ran = run("plan", str(link), *NOW)
    assert (ran.code, ran.err) == (2, f"{job}: there is no such file; check the name and the folder\n")
