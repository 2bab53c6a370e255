"""How many coats a method lays is a whole number that somebody can mean."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.cli.running import run

JOB = """\
job: Floor
start: 2027-01-09
zone: America/Denver
measures: US
hours: {on: Saturday, from: 8:30, to: 17:00}
rooms: {study: {length: 9 ft, width: 9 ft, height: 8 ft, air: {day: 68 °F, night: 60 °F, humidity: 45 %}}}
scope: {floor: [varnish floor: {coats: COATS}]}
"""


@pytest.mark.parametrize("coats", ["1000", "11", "0", "-1", "2.5", "many"])
def test_coats(tmp_path: Path, coats: str) -> None:
    """1000 coats kept the tool busy for minutes, 0 were taken for 1, 2.5 for 2: each is a fault at its place."""
    file = tmp_path / "job.yaml"
    file.write_text(JOB.replace("COATS", coats), encoding="utf-8")
    column = len("scope: {floor: [varnish floor: {coats: ") + 1
    said = f"{file}:7:{column}: `{coats}` is no number of coats; write one from 1 to 10\n"
    assert run("check", str(file)) == (2, "", said)
