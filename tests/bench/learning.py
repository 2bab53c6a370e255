"""What learning is worth: `python -m tests.bench.learning [--jobs 300] [--seed 1] [--worlds model,wider,slips]`.

Jobs (examples, starters, random ones) are lived through in a world with a hidden truth: paces of a household and its
kinds of work, rooms, materials, coats, shops. At a third, half and two thirds of their steps they are planned with
what was said of the steps and films so far, once with learning and once without (`learn: no`), and each plan is
followed in its own order with the true minutes and waits. Printed, for each: how far off the predicted finish was
(days), the labour left and the next film's stage (both as |ln|, in per cent; the same film for both, that which is
next in the plan without learning), the medians with the means in brackets (a day that is missed ends a week later, so
that medians of days jump); and at the start and at half time how often the 50, 80 and 95 % dates of `odds` held, with
independent draws as they were before common causes beside it.
A date is a whole day, and a job mostly ends on one of a few days: so each date is kept by more draws than it is named
for. Beside the share of the jobs that were done by that day stand the share of the draws that were, which is what the
date promised, and the share of the jobs that were done by the very minute, which is the quantile itself.

`model` draws the truth from the model's own priors: that is a check of the code, no evidence. `wider` has spreads 1.3
times as wide, tails of Student's t with four degrees of freedom, and a bias of its own. `slips` is `wider` with 5 %
of the records grossly wrong (ten times, or a tenth). Nothing here was measured on people. The last line is JSON.
"""

from __future__ import annotations

import argparse
import json
import math
import statistics
import tempfile
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from random import Random
from zoneinfo import ZoneInfo

from scheduler.errors import TackfreeError
from scheduler.learning import priors
from scheduler.learning.felt import spread_of
from scheduler.learning.lessons import key_of
from scheduler.learning.pace import centre
from scheduler.model.basics import Span
from scheduler.model.facts import Facts
from scheduler.model.job import Job
from scheduler.model.learned import Look, Took
from scheduler.model.material import WINDOW_END, Trade
from scheduler.pipeline import Made, Wish, graph_of, make_plan, read
from scheduler.solver.causes import half_shared
from scheduler.solver.conflicts import Stuck
from scheduler.solver.decoding import Placer
from scheduler.solver.draws import AS_IT_IS, Drawn, Draws, Uncertain
from scheduler.solver.pert import Pert
from scheduler.wallclock import DAY, local_date
from scheduler.whatif.statistics import held_by
from scheduler.whatif.uncertainty import doubts
from tests.support.manyjobs import example, random_job, starter

SHARES = (1 / 3, 1 / 2, 2 / 3)
EFFORT = 400
"""Activities placed for each plan."""
DATES = (50, 80, 95)


@dataclass
class World:
    """A hidden truth: log factors by name, each drawn when it is first asked for. `wide` spreads, `tails` of
    Student's t, `bias` of all paces."""

    random: Random
    wide: float = 1.0
    tails: bool = False
    bias: float = 0.0
    slips: float = 0.0
    known: dict[str, float] = field(default_factory=dict)

    def log(self, name: str, sigma: float) -> float:
        if name not in self.known:
            z = self.random.gauss(0, 1)
            if self.tails:
                z /= math.sqrt(self.random.gammavariate(2, 2) / 4) * math.sqrt(2)
            self.known[name] = self.wide * sigma * z
        return self.known[name]

    def share(self, name: str) -> float:
        return self.known.setdefault(name, self.random.random())

    def work(self, key: str, step: str, low: float, likely: float, high: float) -> float:
        """The true minutes of a step."""
        middle, variance = centre(low, likely, high)
        pace = self.bias + self.log("pace", priors.PERSON) + self.log(f"pace {key}", priors.KIND)
        return max(1.0, middle * math.exp(pace + self.log(f"work {step}", math.sqrt(variance + priors.STEP**2))))

    def film(self, room: str, material: str, spread: float, step: str, stage: str) -> float:
        """The true log factor of a stage of a film: the finger has no part in it."""
        common = self.log(f"room {room}", priors.ROOM) + self.log(f"dries {room} {material}", spread)
        return common + self.log(f"coat {step}", priors.FILM) + self.log(f"stage {step} {stage}", 0.15)


