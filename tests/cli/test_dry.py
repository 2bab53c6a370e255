"""`tackfree dry`: what it prints, what it hands to other programs, and what it refuses."""

from __future__ import annotations

import json
import re
from datetime import datetime, timedelta
from math import exp
from pathlib import Path

import jsonschema
import pytest
from rich.cells import cell_len

from scheduler.reading.profiles import read_trade
from tests.cli.running import run

FROM = ("--from", "2027-01-16T16:40", "--zone", "America/Denver")
TRADE = read_trade(None)
FAMILIES = [material.id for material in TRADE.materials]
PAINT = "acrylic-latex-wall-paint"


@pytest.fixture(autouse=True)
def terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """80 columns, without colour, in a known zone."""
    monkeypatch.setenv("COLUMNS", "80")
    monkeypatch.setenv("TZ", "America/Denver")


def answer(*args: str) -> dict[str, dict[str, dict[str, float]]]:
    ran = run("dry", *args, *FROM, "--json")
    assert (ran.code, ran.err) == (0, "")
    return json.loads(ran.out)


def hours(*args: str) -> dict[str, float]:
    return {name: stage["hours"] for name, stage in answer(*args)["stages"].items()}


def one_line(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("name", FAMILIES)
@pytest.mark.parametrize(
    "air", [("--temp", "68F", "--night", "50F"), ("--temp", "2C", "--humidity", "97%", "--coats", "3")], ids=" ".join
)
def test_every_family_fits_80_columns_and_shows_each_of_its_stages(name: str, air: tuple[str, ...]) -> None:
    ran = run("dry", name, *air, *FROM)
    assert (ran.code, ran.err) == (0, "")
    assert max(cell_len(line) for line in ran.out.splitlines()) <= 80
    table = ran.out.split("\n\n")[1]
    shown = [line[:10].strip() for line in table.splitlines()[1:]]
    material = TRADE.material(name)
    assert material is not None
    for stage in material.stages:
        assert shown.count(stage.stage.replace("_", " ")) == 1, "in words"


@pytest.mark.parametrize("encoding", ["ascii", "iso-8859-1"])
def test_a_terminal_without_utf_8_gets_ascii_only(encoding: str) -> None:
    ran = run("dry", PAINT, *FROM, encoding=encoding)
    assert ran.code == 0 and ran.out.isascii()
    assert "0 to 9 tenths of the way, # there" in ran.out
    assert max(map(len, ran.out.splitlines())) <= 80


@pytest.mark.parametrize("columns", ["40", "60", "100"])
def test_other_widths_hold_too(columns: str, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("COLUMNS", columns)
    out = run("dry", "waterborne-alkyd-enamel", "--night", "45F", *FROM).out
    assert max(map(cell_len, out.splitlines())) <= int(columns)
    assert "recoat by" in out


@pytest.mark.parametrize("name", FAMILIES)
def test_json_keeps_to_its_schema_and_its_hours_to_its_times(name: str) -> None:
    """`hours` are elapsed hours from `start` to `at`; every stage names its law and its source."""
    found = answer(name, "--temp", "15C", "--humidity", "60%")
    schema = json.loads(run("schema", "dry").out)
    jsonschema.Draft202012Validator(schema, format_checker=jsonschema.FormatChecker()).validate(found)
    start = datetime.fromisoformat(str(found["start"]))
    assert start == datetime.fromisoformat("2027-01-16T16:40:00-07:00")
    for stage in found["stages"].values():
        passed = datetime.fromisoformat(str(stage["at"])) - start
        assert stage["hours"] == pytest.approx(passed / timedelta(hours=1), abs=1e-3)


def test_the_reference_air_gives_back_the_profile() -> None:
    """Without any air it is the profile's own: 77 °F, 50 %, and a coat is dry to the touch after the typical hour."""
    found = hours(PAINT)
    assert (found["touch"], found["recoat"], found["use"]) == (1, 3, 24)


def test_a_cooler_coat_by_hand() -> None:
    """Recoat of a latex, 3 h at 25 °C: the law `film` is Arrhenius with 47.8 kJ/mol, so that 20 °C takes
    3 h · exp(47800 / 8.314 · (1/293.15 − 1/298.15)), to the minute."""
    expected = 3 * exp(47_800 / 8.314462618 * (1 / 293.15 - 1 / 298.15))
    assert hours(PAINT, "--temp", "20C")["recoat"] == pytest.approx(expected, abs=1 / 60)


def test_a_heavy_coat_is_half_as_thick_again() -> None:
    """Touch goes with the thickness (1.5), recoat with its square (2.25): exponents 1 and 2 in the profile; and the
    same is asked for by `--depth 6 mil`, for the reference is 4 mil."""
    heavy = hours(PAINT, "--heavy")
    assert (heavy["touch"], heavy["recoat"]) == (1.5, 6.75)
    assert hours(PAINT, "--depth", "6 mil") == pytest.approx(heavy, abs=1 / 60)
    assert "6 mil, 1.5 times the 4 mil of its profile" in one_line(run("dry", PAINT, "--heavy", *FROM).out)


def test_coats_follow_each_other_as_soon_as_they_may() -> None:
    """In the reference air the second coat goes on after 3 h and is dry to the touch an hour later."""
    second = hours(PAINT, "--coats", "2")
    assert (second["touch"], second["recoat"]) == (4, 6)


@pytest.mark.parametrize("name", FAMILIES)
def test_colder_is_later(name: str) -> None:
    """Every law speeds up with temperature: no stage comes earlier at 12 °C than at 22 °C, the last one later."""
    cold, warm = hours(name, "--temp", "12C"), hours(name, "--temp", "22C")
    assert all(cold[stage] >= warm[stage] for stage in warm)
    assert cold["full"] > warm["full"]


def test_a_night_in_which_the_clocks_go_back_has_an_hour_more() -> None:
    """24 elapsed hours from Saturday 6 November 2027, 20:00 in Denver, end on Sunday at 19:00."""
    ran = run("dry", PAINT, "--from", "2027-11-06T20:00", "--zone", "America/Denver", "--json")
    assert json.loads(ran.out)["stages"]["use"]["at"] == "2027-11-07T19:00:00-07:00"


def test_what_is_said_to_be_faster_is_so_when_computed_again() -> None:
    """Each line against a run of its own: 15 and 20 °C, 60 and 50 %, 1/16 in and a quarter less, 3/64 in."""
    name, air = "drying-type-joint-compound", ("--temp", "15C", "--humidity", "60%")
    now = hours(name, *air)
    again = {
        "5 °C warmer": hours(name, "--temp", "20C", "--humidity", "60%"),
        "10 points drier": hours(name, "--temp", "15C", "--humidity", "50%"),
        "a quarter thinner": hours(name, *air, "--depth", "3/64 in"),
    }
    said = one_line(run("dry", name, *air, *FROM).out.split("What makes it faster")[1].split("\n\n")[0])
    told = re.findall(r"([\w° ]+?): (\w+) (?:(\d+) days? ?)?(?:(\d+) h ?)?(?:(\d+) min )?sooner, .*?(?:\.|$)", said)
    assert {change.strip() for change, *_ in told} == set(again)
    for change, stage, days, whole, minutes in told:
        saved = 24 * int(days or 0) + int(whole or 0) + int(minutes or 0) / 60
        assert now[stage] - again[change.strip()][stage] == pytest.approx(saved, abs=0.02)


def test_the_drawing_reaches_the_stage_in_its_hour() -> None:
    """From 16:00 in the reference air: touch after an hour, recoat after three, a sign an hour."""
    out = run("dry", PAINT, "--from", "2027-01-16T16:00").out
    strip = out.split("Hour by hour")[1].splitlines()
    row = {line.split()[0]: line.split()[1] for line in strip if line.split()[:1] in (["touch"], ["recoat"])}
    assert row == {"touch": "█", "recoat": "▃▅█"}


def test_air_outside_the_limits_is_told_with_its_cure_and_the_first_time_that_would_do(tmp_path: Path) -> None:
    """Recoat needs more than the two hours until the night: nothing can be laid this day, but early the next."""
    out = one_line(run("dry", PAINT, "--temp", "68F", "--night", "40F", "--from", "2027-01-16T18:00").out)
    assert "NOT FIT: the night falls to 40 °F on Saturday 16 January, 8:00 pm" in out
    assert "Cure: heat the room to at least 50 °F at night until Sunday 17 January" in out
    assert "Or wait: in this air it can be laid from Sunday 17 January 2027, 8:00 am on." in out
    dry = ("--humidity", "40 %", "--from", "2027-01-16T18:00")
    cured = one_line(run("dry", PAINT, "--temp", "68F", "--night", "54F", *dry).out)
    assert "The given air is inside these limits" in cured


def log(folder: Path, *rows: str) -> str:
    file = folder / "log.csv"
    file.write_text("\n".join(["time,temperature °F,humidity %", *rows]), encoding="utf-8")
    return str(file)


def test_a_gap_in_the_readings_is_told_with_its_line_and_what_they_do_not_reach_is_not_made_up(
    tmp_path: Path,
) -> None:
    """16:00, 17:00, then 19:30: after line 3 nobody knows the air for more than an hour. The readings end long before
    a latex is cured."""
    file = log(tmp_path, "2027-01-16 16:00,77,50", "2027-01-16 17:00,77,50", "2027-01-16 19:30,77,50")
    ran = run("dry", PAINT, "--readings", file, "--json")
    found = json.loads(ran.out)
    assert found["start"] == "2027-01-16T16:00:00-07:00"
    assert found["stages"]["touch"]["hours"] == 1
    assert found["stages"]["full"] == {**found["stages"]["full"], "hours": None, "at": None}
    day = "Saturday 16 January 2027"
    assert any(f"{day}, 5:30 pm to {day}, 7:00 pm (after line 3)" in warning for warning in found["warnings"])
    text = run("dry", PAINT, "--readings", file).out
    assert "not in this air" in text and max(map(cell_len, text.splitlines())) <= 80


def test_day_and_night_stand_in_for_missing_readings_and_that_is_said(tmp_path: Path) -> None:
    file = log(tmp_path, "2027-01-16 16:00,77,50", "2027-01-16 17:00,77,50")
    found = json.loads(run("dry", PAINT, "--readings", file, "--temp", "77F", *FROM, "--json").out)
    assert found["stages"]["use"]["hours"] == 24
    assert any(
        "the readings end Saturday 16 January 2027, 5:30 pm; the day and night values hold" in each
        for each in found["warnings"]
    )


def test_the_list_has_every_family_under_its_group() -> None:
    out = run("dry").out
    groups: dict[str, set[str]] = {}
    group = ""
    for line in out.split("\n\n")[0].splitlines():
        if line.startswith(" "):
            groups[group].add(line.split()[0])
        else:
            group = line
            groups[group] = set()
    assert groups == {
        group: {each.id for each in TRADE.materials if each.group == group}
        for group in {each.group for each in TRADE.materials}
    }
    assert max(map(cell_len, out.splitlines())) <= 80


def test_the_list_can_be_filtered() -> None:
    listed = json.loads(run("dry", "--filter", "primer", "--json").out)
    assert listed and all("primer" in f"{each['material']} {each['group']}" for each in listed)
    jsonschema.Draft202012Validator(json.loads(run("schema", "dry").out)).validate(listed)


@pytest.mark.parametrize(
    ("args", "line"),
    [
        (
            ["acrilic-latex-wal-paint"],
            f"acrilic-latex-wal-paint: there is no family of that name; did you mean {PAINT}?",
        ),
        (["xyzzy"], "xyzzy: there is no family of that name; tackfree dry lists the families that there are"),
        (
            [PAINT, "--temp", "68"],
            "--temp: `68` does not say of which scale; write its scale, such as `68 °F` or `20 °C`",
        ),
        ([PAINT, "--humidity", "145%"], "--humidity: `145%` is more than 100 %; write it in percent, such as `45 %`"),
        ([PAINT, "--night-humidity", "damp"], "--night-humidity: "),
        ([PAINT, "--coats", "0"], "--coats: "),
        ([PAINT, "--depth", "thick"], "--depth: "),
        ([PAINT, "--heavy", "--depth", "6 mil"], "--heavy: "),
        ([PAINT, "--from", "3/4/2027"], "--from: "),
        ([PAINT, "--from", "0001-01-01T00:00+00:00"], "--from: "),
        ([PAINT, "--zone", "Mars/Olympus"], "--zone: "),
        ([PAINT, "--room", "attic"], "--room: "),
        ([PAINT, "--filter", "paint"], "--filter: "),
        (["--filter", "xyzzy"], "--filter: "),
        (["--temp", "68F"], "--temp: "),
        ([PAINT, "--readings", "nowhere.csv"], "nowhere.csv: "),
    ],
)
def test_what_is_wrong_takes_one_line_and_exit_code_2(args: list[str], line: str) -> None:
    ran = run("dry", *args)
    assert (ran.code, ran.out) == (2, "")
    assert ran.err.startswith(line)
    assert len(ran.err.splitlines()) == 1 and "; " in ran.err


def test_every_wrong_option_is_told_at_once() -> None:
    ran = run("dry", PAINT, "--temp", "68", "--humidity", "145%")
    assert ran.code == 2
    assert sorted(line.split(":")[0] for line in ran.err.splitlines()) == ["--humidity", "--temp"]


def test_a_line_of_the_readings_that_is_wrong_is_named(tmp_path: Path) -> None:
    ran = run("dry", PAINT, "--readings", log(tmp_path, "2027-01-16 16:00,77,50", "2027-01-16 17:00,warm,50"))
    assert ran.code == 2 and ran.out == ""
    assert "log.csv:3:1: `warm" in ran.err


def test_a_job_lends_its_air_its_zone_and_its_own_profiles(tmp_path: Path) -> None:
    """The room's air is 20 °C day and night; the person's own paint takes two hours to recoat at 25 °C."""
    (tmp_path / "profiles" / "materials").mkdir(parents=True)
    own = (
        "based_on: acrylic-latex-wall-paint\ntitle: quick paint\nstages:\n  recoat:\n    time: 2 h\n    law: water\n"
    )
    own += "    exponent: 1\n    source: the sheet of the tin\n"
    (tmp_path / "profiles" / "materials" / "quick-paint.yaml").write_text(own, encoding="utf-8")
    (tmp_path / "job.yaml").write_text(
        "job: Shed\nstart: 2027-01-09\nzone: Europe/Berlin\nmeasures: metric\n"
        "hours:\n  - {on: Saturday, from: 8:00, to: 17:00}\n"
        "rooms:\n  shed:\n    air: {day: 25 °C, night: 25 °C, humidity: 50 %}\n"
        "steps:\n  paint:\n    work: 1 h\n    lays: quick-paint\n",
        encoding="utf-8",
    )
    ran = run("dry", "quick-paint", "--job", str(tmp_path), "--from", "2027-01-16T10:00", "--json")
    found = json.loads(ran.out)
    assert found["start"] == "2027-01-16T10:00:00+01:00"
    assert found["stages"]["recoat"]["hours"] == 2
    assert "Air of shed: 25 °C" in run("dry", "quick-paint", "--job", str(tmp_path)).out
    assert run("dry", "quick-paint", "--job", str(tmp_path), "--temp", "20C").err.startswith("--job: ")
