"""The list of what is cited, and of what was seen when each was looked for once more.

`citations.csv` names a citation, what it is cited for, what was seen of it in November 2026 in copies of public
pages, where, and what follows. A standard or a law that profiles, code or tests lean on has a row there, if only one
that says that nobody looked again.
"""

from __future__ import annotations

import csv
import re
from collections import Counter
from functools import cache
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
ROWS = list(csv.DictReader(Path(__file__).with_name("citations.csv").read_text("utf-8").splitlines()))
OUTCOMES = ("as cited", "in part", "corrected", "not found again", "not looked for again")
STANDARD = re.compile(
    r"ASTM [A-Z]\d+|ISO \d+(?:-\d+)?|\bEN \d+(?:-\d+)*|DIN (?:VDE |EN )?\d+|\bBS \d+|ANSI [A-Z]\d+(?:\.\d+)?"
    r"|MIL-HDBK-\d+|UFC [\d-]*\d|UFGS \d[\d ]*\d|\bGA-\d+|AWI \d+|\bPS \d+|\d+ CFR \d+(?:\.\d+)?|\d+ FR \d+|RFC \d+"
    r"|NIST SP \d+|INDG\d+|TRGS \d+|\(EU\) \d+/\d+|EH40|NFPA \d+|TRBS \d+"
)
"""Names of standards, laws and rules as they are cited here."""
ROOMS = ("drying", "expanding", "learning", "reading", "solver")


@cache
def texts() -> dict[str, str]:
    """What may cite: profiles, the rooms that hold numbers of the trade, and their tests."""
    files = [*(ROOT / "profiles").rglob("*.yaml"), *(ROOT / "tests").rglob("*.py"), *(ROOT / "tests").rglob("*.csv")]
    files += (ROOT / "scheduler").rglob("*.py")
    files = [file for file in files if file.name not in ("citations.csv", Path(__file__).name)]
    return {str(file.relative_to(ROOT)): " ".join(file.read_text("utf-8").split()) for file in files}


def cited() -> Counter[str]:
    """How often each standard is named in profiles, and in the rooms and tests that hold numbers of the trade."""
    begins = ("profiles", *(f"{top}/{room}/" for top in ("scheduler", "tests") for room in ROOMS))
    return Counter(
        name for path, text in texts().items() if path.startswith(begins) for name in STANDARD.findall(text)
    )


def test_every_standard_that_is_cited_is_in_the_list() -> None:
    """Each once, so that nobody leans on one of which nothing is said."""
    listed = [row["cited"] for row in ROWS]
    assert len(set(listed)) == len(listed)
    found = cited()
    assert len(found) > 80, "the standards were not found"
    assert set(found) - set(listed) == set()


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["cited"])
def test_what_the_list_names_is_cited(row: dict[str, str]) -> None:
    """Somewhere in profiles, code or tests. A row says what follows; and where something was seen, what and where."""
    name = re.compile(re.escape(row["cited"]), re.I)
    assert any(name.search(text) for text in texts().values())
    assert row["so"].startswith(OUTCOMES)
    if row["so"].startswith(("as cited", "in part", "corrected")):
        assert row["seen"]
        assert row["where"]