def a_world(name: str, random: Random) -> World:
    if name == "model":
        return World(random)
    return World(random, 1.3, tails=True, bias=random.gauss(0, 0.1), slips=0.05 if name == "slips" else 0.0)


def truth_of(made: Made, world: World, uncertain: Uncertain, order: tuple[tuple[str, str], ...]) -> Uncertain:
    """The same with everything as it truly comes."""
    ground = made.ground
    reckoned = {task.id: task for task in (ground.reckoned or ground.graph).tasks}
    tasks = doubts_tasks(made)
    minutes: dict[int, tuple[str, Drawn]] = {}
    for i, (name, _) in uncertain.minutes.items():
        task = reckoned[tasks[i]]
        true = round(
            world.work(key_of(task), task.id, task.work.low or 1, task.work.likely or 1, task.work.high or 1)
        )
        minutes[i] = name, Pert(true, true, true)
    factors: list[tuple[str, Drawn]] = []
    for (name, drawn), (step, stage) in zip(uncertain.factors, order, strict=True):
        film, material = reckoned[step].film, None
        if film is not None:
            material = ground.trade.material(film.material)
        if drawn == AS_IT_IS or isinstance(drawn, Pert) or film is None or material is None:
            factors.append((name, drawn))
            continue
        off = world.film(film.room, film.material, spread_of(material), step, stage)
        slow = drawn.middle * math.exp(max(drawn.least, off))
        factors.append((name, Pert(slow, slow, slow)))
    arrivals = {}
    for name, arrival in uncertain.arrivals.items():
        share = world.share(name)
        share = half_shared(share, world.share(arrival.cause)) if arrival.cause else share
        day = round(arrival.day.at(share))
        arrivals[name] = replace(arrival, day=Pert(day, day, day), cause="")
    return replace(
        uncertain, minutes=minutes, factors=tuple(factors), arrivals=arrivals, circumstances=(), setting=None
    )


def doubts_tasks(made: Made) -> tuple[str, ...]:
    return tuple(task.id for task in made.ground.graph.tasks)


def followed(made: Made, world: World) -> tuple[int, dict[str, tuple[Span, ...]]] | None:
    """The finish, and the pieces of every step, if a plan is followed in its order in that world."""
    found = doubts(made)
    true = truth_of(made, world, found.uncertain, found.films)
    run = Draws(true, 0)
    placement = Placer(run.replanned(0)).place(run.rank, options=(), not_before=run._held)
    if isinstance(placement, Stuck):
        return None
    names = doubts_tasks(made)  # appointments come after them: they are nobody's steps
    return placement.finish, dict(zip(names, placement.pieces[: len(names)], strict=True))


def as_before(made: Made, uncertain: Uncertain, films: tuple[tuple[str, str], ...]) -> Uncertain:
    """The draws as they were before: each step by itself where it has a range, each family of material by the range
    of its source."""
    ground = made.ground
    tasks = {task.id: task for task in (ground.reckoned or ground.graph).tasks}
    names = doubts_tasks(made)
    minutes: dict[int, tuple[str, Drawn]] = {}
    for i, (name, _) in uncertain.minutes.items():
        work = tasks[names[i]].work
        minutes[i] = name, Pert(work.low, work.likely, work.high)
    factors: list[tuple[str, Drawn]] = []
    for _, (step, stage) in zip(uncertain.factors, films, strict=True):
        film = tasks[step].film
        material = ground.trade.material(film.material) if film is not None else None
        time = material.stage(stage) if material is not None else None
        span = Pert(time.low / time.typical, 1, time.high / time.typical) if time and time.typical else AS_IT_IS
        factors.append((f"dry: {film.material if film else step}", span))
    arrivals = {name: replace(arrival, cause="") for name, arrival in uncertain.arrivals.items()}
    return replace(uncertain, minutes=minutes, factors=tuple(factors), arrivals=arrivals, causes=(), shared=None)


NEVER_ENDS = 1 << 40
"""A minute after all that can be planned: the end of a draw that has none."""


def drawn_ends(uncertain: Uncertain, draws: int, seed: int) -> list[int]:
    """The minutes at which the draws end, ascending."""
    run = Draws(uncertain, seed)
    return sorted(NEVER_ENDS if (end := run.outcome(draw).finish) is None else end for draw in range(draws))


