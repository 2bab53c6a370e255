"""Instances with holds, modes, appointments and promises: the search against optima that were proven elsewhere.

    python -m tests.bench.holds FOLDER [--effort N] [--only PART]
    python -m tests.bench.holds --generated 200 [--from 1] [--oracle S] [--answers FILE] [--effort N]

Reads every .json of a folder (the format is that of the instances: things with places and closures, holds with an
event that gives back, appointments, promises; times as "day hh:mm"), plans it, checks the placement, and holds the
minutes by which promises are broken, and then the finish, against the optimum that stands in the file. Of several
modes of an activity the planner's own choice is made (`planning.hands.best_modes`), each way judged with a share of
the effort. Of an instance that contradicts itself the entries that do are compared as well. Prints a line for each
instance, and last one JSON line: {"instances", "optimum", "proven", "wrong", "refused", "seconds"}.

Or makes random jobs (`heldjobs`), and holds what it finds against what the oracle proves (`heldoracle`) in at most S
of its own deterministic seconds for each of the two aims. With a file its answers are kept there, a line of JSON
each.
Last is one JSON line, as above, with "known", the jobs for which the oracle proved both aims or that there is no
placement, and the median of our processor time against its own."""

from __future__ import annotations

import argparse
import json
import time
from collections.abc import Iterator, Mapping
from dataclasses import asdict, dataclass, replace
from itertools import pairwise
from pathlib import Path
from statistics import median
from typing import Any

from scheduler.model.basics import Span
from scheduler.model.clock import DryClock
from scheduler.planning.hands import Judged, Part, best_modes
from scheduler.solver.conflicts import Stuck
from scheduler.solver.exact import nothing_better
from scheduler.solver.infeasible_subset import Restriction, conflicts
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
from tests.bench.heldjobs import Held, held_job
from tests.bench.heldoracle import Least, least
from tests.support.placement_check import faults, minutes_late

EFFORT = 200_000
JUDGES = 6
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


def asked(case: Case) -> Held:
    """The problem of an instance, each activity in its first mode. The last activity is a fact from before the
    beginning: it took what was taken then."""
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
        mode = entry["modes"][0]
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
    several = {name: entry["modes"] for name, entry in case["activities"].items() if len(entry["modes"]) > 1}
    modes = {number[name]: tuple((m["people"], m["minutes"]) for m in ways) for name, ways in several.items()}
    return Held(problem, modes)


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


