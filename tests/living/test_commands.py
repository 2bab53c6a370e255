"""did, late, arrived, lost, diary: what they record, what they say, what they refuse. The job is that of `lives`.

By hand, for the plan as of Friday 8 January 2027: Saturday from 9:00 ten minutes of set-up, then sand 9:10-10:10,
wipe until 10:40, prime until 11:40. Paint on Sunday 10:10-11:40. The boards come on Saturday the 16th: fit
9:10-11:10, hang from there to 11:55.
"""

from __future__ import annotations

import json
import re
from pathlib import Path

import jsonschema
import pytest

from scheduler.telling.machine.plan import schema_text
from tests.cli.running import Ran, run
from tests.support.lives import shelf

FRIDAY = ("--as-of", "2027-01-08")
SATURDAY_NIGHT = ("--as-of", "2027-01-09T20:00")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    return shelf(tmp_path)


WASHED = """\
job: Wall
start: 2027-01-09
zone: America/Denver
hours:
  - {on: Saturday, from: 9:00, to: 19:00}
rooms:
  den: {air: {day: 68 °F, night: 60 °F, humidity: 40 %}}
steps:
  wash: {work: 1 h, lays: washed-surface}
  prime: {work: 1 h, lays: acrylic-bonding-primer, follows: [wash: paint_over]}
"""


def lines(job: Path) -> list[dict[str, object]]:
    return [json.loads(line) for line in job.with_name("job.diary.jsonl").read_text("utf-8").splitlines()]


def done(ran: Ran) -> Ran:
    assert ran.code == 0, ran.err
    return ran


def plan_of(job: Path, *options: str) -> dict[str, object]:
    found: dict[str, object] = json.loads(done(run("plan", str(job), "--json", *options)).out)
    return found


def pieces(plan: dict[str, object], step: str) -> list[str]:
    steps = plan["steps"]
    assert isinstance(steps, list)
    (found,) = [each for each in steps if each["id"] == step]
    return [f"{piece['start'][5:16]} {piece['end'][11:16]}" for piece in found["pieces"]]


def test_a_step_that_was_done_as_planned_has_the_pieces_of_the_plan(job: Path) -> None:
    """Said on Saturday night without a time: it ended when the plan has it end."""
    done(run("plan", str(job), *FRIDAY))
    ran = done(run("did", str(job), "sand", *SATURDAY_NIGHT))
    assert "Recorded: Sand the wall: done Saturday 9 January, 10:10." in ran.out
    assert lines(job)[0]["pieces"] == [["2027-01-09T09:10:00-07:00", "2027-01-09T10:10:00-07:00"]]


def test_its_film_dries_from_when_it_really_ended(job: Path) -> None:
    """Primed two hours later than planned, it may be painted two hours later at the earliest, night air apart."""
    early = plan_of(job, *FRIDAY)
    done(run("plan", str(job), *FRIDAY))
    done(run("did", str(job), "sand", "wipe", *SATURDAY_NIGHT))
    done(run("did", str(job), "prime", "--at", "13:40", *SATURDAY_NIGHT))
    late = plan_of(job, *SATURDAY_NIGHT)
    assert pieces(late, "prime") == ["01-09T12:40 13:40"]

    def recoat(plan: dict[str, object]) -> str:
        (step,) = [step for step in plan["steps"] if step["id"] == "prime"]  # type: ignore[attr-defined]
        return str(step["film"]["stages"]["recoat"][:16])

    assert recoat(early) == "2027-01-09T14:27"
    # 2:47 of drying by day (68 °F) in both cases: 13:40 + 2:47.
    assert recoat(late) == "2027-01-09T16:27"


def test_work_left_is_planned_as_the_rest(job: Path) -> None:
    """Half an hour of sanding is left on Saturday night; it is under way, and its rest comes first on Sunday."""
    done(run("plan", str(job), *FRIDAY))
    done(run("did", str(job), "sand", "--left", "30 min", "--at", "9:40", *SATURDAY_NIGHT))
    assert lines(job)[0]["minutes_left"] == 30
    plan = plan_of(job, *SATURDAY_NIGHT)
    assert pieces(plan, "sand") == ["01-09T09:10 09:40", "01-10T10:10 10:40"]


