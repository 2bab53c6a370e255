"""The first day of a job is when every caution is new: the first screen and the card hold it all the same.

Every example, what the questions of the starter make of a room, and an old house where paper comes off; each planned
once, by the command, as somebody does who has just written it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from scheduler.reading import KINDS
from tests.cli.running import run
from tests.telling.page.browsing import Browser, open_browser
from tests.telling.page.pages import EXAMPLES, ROOT

pytestmark = pytest.mark.long

OLD = """\
job: Old parlour
start: 2027-03-06
zone: Europe/Berlin
measures: metric
built: 1912
hours:
  - {on: [Saturday, Sunday], from: 8:00, to: 18:00, break: 12:00 to 13:00, people: 2}
  - {on: weekdays, from: 18:00, to: 20:30}
shared things: {step ladder: 1}
rooms:
  parlour:
    length: 5 m
    width: 4 m
    height: 3.2 m
    openings:
      door: {on: south wall, width: 0.9 m, height: 2.1 m}
      window: {on: north wall, width: 1.2 m, height: 2 m, sill: 0.8 m}
    air: {day: 19 °C, night: 16 °C, humidity: 50 %}
scope:
  parlour:
    - clear and protect
    - strip trim and covers: {boxes: 4, loose paint: to scrape}
    - put back: {boxes: 4}
    - final clean
  walls:
    - remove wallpaper
    - patch: {share: 10}
    - prime: {primer: acrylic-bonding-primer}
  trim: {along: floor, around: [door, window], do: [sand, wipe down, prime: {primer: acrylic-bonding-primer}]}
colours:
  white: {on: walls, material: acrylic-latex-wall-paint, coats: 2}
  ivory: {on: trim, material: waterborne-alkyd-enamel, coats: 2}
"""

STARTERS = [kind.replace(" ", "-") for kind in KINDS]
CASES = [*EXAMPLES, *STARTERS, "old house"]


@dataclass(frozen=True, slots=True)
class Told:
    """What the command printed, and the page that it wrote."""

    lines: tuple[str, ...]
    page: str


_TOLD: dict[str, Told] = {}


def told(name: str, folder: Path) -> Told:
    """The first screen and the page of a case on the morning on which it begins, planned once."""
    if name not in _TOLD:
        job = folder / name
        if name in STARTERS:
            assert run("starter", str(job), "--kind", name, "--as-of", "2027-01-05").code == 0
        else:
            job.mkdir()
            source = ROOT / "examples" / name
            for file in source.iterdir() if source.is_dir() else ():
                if file.suffix in (".yaml", ".csv"):
                    (job / file.name).write_bytes(file.read_bytes())
            if name == "old house":
                (job / "job.yaml").write_text(OLD, encoding="utf-8")
        begin = re.search(r"^start: (\S+)", (job / "job.yaml").read_text("utf-8"), re.M)
        assert begin is not None
        page = folder / f"{name}.html"
        ran = run("plan", str(job), "--as-of", begin[1], "--effort", "400", "--page", str(page))
        assert ran.code == 0, ran.err
        _TOLD[name] = Told(tuple(ran.out.splitlines()), page.read_text("utf-8"))
    return _TOLD[name]


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return tmp_path_factory.mktemp("first")


@pytest.fixture(scope="module")
def browser(folder: Path) -> Iterator[Browser]:
    with open_browser(folder) as found:
        yield found


@pytest.mark.parametrize("name", CASES)
def test_the_first_screen_has_45_rows_at_most_and_no_caution_is_cut_out_of_it(name: str, folder: Path) -> None:
    """Each letter that a step carries stands before its words, in a row of its own or in a paragraph."""
    lines = told(name, folder).lines
    assert len(lines) <= 45
    assert max(map(len, lines)) <= 80
    whole = " ".join(" ".join(lines).split())
    carried = "".join(re.findall(r" \[([a-z][a-z ]*)\]", whole)).replace(" ", "")
    rows = {row[1] for row in (re.match(r" {4}(\w)  \S", line) for line in lines) if row is not None}
    first = {row[1] for row in (re.match(r" {3}\[(\w)\]", line) for line in lines) if row is not None}
    assert set(carried) <= rows | first | set(re.findall(r"· \[(\w)\] ", whole))


@pytest.mark.parametrize("name", [*EXAMPLES, "bathroom-wall", "old house"])
def test_what_somebody_looks_for_stands_in_the_first_24_lines(name: str, folder: Path) -> None:
    """When it is done, what to buy now, what dries or is out of use, and what comes next: the rows of a small window
    (24, as a terminal has that nobody made larger)."""
    first = told(name, folder).lines[:24]
    labels = [line[:7].strip() for line in first if line[:1].strip()]
    for wanted in ("DONE", "BUY", "DRIES", "NEXT"):
        assert wanted in labels, wanted
    assert re.search(r"^DONE +(by|at|since) ", "\n".join(first), re.M)
    steps = [line for line in first if re.match(r" {7} ?\d", line)]
    assert steps, "the first step of the session with its time"


@pytest.mark.parametrize("name", CASES)
def test_the_card_is_one_phone_screen(name: str, folder: Path, browser: Browser) -> None:
    """390 by 844 pixels; and every caution of the step that is next can be read without a tap."""
    shown = browser.show(told(name, folder).page, (390, 844), folded=True)
    assert shown.page.evaluate("document.getElementById('now').getBoundingClientRect().bottom") <= 844
    hidden: list[Any] = shown.page.evaluate(
        """() => [...document.querySelectorAll('#now .first summary')].filter((each) => !each.checkVisibility())"""
    )
    assert hidden == []
