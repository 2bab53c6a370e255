from __future__ import annotations

from collections.abc import Iterator
from itertools import count
from pathlib import Path

import pytest

from tests.calendar.server.radicale import PASSWORD, USER, Collection, Radicale

NAMES = (f"job-{number}" for number in count())


@pytest.fixture(scope="package")
def server(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Radicale]:
    one = Radicale(tmp_path_factory.mktemp("radicale")).start()
    yield one
    one.kill()


@pytest.fixture
def collection(server: Radicale) -> Collection:
    """An empty calendar."""
    return server.new_calendar(next(NAMES))


@pytest.fixture(autouse=True)
def credentials(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("TACKFREE_CALDAV_USER", USER)
    monkeypatch.setenv("TACKFREE_CALDAV_PASSWORD", PASSWORD)
    monkeypatch.setenv("NO_PROXY", "127.0.0.1")


@pytest.fixture
def job(tmp_path: Path) -> Path:
    """A small job: two coats on a shelf, and brackets that have yet to come."""
    file = tmp_path / "job" / "job.yaml"
    file.parent.mkdir()
    file.write_text(SHELF)
    return file


SHELF = """\
job: Shelf
start: 2027-01-09
zone: America/Denver
measures: metric
hours:
  - on: weekends
    from: 9:00
    to: 13:00
rooms:
  cellar:
    air: {day: 20 °C, night: 18 °C, humidity: 45 %}
on order:
  brackets:
    comes: 2027-01-21
    order time: 1 week
steps:
  sand:
    work: 2 h
    kind: dusty
  wipe:
    work: 30 min
    kind: wipes
    follows: sand
  first coat:
    work: 1 h
    lays: {material: acrylic-latex-wall-paint, coat: 1}
    follows: wipe
  second coat:
    work: 1 h
    lays: {material: acrylic-latex-wall-paint, coat: 2}
    follows:
      - first coat: recoat
  hang:
    title: Hang the shelf
    work: 1 h
    needs: brackets
    follows:
      - second coat: handle
"""