def planned(held: Held, effort: int) -> tuple[Problem, Result | Stuck]:
    """The problem in the modes that the planner chooses, and what it finds."""
    if not held.modes:
        return held.problem, search(held.problem, effort)

    def manned(modes: Mapping[str, int]) -> Problem:
        return held.manned({int(name): mode for name, mode in modes.items()})

    def judge(modes: Mapping[str, int]) -> Judged:
        problem = manned(modes)
        found = search(problem, effort // JUDGES, thorough=False)
        if isinstance(found, Stuck):
            return Judged(None, None if found.proven else (0, 0))
        return Judged(aim_of(problem, found.placement), (found.late_at_least, found.finish_not_before))

    def cost(modes: Mapping[str, int]) -> int:
        chosen = (held.modes[int(name)][mode] for name, mode in modes.items())
        return sum(people * minutes for people, minutes in chosen)

    def refutes(part: Part, late: int, finish: int) -> bool:
        return nothing_better(held.least_asked({int(name): modes for name, modes in part.items()}), late, finish)

    ways = {str(i): range(len(each)) for i, each in held.modes.items()}
    modes, (late, finish) = best_modes(ways, {}, judge, cost, refutes, lambda modes: judge(modes).least)
    problem = manned(modes)
    outcome = search(problem, effort)
    if isinstance(outcome, Stuck):
        return problem, outcome
    return problem, replace(
        outcome,
        late_at_least=min(outcome.late_at_least, late),
        finish_not_before=min(outcome.finish_not_before, finish),
    )


@dataclass
class Counted:
    """How many instances there were, what was found of them, and the seconds of it."""

    instances: int = 0
    known: int = 0
    optimum: int = 0
    proven: int = 0
    wrong: int = 0
    refused: int = 0
    seconds: float = 0.0

    def take(self, name: str, held: Held, effort: int, least: Least) -> float:
        """Plan one and hold it against what is least; prints a line. The processor seconds that it took."""
        begun = time.process_time()
        problem, outcome = planned(held, effort)
        seconds = time.process_time() - begun
        self.seconds += seconds
        self.instances += 1
        self.known += least.status != "unknown"
        infeasible, optimal = least.status == "infeasible", least.status == "optimal"
        if isinstance(outcome, Stuck):
            self.refused += infeasible and outcome.proven
            self.wrong += optimal and outcome.proven
            said = "" if infeasible else " MISSED" if optimal else " unknown"
            print(f"{name:28} stuck: {outcome.rule} proven {outcome.proven}{said} {seconds:5.1f} s", flush=True)
            return seconds
        wrong, finish = faults(problem, outcome.placement), outcome.placement.finish
        late = sum(minutes_late(problem, outcome.placement))
        found, best = (late, finish), (least.late, least.finish)
        early = optimal and found < best
        tight = optimal and (
            outcome.late_at_least > least.late or (late == least.late and outcome.finish_not_before > least.finish)
        )
        self.wrong += bool(wrong) or infeasible or tight or early
        self.optimum += optimal and found == best
        self.proven += outcome.finish_not_before == finish and outcome.late_at_least == late
        said = "" if found == best or not optimal else " EARLIER" if early else " not the optimum"
        print(
            f"{name:28} {moment(finish):>9} best {moment(least.finish) if optimal else least.status:>9} "
            f"bound {moment(outcome.finish_not_before):>9} late {late} of {least.late}, "
            f"least {outcome.late_at_least} {seconds:5.1f} s{said}{' BOUND WRONG' if tight else ''} "
            f"{'; '.join(wrong)}",
            flush=True,
        )
        return seconds


def contradicting(case: Case, held: Held, stuck: int) -> tuple[set[str], bool] | None:
    """The waits, windows and holds of an instance that cannot hold together, said as in its file, and whether each of
    them was seen to be needed; None if that is not known. Activities, hours and what is closed are taken for granted.
    A wait goes with its window, as in a job file.
    """
    problem = held.problem
    own = [*case["activities"], *case.get("appointments", {})]
    things = list(case.get("things", {}))
    said: dict[Restriction, str] = {}
    for number, wait in enumerate(case.get("waits", ())):
        before, after = own.index(wait["before"]), own.index(wait["after"])
        pair = f"{wait['before']} -> {wait['after']}"
        said[Restriction("follow", after, before)] = f"waits[{number}]: {pair}"
        if "within" in wait and "remedy" not in wait:
            said[Restriction("limit", after, before)] = f"waits[{number}].within: {pair}"
    for number, hold in enumerate(case.get("holds", ())):
        if hold.get("by") is not None:
            named = Restriction("keep", own.index(hold["by"]), things.index(hold["thing"]))
            said[named] = f"holds[{number}]: {hold['id']}"
    found = conflicts(problem, list(said), stuck, lambda _: problem.slots)
    if not found:
        return None
    windows = {(entry.activity, entry.other) for entry in found[0].entries if entry.kind == "limit"}
    apart = (e for e in found[0].entries if e.kind != "follow" or (e.activity, e.other) not in windows)
    return {said[entry] for entry in apart}, found[0].certain


def of_file(case: Case) -> Least:
    """What stands in the file of an instance."""
    optimum = case["optimum"]
    if optimum["status"] == "infeasible":
        return Least("infeasible", 0, 0, 0.0)
    return Least("optimal", optimum["late"], minute(optimum["finish"]), 0.0)


def main() -> None:
    """Plan all instances of a folder, or random ones."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").splitlines()[0])
    parser.add_argument("folder", type=Path, nargs="?")
    parser.add_argument("--effort", type=int, default=EFFORT)
    parser.add_argument("--only", default="")
    parser.add_argument("--generated", type=int, default=0)
    parser.add_argument("--from", type=int, default=1, dest="first")
    parser.add_argument("--oracle", type=float, default=20.0)
    parser.add_argument("--answers", type=Path)
    options = parser.parse_args()
    counted = Counted()
    for file in sorted(options.folder.glob("*.json")) if options.folder is not None else ():
        if options.only in file.stem:
            case = json.loads(file.read_text(encoding="utf-8"))
            held = asked(case)
            counted.take(file.stem, held, options.effort, of_file(case))
            if "conflict" in case:
                _compare_sets(case, held)
    shares = []
    known = _kept(options.answers)
    for seed in range(options.first, options.first + options.generated):
        held = held_job(seed)
        if seed not in known:
            known[seed] = least(held.problem, held.modes, options.oracle)
            if options.answers is not None:
                with options.answers.open("a", encoding="utf-8") as lines:
                    lines.write(json.dumps({"seed": seed, **asdict(known[seed])}) + "\n")
        seconds = counted.take(f"held-{seed}", held, options.effort, known[seed])
        if known[seed].status != "unknown":
            shares.append(seconds / max(known[seed].seconds, 0.001))
    compared = {"median of the oracle's time": round(median(shares), 2)} if shares else {}
    print(json.dumps({**asdict(counted), "seconds": round(counted.seconds, 1), **compared}))


def _compare_sets(case: Case, held: Held) -> None:
    """Print which entries are named that contradict each other, beside those of the file."""
    outcome = search(held.problem, EFFORT)
    theirs = {said for said in case["conflict"] if not said.endswith(".closed")}
    ours = contradicting(case, held, outcome.activity) if isinstance(outcome, Stuck) else None
    same = ours is not None and ours == (theirs, True)
    print(f"{'':28} {'the same set' if same else f'ANOTHER SET: {ours} instead of {theirs}'}", flush=True)


def _kept(file: Path | None) -> dict[int, Least]:
    """The answers of the oracle in a file, by job."""
    lines = file.read_text(encoding="utf-8").splitlines() if file is not None and file.exists() else []
    entries = [json.loads(line) for line in lines]
    return {
        entry["seed"]: Least(**{key: value for key, value in entry.items() if key != "seed"}) for entry in entries
    }


if __name__ == "__main__":
    main()
