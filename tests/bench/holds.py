"""Instances with holds, modes, appointments and promises: the search against optima that were proven elsewhere.

    python -m tests.bench.holds FOLDER [--effort N] [--only PART]

Reads every .json of a folder (the format is that of the instances: things with places and closures, holds with an
event that gives back, appointments, promises; times as "day hh:mm"), plans it, checks the placement, and holds the
minutes by which promises are broken, and then the finish, against the optimum that stands in the file. Of several
modes of an activity the planner's own choice is made (`planning.hands.best_modes`), each way judged with a share of
the effort. Prints a line for each instance,
and last one JSON line: {"instances", "optimum", "proven", "wrong", "refused", "seconds"}."""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from itertools import pairwise
from pathlib import Path
from typing import Any

from scheduler.model.basics import Span
from scheduler.model.clock import DryClock
from scheduler.planning.hands import Judged, best_modes
from scheduler.solver.conflicts import Stuck
from scheduler.solver.objective import aim_of
from scheduler.solver.problem import (
    Activity,
    Barrier,
    Closure,
    Hold,
    Lag,
    Problem,
    Promise,
    Result,
    Slot,
    Soil,
    Thing,
    Wait,
)
from scheduler.solver.search import search
from scheduler.wallclock import DAY
from tests.support.placement_check import faults, minutes_late

EFFORT = 200_000
JUDGES = 20
"""Into how many shares the effort is cut, with one of which each way to choose modes is judged."""
FAR = 200 * DAY
Case = Mapping[str, Any]


def minute(text: str) -> int:
    """Minutes since midnight of day 0 of "day hh:mm"."""
    day, clock = text.split()
    return int(day) * DAY + int(clock[:2]) * 60 + int(clock[3:])


def moment(at: int) -> str:
    """The other way round."""
    return f"{at // DAY} {at % DAY // 60:02d}:{at % 60:02d}"


@dataclass(frozen=True)
class Asked:
    """An instance as a Problem: names by number, appointments among them. The last activity, without a name, is a
    fact from before the beginning: it took what was taken then.
    """

    problem: Problem
    names: tuple[str, ...]


