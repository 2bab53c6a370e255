"""Random edits of job files with records: a plan every time, nothing recorded lost, nothing done planned again.

    python -m tests.bench.edits --edits 300 --seed 1 [--seconds 200]

Each job is drawn as in `tests.bench.histories`, lived for some records, then edited four to twelve times; an edit
that the reader refuses, or that leaves no plan for a job of which nothing is recorded, is drawn again. After
each edit:

- a plan comes, and the verifier finds no rule broken that is not told in it;
- the diary holds what it held;
- every step that is recorded stands in the plan as it was recorded, or among what the job has no longer;
- what an edit only renamed is known again, or asked about (these are counted).

Exits with 1 if anything failed.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Iterator
from pathlib import Path
from random import Random
from unittest.mock import patch

from scheduler.errors import InputError
from scheduler.living.change import Clock, Handing, hand_out, opened
from scheduler.living.site import Site, replan
from scheduler.model.refusal import NoPlanError
from scheduler.pipeline import Made, read
from tests.bench.histories import SHARES, drawn
from tests.support.histories import Teller, play
from tests.support.jobedits import edits

TRIES = 30
"""Edits of one job that may be refused in a row."""


def stands(site: Site, made: Made) -> Iterator[str]:
    """What of the record does not stand in a plan."""
    former = {each.name: each.pieces for each in made.plan.former}
    for name, pieces in site.standing.done.items():
        step = next((step for step in made.plan.steps if step.id == name), None)
        if step is None and former.get(name) != pieces:
            yield f"lost: {name}"
        elif step is not None and (step.state != "done" or step.pieces != pieces):
            yield f"planned again: {name}"
    for name, (pieces, _) in site.standing.begun.items():
        step = next((step for step in made.plan.steps if step.id == name), None)
        if step is None and former.get(name) != pieces:
            yield f"lost: {name}"
        elif step is not None and step.pieces[: len(pieces)] != pieces:
            yield f"begun, and planned as if not: {name}"
    if any(warning.kind.startswith("warned.broken") for warning in made.plan.warnings):
        yield "a rule is broken that is not told"


def lived(number: int, seed: int, wanted: int, counts: Counter[str]) -> Iterator[str]:
    """One job, edited up to twelve times; yields a line for each failure."""
    random = Random(f"{seed}/{number}")
    with tempfile.TemporaryDirectory() as base:
        case, story, _ = drawn(random, random.choice(SHARES), Path(base))
        pace = random.choice(((0, 60, 180), (540, 1440), (1440, 4320)))
        draw = Teller(random, case.told).next
        played = play(story, random.randint(2, 6), draw, lambda: random.choice(pace), patience=60)
        if any(each.kind.startswith(("no plan", "it takes", "crash")) for each in played.failures):
            return
        lost: set[str] = set()
        for _ in range(min(wanted, random.randint(4, 12))):
            before = story.file.read_text("utf-8")
            had = story.diary
            made = _tried(random, story.file, story.first, before, counts)
            if made is None:
                return
            kind, said, site, found = made
            counts["edits"] += 1
            for wrong in (
                *stands(site, found),
                *(["the diary lost a line"] if story.diary[: len(had)] != had else ()),
            ):
                yield f"{number} ({case.kind}), {said}: {wrong}"
            known, lost = lost, {name for _, name in site.lost_names}
            if kind == "rename":
                counts["renames"] += 1
                counts["renames asked about"] += bool(lost - known)
                if lost - known:
                    print(
                        f"{number} ({case.kind}), {said}: asked about {', '.join(sorted(lost - known))}", flush=True
                    )
            counts["names no longer in the job"] += len(lost - known)


def _tried(
    random: Random, file: Path, first: int, before: str, counts: Counter[str]
) -> tuple[str, str, Site, Made] | None:
    """The first of some edits that the reader takes, with the plan after it handed out. Raises what planning does."""
    tries = edits(random, before)
    for _ in range(TRIES):
        kind, said, text = next(tries)
        file.write_text(text, encoding="utf-8")
        recorded = True
        try:
            now = max(first, read(file)[0].start)
            clock = Clock(of=lambda _, now=now: now, shows=lambda _, now=now: now, told=False)  # type: ignore[misc]
            with opened(file, clock, keep=True) as (site, moment):
                recorded = site.standing.recorded
                made = replan(site, moment)
                hand_out(site, made, moment, Handing(), wish=site.wish)
                return kind, said, site, made
        except InputError:
            counts["refused by the reader"] += 1
        except NoPlanError:
            if recorded:
                raise
            counts["no plan, and nothing recorded"] += 1
        file.write_text(before, encoding="utf-8")
    return None


def run(number_of_edits: int, seed: int, seconds: float = 1e9) -> tuple[Counter[str], list[str]]:
    """So many edits: the counts, and a line for each failure."""
    counts: Counter[str] = Counter()
    failures: list[str] = []
    begun, number = time.perf_counter(), 0
    while counts["edits"] < number_of_edits and time.perf_counter() - begun < seconds:
        try:
            failures += lived(number, seed, number_of_edits - counts["edits"], counts)
        except Exception as error:
            where = traceback.extract_tb(error.__traceback__)[-1]
            failures.append(f"{number}: {type(error).__name__} in {where.filename}:{where.lineno}: {error}")
        number += 1
        counts["jobs"] = number
    return counts, failures


def main() -> None:
    """Draw, edit, check, print."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--edits", type=int, default=300)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--seconds", type=float, default=1e9, help="no new job after so many seconds")
    asked = ask.parse_args()
    with tempfile.TemporaryDirectory() as cache, patch.dict(os.environ, TACKFREE_CACHE=cache):
        counts, failures = run(asked.edits, asked.seed, asked.seconds)
    for name, count in counts.items():
        print(f"{count:6} {name}")
    print(f"{len(failures):6} failures")
    print("\n".join(failures))
    sys.exit(1 if failures else 0)


if __name__ == "__main__":
    main()
