"""What is recorded may break a rule of the trade: it is recorded all the same, and what it means is said at once.

The job is a chest of drawers in the den of `lives`. By hand: at 68 °F and 40 % its primer takes 2 h 47 min to the
next coat (as in `test_commands`), so that primed by noon it may be coated from 14:47 on.
"""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from scheduler.telling.machine.plan import schema_text
from tests.cli.running import run
from tests.living.test_commands import done, plan_of
from tests.support.lives import shelf

CHEST = """\
job: Chest of drawers
start: 2027-01-09
zone: America/Denver
clock: 24 h
hours:
  - {on: Saturday, from: 9:00, to: 19:00}
  - {on: Sunday, from: 9:00, to: 13:00}
rooms:
  den: {air: {day: 68 °F, night: 60 °F, humidity: 40 %}}
steps:
  sand: {title: Sand the fronts, work: 1 h, kind: dusty}
  wipe: {title: Wipe them, work: 20 min, kind: wipes, follows: [sand]}
  prime: {title: Prime the fronts, work: 1 h, lays: acrylic-bonding-primer, follows: [wipe]}
  coat-1: {title: First coat, work: 1 h, lays: waterborne-alkyd-enamel, follows: [prime: recoat]}
  coat-2: {title: Second coat, work: 1 h, lays: waterborne-alkyd-enamel, follows: [coat-1: recoat]}
"""
NOW = ("--as-of", "2027-01-09T13:50")
NEXT_WEEK = ("--as-of", "2027-01-16T13:00")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    job = shelf(tmp_path, CHEST)
    done(run("plan", str(job), "--as-of", "2027-01-08"))
    done(run("did", str(job), "sand", "wipe", "prime", "--at", "2027-01-09T12:00", *NOW))
    return job


def words(text: str) -> str:
    return " ".join(text.split())


def test_a_coat_laid_too_soon_is_recorded_with_what_it_means(job: Path) -> None:
    """Begun at 12:45: how long after the primer, what that asks for, what to look for, and how to take it back."""
    ran = done(run("did", str(job), "coat-1", "--at", "13:45", *NOW))
    said = words(ran.out)
    assert "Recorded: First coat: done Saturday 9 January, 13:45." in said
    assert (
        "“First coat” was begun 45 min after “Prime the fronts”, which may be recoated after 2 h 47 min (until "
        "Saturday 9 January, 14:47). The film underneath stays soft: look for wrinkles and for places that lift, let "
        "it dry until Sunday 10 January,"
    ) in said
    assert "and sand what wrinkled smooth before the next coat." in said
    assert f"If it was not so, take it back: tackfree did {job} coat-1 --undo" in said
    assert max(map(len, [line for line in ran.out.splitlines() if "tackfree" not in line])) <= 80


def test_the_next_coat_waits_until_both_films_are_ready(job: Path) -> None:
    """When to go on, as it is said, is when the plan lets the second coat begin at the earliest."""
    done(run("did", str(job), "coat-1", "--at", "13:45", *NOW))
    plan = plan_of(job, *NOW)
    (second,) = [step for step in plan["steps"] if step["id"] == "coat-2"]  # type: ignore[attr-defined]
    ready = second["after"][0]["ready"]
    said = plan["broken"][0]["said"]  # type: ignore[index]
    assert ready[:10] == "2027-01-10"
    assert f"let it dry until Sunday 10 January, {ready[11:16]}" in said


def test_json_names_what_was_broken_just_now_and_the_plan_all_of_it(job: Path) -> None:
    """`broke` of the answer, `broken` of the plan; what comes after that and keeps the rules breaks nothing new."""
    moves = json.loads(done(run("did", str(job), "coat-1", "--at", "13:45", "--json", *NOW)).out)
    jsonschema.validate(moves, json.loads(schema_text("moves")))
    assert [(each["rule"], each["step"]) for each in moves["broke"]] == [("stage not reached", "coat-1")]
    assert moves["plan"]["broken"] == moves["broke"]
    moves = json.loads(done(run("did", str(job), "coat-2", "--at", "2027-01-16T10:00", "--json", *NEXT_WEEK)).out)
    assert moves["broke"] == []
    assert [each["step"] for each in moves["plan"]["broken"]] == ["coat-1"]
    jsonschema.validate(moves["plan"], json.loads(schema_text("plan")))


