"""`tackfree check`: the steps that come of a job, what its parts measure, and every fault in one run."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from scheduler.telling.machine.plan import schema_text
from tests.cli.conftest import JOB
from tests.cli.running import run
from tests.cli.terminal import at_terminal

TWO = "prime: {work: 1 h, lays: acrylic-bonding-primer}, hang: {work: 45 min, follows: [prime: recoat]}"
HEAD = "The steps, by the names that `did`, `changes:` and `follows:` take:\n"

FAULT_OF_EACH_LAYER = """\
job: Den
start: 2027-01-09
zone: America/Denver
hours: {on: Saturday, from: 8:30, to: 17:00}
hours: {on: Sunday, from: 8:30, to: 17:00}
busy: family.ics
rooms:
  den: {length: 4 m, width: 3 m, height: 2.4 m, readings: air.csv, air: {day: 20 °C, night: 18 °C, humidity: 50 %}}
scope:
  walls: [polish, {prime: {cots: 2}}]
  floor: [crown]
changes:
  ceiling-prime: {work: 2 h}
steps:
  clear: {work: 45}
  fill: {work: 1 h, lays: putty-of-mine, needs: doors}
  sand: {work: 1 h, follows: clera}
  one: {work: 1 h, follows: other}
  other: {work: 1 h, follows: one}
  tick: {work: 1 h, follows: [base: tape]}
  base: {work: 1 h, lays: lightweight-spackling}
