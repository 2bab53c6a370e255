"""profiles/methods/: a person adds one beside the job file without Python, and every slip is shown at its place."""

from __future__ import annotations

from pathlib import Path

import pytest

from scheduler.errors import InputError
from scheduler.pipeline import read
from scheduler.reading.jobfile import read_job_text
from scheduler.reading.methodparts import parse_rate
from scheduler.reading.methods import methods_named, read_methods
from scheduler.units import UnclearQuantityError
from tests.support.scoped import step_of, text_of, used
from tests.support.spoken import spoken

OWN = """\
title: wax a wall
source: my own, measured on one wall
fits: [walls]
learning: 1.4
options:
  wax: {material: penetrating-oil}
  coats: {number: 1}
quantities:
  corners run: {of: 4 * height, unit: m}
steps:
  wax:
    title: "Wax, coat {n}: {part}"
    phase: paint
    cycle: coats
    work:
      - {per: area, takes: [12 m²/h, 10 m²/h, 6 m²/h], source: "my own"}
      - {per: corners run, takes: 1 min/m, source: "my own"}
    lays: {material: "{wax}"}
    uses: {what: "{wax}", covers: area}
"""


def own(tmp_path: Path, text: str, name: str = "wax-a-wall.yaml") -> Path:
    folder = tmp_path / "profiles" / "methods"
    folder.mkdir(parents=True, exist_ok=True)
    (folder / name).write_text(text, encoding="utf-8")
    return folder / name


def job_in(tmp_path: Path, scope: str) -> Path:
    (tmp_path / "job.yaml").write_text(text_of(scope), encoding="utf-8")
    return tmp_path


def said(tmp_path: Path, text: str) -> list[str]:
    own(tmp_path, text)
    with pytest.raises(InputError) as caught:
        read_methods(tmp_path, [])
    return [str(fault).replace(f"{tmp_path}/profiles/methods/", "") for fault in caught.value.faults]


def test_an_own_method_is_used_like_a_shipped_one(tmp_path: Path) -> None:
    """352 ft² = 32.7 m² at 10 m²/h are 196 min, 4 × 2.44 m at 1 min/m are 10: 206, rounded up to 210."""
    own(tmp_path, OWN)
    job, trade = read(job_in(tmp_path, "walls: [wax a wall: {coats: 2}]"))
    assert [step.id for step in job.steps] == ["walls-wax-1", "walls-wax-2"]
    assert step_of(job, "walls-wax-1").work.likely == 210
    oil = trade.material("penetrating-oil")
    assert oil is not None
    assert oil.spread is not None
    assert used(job, "penetrating-oil") == pytest.approx(2 * 352 * 0.3048**2 / oil.spread)


def test_an_own_method_takes_the_place_of_a_shipped_one_and_the_plan_says_so(tmp_path: Path) -> None:
    path = own(tmp_path, OWN, "prime.yaml")
    job, trade = read(job_in(tmp_path, "walls: [prime]"))
    assert [step.id for step in job.steps] == ["walls-wax-1"]
    assert f"{path} replaces the method prime that comes with this program." in map(spoken, trade.notes)


def test_only_the_methods_that_a_job_names_are_read() -> None:
    """What is not read takes no time."""
    scope = "walls: [patch, prime]\npanel: {up to: 1/3, do: backer}"
    job = read_job_text(text_of(scope), "job.yaml")
    assert methods_named(job) == {"patch", "prime", "backer"}
    assert set(read_methods(None, methods_named(job)).loaded) == {"patch", "prime", "backer"}
    assert len(read_methods(None, methods_named(job)).known) >= 29


@pytest.mark.parametrize(
    ("old", "new", "fault"),
    [
        ("phase: paint", "phase: pant", "13:12: `pant` is no phase; did you mean `paint`?"),
        ("fits: [walls]", "fits: [wals]", "3:8: `wals` is no kind of surface; did you mean `walls`?"),
        ("takes: 1 min/m", "takes: 1 min/kg", "17:35: `1 kg` is neither length nor area"),
        ("takes: 1 min/m", "takes: 3 min/m²", "17:35: `corners run` is counted in m, the rate in m2"),
        ("[12 m²/h, 10 m²/h, 6 m²/h]", "[6 m²/h, 10 m²/h, 12 m²/h]", "these rates do not slow down"),
        ("[12 m²/h, 10 m²/h, 6 m²/h]", "[12 m/h, 10 m²/h, 6 m²/h]", "these rates are not all for the same unit"),
        ("cycle: coats", "cycle: coat", "14:12: `coat` is no option of this method; did you mean `coats`?"),
        ('material: "{wax}"', 'material: "{wex}"', "18:22: `{wex}` is no option of this method; did you mean `wax`?"),
        ("of: 4 * height", "of: 4 * * height", "can't be worked out at `*`"),
        (', source: "my own"}\n    lays', "}\n    lays", "17:9: `source` is missing"),
        ("learning: 1.4", "learning: 0.2", "4:11: `0.2` is not from 1 to 5"),
        ("number: 1", "nummber: 1", "7:11: `nummber` is no key here; did you mean `number`?"),
        (
            "phase: paint",
            "phase: paint\n    dangers: laddder",
            "14:14: `laddder` is no kind of caution; did you mean `ladder`?",
        ),
        ("phase: paint", "phase: paint\n    after: prme", "14:12: no other step here is called `prme`"),
        (
            "phase: paint",
            "phase: paint\n    after: {earlier: {remedy: {title: scuff, work: 5 min, source: mine}}}",
            "nothing says when this remedy is due; write `within: 24 h`",
        ),
        ("phase: paint", "phase: paint\n    kind: dusty", "14:11: a step can't be dusty and wet, or wipe"),
        ("phase: paint", "phase: paint\n    only: {mood: good}", "14:18: `mood` is no choice of this method"),
        ("covers: area", "bead: run", "19:11: `bead` and `width` belong together"),
    ],
)
def test_a_slip_is_shown_at_its_line_and_column(tmp_path: Path, old: str, new: str, fault: str) -> None:
    assert OWN.count(old) == 1
    assert any(fault in each for each in said(tmp_path, OWN.replace(old, new))), said(tmp_path, OWN.replace(old, new))


def test_a_file_that_is_no_method_is_refused(tmp_path: Path) -> None:
    assert said(tmp_path, "- a\n- b\n")[0].startswith("wax-a-wall.yaml:1:1: this is no method")


@pytest.mark.parametrize(
    ("text", "minutes", "unit"),
    [
        ("120 ft/h", 60 / (120 * 0.3048), "m"),
        ("90 ft²/h", 60 / (90 * 0.3048**2), "m2"),
        ("60/h", 1, "piece"),
        ("15 min", 15, "piece"),
        ("2 min/ft", 2 / 0.3048, "m"),
        ("3 min per m²", 3, "m2"),
        ("1 h", 60, "piece"),
    ],
)
def test_rates_are_read_as_people_say_them(text: str, minutes: float, unit: str) -> None:
    rate = parse_rate(text)
    assert (rate.minutes, rate.unit) == (pytest.approx(minutes), unit)


@pytest.mark.parametrize("text", ["fast", "120", "120 ft", "0 ft/h", "-3/h", "12 kg/h", "/h", "3 min/", ""])
def test_what_is_no_rate_is_refused(text: str) -> None:
    with pytest.raises(UnclearQuantityError):
        parse_rate(text)