def recorded(
    made: Made, world: World, pieces: Mapping[str, tuple[Span, ...]], now: int, random: Random
) -> tuple[Job, Facts]:
    """What has happened by now, and what a person wrote down of it."""
    ground = made.ground
    done = {name: spans for name, spans in pieces.items() if spans and spans[-1].end <= now}
    begun = {}
    for name, spans in pieces.items():
        so_far = tuple(Span(span.start, min(span.end, now)) for span in spans if span.start < now)
        if name not in done and so_far:
            whole = sum(span.minutes for span in spans)
            begun[name] = so_far, max(5, whole - sum(span.minutes for span in so_far))
    took, looks = {}, []
    for name, spans in sorted(done.items()):
        task = ground.graph.task(name)
        said = random.random(), random.random(), random.random(), random.choice((10, 0.1))
        if said[0] < 0.8 and task.kind and name not in ground.facts.done:
            minutes = sum(span.minutes for span in spans) * (1 + 0.8 * (said[1] < 0.05))
            minutes *= said[3] if said[2] < world.slips else 1
            took[name] = Took(minutes=max(5, 15 * round(minutes / 15)))
        film, material = task.film, None
        if film is not None:
            material = ground.trade.material(film.material)
        stages = [stage for stage in material.stages if material.can_be_felt(stage.stage)] if material else []
        stages = [stage for stage in stages if stage.stage != WINDOW_END]
        multiples = [math.exp(random.uniform(math.log(0.4), math.log(2.2))) for _ in range(random.choice((1, 2, 3)))]
        if film is None or material is None or not stages or random.random() > 0.6:
            continue
        stage = stages[min(len(stages) - 1, random.randrange(3))].stage
        clock = (ground.table or ground.films)[name].stages[stage]
        for multiple in multiples:
            minute = clock.clock.ready(spans[-1].end, multiple * clock.amount)
            if spans[-1].end < minute <= now:
                off = world.film(film.room, film.material, spread_of(material), name, stage) + random.gauss(0, 0.1)
                slip = random.random() < max(0.02, world.slips)
                looks.append(Look(step=name, stage=stage, minute=minute, reached=(math.log(multiple) > off) != slip))
    job = ground.job
    zone = ZoneInfo(job.zone)
    found = doubts(made)
    arrivals = truth_of(made, world, found.uncertain, found.films).arrivals
    there = {name.removeprefix("comes: "): each.there[round(each.day.at(0.5))] for name, each in arrivals.items()}
    items = tuple(
        replace(item, arrived=local_date(there[item.id], zone)) if there.get(item.id, now + 1) <= now else item
        for item in job.items
    )
    return replace(job, items=items), Facts(
        now=now, done=done, begun=begun, recorded=True, took=took, looks=tuple(looks)
    )


def gap(one: float, other: float) -> float:
    return abs(math.log(max(1e-9, one) / max(1e-9, other)))


@dataclass
class Tally:
    """Errors and hits by (world, when, method, what)."""

    errors: dict[tuple[str, ...], list[float]] = field(default_factory=lambda: defaultdict(list))

    def add(self, value: float, *key: str) -> None:
        self.errors[key].append(value)

    def middle(self, *key: str) -> float | None:
        return statistics.median(self.errors[key]) if self.errors.get(key) else None

    def mean(self, *key: str) -> float | None:
        return statistics.mean(self.errors[key]) if self.errors.get(key) else None


FELT = ("recoat", "paint_over", "sand", "handle")
"""Stages of a film that may be asked for, the first that its material has."""


def next_films(made: Made) -> list[tuple[str, str]]:
    """The films that a plan has still to lay, in its order, each with the stage that is looked at."""
    found = []
    for step in made.plan.steps:
        film = made.ground.graph.task(step.id).film if step.state == "planned" else None
        material = made.ground.trade.material(film.material) if film is not None else None
        stage = next((each for each in FELT if material and material.stage(each)), None)
        if stage is not None:
            found.append((step.id, stage))
    return found


def off_the_film(made: Made, world: World, step: str, stage: str) -> float:
    """How far off a plan is about a stage of a film to come, as a logarithm."""
    ground = made.ground
    film = ground.graph.task(step).film
    assert film is not None
    material = ground.trade.material(film.material)
    assert material is not None
    used = ground.films[step].stages[stage].amount / ground.table[step].stages[stage].amount
    return abs(math.log(used) - world.film(film.room, film.material, spread_of(material), step, stage))