def test_a_late_item_moves_what_waits_for_it_and_nothing_else(job: Path) -> None:
    """The boards come a week later: fit and hang move by a week, sand, wipe, prime and paint stay."""
    done(run("plan", str(job), *FRIDAY))
    ran = done(run("late", str(job), "boards", "2027-01-23", "--json", *FRIDAY))
    moves = json.loads(ran.out)
    jsonschema.validate(moves, json.loads(schema_text("moves")))
    assert [(move["step"], move["from"][:16], move["to"][:16]) for move in moves["moved"]] == [
        ("fit", "2027-01-16T09:10", "2027-01-23T09:10"),
        ("hang", "2027-01-16T11:10", "2027-01-23T11:10"),
    ]
    assert (moves["stayed"], moves["finish_after"][:16]) == (4, "2027-01-23T11:55")


def test_what_is_said_of_a_late_item(job: Path) -> None:
    """The end before and after, what moves, what to have in the house later, what stays."""
    done(run("plan", str(job), *FRIDAY))
    out = done(run("late", str(job), "boards", "2027-01-23", "--reason", "strike", *FRIDAY)).out
    said = " ".join(out.split())
    assert "The end moves from Saturday 16 January 2027, 11:55 to Saturday 23 January 2027, 11:55" in said
    assert "Everything from Saturday 16 January on is 7 days later, because “Shelf boards” comes" in said
    assert "To have in the house: Shelf boards by Sat 23 Jan" in out
    assert "4 steps stay where they are." in out
    assert lines(job)[0]["reason"] == "strike"
    assert max(map(len, out.splitlines()[1:])) <= 80


def test_work_of_which_nothing_is_recorded_moves_by_itself_whatever_is_recorded_beside_it(job: Path) -> None:
    """Nobody said what was done on Saturday 9 January. That the boards come two days later is not why it moves."""
    done(run("plan", str(job), *FRIDAY))
    out = done(run("late", str(job), "boards", "2027-01-18", *SATURDAY_NIGHT)).out
    assert "later, because nothing is recorded of the work of Saturday 9 January." in " ".join(out.split())


def test_water_that_dries_is_nothing_to_have_in_the_house(tmp_path: Path) -> None:
    """A wall that is washed later needs its primer later, and nobody buys a washed wall."""
    job = shelf(tmp_path, WASHED)
    done(run("plan", str(job), "--as-of", "2027-01-08"))
    out = done(run("lost", str(job), "2027-01-09", "--all", "--as-of", "2027-01-10T08:00")).out
    bought = out.partition("To have in the house")[2]
    assert "acrylic bonding primer: by Saturday 16 January" in bought
    assert "washed" not in bought


def test_a_dry_run_writes_nothing(job: Path) -> None:
    """It shows the same and leaves every file as it was."""
    done(run("plan", str(job), *FRIDAY))
    before = {path.name: path.read_bytes() for path in job.parent.iterdir()}
    ran = done(
        run("late", str(job), "boards", "2027-01-23", "--dry-run", "--ics", str(job.parent / "x.ics"), *FRIDAY)
    )
    assert "Nothing is recorded or written." in ran.out
    assert "later" in ran.out
    assert {path.name: path.read_bytes() for path in job.parent.iterdir()} == before


def test_a_dry_run_works_where_nothing_was_kept(job: Path) -> None:
    """Without a plan handed out, the one that would have been is compared."""
    ran = done(run("late", str(job), "boards", "2027-01-23", "--dry-run", *FRIDAY))
    assert "The end moves from Saturday 16 January 2027" in ran.out
    assert [path.name for path in job.parent.iterdir()] == ["job.yaml"]


def test_nothing_moves_when_nothing_changed(job: Path) -> None:
    """The boards come when they were to come."""
    done(run("plan", str(job), *FRIDAY))
    ran = done(run("late", str(job), "boards", "2027-01-16", *FRIDAY))
    assert "Nothing moves. Done on Saturday 16 January 2027, 11:55, as before." in ran.out


