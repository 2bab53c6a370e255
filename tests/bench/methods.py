"""Every method planned alone and in its usual company, and random methods on random parts of random rooms.

    python -m tests.bench.methods [--table | --rooms 200 --first 0] [--seed 1] [--seconds 900]

The table has a line a job: what is done, how many steps and sessions come of it, when it ends; below it every pair
of its steps that stands the wrong way round by a rule of profiles/order.yaml, which is read and applied by code of
its own. For a random room: is every method that it names a step of the plan, or a fault at its line; is every rule
kept, by the verifier and by that code; is there a step that waits for nothing. Exits with 1 if anything was found.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import Counter
from collections.abc import Iterator
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

from ruamel.yaml import YAML

from scheduler.errors import InputError
from scheduler.model.facts import Facts
from scheduler.model.refusal import NoPlanError
from scheduler.pipeline import Wish, make_plan
from scheduler.reading.methods import read_methods
from scheduler.telling.refused import refused
from scheduler.wallclock import to_datetime
from tests.support.methodrooms import ALONE, COMPANY, Planned, drawn, job_text, missing, unordered
from tests.support.scoped import unfolded
from tests.support.told import breaks


def planned(text: str, wish: Wish | None = None) -> Planned:
    """The plan of a job file. Raises InputError for one that is wrong, NoPlanError for one that has no plan."""
    job, trade = unfolded(text)
    made = make_plan(job, trade, Facts(now=job.start), wish)
    return Planned(plan=made.plan, scope=YAML(typ="safe").load(text)["scope"])


def found(one: Planned) -> Iterator[str]:
    """All that a tradesperson, or whoever asks why, would object to in a plan."""
    yield from missing(one)
    yield from unordered(one)
    yield from breaks(one.plan)
    yield from (f"{step.id} waits for nothing" for step in one.plan.steps if step.held.kind == "held.nothing")


def line(name: str, text: str) -> tuple[str, list[str]]:
    """The row of a job in the table, and what was found."""
    try:
        one = planned(text)
    except InputError as error:
        return f"| {name} | refused |", [str(error)]
    except NoPlanError as error:
        return f"| {name} | refused |", [refused(error).short]
    objections = list(found(one))
    end = to_datetime(one.plan.finish, ZoneInfo("America/Denver"))
    cells = (name, len(one.plan.steps), len(one.plan.sessions), f"{end:%a %d %b %H:%M}", len(objections) or "none")
    return f"| {' | '.join(map(str, cells))} |", objections


def table() -> bool:
    """Print every method alone and in company; whether nothing was found."""
    print("| job | steps | sessions | done | objections |\n| --- | --- | --- | --- | --- |")
    clean = True
    for name in read_methods(None).loaded:
        for title, scope in ((name.replace("-", " "), ALONE[name]), (f"{name} in company", COMPANY.get(name))):
            if scope is None:
                continue
            row, objections = line(title, job_text(scope))
            print(row, *(f"  - {each}" for each in objections), sep="\n", flush=True)
            clean = clean and not objections
    return clean


def rooms(count: int, seed: int, seconds: float, first: int = 0) -> tuple[Counter[str], list[str]]:
    """So many random rooms from the first one on, or as many as there is time for: what became of them, and what was
    found."""
    counts: Counter[str] = Counter()
    failures: list[str] = []
    until = time.monotonic() + seconds
    for number in range(first, first + count):
        if time.monotonic() > until:
            break
        text = drawn(Random(f"{seed}/{number}"))
        try:
            one = planned(text, Wish(effort=1))
        except InputError as error:
            counts["a fault at a line"] += 1
            failures += [f"{seed}/{number}: no line: {each}" for each in error.faults if not each.place.line]
        except NoPlanError as error:
            counts["no plan"] += 1
            failures.append(f"{seed}/{number}: {refused(error).short}")
        else:
            counts["planned"] += 1
            counts["steps"] += len(one.plan.steps)
            failures += [f"{seed}/{number}: {each}" for each in found(one)]
    return counts, failures


def main() -> int:
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("--rooms", type=int, default=200)
    parser.add_argument("--first", type=int, default=0, help="number of the first room")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--seconds", type=float, default=900)
    parser.add_argument("--table", action="store_true", help="the table alone")
    said: Any = parser.parse_args()
    if said.table:
        return 0 if table() else 1
    counts, failures = rooms(said.rooms, said.seed, said.seconds, said.first)
    print(dict(counts), *failures, sep="\n")
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