def asked(case: Case, modes: Mapping[str, int] | None = None) -> Asked:
    """The Problem of an instance, each activity in one of its modes (the first, if nothing else is said)."""
    own, visits = list(case["activities"]), list(case.get("appointments", {}))
    number = {name: i for i, name in enumerate((*own, *visits))}
    clocks = {name: _clock(entry) for name, entry in case.get("clocks", {}).items()}
    clock_number = {name: i for i, name in enumerate(clocks)}
    things = list(case.get("things", {}))
    rooms = sorted({room for entry in case.get("appointments", {}).values() for room in entry["rooms"]})

    def lag(entry: Any) -> Lag:
        if entry is None:
            return Lag()
        if "clock" in entry:
            return Lag(entry["amount"], clock_number[entry["clock"]], entry.get("then", 0))
        return Lag(entry["minutes"])

    def activity(name: str) -> Activity:
        entry = case["activities"][name]
        mode = entry["modes"][(modes or {}).get(name, 0)]
        inside = tuple(int(entry.get("room") == room) for room in rooms)
        return Activity(
            minutes=mode["minutes"],
            smallest=entry.get("smallest"),
            demand=(mode["people"], *inside),
            release=minute(entry.get("release", "0 00:00")),
            optional=entry.get("optional", False),
        )

    def visit(name: str) -> Activity:
        entry = case["appointments"][name]
        span = Span(minute(entry["start"]), minute(entry["end"]))
        return Activity(
            minutes=0, smallest=None, demand=(0,) * (1 + len(rooms)), release=0, fixed=(span,), booked=True
        )

    def wait(entry: Any) -> Wait:
        remedy = entry.get("remedy")
        return Wait(
            before=number[entry["before"]],
            after=number[entry["after"]],
            lag=lag(entry.get("lag")),
            until=lag(entry["within"]) if "within" in entry else None,
            remedy=None if remedy is None else number[remedy],
        )

    def called(entry: Any) -> Iterator[Wait]:
        """What a remedy waits for: the window that it mends is over, and what its caller waits for."""
        if entry.get("remedy") is not None:
            yield Wait(before=number[entry["before"]], after=number[entry["remedy"]])

    def hold(entry: Any) -> Hold:
        until = entry["until"]
        return Hold(
            thing=things.index(entry["thing"]),
            places=entry["places"],
            taker=number[entry["by"]] if entry.get("by") is not None else len(number),
            giver=number[until["of"]] if "of" in until else None,
            at_start=until.get("at") == "start",
            lag=lag(until.get("lag")),
            until=minute(until["moment"]) if "moment" in until else None,
            at_work=until.get("at") == "work",
        )

    numbered = {entry["id"]: k for k, entry in enumerate(case.get("holds", ()))}

    def promise(entry: Any) -> Promise:
        if "done" in entry:
            ends = tuple((number[name], lag(entry.get("lag"))) for name in entry["done"])
            return Promise(ends=ends, by=minute(entry["by"]))
        return Promise(holds=tuple(numbered[name] for name in entry["out"]), at_most=entry["at_most"])

    fact = Activity(minutes=0, smallest=None, demand=(0,) * (1 + len(rooms)), release=0, fixed=(Span(-DAY, 1 - DAY),))
    problem = Problem(
        activities=(*(activity(name) for name in own), *(visit(name) for name in visits), fact),
        waits=tuple(each for entry in case.get("waits", ()) for each in (wait(entry), *called(entry))),
        slots=tuple(_slots(case, rooms)),
        clocks=tuple(clocks.values()),
        barriers=tuple(
            Barrier(
                by=number[entry["by"]],
                until=lag(entry.get("until")),
                bars=frozenset(number[name] for name in entry["bars"]),
            )
            for entry in case.get("barriers", ())
        ),
        soils=tuple(
            Soil(
                **{key: frozenset(number[name] for name in entry[key]) for key in ("soils", "cleans", "wants_clean")}
            )
            for entry in case.get("soils", ())
        ),
        things=tuple(
            Thing(
                entry["places"],
                tuple(
                    Closure(minute(c["start"]), minute(c["end"]), c.get("places", entry["places"]))
                    for c in entry.get("closed", ())
                ),
            )
            for entry in case.get("things", {}).values()
        ),
        holds=tuple(hold(entry) for entry in case.get("holds", ())),
        promises=tuple(promise(entry) for entry in case.get("promises", ())),
    )
    return Asked(problem, (*own, *visits))


