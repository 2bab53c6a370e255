"""How long plans of few steps take: those of jobs that are nearly done, and ordinary ones of small jobs.

    python -m tests.bench.small --jobs 60 --seed 1 [--seconds 300]

Random jobs of up to 25 steps are planned with the usual effort, then lived through, drawn as in
`tests.bench.histories`, until six to nine steps are open. What is left is planned from nothing, as often as such a
state comes in that life. Printed: that plan's time against the one that the job had to begin with, and how many of
the two are proven; and of all ordinary plans the slowest against the median. Times are processor time, START being
what either takes before it is planned.
"""

from __future__ import annotations

import argparse
import os
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from random import Random
from statistics import median
from unittest.mock import patch

from scheduler.errors import TackfreeError
from scheduler.living.site import Site, replan
from scheduler.model.plan import Plan
from scheduler.solver.search import DEFAULT_EFFORT
from scheduler.wallclock import DAY
from tests.bench.histories import write_job
from tests.bench.refusals import START
from tests.support.histories import Story, Teller, TooLongError, at_most
from tests.support.manyjobs import random_job

MOST_STEPS = 25
FEW = range(6, 10)
RECORDS = 40
PATIENCE = 120
"""Seconds of work after which a plan is given up."""


@dataclass(frozen=True)
class Timed:
    """One plan: of which job, with how many steps to do, in what time, and whether its finish is proven."""

    job: int
    steps: int
    seconds: float
    proven: bool
    ordinary: float = 0.0

    @property
    def ratio(self) -> float:
        """To the ordinary plan of that job."""
        return (START + self.seconds) / (START + self.ordinary)


def left(site: Site, plan: Plan) -> int:
    """How many steps are still to do."""
    return sum(step.id not in site.standing.done and bool(step.pieces) for step in plan.steps)


def timed(number: int, site: Site, now: int, ordinary: float) -> Timed:
    """A plan from nothing of what is left."""
    begun = time.process_time()
    plan = replan(site.anew(), now).plan
    seconds = time.process_time() - begun
    return Timed(number, left(site, plan), seconds, plan.bound.proven, ordinary)


def lived(number: int, seed: int) -> Iterator[Timed]:
    """The ordinary plan of one job, and those of its life with few steps left."""
    random = Random(f"small/{seed}/{number}")
    text, beside = random_job(random)
    with tempfile.TemporaryDirectory() as folder:
        story = Story(write_job(Path(folder, "job"), text, beside), DEFAULT_EFFORT, 0, told=True)
        story.first = now = story._job[0].start - DAY
        with at_most(PATIENCE):
            story.begin()
        if left(story.site, story.plan) > MOST_STEPS:
            return
        proven = story.plan.bound.proven
        yield Timed(number, left(story.site, story.plan), story.ordinary, proven)
        teller, site, plan = Teller(random, told=True), story.site, story.plan
        for _ in range(RECORDS):
            now += random.choice((60, 540, DAY))
            said = teller.next(site, plan, now)
            try:
                with at_most(PATIENCE):
                    result = story.record(said)
            except TackfreeError:
                continue
            site, plan = result.site, result.made.plan
            if left(site, plan) in FEW:
                with at_most(PATIENCE):
                    yield timed(number, site, result.now, story.ordinary)
            if left(site, plan) < FEW[0]:
                return


def main() -> None:
    """Draw, plan, live, print."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--jobs", type=int, default=60)
    ask.add_argument("--first", type=int, default=0)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--seconds", type=float, default=1e9, help="no new job after so many seconds")
    asked = ask.parse_args()
    ordinary: list[Timed] = []
    few: list[Timed] = []
    begun, given_up = time.perf_counter(), 0
    with tempfile.TemporaryDirectory() as cache, patch.dict(os.environ, TACKFREE_CACHE=cache):
        for number in range(asked.first, asked.first + asked.jobs):
            if time.perf_counter() - begun > asked.seconds:
                break
            try:
                for one in lived(number, asked.seed):
                    (few if one.ordinary else ordinary).append(one)
            except TooLongError:
                given_up += 1
                print(f"job {number}: given up after {PATIENCE} s", flush=True)
            except TackfreeError:
                continue  # no plan to begin with
    print(f"{len(ordinary)} jobs of up to {MOST_STEPS} steps, {given_up} given up")
    if ordinary:
        slowest = max(ordinary, key=lambda one: one.seconds)
        middle = median(one.seconds for one in ordinary)
        print(
            f"ordinary plans: proven {sum(one.proven for one in ordinary)}, median {middle:.2f} s, slowest"
            f" {slowest.seconds:.2f} s (job {slowest.job}, {slowest.steps} steps): {slowest.seconds / middle:.1f}"
            f" times, with the start {(START + slowest.seconds) / (START + middle):.1f}"
        )
    if few:
        ratios = sorted(one.ratio for one in few)
        worst = max(few, key=lambda one: one.ratio)
        print(
            f"{FEW[0]} to {FEW[-1]} steps left: {len(few)} states, proven {sum(one.proven for one in few)}, ratio"
            f" median {median(ratios):.2f}, nine in ten {ratios[len(ratios) * 9 // 10]:.2f}, most {ratios[-1]:.2f}"
            f" (job {worst.job}: {worst.seconds:.2f} s, ordinary {worst.ordinary:.2f} s)"
        )
        above = [one for one in few if one.ratio > 2]
        print(f"above twice: {len(above)}: {[(one.job, round(one.ratio, 1), one.proven) for one in above]}")


if __name__ == "__main__":
    main()