def test_a_lost_day_gives_no_hours(job: Path) -> None:
    """Saturday is rained off: sand begins on Sunday."""
    done(run("plan", str(job), *FRIDAY))
    ran = done(run("lost", str(job), "2027-01-09", "--reason", "rain", *FRIDAY))
    assert "no work Saturday 9 January, 09:00–15:00" in ran.out
    assert pieces(plan_of(job, *FRIDAY), "sand") == ["01-10T10:10 11:10"]


def test_after_work_the_rest_of_a_day_is_lost(job: Path) -> None:
    """Sanded until 10:10, then rained off: what is lost begins at 10:10."""
    done(run("plan", str(job), *FRIDAY))
    done(run("did", str(job), "sand", "--at", "10:10", "--as-of", "2027-01-09T10:30"))
    done(run("lost", str(job), "2027-01-09", "--as-of", "2027-01-09T10:30"))
    assert lines(job)[1]["from"] == "2027-01-09T10:10:00-07:00"
    assert pieces(plan_of(job, "--as-of", "2027-01-09T10:30"), "wipe") == ["01-10T10:10 10:40"]


def test_what_arrived_is_there(job: Path) -> None:
    """The boards came a week early: fit is no longer held by them."""
    done(run("plan", str(job), *FRIDAY))
    done(run("arrived", str(job), "boards", "--at", "2027-01-08", *FRIDAY))
    (item,) = plan_of(job, *FRIDAY)["items"]  # type: ignore[misc]
    assert item["arrived"] == "2027-01-08"


def test_undo_brings_the_plan_back_byte_for_byte(job: Path) -> None:
    """Plan, late, undo: the plan, the kept file and the calendar's events are what they were."""
    done(run("plan", str(job), *FRIDAY))
    before = done(run("plan", str(job), "--json", *FRIDAY)).out
    kept = json.loads(job.with_name("job.plan.json").read_text("utf-8"))
    done(run("late", str(job), "boards", "2027-01-23", *FRIDAY))
    assert done(run("plan", str(job), "--json", *FRIDAY)).out != before
    ran = done(run("late", str(job), "boards", "--undo", *FRIDAY))
    assert "Undone: Shelf boards: comes Saturday 23 January 2027." in ran.out
    assert done(run("plan", str(job), "--json", *FRIDAY)).out == before
    assert json.loads(job.with_name("job.plan.json").read_text("utf-8"))["plan"] == kept["plan"]


@pytest.mark.parametrize(
    ("words", "idle"),
    [
        (("did", "JOB", "sand", "--left", "1 h"), "--left"),
        (("did", "JOB", "sand", "--at", "9:30", "--left", "1 h"), "--at and --left"),
        (("late", "JOB", "boards", "2027-01-23"), "DATE"),
        (("arrived", "JOB", "boards", "--at", "2027-01-08"), "--at"),
    ],
)
def test_undo_takes_nothing_beside_it(job: Path, words: tuple[str, ...], idle: str) -> None:
    """What would be of no effect is refused, and the entry stays: a day beside `late --undo` was once passed over."""
    done(run("late", str(job), "boards", "2027-01-30", *FRIDAY))
    ran = run(*(str(job) if word == "JOB" else word for word in words), "--undo", *FRIDAY)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err == f"--undo: it takes the newest such entry back as a whole; leave {idle} out\n"
    assert len(lines(job)) == 1


def test_the_calendar_follows_by_its_rules(job: Path) -> None:
    """The session that moved keeps its UID with SEQUENCE 1; what stays keeps SEQUENCE 0; nothing new, same bytes."""
    ics = job.parent / "wall.ics"
    done(run("plan", str(job), "--ics", str(ics), *FRIDAY))
    first = ics.read_bytes()
    done(run("plan", str(job), "--ics", str(ics), *FRIDAY))
    assert ics.read_bytes() == first
    done(run("late", str(job), "boards", "2027-01-23", "--ics", str(ics), *FRIDAY))
    was, now = _events(first), _events(ics.read_bytes())
    assert set(was) <= set(now)
    moved = [uid for uid in was if was[uid]["DTSTART"] != now[uid]["DTSTART"]]
    assert moved
    assert all(now[uid]["SEQUENCE"] == "1" for uid in moved)
    stayed = [uid for uid in was if {**was[uid], "SEQUENCE": ""} == {**now[uid], "SEQUENCE": ""}]
    assert stayed
    assert all(now[uid]["SEQUENCE"] == "0" for uid in stayed)