def look_ahead(
    tally: Tally, name: str, when: str, made: Made, world: World, method: str, draws: int, seed: int, coverage: bool
) -> None:
    """How far one plan is off, if it is followed in that world."""
    true = followed(made, world)
    if true is None:
        return
    finish, pieces = true
    tally.add(abs(made.plan.finish - finish) / DAY, name, when, method, "finish")
    ground = made.ground
    ahead = [s for s in made.plan.steps if s.state == "planned" and ground.graph.task(s.id).kind and pieces.get(s.id)]
    labour = sum(sum(span.minutes for span in pieces[step.id]) for step in ahead)
    if labour:
        tally.add(gap(sum(step.labour for step in ahead), labour), name, when, method, "labour")
    if not coverage:
        return
    found = doubts(made)
    told = {method: found.uncertain}
    if method == "without":
        told["independent draws"] = as_before(made, found.uncertain, found.films)
    for drawn, uncertain in told.items():
        ends = drawn_ends(uncertain, draws, seed)
        days = [local_date(end, ZoneInfo("UTC")) if end < NEVER_ENDS else date.max for end in ends]
        for percent in DATES:
            minute = held_by(ends, percent / 100)
            day = days[ends.index(minute)]
            tally.add(float(local_date(finish, ZoneInfo("UTC")) <= day), name, when, drawn, f"{percent} %")
            tally.add(sum(each <= day for each in days) / len(days), name, when, drawn, f"{percent} % promised")
            tally.add(float(finish <= minute), name, when, drawn, f"{percent} % to the minute")


def live(tally: Tally, name: str, job: Job, trade: Trade, random: Random, draws: int, seed: int) -> None:
    """One job in one world."""
    world = a_world(name, random)
    wish = Wish(effort=EFFORT)
    made = make_plan(job, trade, Facts(now=job.start), wish)
    look_ahead(tally, name, "at the start", made, world, "without", draws, seed, coverage=True)
    true = followed(made, world)
    if true is None:
        return
    ends = sorted(spans[-1].end for task, spans in true[1].items() if spans)
    for share, when in zip(SHARES, ("a third", "half", "two thirds"), strict=True):
        now = ends[min(len(ends) - 2, round(share * len(ends)))]
        if now >= ends[-1]:
            continue
        changed, facts = recorded(made, world, true[1], now, random)
        plans = {
            method: make_plan(replace(changed, learn=learn), trade, facts, wish)
            for method, learn in (("with", True), ("without", False))
        }
        to_come = dict(next_films(plans["with"]))
        film = next((each for each in next_films(plans["without"]) if each[0] in to_come), None)
        for method, then in plans.items():
            look_ahead(tally, name, when, then, world, method, draws, seed, coverage=when == "half")
            if film is not None:
                tally.add(off_the_film(then, world, *film), name, when, method, "next film")


def work_through(tally: Tally, name: str, job: Job, trade: Trade, seed: str) -> None:
    """The labour left of one job, its steps done one after the other: what learning knows of it, and no plan."""
    world, random = a_world(name, Random(f"{seed}|world")), Random(f"{seed}|said")
    tasks = [
        task
        for task in graph_of(job, trade, Facts(now=job.start))[0].tasks
        if task.kind and task.work.planned and task.remedy_of is None
    ]
    true = {
        task.id: world.work(key_of(task), task.id, task.work.low or 1, task.work.likely or 1, task.work.high or 1)
        for task in tasks
    }
    said = {task.id: (random.random(), random.random(), random.random(), random.choice((10, 0.1))) for task in tasks}
    for share, when in zip(SHARES, ("a third", "half", "two thirds"), strict=True):
        done = [task.id for task in tasks[: round(share * len(tasks))]]
        took = {}
        for step in done:
            minutes = true[step] * (1.8 if said[step][1] < 0.05 else 1)
            minutes *= said[step][3] if said[step][2] < world.slips else 1
            if said[step][0] < 0.8:
                took[step] = Took(minutes=max(5, 15 * round(minutes / 15)))
        spans = {step: (Span(job.start + 9 * n, job.start + 9 * n + 5),) for n, step in enumerate(done)}
        facts = Facts(now=job.start + 99999, done=spans, took=took, recorded=True)
        for method, learn in (("with", True), ("without", False)):
            graph = graph_of(replace(job, learn=learn), trade, facts)[1]
            ahead = [task for task in graph.tasks if task.id in true and task.id not in spans]
            if ahead:
                planned, real = sum(task.work.planned for task in ahead), sum(true[task.id] for task in ahead)
                tally.add(gap(planned, real), name, when, method, "labour")


