"""The job file is edited after something was recorded: no command stops, and nothing that was recorded is lost.

What is certainly the same under another name is carried over by itself; what is not certain is told, with the command
that carries it over; what the job has no longer stays recorded and is shown as such. The wall is that of `lives`.
"""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from scheduler.telling.machine.plan import schema_text
from tests.cli.running import run
from tests.living.test_commands import FRIDAY, SATURDAY_NIGHT, _events, done, lines, pieces, plan_of
from tests.support.lives import SHELF, shelf

EVERYTHING = [
    ("plan",),
    ("plan", "--json"),
    ("diary",),
    ("diary", "--note", "still here"),
    ("did", "hang", "--undo"),
    ("buy",),
]
"""Commands that read the diary."""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """Sanded, wiped and primed on Saturday; news of the boards; a reading of the air; `hang` recorded by mistake."""
    job = shelf(tmp_path)
    done(run("plan", str(job), *FRIDAY))
    done(run("did", str(job), "sand", "wipe", "prime", *SATURDAY_NIGHT))
    done(run("late", str(job), "boards", "2027-01-23", *SATURDAY_NIGHT))
    done(run("diary", str(job), "--air", "66 °F, 48 %", "--at", "2027-01-09 19:00", *SATURDAY_NIGHT))
    done(run("did", str(job), "hang", "--at", "2027-01-09 19:30", *SATURDAY_NIGHT))
    return job


def edit(job: Path, *changes: tuple[str, str]) -> None:
    text = job.read_text("utf-8")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    job.write_text(text, "utf-8")


def states(job: Path) -> dict[str, str]:
    plan = plan_of(job, *SATURDAY_NIGHT)
    return {step["id"]: step["state"] for step in plan["steps"]}  # type: ignore[attr-defined]


def former(job: Path) -> list[tuple[str, str, str]]:
    plan = plan_of(job, *SATURDAY_NIGHT)
    jsonschema.validate(plan, json.loads(schema_text("plan")))
    return [(each["step"], each["title"], each["state"]) for each in plan["former"]]  # type: ignore[attr-defined]


EDITS: dict[str, tuple[tuple[str, str], ...]] = {
    "a step renamed": (("  wipe:", "  wiping:"), ("[wipe]", "[wiping]")),
    "a step and its title renamed": (
        ("  wipe: {title: Wipe the wall", "  dust: {title: Dust off"),
        ("[wipe]", "[dust]"),
    ),
    "a step deleted": (("  sand: {title: Sand the wall, work: 1 h, kind: dusty}\n", ""), (", follows: [sand]", "")),
    "a recorded step at the end deleted": (
        ("  hang: {title: Hang the boards, work: 45 min, follows: [fit, paint: use]}\n", ""),
    ),
    "an item renamed": (("  boards: {title: Shelf boards", "  planks: {title: Planks"), ("boards}", "planks}")),
    "an item deleted": (
        ("on order:\n  boards: {title: Shelf boards, comes: 2027-01-16, order time: 2 weeks}\n", ""),
        (", needs: boards", ""),
    ),
    "the room renamed": (("  den:", "  study:"),),
    "the job retitled": (("job: Shelf wall", "job: Bookshelves"),),
    "a material changed": (("acrylic-bonding-primer", "latex-drywall-primer"),),
    "hours changed": (("9:00, to: 15:00", "12:00, to: 15:00"), ("12:00 to 12:30", "13:00 to 13:30")),
    "every step renamed": (
        *((f"  {name}:", f"  my-{name}:") for name in ("sand", "wipe", "prime", "fit")),
        *((f"[{name}", f"[my-{name}") for name in ("sand", "wipe", "prime", "fit")),
    ),
}


@pytest.mark.parametrize("name", EDITS)
def test_no_edit_of_the_job_file_stops_a_command(job: Path, name: str) -> None:
    """Every command that reads the diary answers, and each line of the diary that was there is there still."""
    edit(job, *EDITS[name])
    before = lines(job)
    for command in EVERYTHING:
        ran = run(command[0], str(job), *command[1:], *SATURDAY_NIGHT)
        assert (ran.code, command) == (0, command), ran.err
    assert lines(job)[: len(before)] == before


def test_a_step_with_another_id_is_known_by_all_else_that_it_is(job: Path) -> None:
    """It stays done, the diary says so once and for all, and the plan stays where it is."""
    before = pieces(plan_of(job, *SATURDAY_NIGHT), "paint")
    edit(job, *EDITS["a step renamed"])
    ran = done(run("plan", str(job), *SATURDAY_NIGHT))
    assert "nothing but the name has changed: `wipe` is `wiping` now." in ran.err
    assert states(job)["wiping"] == "done"
    assert former(job) == []
    assert pieces(plan_of(job, *SATURDAY_NIGHT), "paint") == before
    assert {key: lines(job)[-1][key] for key in ("what", "kind", "old", "new")} == {
        "what": "renamed",
        "kind": "step",
        "old": "wipe",
        "new": "wiping",
    }
    assert done(run("plan", str(job), *SATURDAY_NIGHT)).err == "", "it is said once"