def _events(content: bytes) -> dict[str, dict[str, str]]:
    """UID -> properties, of a file that was unfolded by RFC 5545, section 3.1."""
    found: dict[str, dict[str, str]] = {}
    for part in content.decode("utf-8").replace("\r\n ", "").split("BEGIN:VEVENT\r\n")[1:]:
        fields = dict(line.split(":", 1) for line in part.split("END:VEVENT")[0].splitlines() if ":" in line)
        plain = {name.split(";")[0]: value for name, value in fields.items()}
        found[plain["UID"]] = plain
    return found


def test_by_hand_lists_what_to_move(job: Path) -> None:
    """For a calendar that takes no file a second time."""
    done(run("plan", str(job), "--ics", str(job.parent / "wall.ics"), *FRIDAY))
    out = done(run("late", str(job), "boards", "2027-01-23", "--by-hand", *FRIDAY)).out
    assert "Move:" in out


def test_a_job_that_lies_ahead_may_be_played_through(job: Path) -> None:
    """Without --as-of the clock stands before the job begins; what is recorded takes it further on."""
    done(run("did", str(job), "sand", "--at", "2027-01-09 10:10"))
    done(run("did", str(job), "wipe", "--at", "2027-01-09 10:40"))
    assert plan_of(job)["as_of"] == "2027-01-09T10:40:00-07:00"


def test_the_diary_is_printed_with_what_was_taken_back(job: Path) -> None:
    """One line an entry, in words; notes and readings of the air are added here."""
    done(run("did", str(job), "sand", *SATURDAY_NIGHT))
    done(run("did", str(job), "sand", "--undo", *SATURDAY_NIGHT))
    done(run("diary", str(job), "--note", "second bucket is open", *SATURDAY_NIGHT))
    done(run("diary", str(job), "--air", "59 °F, 70 %", "--at", "2027-01-09 19:00", *SATURDAY_NIGHT))
    out = done(run("diary", str(job), *SATURDAY_NIGHT)).out
    assert "[taken back]" in out
    assert re.search(r"Undone: \S.*: done Saturday 9 January", " ".join(out.split())), "by its title, not by its line"
    assert "second bucket is open" in out
    assert "den: 59 °F, 70 %" in " ".join(out.split())
    entries = json.loads(done(run("diary", str(job), "--json", *SATURDAY_NIGHT)).out)
    jsonschema.validate(entries, json.loads(schema_text("diary")))
    assert [(entry["what"], entry["holds"]) for entry in entries] == [
        ("did", False),
        ("undone", False),
        ("note", True),
        ("air", True),
    ]


REFUSED = [
    (("did", "snad"), "STEP: the job has no step “snad”; did you mean `sand`?"),
    (("did", "boards"), "STEP: “boards” may be one of 2; name one by its id:"),
    (("did", "sand", "--at", "2027-01-09 21:00"), "--at: 2027-01-09 21:00 is still to come"),
    (("did", "sand", "--at", "soon"), "--at: `soon` is no day"),
    (("did", "sand", "--left", "much"), "--left: "),
    (("did", "sand", "--undo"), "STEP: nothing is recorded about `sand`"),
    (("late", "doors", "2027-01-23"), "ITEM: the job has no item on order “doors”"),
    (("late", "boards", "2027-01-02"), "DATE: 2027-01-02 has passed"),
    (("late", "boards", "half past"), "DATE: `half past` is no day"),
    (("late", "boards"), "DATE: it is missing"),
    (("arrived", "boards", "--at", "2027-01-23"), "--at: 2027-01-23 is still to come"),
    (("lost", "2027-01-11"), "DAY: nobody works on 2027-01-11 anyway"),
    (("lost", "2027-01-10", "--session", "2"), "--session: 2027-01-10 has one session"),
    (("diary", "--air", "warm"), "--air: `warm` is not a temperature and a humidity"),
]


