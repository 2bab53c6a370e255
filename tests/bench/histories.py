"""Random histories: whatever is recorded of a job, in any order and at any time, a plan of the rest comes.

    python -m tests.bench.histories --jobs 1000 --seed 1 [--kind examples|starters|random|all] [--records 10..40]

Each job is one that ships, a starter of any kind, or a random one, and gets 10 to 40 records: steps done or begun as
planned, out of turn, at night, before the job begins; deliveries late or there, days lost, corrections, entries taken
back. After each record it is checked that a plan came, that what is recorded stands, and what
`tests.support.rulebook` says. For each failure the shortest history found that shows it is printed as commands for a
shell, with the job in a folder of its own. Times are processor time. Exits with 1 if anything failed.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
import time
from collections import Counter
from collections.abc import Mapping, Sequence
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass
from functools import partial
from pathlib import Path
from random import Random
from unittest.mock import patch
from zoneinfo import ZoneInfo

from scheduler.errors import TackfreeError
from scheduler.pipeline import read
from scheduler.wallclock import DAY
from tests.support.histories import (
    Failure,
    Played,
    Said,
    Story,
    Teller,
    TooLongError,
    at_most,
    local,
    play,
)
from tests.support.manyjobs import example, random_job, starter

KINDS = {"examples": example, "starters": starter, "random": random_job}
SHARES = ("examples", "starters", "starters", "random", "random", "random")
EFFORT = {"examples": 60, "starters": 120, "random": 200}
"""Steps placed at most, so that thousands of plans take no hours."""
PATIENCE = 60
"""Seconds of work after which a record is given up."""
FIT = 3.0
"""Seconds of work in which a job has its ordinary plan, many times what such jobs take; else another one is drawn."""
SHRINKING = 40.0
"""Seconds of work that the search for a shorter history may take, for each kind of failure."""

_SHORTENED: set[str] = set()
"""Kinds of failure for which a process has looked for a shorter history already."""


@dataclass(frozen=True)
class Lived:
    """A history by its number: what kind of job, what came of it, each failure with the commands that show it, which
    record took the longest, and how many jobs were drawn before it that have no plan to begin with.
    """

    number: int
    kind: str
    played: Played
    shown: tuple[tuple[Failure, tuple[str, ...]], ...] = ()
    slowest: str = ""
    unfit: int = 0


def write_job(folder: Path, text: str, beside: Mapping[str, bytes]) -> Path:
    """A fresh folder with a job file and what lies beside it."""
    folder.mkdir(parents=True)
    for name, data in beside.items():
        (folder / name).write_bytes(data)
    file = folder / "job.yaml"
    file.write_text(text, encoding="utf-8")
    return file


@dataclass(frozen=True)
class Case:
    """A job as it was drawn, and how it is lived: from what moment on, and whether the time is told each time."""

    kind: str
    text: str
    beside: Mapping[str, bytes]
    first: int
    told: bool

    def begun(self, folder: Path) -> Story:
        """In a fresh folder, its ordinary plan handed out. Raises TackfreeError and TooLongError."""
        story = Story(write_job(folder, self.text, self.beside), EFFORT[self.kind], self.first, self.told)
        with at_most(FIT):
            story.begin()
        return story

    def shell(self, folder: Path, records: Sequence[Said], zone: ZoneInfo) -> list[str]:
        """The same as commands for a shell."""
        as_of = f" --as-of {local(self.first, zone)}" if self.told else ""
        plan = f"tackfree plan J --effort {EFFORT[self.kind]}{as_of} > /dev/null"
        return [f"cp -r {folder} J", plan, *(said.shell("J", zone) for said in records)]


def drawn(random: Random, kind: str, base: Path) -> tuple[Case, Story, int]:
    """A case, begun; and how many were drawn before it that have no plan to begin with."""
    unfit = 0
    while True:
        text, beside = KINDS[kind](random)
        told, early = random.random() < 0.5, random.choice((1, 5, 30)) * DAY
        try:
            job, _ = read(write_job(base / f"read-{unfit}", text, beside))
            case = Case(kind, text, beside, job.start - early, told)
            return case, case.begun(base / f"lived-{unfit}"), unfit
        except (TackfreeError, TooLongError):
            unfit += 1


def live(number: int, seed: int, kinds: str, records: tuple[int, int], keep: str, shrink: bool) -> Lived:
    """The history with this number."""
    random = Random(f"{seed}/{number}")
    kind = random.choice(SHARES) if kinds == "all" else kinds
    with tempfile.TemporaryDirectory() as base:
        case, story, unfit = drawn(random, kind, Path(base))
        count = random.randint(*records)
        pace = random.choice(((0, 10, 60, 180), (60, 540, 1020, DAY), (540, DAY, 3 * DAY, 7 * DAY)))
        played = play(story, count, Teller(random, case.told).next, lambda: random.choice(pace), patience=PATIENCE)
        shown = []
        for failure in played.failures:
            said: Sequence[Said] = played.records[: failure.at]
            if shrink and failure.kind not in _SHORTENED:
                _SHORTENED.add(failure.kind)
                said = shorter(said, failure, case, Path(base))
            folder = Path(keep, f"{kind}-{seed}-{number}")
            if not folder.exists():
                write_job(folder, case.text, case.beside)
            lines = case.shell(folder, said, story.zone)
            name = "".join(sign if sign.isalnum() else "-" for sign in failure.kind)[:60]
            text = "\n".join((f"# {failure.kind}: {failure.said}", *lines, ""))
            (folder / f"{name}.sh").write_text(text, encoding="utf-8")
            shown.append((failure, tuple(lines)))
        slowest = "" if not played.records else played.records[played.slowest_at - 1].shell("J", story.zone)
    return Lived(number, kind, played, tuple(shown), slowest, unfit)


def shorter(records: Sequence[Said], failure: Failure, case: Case, base: Path) -> list[Said]:
    """Fewer of these records that fail in the same way, as far as patience reaches."""
    began = time.process_time()
    best = list(records)

    def fails(some: Sequence[Said]) -> bool:
        with tempfile.TemporaryDirectory(dir=base) as folder:
            story = case.begun(Path(folder, "job"))
            played = play(story, len(some), some, lambda: 0, patience=PATIENCE, only=failure.kind)
        return any(each.kind == failure.kind for each in played.failures)

    for size in (1, 2, 4, 8):
        if size < len(best) and fails(best[-size:]):
            best = best[-size:]
            break
    at = 0
    while at < len(best) - 1 and time.process_time() - began < SHRINKING:
        without = [*best[:at], *best[at + 1 :]]
        if fails(without):
            best = without
        else:
            at += 1
    return best


def report(lived: Sequence[Lived], seconds: float) -> bool:
    """Print the counts; whether all went well."""
    failures: Counter[str] = Counter()
    refusals: Counter[str] = Counter()
    seen: dict[str, tuple[Lived, Failure, tuple[str, ...]]] = {}
    for one in lived:
        refusals.update(one.played.refusals)
        for failure, lines in one.shown:
            failures[failure.kind] += 1
            if failure.kind not in seen or len(lines) < len(seen[failure.kind][2]):
                seen[failure.kind] = (one, failure, lines)
    print("\nrefused at once, nothing recorded:")
    for said, count in refusals.most_common(25):
        print(f"  {count:5} {said}")
    print("\nfailures, by kind and the shortest history of each:")
    for kind, count in failures.most_common():
        one, failure, lines = seen[kind]
        print(f"\n{count:5} {kind}   (job {one.number}, {one.kind}, record {failure.at})\n      {failure.said}")
        print("\n".join(f"        {line}" for line in lines))
    broken = sum((one.played.breaches for one in lived), Counter[str]())
    print("\nbreaches found, told or not, in all plans:")
    for said, count in broken.most_common():
        print(f"  {count:6} {said}")
    for kind in KINDS:
        mine = [one for one in lived if one.kind == kind]
        records = sum(len(one.played.records) for one in mine)
        bad = sum(bool(one.played.failures) for one in mine)
        print(f"{kind:9} {len(mine):5} jobs {records:6} records, {bad} jobs fail; {_slowest(mine)}")
    print(f"{sum(one.unfit for one in lived)} more jobs had no plan to begin with; {seconds:.0f} s")
    return not failures


def _slowest(lived: Sequence[Lived]) -> str:
    """The record that took the longest beside the ordinary plan of its job, and the median of such records."""
    ratios = sorted((one.played.slowest / max(one.played.ordinary, 0.01), one.number) for one in lived)
    if not ratios:
        return "none"
    slow = next(one for one in lived if one.number == ratios[-1][1])
    return (
        f"slowest record {ratios[-1][0]:.1f} times a plan ({slow.played.slowest:.2f} s, job {slow.number},"
        f" record {slow.played.slowest_at}: {slow.slowest}), median of the slowest {ratios[len(ratios) // 2][0]:.1f}"
    )


def main() -> None:
    """Draw, live, check, print."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--jobs", type=int, default=100)
    ask.add_argument("--seed", type=int, default=1)
    ask.add_argument("--first", type=int, default=0, help="number of the first job")
    ask.add_argument("--kind", choices=(*KINDS, "all"), default="all")
    ask.add_argument("--records", default="10..40", help="from how many to how many")
    ask.add_argument("--processes", type=int, default=1)
    ask.add_argument("--seconds", type=float, default=1e9, help="no new history after so many seconds")
    ask.add_argument("--keep", default=str(Path(tempfile.gettempdir(), "histories")), help="where failing jobs go")
    ask.add_argument("--as-found", action="store_true", help="look for no shorter history")
    asked = ask.parse_args()
    least, _, most = asked.records.partition("..")
    records = (int(least), int(most or least))
    one = partial(
        live, seed=asked.seed, kinds=asked.kind, records=records, keep=asked.keep, shrink=not asked.as_found
    )
    numbers = range(asked.first, asked.first + asked.jobs)
    begun, lived = time.perf_counter(), []
    with (
        tempfile.TemporaryDirectory() as cache,
        patch.dict(os.environ, TACKFREE_CACHE=cache),
        ProcessPoolExecutor(asked.processes) as pool,
    ):
        for start in range(0, len(numbers), asked.processes):
            if time.perf_counter() - begun > asked.seconds:
                break
            for found in pool.map(one, numbers[start : start + asked.processes]):
                lived.append(found)
                kinds = ", ".join(dict.fromkeys(each.kind for each in found.played.failures))
                print(
                    f"{found.number}: {found.kind}, {len(found.played.records)} records,"
                    f" {len(found.played.refusals)} refused{': ' if kinds else ''}{kinds}",
                    flush=True,
                )
    sys.exit(0 if report(lived, time.perf_counter() - begun) else 1)


if __name__ == "__main__":
    main()