def test_what_was_carried_over_by_itself_can_be_taken_back(job: Path) -> None:
    """Then the step is to be done, and what was done is shown beside it; it is not carried over again."""
    edit(job, *EDITS["a step renamed"])
    done(run("diary", str(job), "--undo", *SATURDAY_NIGHT))
    assert states(job)["wiping"] == "planned"
    assert former(job) == [("wipe", "Wipe the wall", "done")]


def test_a_step_of_another_name_that_may_be_other_work_is_not_taken_for_it(job: Path) -> None:
    """`dust` instead of `wipe`, with another title: nobody can know. It is told with the command, which works."""
    edit(job, *EDITS["a step and its title renamed"])
    ran = done(run("plan", str(job), "--all", *SATURDAY_NIGHT))
    assert states(job)["dust"] == "planned"
    assert "Recorded, and no longer in the job: `wipe`. It stays recorded." in ran.err
    assert f"tackfree diary {job} --renamed wipe=dust" in ran.err
    assert "Done, no longer in the job: Wipe the wall." in ran.out
    ran = done(run("diary", str(job), "--renamed", "wipe=dust", *SATURDAY_NIGHT))
    assert "Recorded: what was recorded as `wipe` is called `dust` now." in ran.out
    assert states(job)["dust"] == "done"
    assert former(job) == []


def test_what_the_job_has_no_longer_is_shown_and_can_be_taken_back(job: Path) -> None:
    edit(job, *EDITS["a step deleted"])
    assert "Done, no longer in the job: Sand the wall." in done(run("plan", str(job), "--all", *SATURDAY_NIGHT)).out
    assert "Sand the wall: done Saturday 9 January, 10:10 [no longer in the job]" in " ".join(
        run("diary", str(job), *SATURDAY_NIGHT).out.split()
    )
    page = job.parent / "page.html"
    done(run("plan", str(job), "--page", str(page), *SATURDAY_NIGHT))
    assert "Done, no longer in the job" in page.read_text("utf-8")
    assert former(job) == [("sand", "Sand the wall", "done")], "its title is known after the plan was handed out anew"
    done(run("did", str(job), "sand", "--undo", *SATURDAY_NIGHT))
    assert former(job) == []


def test_news_of_an_item_goes_with_its_title(job: Path) -> None:
    """`planks` with the title that the boards had: they still come on the 23rd."""
    edit(job, ("  boards: {title", "  planks: {title"), ("boards}", "planks}"))
    done(run("plan", str(job), *SATURDAY_NIGHT))
    assert plan_of(job, *SATURDAY_NIGHT)["items"][0]["expected"] == "2027-01-23"  # type: ignore[index]


def test_news_of_an_item_of_another_title_is_carried_over_on_demand(job: Path) -> None:
    edit(job, *EDITS["an item renamed"])
    ran = done(run("plan", str(job), *SATURDAY_NIGHT))
    assert "no longer in the job: `boards`" in ran.err
    assert plan_of(job, *SATURDAY_NIGHT)["items"][0]["expected"] == "2027-01-16"  # type: ignore[index]
    done(run("diary", str(job), "--renamed", "boards=planks", *SATURDAY_NIGHT))
    assert plan_of(job, *SATURDAY_NIGHT)["items"][0]["expected"] == "2027-01-23"  # type: ignore[index]


def test_a_retitled_job_goes_on_and_calendars_keep_its_events(job: Path) -> None:
    """It is said once; every event of the calendar has the UID that it had, and none is cancelled."""
    ics = job.parent / "wall.ics"
    done(run("plan", str(job), "--ics", str(ics), *SATURDAY_NIGHT))
    before = _events(ics.read_bytes())
    edit(job, *EDITS["the job retitled"])
    ran = done(run("plan", str(job), "--ics", str(ics), *SATURDAY_NIGHT))
    assert ran.out.startswith("Bookshelves  ")
    assert "The record was begun for “Shelf wall”; the job is called “Bookshelves” now" in ran.err
    after = _events(ics.read_bytes())
    assert set(after) == set(before)
    assert not any(event.get("STATUS") == "CANCELLED" for event in after.values())
    assert "begun for" not in done(run("plan", str(job), *SATURDAY_NIGHT)).err


def test_a_copy_with_another_title_leaves_the_calendar_of_the_first_alone(job: Path, tmp_path: Path) -> None:
    """The first is still there: the copy keeps the record and says how to begin anew; its events are its own."""
    done(run("plan", str(job), "--ics", str(job.parent / "wall.ics"), *SATURDAY_NIGHT))
    folder = tmp_path / "copy"
    folder.mkdir()
    copy = folder / "job.yaml"
    for name in ("job.yaml", "job.plan.json", "job.diary.jsonl"):
        (folder / name).write_bytes((tmp_path / name).read_bytes())
    edit(copy, *EDITS["the job retitled"])
    ran = done(run("plan", str(copy), "--ics", str(folder / "copy.ics"), *SATURDAY_NIGHT))
    assert "this folder is a copy. To begin it anew, move job.diary.jsonl and job.plan.json away." in ran.err
    mine, theirs = _events((folder / "copy.ics").read_bytes()), _events((job.parent / "wall.ics").read_bytes())
    assert not set(mine) & set(theirs)
    assert states(copy)["sand"] == "done"


