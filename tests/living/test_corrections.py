"""A slip in what was recorded is put right by saying it again, and what one command wrote is taken back as one."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from scheduler.living.site import Site
from scheduler.model.message import as_written
from scheduler.model.refusal import NoPlanError, Refusal
from tests.cli.running import run
from tests.living.test_commands import FRIDAY, SATURDAY_NIGHT, done, lines, pieces, plan_of
from tests.support.lives import shelf

NOON = ("--as-of", "2027-01-09T12:00")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    job = shelf(tmp_path)
    done(run("plan", str(job), *FRIDAY))
    return job


def holding(job: Path) -> list[tuple[int, str]]:
    """(line, kind) of the entries that hold, as the diary command has them."""
    entries = json.loads(done(run("diary", str(job), "--json", *SATURDAY_NIGHT)).out)
    return [(entry["line"], entry["what"]) for entry in entries if entry["holds"]]


def test_the_same_moment_said_again_takes_the_place_of_the_slip(job: Path) -> None:
    """12 h typed for 20 min: the priming is one piece, so that no session holds it. Said again, twenty minutes count.

    Of the hour that the priming takes, forty minutes were over by 11:30: from 10:50 on.
    """
    done(run("did", str(job), "sand", "wipe", *NOON))
    run("did", str(job), "prime", "--left", "12 h", "--at", "11:30", *NOON)
    ran = done(run("did", str(job), "prime", "--left", "20 min", "--at", "11:30", *NOON))
    assert "Undone: Prime the wall: left Saturday 9 January, 11:30, 12 h to go." in " ".join(ran.out.split())
    assert (lines(job)[-1]["minutes_left"], lines(job)[-1]["pieces"]) == (
        20,
        [["2027-01-09T10:50:00-07:00", "2027-01-09T11:30:00-07:00"]],
    )
    plan = plan_of(job, *NOON)
    assert pieces(plan, "prime")[1:] == ["01-09T12:30 12:50"], "the rest follows the break"


@pytest.mark.parametrize(
    ("words", "back"),
    [
        (("did", "sand", "--at", "10:10"), "did {job} sand --undo"),
        (("lost", "2027-01-10"), "lost {job} 2027-01-10 --undo"),
        (("late", "boards", "2027-01-23"), "late {job} boards --undo"),
        (("arrived", "boards"), "arrived {job} boards --undo"),
        (("diary", "--air", "66 °F, 48 %"), "diary {job} --undo"),
    ],
)
def test_where_no_plan_comes_of_a_record_it_is_said_how_to_take_it_back(
    job: Path, words: tuple[str, ...], back: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Whatever the planner could not do: the entry holds, and the command that takes it back is printed."""
    monkeypatch.setattr("scheduler.living.change.replan", _no_plan)
    ran = run(words[0], str(job), *words[1:], *NOON)
    assert (ran.code, len(lines(job))) == (1, 1)
    how = f"What is recorded holds. If it is wrong, take it back:\n  tackfree {back.format(job=job)}\n"
    assert how in ran.err


def _no_plan(site: Site, *_: object, **__: object) -> None:
    why = Refusal("the job", as_written("it can't be planned"), as_written("make longer hours"))
    raise NoPlanError(why, site.job)


def test_more_than_the_diary_can_hold_is_not_recorded(job: Path) -> None:
    """40,000 h were written down as minutes left, which no command could read afterwards: each refused the diary."""
    ran = run("did", str(job), "sand", "--left", "40000 h", *NOON)
    assert (ran.code, ran.err) == (2, "--left: `40000 h` is more than any step has left; write it as `1 h`\n")
    assert not job.with_name("job.diary.jsonl").exists()


def test_another_time_for_a_step_that_is_done_takes_the_place_of_the_first(job: Path) -> None:
    """Sanded until 10:10, by the record; in truth until 10:40. What is begun need not be taken back first."""
    done(run("did", str(job), "sand", "--at", "10:10", *SATURDAY_NIGHT))
    done(run("did", str(job), "sand", "--at", "10:40", *SATURDAY_NIGHT))
    assert pieces(plan_of(job, *SATURDAY_NIGHT), "sand") == ["01-09T09:40 10:40"]
    assert holding(job) == [(3, "did")]


def test_a_step_that_was_not_done_after_all_goes_on(job: Path) -> None:
    """Recorded as done by 10:10; half an hour of it is left."""
    done(run("did", str(job), "sand", "--at", "10:10", *SATURDAY_NIGHT))
    done(run("did", str(job), "sand", "--left", "30 min", "--at", "10:10", *SATURDAY_NIGHT))
    steps = plan_of(job, *SATURDAY_NIGHT)["steps"]
    assert [step["id"] for step in steps if step["state"] == "under way"] == ["sand"]  # type: ignore[attr-defined]


def test_a_step_left_at_a_later_time_goes_on_from_what_is_recorded(job: Path) -> None:
    """That is no correction: 30 min by 9:40, 45 min by 9:55, the rest on Sunday."""
    done(run("did", str(job), "sand", "--left", "30 min", "--at", "9:40", *SATURDAY_NIGHT))
    done(run("did", str(job), "sand", "--left", "15 min", "--at", "9:55", *SATURDAY_NIGHT))
    assert holding(job) == [(1, "left"), (2, "left")]
    assert pieces(plan_of(job, *SATURDAY_NIGHT), "sand")[-1] == "01-10T10:10 10:25"


