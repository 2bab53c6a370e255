"""No example in README.md that nobody ran: every console block is run in order, and its output compared.

A line that is only `…` stands for any number of lines left out. A block opened as ```yaml NAME is first written to
that file.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import pytest

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text("utf-8")
TACKFREE = Path(sys.executable).with_name("tackfree")


@dataclass(frozen=True)
class Block:
    """One fenced block: its language, the file it is to be written to (if any), its lines."""

    language: str
    file: str
    lines: tuple[str, ...]


def blocks() -> Iterator[Block]:
    for match in re.finditer(r"(?ms)^```(\w*)[ ]?([^\n]*)\n(.*?)^```$", README):
        yield Block(match[1], match[2].strip(), tuple(match[3].splitlines()))


def commands(block: Block) -> Iterator[tuple[str, list[str]]]:
    """Each command of a console block with the output shown under it."""
    command, shown = "", list[str]()
    for line in block.lines:
        if line.startswith("$ "):
            if command:
                yield command, shown
            command, shown = line[2:], []
        else:
            shown.append(line)
    if command:
        yield command, shown


def agrees(shown: list[str], printed: list[str]) -> bool:
    """Whether the lines shown are the lines printed, each `…` standing for any number of them."""
    pattern = "".join(r"(?:.*\n)*?" if line.strip() == "…" else re.escape(line.rstrip()) + r"\n" for line in shown)
    return re.fullmatch(pattern, "".join(line.rstrip() + "\n" for line in printed)) is not None


def test_every_console_block_prints_what_it_shows(tmp_path: Path) -> None:
    """A reader who types what README shows sees what README shows."""
    shutil.copytree(
        ROOT / "examples", tmp_path / "examples", ignore=shutil.ignore_patterns("*.plan.json", "*.diary.jsonl", ".*")
    )
    env = {**os.environ, "TZ": "America/Denver", "COLUMNS": "80", "PYTHONIOENCODING": "utf-8"}
    ran = 0
    for block in blocks():
        if block.file:
            file = tmp_path / block.file
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text("\n".join(block.lines) + "\n", "utf-8")
        if block.language != "console":
            continue
        for command, shown in commands(block):
            assert command.startswith("tackfree "), command
            done = subprocess.run(
                f"'{TACKFREE}' {command.removeprefix('tackfree ')}",
                shell=True,
                cwd=tmp_path,
                env=env,
                capture_output=True,
                text=True,
                encoding="utf-8",
                stdin=subprocess.DEVNULL,
                check=False,
            )
            printed = (done.stdout + done.stderr).splitlines()
            assert agrees(shown, printed), f"$ {command}\n" + "\n".join(printed)
            ran += 1
    assert ran > 5, "the blocks were not found"


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
