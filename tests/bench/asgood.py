"""After every record the plan is as good as one from nothing: random histories, each plan held against a fresh one.

    python -m tests.bench.asgood --jobs 300 --seed 1 [--records 2..8] [--seconds 200]

Jobs and records are those of `tests.bench.histories`. After each record the plan that follows, which stays close to
the one handed out before, is compared with one of the same diary for which nothing had been handed out, sought with
the same effort: in what it breaks, its promises, its end, its days on site. And each step that has moved is put back
alone to where it was: if no rule is broken then, by a check that shares nothing with the planner, and no aim before
closeness is worse, it was moved for nothing. Exits with 1 if a plan was worse, or a step moved for nothing.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from collections import Counter
from dataclasses import replace
from pathlib import Path
from random import Random
from unittest.mock import patch

from scheduler.errors import InputError
from scheduler.living.site import replan
from scheduler.model.plan import Plan
from scheduler.model.refusal import NoPlanError
from scheduler.pipeline import Made, Wish, _standing
from scheduler.solver.objective import aim_of
from scheduler.wallclock import local_date
from tests.bench.histories import SHARES, drawn
from tests.support.histories import Story, Teller, TooLongError, at_most
from tests.support.placement_check import faults

PATIENCE = 30
"""Seconds of work after which a record is passed over."""


def aims(story: Story, plan: Plan) -> tuple[int, int, int, int]:
    """Rules given up, minutes by which promises are broken, the end, days on site: less is better, in this order."""
    ahead = {local_date(session.start, story.zone) for session in plan.sessions if session.end > plan.as_of}
    return len(plan.broken), sum(each.late for each in plan.promises), plan.finish, len(ahead)


def for_nothing(made: Made, counts: Counter[str]) -> list[str]:
    """The steps that have moved and could as well be where they were, all others being where they are now."""
    stands = _standing(made.ground, made.answer, Wish(), made.ground.busy)
    if stands is None:
        counts["plans not looked at for moves"] += 1
        return []
    _, lowered, result = stands
    problem, placement = lowered.problem, result.placement
    aim, found = aim_of(problem, placement), []
    broken = set(faults(problem, placement))
    for i, former in enumerate(problem.stay or ()):
        mine = placement.pieces[i]
        if not former or not mine or tuple(mine) == tuple(former) or problem.activities[i].fixed:
            continue
        counts["steps moved"] += 1
        pieces = (*placement.pieces[:i], tuple(former), *placement.pieces[i + 1 :])
        back = replace(placement, pieces=pieces)
        if aim_of(problem, back)[:4] <= aim[:4] and set(faults(problem, back)) <= broken:
            found.append(lowered.names[i])
    return found


def lived(number: int, seed: int, records: tuple[int, int], counts: Counter[str]) -> list[str]:
    """One history; a line for each plan that is worse than a fresh one."""
    random = Random(f"asgood/{seed}/{number}")
    worse = []
    with tempfile.TemporaryDirectory() as base:
        case, story, _ = drawn(random, random.choice(SHARES), Path(base))
        teller, now = Teller(random, case.told), story.first
        plan, site = story.plan, story.site
        pace = random.choice(((0, 60, 180), (540, 1440), (1440, 4320)))
        for _ in range(random.randint(*records)):
            now += random.choice(pace)
            said = teller.next(site, plan, now)
            try:
                with at_most(PATIENCE):
                    result = story.record(said)
                    fresh = replan(result.site.anew(), result.now)
            except InputError:
                continue
            except (NoPlanError, TooLongError):
                break
            site, plan = result.site, result.made.plan
            counts["plans"] += 1
            worse += [
                f"{number} ({case.kind}), {said.command} {said.names}: {name} moved for nothing"
                for name in for_nothing(result.made, counts)
            ]
            ours, theirs = aims(story, plan), aims(story, fresh.plan)
            counts["better than from nothing"] += ours < theirs
            if ours > theirs:
                worse.append(f"{number} ({case.kind}), {said.command} {said.names}: {ours} and not {theirs}")
    return worse


def main() -> None:
    """Draw, live, compare, print."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--jobs", type=int, default=300)
    ask.add_argument("--first", type=int, default=0)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--records", default="2..8", help="from how many to how many")
    ask.add_argument("--seconds", type=float, default=1e9, help="no new job after so many seconds")
    asked = ask.parse_args()
    least, _, most = asked.records.partition("..")
    counts: Counter[str] = Counter()
    worse: list[str] = []
    begun = time.perf_counter()
    with tempfile.TemporaryDirectory() as cache, patch.dict(os.environ, TACKFREE_CACHE=cache):
        for number in range(asked.first, asked.first + asked.jobs):
            if time.perf_counter() - begun > asked.seconds:
                break
            found = lived(number, asked.seed, (int(least), int(most or least)), counts)
            counts["jobs"] += 1
            worse += found
            print("\n".join(found), end="\n" if found else "", flush=True)
    for name, count in counts.items():
        print(f"{count:6} {name}")
    print(f"{len(worse):6} worse than from nothing, or moved for nothing")
    sys.exit(1 if worse else 0)


if __name__ == "__main__":
    main()
