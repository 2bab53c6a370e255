"""Random jobs with few hours: is every "no plan is possible" true, and does it name what is really in the way?

    python -m tests.bench.refusals --jobs 500 --seed 1 [--oracle S]

Each job file is planned as by `tackfree plan`. A refusal is asked again of OR-Tools CP-SAT (`tests.bench.oracle`, for
S of its deterministic seconds): it must find no placement in WEEKS weeks either; after the dates of these jobs, which
all lie in the first of them, the same hours come again every week. Every set of entries that was named must be really
minimal: with all other entries left out the oracle finds none (with pieces of GRAIN minutes at least), and with any
one of the set left out as well there is a placement, which is checked by `tests.support.placement_check`. A plan must
break no rule of the verifier. Times are processor time; an ordinary plan of a job that cannot be done is that of the
same job without its limits, pieces and last days, START being what either takes before it is planned. Prints the
counts.
"""

from __future__ import annotations

import argparse
import re
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field, replace
from functools import cache, partial
from pathlib import Path
from statistics import median
from zoneinfo import ZoneInfo

from scheduler import pipeline
from scheduler.expanding import expand
from scheduler.model.basics import Span
from scheduler.model.facts import Facts
from scheduler.model.job import Job
from scheduler.model.material import Trade
from scheduler.model.refusal import NoPlanError
from scheduler.planning.encode import lower
from scheduler.planning.refusal import in_question
from scheduler.reading.jobfile import read_job_text
from scheduler.reading.profiles import read_trade
from scheduler.solver.conflicts import Stuck
from scheduler.solver.exact import Verdict
from scheduler.solver.infeasible_subset import HOURS, Conflict, Restriction, conflicts, decided, without
from scheduler.solver.problem import Activity, Placement, Problem, Slot
from scheduler.solver.search import DEFAULT_EFFORT, search
from scheduler.wallclock import DAY
from scheduler.worktime import windows
from tests.bench import oracle
from tests.bench.tightjobs import tight_job
from tests.support.placement_check import faults
from tests.support.told import breaks

EFFORT = 20_000
"""Of a plan, in activities placed: more of it would make an ordinary plan take longer, not a refusal."""

GRAIN = 30
"""Minutes of the smallest piece, for the oracle, of what may be cut as one likes."""

START = 0.6
"""Seconds that `tackfree check` of such a job takes on the machine on which this was written: to start, to read."""

WEEKS = 4
"""How far the oracle looks ahead."""

PLAN, REFUSAL, UNKNOWN = "plan", "refusal", "neither"


@dataclass
class Judged:
    """One job: what came out, how it was confirmed, and what is wrong with that."""

    number: int
    outcome: str
    seconds: float
    ordinary: float = 0.0
    oracle: str = ""
    sets: int = 0
    minimal: int = 0
    uncertain: int = 0
    wrong: list[str] = field(default_factory=list)


def judge(number: int, patience: float) -> Judged:
    """Plan the job with this number and have the answer checked."""
    job = read_job_text(tight_job(number), "job.yaml")
    begun = time.process_time()
    try:
        made = pipeline.make_plan(job, _trade(), Facts(now=job.start), pipeline.Wish(effort=EFFORT))
    except NoPlanError as error:
        judged = Judged(number, REFUSAL, time.process_time() - begun)
        _judge_refusal(judged, job, error, patience)
        return judged
    seconds = time.process_time() - begun
    rules = breaks(made.plan)
    if made.plan.broken:
        return Judged(number, UNKNOWN, seconds, wrong=rules)
    return Judged(number, PLAN, seconds, wrong=rules)


@cache
def _trade() -> Trade:
    return read_trade(Path(), set())


def _judge_refusal(judged: Judged, job: Job, error: NoPlanError, patience: float) -> None:
    problem, named = _named(job)
    judged.oracle = oracle.ask(_near(problem), effort=patience).status
    if judged.oracle == "optimal":
        judged.wrong.append("there is a plan")
    if not error.refusal.sets or any(not each for each in error.refusal.sets):
        judged.wrong.append("it names nothing")
    entries, slots, found = named
    for one in found:
        judged.sets += 1
        judged.uncertain += not one.certain
        said = list(_not_minimal(problem, entries, slots, one, patience))
        judged.minimal += not said and one.certain
        judged.wrong += said
    judged.ordinary = _ordinary(job, judged.number)


def _named(job: Job):  # type: ignore[no-untyped-def]
    """The problem of a job as far as a plan may reach, all entries, the hours without some, and the sets named."""
    facts, trade = Facts(now=job.start), _trade()
    graph = expand(job, trade)
    ground = pipeline._ground(job, trade, graph, facts, pipeline.HORIZONS[-1], 0, ())
    lowered = lower(job, graph, ground.windows, ground.films, facts)

    def hours(job: Job, taken: tuple[Span, ...]) -> tuple[Slot, ...]:
        ahead = pipeline.span_ahead(job, facts, pipeline.HORIZONS[-1])
        return lower(job, graph, windows(job, ahead, ZoneInfo(job.zone), taken), ground.films, facts).problem.slots

    asked, slots = in_question(lowered, ground, (), hours)
    stuck = search(lowered.problem, DEFAULT_EFFORT)
    assert isinstance(stuck, Stuck)
    found = conflicts(lowered.problem, asked.entries(), stuck.activity, slots)
    return lowered.problem, (asked.entries(), slots, found)