"""
"""One fault of each layer: YAML (5), files (6, 8), shape (15), names (16), methods (10, 11), steps (13, 17),
materials (16), stages (20), circles (18)."""


@pytest.mark.parametrize(
    ("steps", "said"),
    [
        ("hang: {work: 45 min}", f"{HEAD}  hang  hang\n\n1 step, 0 materials: no fault found.\n"),
        (TWO, f"{HEAD}  prime  prime\n  hang   hang\n\n2 steps, 1 material: no fault found.\n"),
    ],
)
def test_the_steps_are_listed_and_counted_as_people_count(tmp_path: Path, steps: str, said: str) -> None:
    """Each with its name and its title; one is one step, not `1 steps`."""
    job = tmp_path / "job.yaml"
    job.write_text(JOB.partition("steps:")[0] + f"steps: {{{steps}}}\n", encoding="utf-8")
    ran = run("check", str(job))
    assert (ran.code, ran.out, ran.err) == (0, said, "")


def test_what_is_on_order_and_needed_by_no_step_is_named(tmp_path: Path) -> None:
    """Who forgets `needs:` finds out by `check`, and from `late`, which moves nothing."""
    job = tmp_path / "job.yaml"
    job.write_text(JOB + "on order: {brackets: {title: Brass brackets, comes: 2027-01-08}}\n", encoding="utf-8")
    said = "No step needs “Brass brackets”, which is on order. Where one does: `needs: [brackets]`."
    assert " ".join(run("check", str(job)).out.split()).endswith(f"no fault found. {said}")
    late = run("late", str(job), "brackets", "2027-03-01", "--as-of", "2027-01-05")
    assert "Nothing moves." in late.out
    assert "No step needs “Brass brackets”, so none waits for it. Where one does: `needs: [brackets]`." in late.err
    job.write_text(
        job.read_text("utf-8").replace("work: 45 min", "work: 45 min, needs: [brackets]"), encoding="utf-8"
    )
    assert run("check", str(job)).out.endswith("no fault found.\n")
    again = run("late", str(job), "brackets", "2027-03-08", "--as-of", "2027-01-05")
    assert "No step needs" not in again.err
    assert "Nothing moves." not in again.out


def test_the_steps_are_listed_where_no_plan_can_be_made(tmp_path: Path) -> None:
    """Ten hours in one piece fit into no Saturday; `check` asks for no plan; `--json` keeps its schema."""
    job = tmp_path / "job.yaml"
    job.write_text(JOB.partition("steps:")[0] + "steps: {pour: {work: 10 h, pause: no}}\n", encoding="utf-8")
    assert run("plan", str(job)).code == 1
    ran = run("check", str(job), "--json")
    found = json.loads(ran.out)
    jsonschema.validate(found, json.loads(schema_text("check")))
    assert (ran.code, found["ok"], found["steps"], found["step_ids"]) == (0, True, 1, ["pour"])


def test_what_the_parts_measure_is_listed(tmp_path: Path) -> None:
    """4 m by 3 m by 2.4 m: the walls have 2 * (4 + 3) * 2.4 = 33.6 m², the ceiling 12 m², asked for or not."""
    job = tmp_path / "job.yaml"
    rooms = (
        "rooms: {den: {length: 4 m, width: 3 m, height: 2.4 m, air: {day: 20 °C, night: 18 °C, humidity: 50 %}}}\n"
    )
    head = JOB.partition("rooms:")[0].replace("measures: US", "measures: metric")
    job.write_text(f"{head}{rooms}scope: {{walls: [prime], ceiling: [prime]}}\n", encoding="utf-8")
    ran = run("check", str(job), "--measures")
    assert ran.code == 0
    assert "\nwalls\n" in ran.out
    assert "area         33.6 m²" in ran.out
    assert "area         12 m²" in ran.out
    assert max(map(len, ran.out.splitlines())) <= 80
    measures = json.loads(run("check", str(job), "--json").out)["measures"]
    areas = {each["part"]: each["value"] for each in measures if each["quantity"] == "area"}
    assert areas == {"walls": 33.6, "ceiling": 12.0}


def test_a_fault_of_each_layer_is_shown_in_one_run(tmp_path: Path) -> None:
    """None hides another, and none is said twice."""
    (tmp_path / "job.yaml").write_text(FAULT_OF_EACH_LAYER, encoding="utf-8")
    (tmp_path / "air.csv").write_text("time,temperature °C,humidity %\n2027-01-09T08:00,warm,50\n", encoding="utf-8")
    (tmp_path / "family.ics").write_text("no calendar\n", encoding="utf-8")
    profiles = tmp_path / "profiles" / "materials"
    profiles.mkdir(parents=True)
    (profiles / "my-own.yaml").write_text("title: Mine\n", encoding="utf-8")
    ran = run("check", str(tmp_path), "--json")
    found = [(Path(fault["file"]).name, fault["line"], fault["message"]) for fault in json.loads(ran.out)["faults"]]
    assert ran.code == 2
    said = {(name, line) for name, line, _ in found}
    assert ("air.csv", 2) in said
    assert any(name == "my-own.yaml" for name, _, _ in found)
    assert any(name == "family.ics" or (name, line) == ("job.yaml", 6) for name, line, _ in found)
    assert [(line, message) for name, line, message in found if name == "job.yaml" and line != 6] == [
        (5, "`hours` stands here twice, first in line 4"),
        (10, "no method is called `polish`"),
        (10, "`prime` has no option `cots`"),
        (11, "`crown` is not for `floor`"),
        (13, "no step is called `ceiling-prime`"),
        (15, "`45` has no unit"),
        (16, "no material is called `putty-of-mine`"),
        (16, "no item on order is called `doors`"),
        (17, "no step or colour is called `clera`"),
        (18, "the order goes round in a circle: one follows other, other follows one"),
        (20, "`lightweight-spackling` (base) has no stage `tape`"),
    ]
    assert run("plan", str(tmp_path)).err.count("\n") >= len(found) - 1  # the household's calendars are read later


@pytest.mark.parametrize("columns", ["60", "80"])
def test_a_fault_is_wrapped_on_a_terminal_only(tmp_path: Path, columns: str) -> None:
    """File, line and column stand whole at the beginning; an editor at the other end of a pipe gets one line."""
    (tmp_path / "job.yaml").write_text(JOB.replace("work: 45 min", "work: 45"), encoding="utf-8")
    shown = at_terminal(["check", "job.yaml"], [], tmp_path, COLUMNS=columns)
    lines = shown.text.splitlines()
    assert (shown.code, len(lines)) == (2, 2)
    assert lines[0].startswith("job.yaml:7:45: `45` has no unit; write it")
    assert lines[1].startswith("  ")
    assert all(len(line) <= int(columns) for line in lines)
    assert run("check", str(tmp_path)).err.count("\n") == 1


def test_all_methods_are_listed_with_their_options(tmp_path: Path) -> None:
    """By the names that a job takes, own ones too; one alone with what it does."""
    listed = run("methods")
    assert listed.code == 0
    there = listed.out.partition("\nprime\n")[2] or listed.out.partition("\nprime")[2]
    assert "a material; acrylic-bonding-primer if left out,\n" in there
    assert "latex-drywall-primer with `drywall`" in there
    assert "\nfixing" not in listed.out
    assert max(map(len, listed.out.splitlines())) <= 80
    found = json.loads(run("methods", "--json").out)
    jsonschema.validate(found, json.loads(schema_text("methods")))
    assert {"backer", "hang a door", "prime"} <= {each["method"] for each in found}
    assert "Prime: {part}" in run("methods", "prime").out
    wrong = run("methods", "prim")
    assert (wrong.code, wrong.err) == (2, "prim: there is no method of that name; did you mean `prime`?\n")


def test_what_takes_two_people_is_told_to_whoever_is_alone(tmp_path: Path) -> None:
    """A method's step was passed with `no fault found`, and no plan was possible. With a helper on one day nothing is
    said."""
    job = tmp_path / "job.yaml"
    size = "{length: 4 m, width: 3 m, height: 2.4 m, air:"
    text = JOB.partition("steps:")[0].replace("{air:", size).replace("study", "den") + "scope: {floor: click floor}\n"
    job.write_text(text, encoding="utf-8")
    ran = run("check", str(job))
    assert (ran.code, ran.out) == (2, "")
    assert ":7:16: `floor-carry-boxes` takes 2 people, and no hours have more than 1; add hours with" in ran.err
    alone, helped = "{on: Saturday, from: 8:30, to: 17:00}", "{on: Sunday, from: 9:00, to: 17:00, people: 2}"
    job.write_text(text.replace(alone, f"[{alone}, {helped}]"), encoding="utf-8")
    assert run("check", str(job)).code == 0
