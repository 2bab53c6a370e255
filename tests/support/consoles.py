"""The console blocks of the four README files: run, compared, and brought up to date.

    python -m tests.support.consoles [FILE...]

rewrites them (or those that are named) with what their commands print now; then read the difference. Where a
block leaves lines out, each stretch that is shown is found again by likeness and keeps its number of lines; one at
the end runs to the end. Each file is a walk of its own: it begins in a folder with nothing but the examples.
"""

from __future__ import annotations

import os
import re
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from difflib import SequenceMatcher
from pathlib import Path

ROOT = Path(__file__).parent.parent.parent
FRONT = ROOT / "README.md"
FILES = (FRONT, *(ROOT / room / "README.md" for room in ("examples", "profiles", "tests")))
"""What a newcomer reads: the front page, and a page for each folder that is not code."""
PROGRAMS = {"tackfree": str(Path(sys.executable).with_name("tackfree")), "python": sys.executable}
"""What the commands may begin with, and what that is here."""
LEFT_OUT = "…"


@dataclass(frozen=True)
class Block:
    """One fenced block: its language, the file it goes to (if any), its lines, and the number of the first."""

    language: str
    file: str
    lines: tuple[str, ...]
    first: int


@dataclass(frozen=True)
class Shown:
    """One command with the lines shown under it and the lines it printed; the first shown line is number `first`."""

    command: str
    lines: tuple[str, ...]
    printed: tuple[str, ...]
    first: int


def blocks(text: str) -> Iterator[Block]:
    """Every fenced block of a Markdown text."""
    for match in re.finditer(r"(?ms)^```(\w*)[ ]?([^\n]*)\n(.*?)^```$", text):
        yield Block(match[1], match[2].strip(), tuple(match[3].splitlines()), text.count("\n", 0, match.start(3)))


def commands(text: str) -> list[str]:
    """What is typed in the console blocks of a text, in order."""
    return [line for block in blocks(text) if block.language == "console" for line in block.lines if line[:2] == "$ "]


def run_all(text: str, folder: Path) -> Iterator[Shown]:
    """Run the console blocks in order, in a folder with the examples, as they are on a terminal of 80 columns."""
    left = shutil.ignore_patterns("*.plan.json", "*.diary.jsonl", ".*")
    shutil.copytree(ROOT / "examples", folder / "examples", ignore=left)
    for block in blocks(text):
        if block.file:
            file = folder / block.file
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text("\n".join(block.lines) + "\n", "utf-8")
        if block.language == "console":
            yield from _run(block, folder)


def _run(block: Block, folder: Path) -> Iterator[Shown]:
    starts = [number for number, line in enumerate(block.lines) if line.startswith("$ ")]
    for start, stop in zip(starts, [*starts[1:], len(block.lines)], strict=True):
        command = block.lines[start].removeprefix("$ ")
        program, _, words = command.partition(" ")
        assert program in PROGRAMS, command
        environ = {**os.environ, "TZ": "America/Denver", "COLUMNS": "80", "PYTHONIOENCODING": "utf-8"}
        if program == "python":  # it is typed in the checkout, where `tests` is found
            environ["PYTHONPATH"] = str(ROOT)
        done = subprocess.run(
            f"'{PROGRAMS[program]}' {words}",
            shell=True,
            cwd=folder,
            env=environ,
            capture_output=True,
            text=True,
            encoding="utf-8",
            stdin=subprocess.DEVNULL,
            check=False,
        )
        printed = tuple(line.rstrip() for line in (done.stdout + done.stderr).splitlines())
        yield Shown(command, block.lines[start + 1 : stop], printed, block.first + start + 1)


def agrees(shown: Sequence[str], printed: Sequence[str]) -> bool:
    """Whether the lines shown are the lines printed, each `…` standing for any number of them."""
    pattern = "".join(
        r"(?:.*\n)*?" if line.strip() == LEFT_OUT else re.escape(line.rstrip()) + r"\n" for line in shown
    )
    return re.fullmatch(pattern, "".join(line.rstrip() + "\n" for line in printed)) is not None


def renewed(shown: Sequence[str], printed: Sequence[str]) -> list[str]:
    """What is to be shown now: the same stretches of what is printed, found by likeness."""
    if LEFT_OUT not in shown:
        return list(printed)
    stretches: list[list[str]] = [[]]
    for line in shown:
        if line == LEFT_OUT:
            stretches.append([])
        else:
            stretches[-1].append(line)
    found = list(printed[: len(stretches[0])])
    at = len(found)
    for number, stretch in enumerate(stretches[1:], start=1):
        found.append(LEFT_OUT)
        if stretch:
            begin = _likest(stretch, printed, at)
            at = len(printed) if number == len(stretches) - 1 else begin + len(stretch)
            found += printed[begin:at]
    return found


def _likest(stretch: Sequence[str], printed: Sequence[str], at: int) -> int:
    """Where, from `at` on, the printed lines are most like a stretch."""
    wanted = "\n".join(stretch)

    def likeness(begin: int) -> float:
        return SequenceMatcher(None, wanted, "\n".join(printed[begin : begin + len(stretch)]), autojunk=False).ratio()

    return max(range(at, max(len(printed) - len(stretch), at) + 1), key=likeness)


def renew(file: Path) -> None:
    """Bring one file up to date, and say which of its commands now show something else."""
    text = file.read_text("utf-8")
    lines = text.splitlines()
    with tempfile.TemporaryDirectory() as folder:
        for shown in reversed(list(run_all(text, Path(folder)))):
            if not agrees(shown.lines, shown.printed):
                print(f"{file}: renewed: {shown.command}")
                lines[shown.first : shown.first + len(shown.lines)] = renewed(shown.lines, shown.printed)
    file.write_text("\n".join(lines) + "\n", "utf-8")


def main() -> None:
    for file in [Path(name) for name in sys.argv[1:]] or FILES:
        renew(file)


if __name__ == "__main__":
    main()
