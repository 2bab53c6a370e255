"""`tackfree buy` from the job file to the list."""

from __future__ import annotations

import json
from pathlib import Path

import jsonschema
import pytest

from scheduler.reading import KINDS
from scheduler.telling.machine.plan import schema_text
from tests.cli.running import run

JOB = """\
job: Wall
start: 2027-01-16
zone: America/New_York
measures: US
hours: [{on: [Saturday, Sunday], from: 9:00, to: 17:00}]
rooms: {den: {air: {day: 70 °F, night: 65 °F, humidity: 45 %}}}
on order:
  doors: {title: The doors, comes: 2027-01-20, order time: 2 weeks}
steps:
  caulk:
    room: den
    work: 1 h
    lays: {material: acrylic-latex-caulk, thickness: 1/4 in}
    uses: {acrylic-latex-caulk: 600 ml, finish nail: 40}
  rail: {room: den, work: 1 h, follows: [{caulk: end}], uses: {rail board: 20 ft, waterborne-wood-filler: 8 fl oz}}
  hang: {room: den, work: 1 h, needs: doors}
colours:
  blue:
    room: den
    material: acrylic-latex-wall-paint
    coats: 2
    one coat: 1 h
    follows: [{caulk: paint_over}]
    uses: {acrylic-latex-wall-paint: 1 qt}
"""


@pytest.fixture
def job(tmp_path: Path) -> Path:
    (tmp_path / "job.yaml").write_text(JOB, encoding="utf-8")
    return tmp_path


def test_amounts_of_a_written_job(job: Path) -> None:
    """600 ml of caulk and 10 % are 660 ml, three cartridges of 298.7 ml and a spare one; two quarts of blue and 10 %
    would be three quarts, and a gallon costs less than these. Wood filler is known though no step lays it."""
    done = run("buy", str(job), "--as-of", "2027-01-07", "--json")
    assert done.code == 0, done.err
    rows = json.loads(done.out)
    jsonschema.validate(rows, json.loads(schema_text("buy")))
    found = {row.get("material", row.get("item")): row for row in rows}
    assert found["acrylic-latex-caulk"]["containers"] == "4 cartridges of 10.1 fl oz"
    paint = found["acrylic-latex-wall-paint"]
    assert (paint["colour"], paint["containers"], paint["for_steps"]) == (
        "blue",
        "1 can of 1 gal",
        ["blue-coat-1", "blue-coat-2"],
    )
    assert found["finish-nail"]["containers"] == "1 box of 500"
    assert found["waterborne-wood-filler"]["bought"] >= 8 / 128 * 3.785411784
    assert found["doors"]["order_by"] == "2027-01-06"
    assert found["doors"]["passed"] is True


def test_the_list_for_reading(job: Path) -> None:
    """It fits 80 columns, shouts the doors, and changes nothing beside the job file."""
    before = sorted(path.name for path in job.iterdir())
    done = run("buy", str(job), "--as-of", "2027-01-07")
    assert done.code == 0
    assert "The doors: HAD TO BE ORDERED BY WEDNESDAY 6 JANUARY." in done.out
    assert max(map(len, done.out.splitlines())) <= 80
    assert sorted(path.name for path in job.iterdir()) == before


def test_what_the_diary_knows_counts(job: Path) -> None:
    """Once the caulk is done, it is not bought any more."""
    assert run("did", str(job), "caulk", "--at", "2027-01-16 10:00", "--as-of", "2027-01-16T12:00").code == 0
    rows = json.loads(run("buy", str(job), "--as-of", "2027-01-16T12:00", "--json").out)
    assert "acrylic-latex-caulk" not in {row.get("material") for row in rows}


def test_an_own_wares_file_is_read_and_its_slips_are_named(job: Path) -> None:
    """Exit 2 and its line, whatever is asked: what a session has ready goes by its names, too."""
    (job / "profiles").mkdir()
    (job / "profiles" / "wares.yaml").write_text("margin: soon\n", encoding="utf-8")
    for asked in (("buy", str(job), "--as-of", "2027-01-07"), ("check", str(job))):
        done = run(*asked)
        assert done.code == 2
        assert "wares.yaml:1:9" in done.err


LONG = {"wallpaper to paint": [pytest.mark.long]}
"""Who scrapes with whom is settled by proofs, whatever the effort."""


@pytest.mark.parametrize("kind", [pytest.param(kind, marks=LONG.get(kind, [])) for kind in KINDS])
def test_nothing_is_too_late_in_a_job_that_has_just_been_started(tmp_path: Path, kind: str) -> None:
    """Wood can lie in the room and tiles can come before they are used: nobody begins with a list that shouts."""
    folder = tmp_path / "den"
    assert run("starter", str(folder), "--kind", kind, "--as-of", "2026-11-27").code == 0
    quick = ("--effort", "1", "--ics", str(folder / "den.ics"), "--json")  # kept with the plan, for the list as well
    assert run("plan", str(folder), *quick, "--as-of", "2026-11-27").code == 0
    assert "HAD TO" not in run("buy", str(folder), "--as-of", "2026-11-27").out