def test_a_correction_taken_back_lets_the_first_entry_hold_again(job: Path) -> None:
    done(run("did", str(job), "sand", "--at", "10:10", *SATURDAY_NIGHT))
    done(run("did", str(job), "sand", "--at", "10:40", *SATURDAY_NIGHT))
    done(run("did", str(job), "sand", "--undo", *SATURDAY_NIGHT))
    assert holding(job) == [(1, "did")]


def test_said_again_without_a_time_nothing_is_put_right(job: Path) -> None:
    """It may have been tapped twice."""
    done(run("did", str(job), "sand", "--at", "10:10", *SATURDAY_NIGHT))
    ran = run("did", str(job), "sand", *SATURDAY_NIGHT)
    assert (ran.code, len(lines(job))) == (2, 1)
    assert "if it ended at another time, say which (`--at`)" in ran.err


def test_another_day_of_arrival_takes_the_place_of_the_first(job: Path) -> None:
    done(run("arrived", str(job), "boards", "--at", "2027-01-08", *SATURDAY_NIGHT))
    done(run("arrived", str(job), "boards", "--at", "2027-01-09", *SATURDAY_NIGHT))
    assert plan_of(job, *SATURDAY_NIGHT)["items"][0]["arrived"] == "2027-01-09"  # type: ignore[index]
    assert holding(job) == [(3, "arrived")]


def test_a_day_lost_in_two_pieces_is_given_back_by_one_undo(job: Path) -> None:
    """Only priming is recorded, from 12:40 to 13:40: what was planned before it did not happen, nor anything after.

    Two spans of that Saturday are lost, by one command; one --undo gives both back.
    """
    done(run("did", str(job), "prime", "--at", "13:40", *SATURDAY_NIGHT))
    done(run("lost", str(job), "2027-01-09", *SATURDAY_NIGHT))
    spans = [(line["from"], line["to"]) for line in lines(job) if line["what"] == "lost"]
    assert [(start[11:16], end[11:16]) for start, end in spans] == [("09:00", "12:40"), ("13:40", "15:00")]  # type: ignore[index]
    ran = done(run("lost", str(job), "2027-01-09", "--undo", *SATURDAY_NIGHT))
    assert ran.out.count("Undone: ") == 2
    assert holding(job) == [(1, "did")]


def test_undo_of_one_step_leaves_the_others_of_its_command(job: Path) -> None:
    """Sanded, wiped and primed, in one breath; the wiping was not so. A step is named, and only that one is meant."""
    done(run("did", str(job), "sand", "wipe", "prime", *SATURDAY_NIGHT))
    done(run("did", str(job), "wipe", "--undo", *SATURDAY_NIGHT))
    assert holding(job) == [(1, "did"), (3, "did")]
    done(run("did", str(job), "sand", "prime", "--undo", *SATURDAY_NIGHT))
    assert holding(job) == []


def test_undo_of_the_diary_takes_back_all_that_the_newest_command_wrote(job: Path) -> None:
    done(run("did", str(job), "sand", "--at", "10:10", *SATURDAY_NIGHT))
    done(run("did", str(job), "wipe", "prime", *SATURDAY_NIGHT))
    done(run("diary", str(job), "--undo", *SATURDAY_NIGHT))
    assert holding(job) == [(1, "did")]


def test_a_diary_of_an_earlier_version_is_read_as_before(job: Path) -> None:
    """There no line says with which others it was written: each stands by itself, and is taken back by itself."""
    old = [
        '{"at": "2027-01-09T20:00:00-07:00", "what": "lost", "from": "2027-01-09T09:00:00-07:00", "to": '
        '"2027-01-09T12:40:00-07:00"}',
        '{"at": "2027-01-09T20:00:00-07:00", "what": "lost", "from": "2027-01-09T13:40:00-07:00", "to": '
        '"2027-01-09T15:00:00-07:00"}',
    ]
    job.with_name("job.diary.jsonl").write_text("\n".join(old) + "\n", "utf-8")
    done(run("lost", str(job), "2027-01-09", "--undo", *SATURDAY_NIGHT))
    assert holding(job) == [(1, "lost")]


def test_a_plan_is_as_it_was_before_the_slip_once_that_is_put_right(job: Path) -> None:
    """Three hours left instead of none moved everything; put right, all stands where it would have without that."""
    done(run("did", str(job), "sand", "--at", "10:10", *SATURDAY_NIGHT))
    before = plan_of(job, *SATURDAY_NIGHT)
    done(run("did", str(job), "sand", "--left", "3 h", "--at", "10:10", *SATURDAY_NIGHT))
    assert plan_of(job, *SATURDAY_NIGHT)["finish"] != before["finish"]
    done(run("did", str(job), "sand", "--at", "10:10", *SATURDAY_NIGHT))
    assert plan_of(job, *SATURDAY_NIGHT)["steps"] == before["steps"]
