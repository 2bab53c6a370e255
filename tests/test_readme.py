"""No example in README.md that nobody ran: every console block is run in order, and its output compared.

A line that is only `…` stands for any number of lines left out. A block opened as ```yaml NAME is first written to
that file.
"""

from __future__ import annotations

from datetime import date
from pathlib import Path

import pytest

from scheduler.reading import starter_text
from tests.support.consoles import FILE, LEFT_OUT, agrees, blocks, renewed, run_all

README = FILE.read_text("utf-8")


def test_every_console_block_prints_what_it_shows(tmp_path: Path) -> None:
    """A reader who types what README shows sees what README shows (else: `python -m tests.support.consoles`)."""
    ran = 0
    for shown in run_all(README, tmp_path):
        assert agrees(shown.lines, shown.printed), f"$ {shown.command}\n" + "\n".join(shown.printed)
        ran += 1
    assert ran > 5, "the blocks were not found"


def test_what_is_shown_of_the_starter_is_in_it() -> None:
    """The values that README shows of the file of `tackfree starter … --kind repaint` stand there, in this order."""
    (shown,) = (block for block in blocks(README) if "  spare room:" in block.lines)
    written = starter_text("repaint", date(2026, 12, 1))
    assert agrees([LEFT_OUT, *shown.lines, LEFT_OUT], written.splitlines())


@pytest.mark.parametrize("words", ["tackfree plan", "pytest"])
def test_the_set_up_lines_are_one_line_each(words: str) -> None:
    """One line installs and plans the example, one line installs and runs the tests; CI takes them from here."""
    lines = [line for line in README.splitlines() if line.startswith("python3 -m venv") and words in line]
    assert len(lines) == 1


def test_the_comparison_can_fail() -> None:
    """The comparison of this file tells a wrong line, a missing line and a line too many."""
    assert agrees(["a", "…", "c"], ["a", "b", "c"])
    assert agrees(["a", "…"], ["a"])
    assert not agrees(["a", "c"], ["a", "b", "c"])
    assert not agrees(["a", "…", "d"], ["a", "b", "c"])
    assert not agrees([], ["a"])


def test_what_is_renewed_keeps_its_stretches() -> None:
    """Bringing README up to date shows the same parts of an output, with what they say now."""
    printed = ["head", "noise", "finish: 7 March", "on 8 days", "noise", "tail 1", "tail 2"]
    shown = ["head", "…", "finish: 6 March", "on 9 days", "…", "tail 1"]
    assert renewed(shown, printed) == ["head", "…", "finish: 7 March", "on 8 days", "…", "tail 1", "tail 2"]
    assert renewed(["old"], printed) == printed
    assert agrees(renewed(shown, printed), printed)