def _not_minimal(problem: Problem, entries: list[Restriction], slots, one: Conflict, patience: float):  # type: ignore[no-untyped-def]
    """What is wrong with a set: that it can hold, or that some entry of it is not needed."""
    others = frozenset(entries) - frozenset(one.entries)
    status = oracle.ask(_coarse(_near(_left(problem, slots, others))), effort=patience / 10).status
    if status == "optimal":
        yield f"{one.entries} can hold together"
    for entry in one.entries:
        loose = _left(problem, slots, others | {entry})
        answer = decided(loose)
        if isinstance(answer, Placement):
            if faults(_until(loose, answer.finish), answer):
                yield f"a placement without {entry} is none"
        elif answer is Verdict.REFUTED:
            yield f"{entry} is not needed"


def _near(problem: Problem) -> Problem:
    """The problem with the hours of the first weeks alone: these jobs have no dates after them, and hours repeat."""
    last = problem.slots[0].start + WEEKS * 7 * DAY if problem.slots else 0
    return replace(problem, slots=tuple(slot for slot in problem.slots if slot.end <= last))


def _until(problem: Problem, finish: int) -> Problem:
    """The problem with the hours up to a finish alone: what checks a placement looks at every minute."""
    return replace(problem, slots=tuple(slot for slot in problem.slots if slot.start < finish))


def _coarse(problem: Problem) -> Problem:
    """The problem with no piece below GRAIN: the oracle has a variable for each piece that there may be."""

    def least(each: Activity) -> Activity:
        return each if each.smallest is None else replace(each, smallest=max(each.smallest, min(GRAIN, each.minutes)))

    return replace(problem, activities=tuple(least(each) for each in problem.activities))


def _left(problem: Problem, slots, out: frozenset[Restriction]) -> Problem:  # type: ignore[no-untyped-def]
    hours = frozenset(entry for entry in out if entry.kind in HOURS)
    loose = replace(problem, slots=slots(hours)) if hours else problem
    for entry in out - hours:
        loose = without(loose, entry)
    return loose


def _ordinary(job: Job, number: int) -> float:
    """Processor time of a plan of the same job with nothing in its way."""
    text = re.sub(r", within: \d+ min|within: \d+ min|, until: [-0-9]+", "", tight_job(number))
    text = re.sub(r"pause: (no|\d+ min)", "pause: 30 min", text).replace(": {}", "")
    text = re.sub(r"(pause: 30 min), people: 2", r"\1", text)
    loose = read_job_text(text, "job.yaml")
    begun = time.process_time()
    pipeline.make_plan(loose, _trade(), Facts(now=job.start), pipeline.Wish(effort=EFFORT))
    return time.process_time() - begun


def table(found: list[Judged]) -> list[str]:
    """The counts, a line each."""
    refused = [one for one in found if one.outcome == REFUSAL]
    ratios = sorted((START + one.seconds) / (START + one.ordinary) for one in refused)
    return [
        f"jobs                                   {len(found)}",
        f"plans, every rule kept                 {sum(one.outcome == PLAN for one in found)}",
        f"neither plan nor proof                 {sum(one.outcome == UNKNOWN for one in found)}",
        f"refusals                               {len(refused)}",
        f"  confirmed by the oracle              {sum(one.oracle == 'infeasible' for one in refused)}",
        f"  not settled by the oracle            {sum(one.oracle == 'unknown' for one in refused)}",
        f"  wrong                                {sum(one.oracle == 'optimal' for one in refused)}",
        f"sets of entries named                  {sum(one.sets for one in refused)}",
        f"  minimal, seen of every entry         {sum(one.minimal for one in refused)}",
        f"  not certain of every entry           {sum(one.uncertain for one in refused)}",
        f"jobs with anything wrong               {sum(bool(one.wrong) for one in found)}",
        f"time of a refusal to an ordinary plan  median {median(ratios) if ratios else 0:.1f}, "
        f"most {ratios[-1] if ratios else 0:.1f}",
    ]


def main() -> None:
    parser = argparse.ArgumentParser(prog="python -m tests.bench.refusals")
    parser.add_argument("--jobs", type=int, default=500)
    parser.add_argument("--seed", type=int, default=1, help="the number of the first job")
    parser.add_argument("--oracle", type=float, default=20.0, help="deterministic seconds of the oracle for each job")
    parser.add_argument("--processes", type=int, default=2)
    asked = parser.parse_args()
    found = []
    with ProcessPoolExecutor(asked.processes) as pool:
        for one in pool.map(partial(judge, patience=asked.oracle), range(asked.seed, asked.seed + asked.jobs)):
            found.append(one)
            slow = one.outcome == REFUSAL and START + one.seconds > 5 * (START + one.ordinary)
            if one.wrong or slow or one.outcome == UNKNOWN or one.oracle == "unknown":
                times = f"{one.seconds:.2f} s to {one.ordinary:.2f} s"
                print(
                    f"job {one.number}: {one.outcome}, oracle {one.oracle}, {times}; {'; '.join(one.wrong)}",
                    flush=True,
                )
    print("\n".join(table(found)))


if __name__ == "__main__":
    main()