def main() -> None:
    """Live and print."""
    parser = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    parser.add_argument("--jobs", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--draws", type=int, default=100)
    parser.add_argument("--least", type=int, default=6, help="steps of a job; smaller ones are passed over")
    parser.add_argument("--most", type=int, default=80, help="steps of a job; larger ones are passed over")
    parser.add_argument(
        "--labour", action="store_true", help="the labour left alone, without a plan: hundreds of jobs"
    )
    parser.add_argument("--worlds", default="model,wider,slips")
    asked = parser.parse_args()
    tally, lived, number = Tally(), 0, 0
    while lived < asked.jobs:
        number += 1
        random = Random(f"{asked.seed}|{number}")
        text, beside = random.choice((example, starter, starter, random_job, random_job))(random)
        with tempfile.TemporaryDirectory() as folder:
            file = Path(folder) / "job.yaml"
            file.write_text(text, encoding="utf-8")
            for each, content in beside.items():
                (Path(folder) / each).write_bytes(content)
            try:
                job, trade = read(file)
                if not asked.least <= len(job.steps) + 4 * len(job.colours) <= asked.most or job.busy:
                    continue
                for name in asked.worlds.split(","):
                    if asked.labour:
                        work_through(tally, name, job, trade, f"{asked.seed}|{number}")
                        continue
                    live(tally, name, job, trade, Random(f"{asked.seed}|{number}|world"), asked.draws, number)
            except TackfreeError:
                continue
        lived += 1
    report(tally, asked)


def _said(value: float, column: int) -> str:
    return f"{100 * (math.exp(value) - 1):.1f} %" if column else f"{value:.2f}"


def report(tally: Tally, asked: argparse.Namespace) -> None:
    print(f"{asked.jobs} jobs, seed {asked.seed}, {asked.draws} draws")
    figures: dict[str, float] = {}
    for name in asked.worlds.split(","):
        print(f"\n{name}: error                   finish (days)         labour left           next film")
        for when in ("a third", "half", "two thirds"):
            for method in ("without", "with"):
                found = [tally.middle(name, when, method, what) for what in ("finish", "labour", "next film")]
                means = [tally.mean(name, when, method, what) for what in ("finish", "labour", "next film")]
                words = [
                    "–" if value is None or mean is None else f"{_said(value, n)} ({_said(mean, n)})"
                    for n, (value, mean) in enumerate(zip(found, means, strict=True))
                ]
                print(f"  {when:<12} {method:<10} {words[0]:>16} {words[1]:>19} {words[2]:>19}")
                figures |= {
                    f"{name}, {when}, {method}, {what}": round(value, 4)
                    for what, value in zip(("finish", "labour", "next film"), found, strict=True)
                    if value is not None
                }
        if asked.labour:
            continue
        print(f"{name}: jobs done by the day (draws done by it; jobs done by the minute) that is called the")
        print(f"{'':<39} {'50 % date':>16} {'80 % date':>16} {'95 % date':>16}")
        for when in ("at the start", "half"):
            for method in ("independent draws", "without", "with"):
                kinds = [f"{percent} %{kind}" for percent in DATES for kind in ("", " promised", " to the minute")]
                held = [tally.mean(name, when, method, kind) for kind in kinds]
                if None not in held:
                    said = {"without": "common causes", "with": "common causes, learned"}.get(method, method)
                    parts = [f"{100 * (value or 0):.0f}" for value in held]
                    words = [f"{parts[n]} % ({parts[n + 1]}; {parts[n + 2]})" for n in (0, 3, 6)]
                    print(f"  {when:<13} {said:<23} {words[0]:>16} {words[1]:>16} {words[2]:>16}")
                    figures |= {
                        f"{name}, {when}, {method}, {kind}": round(v or 0, 3)
                        for kind, v in zip(kinds, held, strict=True)
                    }
    print(json.dumps(figures))


if __name__ == "__main__":
    main()