def test_a_plan_of_the_future_alone_has_broken_nothing(tmp_path: Path) -> None:
    plan = plan_of(shelf(tmp_path, CHEST), "--as-of", "2027-01-08")
    assert (plan["broken"], plan["former"]) == ([], [])


def test_the_plan_tells_it_in_a_block_of_its_own(job: Path) -> None:
    done(run("did", str(job), "coat-1", "--at", "13:45", *NOW))
    out = done(run("plan", str(job), "--all", *NOW)).out
    assert "\nRules that what has happened broke, and what can be done\n  “First coat” was begun 45 min after" in out


def test_the_page_tells_it_too(job: Path) -> None:
    done(run("did", str(job), "coat-1", "--at", "13:45", *NOW))
    done(run("plan", str(job), "--page", str(job.parent / "page.html"), *NOW))
    assert "“First coat” was begun" in (job.parent / "page.html").read_text("utf-8").replace(
        "\N{NO-BREAK SPACE}", " "
    )


def test_what_is_taken_back_was_never_broken(job: Path) -> None:
    done(run("did", str(job), "coat-1", "--at", "13:45", *NOW))
    done(run("did", str(job), "coat-1", "--undo", *NOW))
    assert plan_of(job, *NOW)["broken"] == []


def test_dust_that_was_wiped_up_since_is_not_told_again(tmp_path: Path) -> None:
    """Wiped first, sanded after it: the room is wiped once more, and with that it is mended."""
    job = shelf(tmp_path, CHEST)
    done(run("did", str(job), "wipe", "--at", "2027-01-09T10:00", *NOW))
    ran = done(run("did", str(job), "sand", "--at", "2027-01-09T11:00", "--json", *NOW))
    assert [(each["rule"], each["step"]) for each in json.loads(ran.out)["plan"]["broken"]] == [
        ("out of order", "wipe")
    ]
    done(run("did", str(job), "wipe-again", "--at", "2027-01-09T12:00", *NOW))
    assert plan_of(job, *NOW)["broken"] == []


def test_more_work_left_than_the_job_gives_the_step_is_asked_about(job: Path) -> None:
    """A first coat of an hour with three hours left may well be thirty minutes: said with the way back."""
    ran = done(run("did", str(job), "coat-1", "--left", "3 h", "--at", "13:45", *NOW))
    assert "“First coat” takes 1 h by the job, and 3 h are recorded as left." in ran.err
    assert f"tackfree did {job} coat-1 --undo" in ran.err


TAPED = """\
job: Hall
start: 2027-01-09
zone: America/Denver
hours:
  - {on: Saturday, from: 9:00, to: 19:00}
rooms:
  hall: {air: {day: 68 °F, night: 60 °F, humidity: 40 %}}
colours:
  ochre: {material: acrylic-latex-wall-paint, coats: 1, one coat: 30 min, tape off: none}
  green: {material: waterborne-alkyd-enamel, coats: 2, one coat: 30 min, tape off: none}
borders:
  - {between: [ochre, green], tape off: 15 min}
"""


def test_a_colour_begun_before_its_tape_along_the_other_is_told(tmp_path: Path) -> None:
    """Green has nothing of its own to tape off; along the ochre that is there it has, and that was not done."""
    job = shelf(tmp_path, TAPED)
    done(run("plan", str(job), "--as-of", "2027-01-08", "--effort", "300"))
    done(run("did", str(job), "ochre-coat-1", "--at", "2027-01-09T10:00", "--as-of", "2027-01-09T10:00"))
    begun = ("green-coat-1", "--at", "2027-01-16T10:00", "--left", "20 min", "--as-of", "2027-01-16T10:00")
    said = words(done(run("did", str(job), *begun)).out)
    assert "“green: coat 1 of 2” was begun" in said
    assert "“green: tape off”, which comes before it, is not done by the record" in said
