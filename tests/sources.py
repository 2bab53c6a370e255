"""The outside sources that the dry clock and the cautions are held against, and how many checks each has.

    python -m tests.sources

collects the tests (it runs none) and counts those that are marked `source(KEY)`. `fitted`: a number of ours was
chosen to meet it, so that meeting it proves little; everything else was looked at only afterwards.
"""

from __future__ import annotations

import sys
from collections import Counter
from contextlib import redirect_stdout
from dataclasses import dataclass
from io import StringIO
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent


@dataclass(frozen=True)
class Source:
    """What it is, and what of ours was fitted to it ("" : nothing)."""

    title: str
    fitted: str = ""


SOURCES = {
    "ashrae": Source("ASHRAE Handbook - Fundamentals, 2017, chapter 1, table 3, as PsychroLib's tests quote it"),
    "psychrolib": Source("PsychroLib 2.5.0, an independent library (MIT), and nights worked with it by other hands"),
    "dew-chart": Source("dew point chart of the coating trade, °F (found)"),
    "wood-handbook": Source("USDA Wood Handbook FPL-GTR-190, table 4-2, and the published example of its equation"),
    "wood-page": Source("four moisture contents at 70 °F of a wood-science page (found)"),
    "gypsum-guide": Source(
        "drying-time guide of the gypsum trade, 133 cells (from memory)", "the exponent 0.90, on every other row"
    ),
    "gypsum-guide-held-out": Source("the same guide, the rows that nothing was fitted to (from memory)"),
    "exterior-latex": Source(
        "product page of an exterior latex paint, Drying time, 77 °F and 35 °F, read 2026-11 (found)"
    ),
    "urethane-faq": Source(
        "a urethane coater's question page of 2010: a first coat that dries slowly, read 2026-11 (found)"
    ),
    "adhesive-maker": Source("a maker of waterborne adhesive: twice as long at 50 °F as at 70 °F (found)"),
    "homeowner-page": Source("a homeowner's page: joint compound 24 h at 70 °F and 70 % (found)"),
    "c1074": Source("ASTM C1074, equivalent age, worked apart from this code (Q from memory)"),
    "pot-life": Source("a polyester paste's sheet: pot life 60, 45, 30 min at 15, 20, 25 °C (found)", "49.5 kJ/mol"),
    "epoxy-rule": Source("an epoxy page: from 21 to 31 °C twice as fast, to 11 °C twice as slow (secondary)"),
    "marine-guide": Source("a marine painting guide: 10 °C twice 20 °C, 30 °C half (secondary)", "48 kJ/mol"),
    "varnish-maker": Source("a maker of oil varnish: cold sometimes doubles or triples the time (found)"),
    "ethanol": Source("vapour pressures of ethanol, CRC Handbook (from memory)"),
    "sealants": Source("two sealants' data sheets: 3 mm in a day, 7.5 mm in seven (found, secondary)"),
    "huisman": Source("Huisman and others, Physical Review Letters 131, 248102, 2023, abstract (found)", "80 %"),
    "ridge": Source("M. Ridge, Nature 184, 1959: plaster sets alike from 0 to 40 °C (abstract found)", "1 kJ/mol"),
    "data-sheets": Source("makers' data sheets and pages, counted, not named (found)", "the times of the profiles"),
    "hazard-years": Source("years of bans by country (found, some from memory)", "the same years"),
}


class _Counted:
    """A plugin that counts the marks of what is collected."""

    def __init__(self) -> None:
        self.checks: Counter[str] = Counter()

    def pytest_collection_finish(self, session: pytest.Session) -> None:
        for item in session.items:
            self.checks.update(str(mark.args[0]) for mark in item.iter_markers("source"))


def counted() -> Counter[str]:
    """How many checks each key has. Raises KeyError for a mark whose key is not in `SOURCES`."""
    plugin = _Counted()
    with redirect_stdout(StringIO()):
        folders = [str(ROOT / "tests" / room) for room in ("drying", "reading")]
        pytest.main(["--collect-only", "-q", "-p", "no:cacheprovider", *folders], plugins=[plugin])
    for key in plugin.checks:
        SOURCES[key]  # a key that is spelt wrong
    return plugin.checks


def main() -> int:
    """Print the table; 1 if a source has no check."""
    checks = counted()
    for key, source in SOURCES.items():
        fitted = f" [fitted: {source.fitted}]" if source.fitted else ""
        print(f"{checks[key]:5d}  {source.title}{fitted}")
    free = [key for key, source in SOURCES.items() if not source.fitted and checks[key]]
    print(
        f"{sum(checks.values()):5d}  checks against {len(SOURCES)} sources; nothing was fitted to {len(free)} of them"
    )
    return int(any(not checks[key] for key in SOURCES))


if __name__ == "__main__":
    sys.exit(main())
