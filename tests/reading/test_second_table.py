"""The times of the shipped families against a table that was entered a second time.

`second_table.csv` was written from notes of data sheets, makers' and advice pages that were taken apart from the
profiles; whoever entered it had seen the profiles too, and for cells that are from memory had them beside the table:
those guard against a slip, and are no second opinion. Each row says how well its source is known. Who turns a number
in a profile, or slips by a factor of one and a half, disagrees with it. It says that a number was entered twice
alike, not that it is right: where a row has no better source than memory, both may err in the same way.

Where the notes come to other times than the profile, the row says both: what the profile has `instead` is a question
that is open, and is not to change without an answer.
"""

from __future__ import annotations

import csv
from math import log
from pathlib import Path

import pytest

from scheduler.model.material import StageTime
from scheduler.reading.profiles import read_trade
from scheduler.units import parse_duration

ROWS = list(csv.DictReader(Path(__file__).with_name("second_table.csv").read_text("utf-8").splitlines()))
ALIKE = 1.25
"""By what factor the two may differ: printed ranges are rounded, and a slip of one and a half is to be seen."""
STAGES = {(family.id, stage.stage): stage for family in read_trade(None).materials for stage in family.stages}


def wanted(row: dict[str, str]) -> dict[str, int]:
    """What the profile is to have, in minutes by cell; a cell that the row leaves empty says nothing."""
    cells = ("low", "likely", "high")
    said = dict(zip(cells, row["instead"].split("/"), strict=True)) if row["instead"] else row
    return {cell: parse_duration(said[cell]) for cell in cells if said[cell]}


def differ(row: dict[str, str], stage: StageTime) -> list[str]:
    """The cells of a row that a profile disagrees with."""
    times = {"low": stage.low, "likely": stage.typical, "high": stage.high}
    return [
        f"{cell}: {said} min, the profile has {times[cell]} min"
        for cell, said in wanted(row).items()
        if not 1 / ALIKE <= times[cell] / said <= ALIKE
    ]


@pytest.mark.parametrize("row", ROWS, ids=lambda row: f"{row['family']}-{row['stage']}")
def test_the_times_are_those_of_the_second_table(row: dict[str, str]) -> None:
    """Low, likely and high of a stage, each where the row has one."""
    assert differ(row, STAGES[row["family"], row["stage"]]) == []


def test_the_second_table_says_where_each_row_comes_from() -> None:
    """Each stage once, with a source that says how well it is known."""
    assert len(ROWS) > 80
    assert len({(row["family"], row["stage"]) for row in ROWS}) == len(ROWS)
    tags = ("found", "secondary", "from memory", "computed", "as to", "as the")
    for row in ROWS:
        assert any(tag in row["source"] for tag in tags), row


DOUBLED = {10: log(2) * 8.314462618 / (1 / 283.15 - 1 / 293.15), 15: log(2) * 8.314462618 / (1 / 288.15 - 1 / 298.15)}
"""J/mol by which 10 °C more make it twice as fast, from 10 °C on (47.8 kJ) and from 15 °C on (49.5 kJ)."""


def test_activation_energies_are_those_of_the_rules_that_they_stand_for() -> None:
    """Twice as fast per 10 °C (oxidation from 10 °C on, resins from 15 °C on), a Q of 5000 K or 40 kJ/mol of
    cement (ASTM C1074, from memory), next to none of gypsum (Ridge 1959); a hot resin has 60, from memory."""
    rules = (*DOUBLED.values(), 5000 * 8.314462618, 40_000.0, 1_000.0, 60_000.0)
    for (family, name), stage in STAGES.items():
        if stage.activation is not None:
            assert any(stage.activation == pytest.approx(rule, rel=0.01) for rule in rules), (family, name)


def test_what_is_open_is_open() -> None:
    """A row that says what the profile has instead disagrees with it; once it does not, the question is settled."""
    for row in ROWS:
        if row["instead"]:
            assert differ({**row, "instead": ""}, STAGES[row["family"], row["stage"]]), row


def test_a_slip_by_half_is_seen() -> None:
    """Each of three cells 1.5 times as large, or as small, disagrees."""
    row = {"family": "x", "stage": "touch", "low": "1 h", "likely": "2 h", "high": "4 h", "instead": ""}
    right = {"stage": "touch", "low": 60, "typical": 120, "high": 240, "law": "film", "exponent": 1.0, "source": ""}
    assert differ(row, StageTime(**right)) == []  # type: ignore[arg-type]
    for cell in ("low", "typical", "high"):
        for factor in (1.5, 1 / 1.5):
            wrong = {**right, cell: round(int(str(right[cell])) * factor)}
            assert len(differ(row, StageTime(**wrong))) == 1  # type: ignore[arg-type]
