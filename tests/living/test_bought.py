"""What was bought or ordered is told once: it is off the list, and nobody is told again to order it.

Two walls of five metres take two coats each; boards lie in the room for three days before they are cut.
"""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from scheduler.telling.machine.plan import schema_text
from tests.cli.running import run
from tests.living.test_commands import done, lines
from tests.support.lives import shelf

WALLS = """\
job: Two walls
start: 2027-01-09
zone: Europe/Berlin
measures: metric
hours: {on: weekends, from: 9:00, to: 17:00}
rooms:
  den: {length: 5 m, width: 4 m, height: 2.4 m, air: {day: 20 °C, night: 18 °C, humidity: 45 %}}
on order:
  lamp: {title: New lamp, comes: 2027-01-16, order time: 3 weeks}
steps:
  hang it: {work: 30 min, room: den, needs: lamp}
scope:
  walls: {on: [north wall, south wall], do: [prime]}
colours:
  cream: {on: walls, material: acrylic-latex-wall-paint, coats: 2}
"""
MONDAY = ("--as-of", "2027-01-04")
TUESDAY = ("--as-of", "2027-01-05")


@pytest.fixture(scope="module")
def planned(tmp_path_factory: pytest.TempPathFactory) -> dict[str, bytes]:
    """The job with its plan of Monday."""
    job = shelf(tmp_path_factory.mktemp("walls"), WALLS)
    done(run("plan", str(job), "--effort", "30", *MONDAY))
    return {path.name: path.read_bytes() for path in job.parent.iterdir() if path.is_file()}


@pytest.fixture
def job(planned: dict[str, bytes], tmp_path: Path) -> Path:
    for name, data in planned.items():
        (tmp_path / name).write_bytes(data)
    return tmp_path / "job.yaml"


def listed(job: Path, *as_of: str) -> dict[str, dict[str, object]]:
    """The rows of the list, by thing or item."""
    rows = json.loads(done(run("buy", str(job), "--json", *as_of)).out)
    jsonschema.validate(rows, json.loads(schema_text("buy")))
    return {row.get("item") or row["material"]: row for row in rows}


def test_what_was_bought_is_off_the_list(job: Path) -> None:
    """By a part of its name, once; the list says since when it is there."""
    assert "3 things to buy" in done(run("buy", str(job), *TUESDAY)).out
    ran = done(run("bought", str(job), "cream", "--at", "monday", *TUESDAY))
    assert "in the house since Monday 4 January 2027" in " ".join(ran.out.split())
    said = done(run("buy", str(job), *TUESDAY)).out
    assert "2 things to buy" in said
    assert "In the house\n  cream, acrylic latex wall paint, since Monday 4 January" in said
    assert listed(job, *TUESDAY)["acrylic-latex-wall-paint"]["in_house"] is True


def test_everything_on_the_list_is_bought_in_one_word(job: Path) -> None:
    done(run("bought", str(job), "--list", *TUESDAY))
    assert "nothing to buy" in done(run("buy", str(job), *TUESDAY)).out
    assert [line["what"] for line in lines(job)] == ["bought"] * 3
    ran = run("bought", str(job), "--list", *TUESDAY)
    assert (ran.code, ran.err) == (2, "--list: nothing is on the list; nothing is to be recorded\n")


def test_what_the_job_needs_more_of_since_comes_back_with_the_reason(job: Path) -> None:
    """A third coat of the same walls is half as much again as was bought for two."""
    before = listed(job, *TUESDAY)["acrylic-latex-wall-paint"]["quantity"]
    done(run("bought", str(job), "cream", *TUESDAY))
    job.write_text(job.read_text("utf-8").replace("coats: 2", "coats: 3"), "utf-8")
    more = listed(job, *TUESDAY)["acrylic-latex-wall-paint"]["quantity"]
    assert isinstance(before, float)
    assert more == pytest.approx(before / 2, rel=1e-6)
    assert "more than you bought (Tuesday 5 January)" in done(run("buy", str(job), *TUESDAY)).out
    done(run("bought", str(job), "cream", *TUESDAY[:1], "2027-01-06"))
    assert listed(job, "--as-of", "2027-01-06")["acrylic-latex-wall-paint"]["in_house"] is True


def test_a_coat_that_is_done_takes_nothing_off_what_was_bought(job: Path) -> None:
    """What was bought was for both coats: once the first is on, the rest is still enough for the second."""
    done(run("bought", str(job), "cream", *TUESDAY))
    night = ("--as-of", "2027-01-09T20:00")
    done(run("did", str(job), "walls-prime", "cream-coat-1", *night))
    assert listed(job, *night)["acrylic-latex-wall-paint"]["in_house"] is True