def _clock(entry: Any) -> DryClock:
    """A daily pattern of whole percents, and spells in which the rate differs, as progress in reference minutes."""
    marks = sorted((minute("0 " + at), rate) for at, rate in entry["daily"].items())
    edges = {0, FAR}
    for day in range(FAR // DAY):
        edges |= {day * DAY + at for at, _ in marks}
    for spell in entry.get("spells", ()):
        edges |= {minute(spell["start"]), minute(spell["end"])}
    knots = sorted(edge for edge in edges if 0 <= edge <= FAR)
    progress = [0]
    for begin, end in pairwise(knots):
        rate = next(rate for at, rate in reversed(marks) if at <= begin % DAY)
        for spell in entry.get("spells", ()):
            if minute(spell["start"]) <= begin < minute(spell["end"]):
                rate = max(rate + spell["add"], 0)
        progress.append(progress[-1] + rate * (end - begin))
    return DryClock(tuple(knots), tuple(each / 100 for each in progress))


def _slots(case: Case, rooms: list[str]) -> Iterator[Slot]:
    """The hours with the people there; a room that an appointment has is a resource of which there is nothing
    then."""
    visits = [
        (minute(entry["start"]), minute(entry["end"]), entry["rooms"])
        for entry in case.get("appointments", {}).values()
    ]
    plenty = len(case["activities"])
    for span in case["hours"]:
        start, end = minute(span["start"]), minute(span["end"])
        edges = sorted({start, end, *(e for v in visits for e in v[:2] if start < e < end)})
        for a, b in pairwise(edges):
            taken = {room for begin, until, named in visits if begin < b and until > a for room in named}
            yield Slot(a, b, (span["people"], *(0 if room in taken else plenty for room in rooms)), a // DAY)


def _planned(case: Case, effort: int) -> tuple[Problem, Result | Stuck]:
    """The problem of an instance in the modes that the planner chooses, and what it finds."""
    ways = {name: range(len(entry["modes"])) for name, entry in case["activities"].items() if len(entry["modes"]) > 1}
    if not ways:
        problem = asked(case).problem
        return problem, search(problem, effort)

    def judge(modes: Mapping[str, int]) -> Judged:
        problem = asked(case, modes).problem
        found = search(problem, effort // JUDGES, thorough=False)
        if isinstance(found, Stuck):
            return Judged(None, None if found.proven else (0, 0))
        return Judged(aim_of(problem, found.placement), (found.late_at_least, found.finish_not_before))

    def cost(modes: Mapping[str, int]) -> int:
        chosen = (case["activities"][name]["modes"][mode] for name, mode in modes.items())
        return sum(int(mode["people"]) * int(mode["minutes"]) for mode in chosen)

    modes, (late, finish) = best_modes(ways, {}, judge, cost)
    problem = asked(case, modes).problem
    outcome = search(problem, effort)
    if isinstance(outcome, Stuck):
        return problem, outcome
    late, finish = min(outcome.late_at_least, late), min(outcome.finish_not_before, finish)
    return problem, replace(outcome, late_at_least=late, finish_not_before=finish)


def main() -> None:
    """Plan all instances of a folder."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("folder", type=Path)
    parser.add_argument("--effort", type=int, default=EFFORT)
    parser.add_argument("--only", default="")
    options = parser.parse_args()
    counted = {"instances": 0, "optimum": 0, "proven": 0, "wrong": 0, "refused": 0}
    total = 0.0
    for file in sorted(options.folder.glob("*.json")):
        if options.only not in file.stem:
            continue
        case = json.loads(file.read_text(encoding="utf-8"))
        begun = time.process_time()
        problem, outcome = _planned(case, options.effort)
        seconds = time.process_time() - begun
        total += seconds
        counted["instances"] += 1
        infeasible = case["optimum"]["status"] == "infeasible"
        if isinstance(outcome, Stuck):
            counted["refused"] += infeasible and outcome.proven
            counted["wrong"] += not infeasible and outcome.proven
            print(f"{file.stem:32} stuck: {outcome.rule} proven {outcome.proven}{'' if infeasible else ' MISSED'}")
            continue
        wrong = faults(problem, outcome.placement)
        finish, best = outcome.placement.finish, None if infeasible else minute(case["optimum"]["finish"])
        late = sum(minutes_late(problem, outcome.placement))
        least = 0 if infeasible else case["optimum"]["late"]
        early = best is not None and (late, finish) < (least, best)
        tight = best is not None and (
            outcome.late_at_least > least or (late == least and outcome.finish_not_before > best)
        )
        counted["wrong"] += bool(wrong) or infeasible or tight
        counted["optimum"] += (late, finish) == (least, best)
        counted["proven"] += outcome.finish_not_before == finish and outcome.late_at_least == late
        print(
            f"{file.stem:28} {moment(finish):>9} best {case['optimum'].get('finish', 'none'):>9} "
            f"bound {moment(outcome.finish_not_before):>9} late {late} of {least}, least {outcome.late_at_least} "
            f"{seconds:5.1f} s"
            f"{'' if (late, finish) == (least, best) else ' EARLIER' if early else ' not the optimum'}"
            f"{' BOUND WRONG' if tight else ''} {'; '.join(wrong)}"
        )
    print(json.dumps({**counted, "seconds": round(total, 1)}))


if __name__ == "__main__":
    main()
