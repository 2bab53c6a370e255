"""Random jobs like ours, planned by the search and asked of the oracle: how near to the optimum, how often proven.

    python -m tests.bench.proof --jobs 200 --seed 1 [--effort N] [--oracle S] [--every K] [--answers FILE]

The oracle is told the finish that the search found and looks for one no later, for at most S of its own
deterministic seconds a job. Where it proves an optimum, ours is held against it. Prints a line for each job that it
could not prove or that differs, then the table. Times are processor time.

The oracle takes hours for all of them. With a file its answers are kept there, a line of JSON each, and not asked for
again: an optimum stays one. What it could not answer is taken from there too if it was given as much time.
"""

from __future__ import annotations

import argparse
import json
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass
from functools import partial
from pathlib import Path
from statistics import median

from scheduler.solver.conflicts import Stuck
from scheduler.solver.search import DEFAULT_EFFORT, search
from tests.bench import oracle
from tests.bench.jobs import job

DAY = 24 * 60


@dataclass(frozen=True)
class Compared:
    """One job: what the search found and proved, what the oracle says, and the seconds of each."""

    seed: int
    finish: int
    bound: int
    seconds: float
    answer: oracle.Answer


def compare(seed: int, effort: int, patience: float, known: dict[int, oracle.Answer]) -> Compared:
    """Plan the job with this number, then ask the oracle, unless its answer is known."""
    problem = job(seed)
    begun = time.process_time()
    result = search(problem, effort)
    seconds = time.process_time() - begun
    assert not isinstance(result, Stuck), f"job {seed}: {result}"
    finish = result.placement.finish
    answer = known.get(seed) or oracle.ask(problem, by=finish, effort=patience)
    return Compared(seed, finish, result.finish_not_before, seconds, answer)


def kept(file: Path | None, patience: float) -> dict[int, oracle.Answer]:
    """The answers of the oracle in a file, by job: optima, and what it did not find in so much time."""
    lines = file.read_text().splitlines() if file is not None and file.exists() else []
    answers = {}
    for line in lines:
        entry = json.loads(line)
        if entry["status"] == "optimal" or (entry["status"] == "unknown" and entry["effort"] >= patience):
            answers[entry["seed"]] = oracle.Answer(*(entry[name] for name in oracle.Answer.__annotations__))
    return answers


def table(found: list[Compared]) -> list[str]:
    """The table, a line each."""
    solved = [one for one in found if one.answer.status == "optimal"]
    ours = [one for one in found if one.bound >= one.finish]

    def share(count: int, of: int) -> str:
        return f"{count} of {of} ({count / max(of, 1):.1%})"

    none = sum(one.answer.status == "infeasible" for one in found)
    minute = sum(one.finish <= one.answer.finish + 1 for one in solved)
    day = sum(one.bound // DAY == one.finish // DAY for one in found)
    same_day = sum(one.finish // DAY == one.answer.finish // DAY for one in solved)
    return [
        f"jobs                                    {len(found)}",
        f"optimum proven by the oracle            {share(len(solved), len(found))}",
        f"  ours within a minute of it            {share(minute, len(solved))}",
        f"  ours on the same day                  {share(same_day, len(solved))}",
        f"  ours earlier than it (an error)       {sum(one.finish < one.answer.finish for one in solved)}",
        f"  none by our finish at all (an error)  {none}",
        f"our bound proves the minute             {share(len(ours), len(found))}",
        f"our bound proves the day                {share(day, len(found))}",
        f"our bound past the optimum (an error)   {sum(one.bound > one.answer.finish for one in solved)}",
        f"median seconds, ours                    {median(one.seconds for one in found):.2f}",
        f"median seconds, oracle                  {median(one.answer.seconds for one in found):.2f}",
    ]


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.proof")
    parser.add_argument("--jobs", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1, help="the number of the first job")
    parser.add_argument("--every", type=int, default=1, help="only every K-th job")
    parser.add_argument("--effort", type=int, default=DEFAULT_EFFORT)
    parser.add_argument("--oracle", type=float, default=60.0, help="deterministic seconds of the oracle for each job")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument("--answers", type=Path, help="where the answers of the oracle are kept")
    asked = parser.parse_args()
    seeds = range(asked.seed, asked.seed + asked.jobs, asked.every)
    found, known = [], kept(asked.answers, asked.oracle)
    ask = partial(compare, effort=asked.effort, patience=asked.oracle, known=known)
    with ProcessPoolExecutor(asked.processes) as pool:
        for one in pool.map(ask, seeds):
            found.append(one)
            if asked.answers is not None and one.seed not in known:
                with asked.answers.open("a") as lines:
                    print(json.dumps({"seed": one.seed, "effort": asked.oracle, **asdict(one.answer)}), file=lines)
            if one.answer.status != "optimal" or one.finish != one.answer.finish or one.bound < one.finish:
                print(
                    f"job {one.seed}: ours {one.finish}, not before {one.bound}, {one.seconds:.2f} s;"
                    f" oracle {one.answer.status} {one.answer.finish}, not before {one.answer.bound},"
                    f" {one.answer.seconds:.2f} s",
                    flush=True,
                )
    print("\n".join(table(found)))


if __name__ == "__main__":
    main()
