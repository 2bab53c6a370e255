"""How long whole commands take, against the loading of the libraries that they are built on.

python -m tests.bench.startup [--rounds N] [--compiled]

Each round runs every command once, one after the other, so that a busy machine slows them alike; each has a folder of
its own with the hobby room in it. What is kept of the shipped profiles is there already, but for the first plan of
all. Seconds are medians over the rounds: those of the processor (user and system), and those on the clock. The ratios
are to `import networkx, pydantic, icalendar, typer, ruamel.yaml` in a bare interpreter.

Whether the package's own modules are compiled each time is left as it is here (PYTHONDONTWRITEBYTECODE); `--compiled`
keeps them compiled, as an installed package is.
"""

from __future__ import annotations

import argparse
import json
import os
import resource
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path
from statistics import median
from time import perf_counter
from typing import NamedTuple

EXAMPLE = Path(__file__).parents[2] / "examples" / "hobby-room"
LIBRARIES = "import networkx, pydantic, icalendar, typer, ruamel.yaml"
TACKFREE = "from scheduler.cli import main; main()"
AS_OF = ("--as-of", "2026-12-01")
BARE, COLD = "libraries", "first of all"


class Took(NamedTuple):
    """Seconds of one process."""

    processor: float
    clock: float


def commands(step: str) -> dict[str, list[str]]:
    """What is measured: the words of each command; `JOB` stands for a folder in which a plan is kept, `NEW` for one
    without. `step` is one that can be done."""
    return {
        BARE: [],
        "--help": ["--help"],
        COLD: ["plan", "NEW", *AS_OF],
        "plan": ["plan", "NEW", *AS_OF],
        "plan again": ["plan", "JOB", *AS_OF],
        "late": ["late", "JOB", "doors", "2027-03-04", *AS_OF],
        "did": ["did", "JOB", step, *AS_OF],
        "check": ["check", "NEW"],
        "diary": ["diary", "JOB", *AS_OF],
    }


def run(words: list[str], environment: Mapping[str, str]) -> Took:
    """One process from beginning to end. Raises CalledProcessError."""
    code = [TACKFREE, *words] if words else [LIBRARIES]
    before, begun = resource.getrusage(resource.RUSAGE_CHILDREN), perf_counter()
    subprocess.run([sys.executable, "-c", *code], check=True, capture_output=True, env=environment)
    clock, after = perf_counter() - begun, resource.getrusage(resource.RUSAGE_CHILDREN)
    return Took(after.ru_utime - before.ru_utime + after.ru_stime - before.ru_stime, clock)


def measure(rounds: int, work: Path, environment: Mapping[str, str]) -> dict[str, list[Took]]:
    """Each command once a round, after a first round that is not counted."""
    kept = work / "kept"
    _fresh(kept, EXAMPLE)
    run(["plan", str(kept), *AS_OF], environment)
    plan = json.loads((kept / "job.plan.json").read_text("utf-8"))["plan"]
    found: dict[str, list[Took]] = {}
    for number in range(rounds + 1):
        for name, words in commands(plan["steps"][0]["id"]).items():
            folder = work / "job"
            _fresh(folder, EXAMPLE if "NEW" in words else kept)
            said = [str(folder) if word in ("NEW", "JOB") else word for word in words]
            took = run(said, {**environment, "TACKFREE_CACHE": ""} if name == COLD else environment)
            if number:
                found.setdefault(name, []).append(took)
    return found


def _fresh(folder: Path, source: Path) -> None:
    shutil.rmtree(folder, ignore_errors=True)
    folder.mkdir()
    for file in ("job.yaml", "job.plan.json") if source != EXAMPLE else ("job.yaml",):
        shutil.copy(source / file, folder)


def table(found: Mapping[str, list[Took]]) -> str:
    """A row for each command: median seconds and their ratio to those of the libraries."""
    middle = {name: Took(*(median(part) for part in zip(*took, strict=True))) for name, took in found.items()}
    bare = middle[BARE]
    rows = [f"{'':12}{'processor':>11}{'ratio':>8}{'clock':>11}{'ratio':>8}"]
    for name, took in middle.items():
        processor, clock = took.processor / bare.processor, took.clock / bare.clock
        rows.append(f"{name:12}{took.processor:9.3f} s{processor:8.2f}{took.clock:9.3f} s{clock:8.2f}")
    return "\n".join(rows)


def main() -> None:
    """Measure and print."""
    options = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    options.add_argument("--rounds", type=int, default=9)
    options.add_argument("--compiled", action="store_true")
    asked = options.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        work = Path(folder)
        environment = {**os.environ, "TACKFREE_CACHE": str(work / "cache")}
        if asked.compiled:
            environment |= {"PYTHONPYCACHEPREFIX": str(work / "compiled"), "PYTHONDONTWRITEBYTECODE": ""}
        print(table(measure(asked.rounds, work, environment)))


if __name__ == "__main__":
    main()