def test_what_was_ordered_is_not_shouted_for(job: Path) -> None:
    """Three weeks before the 16th is the 26th of December: too late on Tuesday, and no news once it is ordered."""
    assert "New lamp: HAD TO BE ORDERED BY SATURDAY 26 DECEMBER." in done(run("buy", str(job), *TUESDAY)).out
    ran = done(run("ordered", str(job), "lamp", "--at", "20.12.", "--comes", "23.1.", *TUESDAY))
    assert "New lamp: ordered Sunday 20 December 2026" in ran.out
    assert "New lamp: comes Saturday 23 January 2027" in ran.out
    said = done(run("buy", str(job), *TUESDAY)).out
    assert "HAD TO BE ORDERED" not in said
    assert "ordered Sunday 20 December" in said
    assert "ORDERED BY" not in done(run("plan", str(job), *TUESDAY)).out
    assert listed(job, *TUESDAY)["lamp"]["ordered"] == "2026-12-20"
    done(run("ordered", str(job), "lamp", "--undo", *TUESDAY))
    assert "HAD TO BE ORDERED" in done(run("buy", str(job), *TUESDAY)).out


def test_what_comes_late_by_record_was_ordered(job: Path) -> None:
    """The shop named another day: nobody is told to order it, late as that is, until the news is taken back."""
    assert "ORDER" in done(run("plan", str(job), *TUESDAY)).out
    done(run("late", str(job), "lamp", "2027-01-30", *TUESDAY))
    screen, everything, bought = (
        done(run(*said, *TUESDAY)).out
        for said in (("plan", str(job)), ("plan", str(job), "--all"), ("buy", str(job)))
    )
    assert "Sat 30 Jan" in screen
    assert all("order it by" not in said and "ORDERED BY" not in said for said in (screen, everything, bought))
    assert "ORDER " not in screen
    done(run("late", str(job), "lamp", "--undo", *TUESDAY))
    assert "ORDERED BY" in done(run("plan", str(job), *TUESDAY)).out


def test_an_item_on_order_that_was_bought_is_there(job: Path) -> None:
    done(run("bought", str(job), "lamp", *TUESDAY))
    assert lines(job)[-1]["what"] == "arrived"


def test_what_settles_does_so_from_the_day_on_which_it_is_in_the_room(tmp_path: Path) -> None:
    """Plywood has to lie in the room for days: bought in time it has settled, bought late that is said."""
    text = WALLS.replace("  hang it:", "  nail: {work: 1 h, room: den, uses: {plywood: 4 m²}}\n  hang it:")
    job = shelf(tmp_path, text)
    done(run("plan", str(job), "--effort", "30", *MONDAY))
    thursday = ("--as-of", "2027-01-07")
    assert "plywood: should have been in the room since" in done(run("buy", str(job), *thursday)).out
    done(run("bought", str(job), "plywood", *thursday))
    said = " ".join(done(run("buy", str(job), *thursday)).out.split())
    assert "should have been" not in said
    assert (
        "plywood, since Thursday 7 January; it settles until Sunday 10 January, and “nail” comes before that" in said
    )
    done(run("bought", str(job), "plywood", "--at", "5.1.", *thursday))
    said = " ".join(done(run("buy", str(job), *thursday)).out.split())
    assert "plywood, since Tuesday 5 January; it settles until Friday 8 January" in said
    assert "comes before that" not in said


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("bought",), "THING: it is missing; name it, or say --list\n"),
        (("bought", "cream", "--list"), "THING: --list takes it in; name it, or say --list\n"),
        (("ordered",), "THING: it is missing; name what was ordered\n"),
        (("bought", "violet"), "THING: the job has no thing to buy “violet”; "),
        (
            ("ordered", "cream", "--comes", "friday"),
            "--comes: `acrylic-latex-wall-paint-cream` is no item on order; ",
        ),
        (("bought", "cream", "--at", "tomorrow"), "--at: 2027-01-06 is still to come; record it then\n"),
        (
            ("bought", "cream", "--undo"),
            "THING: nothing is recorded about `cream`; see what is: `tackfree diary JOB`\n",
        ),
    ],
)
def test_what_cannot_be_bought_is_refused_in_one_line(job: Path, words: tuple[str, ...], said: str) -> None:
    ran = run(words[0], str(job), *words[1:], *TUESDAY)
    assert ran.code == 2
    assert ran.err.startswith(said), ran.err