@pytest.mark.parametrize(("args", "said"), REFUSED)
def test_what_cannot_be_is_refused_in_one_line(job: Path, args: tuple[str, ...], said: str) -> None:
    """Exit code 2, one line, what would be right (each that may be meant in a line below); nothing is recorded."""
    ran = run(args[0], str(job), *args[1:], *SATURDAY_NIGHT)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith(said), ran.err
    assert all(line.startswith("  `") for line in ran.err.splitlines()[1:])
    assert not job.with_name("job.diary.jsonl").exists()


def test_two_things_that_cannot_both_be_are_not_recorded(job: Path) -> None:
    """Done twice; late though it is there; lost though it was worked in; worked in though it was lost."""
    done(run("did", str(job), "sand", "--at", "2027-01-09 10:10", *SATURDAY_NIGHT))
    done(run("arrived", str(job), "boards", *SATURDAY_NIGHT))
    done(run("lost", str(job), "2027-01-10", *SATURDAY_NIGHT))
    recorded = lines(job)
    for args, said in (
        (("did", "sand"), "`sand` is done already, since 2027-01-09 10:10"),
        (("late", "boards", "2027-01-23"), "`boards` is there, since 2027-01-09"),
        (("arrived", "boards"), "`boards` is there already"),
        (("lost", "2027-01-10"), "that is recorded as lost already"),
        (
            ("did", "wipe", "--at", "2027-01-10 11:00", "--as-of", "2027-01-10T12:00"),
            "2027-01-10 is recorded as lost",
        ),
    ):
        ran = run(args[0], str(job), *args[1:], *(() if "--as-of" in args else SATURDAY_NIGHT))
        assert ran.code == 2
        assert said in ran.err
    assert lines(job) == recorded


def test_the_job_file_is_never_touched(job: Path) -> None:
    """Whatever is recorded, the person's own file stays as it is, to the byte."""
    before = job.read_bytes()
    done(run("did", str(job), "sand", *SATURDAY_NIGHT))
    done(run("late", str(job), "boards", "2027-01-23", *SATURDAY_NIGHT))
    done(run("lost", str(job), "2027-01-10", *SATURDAY_NIGHT))
    assert job.read_bytes() == before


def test_sessions_that_passed_unrecorded_are_asked_about(job: Path) -> None:
    """On Monday nothing is recorded of Saturday and Sunday: the commands that record them are printed, and work."""
    done(run("plan", str(job), *FRIDAY))
    monday = ("--as-of", "2027-01-11T08:00")
    ran = done(run("plan", str(job), *monday))
    assert "Did you work in these 2 sessions? There is no record of them." in ran.err
    assert all(
        step["state"] == "planned" for step in json.loads(run("plan", str(job), "--json", *monday).out)["steps"]
    )
    commands = [line.split()[1:] for line in ran.err.splitlines() if line.startswith("    tackfree did")]
    assert [command[2] for command in commands] == ["sand", "wipe", "prime", "paint"]
    for command in commands:
        done(run(*command, *monday))
    ran = done(run("plan", str(job), *monday))
    assert "unrecorded" not in ran.err
    # As planned: the four steps have the pieces of Friday's plan, and the rest stays where it was.
    plan = plan_of(job, *monday)
    assert [pieces(plan, step) for step in ("sand", "wipe", "prime", "paint", "fit", "hang")] == [
        ["01-09T09:10 10:10"],
        ["01-09T10:10 10:40"],
        ["01-09T10:40 11:40"],
        ["01-10T10:10 11:40"],
        ["01-16T09:10 11:10"],
        ["01-16T11:10 11:55"],
    ]


def test_what_did_not_take_place_is_not_asked_about_again(job: Path) -> None:
    """Saturday and Sunday were lost: that is an answer too."""
    done(run("plan", str(job), *FRIDAY))
    monday = ("--as-of", "2027-01-11T08:00")
    for day in ("2027-01-09", "2027-01-10"):
        done(run("lost", str(job), day, *monday))
    assert "unrecorded" not in done(run("plan", str(job), *monday)).err
