"""The search on published instances: how far from the optimum, or above the critical path, on average.

    python -m tests.bench.psplib FOLDER [--optimum CSV] --schedules N [--every K] [--seed S]

reads the .rcp files of the folder (Patterson form: line 1 the number of activities and of resources, line 2 the
capacities, then for each activity its duration, its demands, the number of its successors and the successors
counted from 1), makes a `Problem` of each and plans it as any job is planned, with at most N schedules. One
schedule is one pass, forwards or backwards, that gives every activity a start. Prints, last, one JSON line.
"""

from __future__ import annotations

import argparse
import csv
import json
import time
from concurrent.futures import ProcessPoolExecutor
from functools import partial
from pathlib import Path
from statistics import mean

from scheduler.solver.conflicts import Stuck
from scheduler.solver.problem import Activity, Problem, Slot, Wait
from scheduler.solver.search import search

FOREVER = 1 << 40
"""More placements than any of these runs makes: only the schedules are limited."""


def read(path: Path) -> Problem:
    """The instance in a file. Time is in its own units, from 0; one slot that is long enough for any order."""
    numbers = [int(word) for word in path.read_text(encoding="ascii").split()]
    size, resources = numbers[:2]
    capacity = tuple(numbers[2 : 2 + resources])
    at = 2 + resources
    activities, waits = [], []
    for i in range(size):
        minutes, demand = numbers[at], tuple(numbers[at + 1 : at + 1 + resources])
        followers = numbers[at + 2 + resources : at + 2 + resources + numbers[at + 1 + resources]]
        at += 2 + resources + len(followers)
        activities.append(Activity(minutes=minutes, smallest=None, demand=demand, release=0))
        waits += [Wait(before=i, after=j - 1) for j in followers]
    longest = sum(activity.minutes for activity in activities)
    return Problem(activities=tuple(activities), waits=tuple(waits), slots=(Slot(0, longest, capacity),))


def critical_path(problem: Problem) -> int:
    """The longest chain of durations. In these files every successor has a higher number."""
    ends = [activity.minutes for activity in problem.activities]
    for wait in sorted(problem.waits, key=lambda wait: wait.before):
        ends[wait.after] = max(ends[wait.after], ends[wait.before] + problem.activities[wait.after].minutes)
    return max(ends)


def solve(path: Path, schedules: int, seed: int) -> tuple[str, int, int, bool, int]:
    """Name, makespan, critical path, whether the search proved the makespan itself, schedules made."""
    problem = read(path)
    result = search(problem, FOREVER, seed, schedules=schedules)
    assert not isinstance(result, Stuck), f"{path.name}: {result}"
    makespan = result.placement.finish
    return path.stem, makespan, critical_path(problem), result.finish_not_before == makespan, result.schedules


def optima(path: Path) -> dict[str, int]:
    """The makespans of a table with the columns instance and makespan."""
    lines = [line for line in path.read_text(encoding="utf-8").splitlines() if not line.startswith("#")]
    return {row["instance"]: int(row["makespan"]) for row in csv.DictReader(lines)}


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.psplib")
    parser.add_argument("folder", type=Path)
    parser.add_argument("--optimum", type=Path)
    parser.add_argument("--schedules", type=int, default=5000)
    parser.add_argument("--every", type=int, default=1, help="only every K-th file")
    parser.add_argument("--seed", type=int, default=0)
    parser.add_argument("--processes", type=int, default=2)
    asked = parser.parse_args()
    paths = sorted(asked.folder.glob("*.rcp"))[:: asked.every]
    if not paths:
        parser.error(f"no .rcp files in {asked.folder}")
    known = optima(asked.optimum) if asked.optimum else {}
    begun = time.perf_counter()
    with ProcessPoolExecutor(asked.processes) as pool:
        found = list(pool.map(partial(solve, schedules=asked.schedules, seed=asked.seed), paths))
    seconds = time.perf_counter() - begun
    goals = [known[name] if known else path for name, _, path, _, _ in found]
    deviations = [100 * (makespan - goal) / goal for (_, makespan, _, _, _), goal in zip(found, goals, strict=True)]
    made = sum(schedules for *_, schedules in found)
    proven = mean(proven for _, _, _, proven, _ in found)
    print(f"{len(found)} instances, {seconds:.0f} s, {made} schedules made, {made / seconds:.0f} a second")
    print(f"makespan proven by the bound: {proven:.1%}")
    print(
        json.dumps(
            {
                "instances": len(found),
                "schedules": asked.schedules,
                "mean_deviation_percent": round(mean(deviations), 4),
                "solved_share": round(mean(deviation <= 0 for deviation in deviations), 4),
                "against": "optimum" if known else "critical path",
            }
        )
    )


if __name__ == "__main__":
    main()