def test_a_moved_folder_is_the_same_job(job: Path, tmp_path: Path) -> None:
    folder = tmp_path / "elsewhere"
    folder.mkdir()
    for path in [path for path in tmp_path.iterdir() if path.is_file()]:
        path.rename(folder / path.name)
    ran = done(run("plan", str(folder), *SATURDAY_NIGHT))
    assert "4 of 6 steps done" in ran.out
    assert ran.err == ""


def test_a_job_file_of_another_name_is_told_of_the_diary_left_behind(job: Path) -> None:
    """`job.yaml` became `wall.yaml`: nothing is recorded under that name, and the record lies beside it."""
    wall = job.rename(job.with_name("wall.yaml"))
    ran = done(run("plan", str(wall), *SATURDAY_NIGHT))
    assert "job.diary.jsonl lies here without its job file. If it is the record of this job, call it" in ran.err
    job.with_name("job.diary.jsonl").rename(job.with_name("wall.diary.jsonl"))
    job.with_name("job.plan.json").rename(job.with_name("wall.plan.json"))
    assert states(wall)["sand"] == "done"


COATS = (
    SHELF.replace("paint: use", "white: use").replace(
        "  paint: {title: Paint the wall, work: 90 min, lays: acrylic-latex-wall-paint, follows: [prime: recoat]}\n",
        "",
    )
    + """\
colours:
  white: {coats: 3, one coat: 30 min, material: acrylic-latex-wall-paint, follows: [prime: recoat]}
"""
)


@pytest.mark.parametrize("undo", [False, True])
def test_a_renamed_part_or_colour_is_carried_over_as_a_whole(tmp_path: Path, undo: bool) -> None:
    """A colour that is called otherwise takes all its coats along; one --undo takes all of that back."""
    job = shelf(tmp_path, COATS)
    done(run("plan", str(job), *FRIDAY))
    sunday = ("--as-of", "2027-01-10T13:00")
    done(run("did", str(job), "sand", "wipe", "prime", "white-coat-1", "white-coat-2", *sunday))
    edit(job, ("  white:", "  cream:"), ("white: use", "cream: use"))
    ran = done(run("plan", str(job), *sunday))
    assert "`white-coat-1` is `cream-coat-1` now, `white-coat-2` is `cream-coat-2` now." in ran.err
    if undo:
        done(run("diary", str(job), "--undo", *sunday))
    plan = plan_of(job, *sunday)
    coats = [step["state"] for step in plan["steps"] if step["id"].startswith("cream")]  # type: ignore[attr-defined]
    assert coats == (["planned"] * 3 if undo else ["done", "done", "planned"])
    if undo:
        done(run("diary", str(job), "--renamed", "white=cream", *sunday))
        assert plan_of(job, *sunday)["former"] == [], "OLD may be what several ids begin with"


def test_three_coats_that_become_two_leave_the_third_as_done(tmp_path: Path) -> None:
    job = shelf(tmp_path, COATS)
    done(run("plan", str(job), *FRIDAY))
    monday = ("--as-of", "2027-01-11T08:00")
    done(run("did", str(job), "sand", "wipe", "prime", *(f"white-coat-{n}" for n in (1, 2, 3)), *monday))
    edit(job, ("coats: 3", "coats: 2"))
    plan = plan_of(job, *monday)
    assert [each["step"] for each in plan["former"]] == ["white-coat-3"]  # type: ignore[attr-defined]


REFUSED = [
    ("wipe", "--renamed: `wipe` is no OLD=NEW; write the id that was recorded, `=`, the id of today\n"),
    ("wipe=", "--renamed: `wipe=` is no OLD=NEW; write the id that was recorded, `=`, the id of today\n"),
    ("wipe=wall", "--renamed: the job has no step `wall`; "),
    ("wpie=dust", "--renamed: nothing is recorded about `wpie`; did you mean `wipe`?\n"),
    ("sand=dust", "--renamed: the job still has `sand`; name what it has no longer\n"),
    ("wipe=sand", "--renamed: `sand` is recorded itself, so it can't be what `wipe` is called now; "),
]


@pytest.mark.parametrize(("text", "said"), REFUSED)
def test_what_cannot_be_renamed_is_refused_in_one_line(job: Path, text: str, said: str) -> None:
    edit(job, *EDITS["a step and its title renamed"])
    before = lines(job)
    ran = run("diary", str(job), "--renamed", text, *SATURDAY_NIGHT)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith(said), ran.err
    assert ran.err.count("\n") == 1
    assert lines(job) == before
