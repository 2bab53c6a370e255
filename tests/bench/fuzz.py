"""Wild and damaged files into the whole tool: whatever they hold, the answer is data or faults, soon, in little room.

Takes what ships (jobs, readings, every material and method, tape, cautions, wares), a plan kept and a calendar handed
out by the command itself, and whole files written at random; damages them (bytes, lines, values, pieces of other
files); reads them, and plans what can be planned. A worker does it, and is watched: what it does not answer in time,
or takes too much memory for, is counted and kept. The seed makes a run repeatable, input by input.

    python -m tests.bench.fuzz --count 20000 --seconds 2700 --seed 1 --keep crashes
"""

from __future__ import annotations

import argparse
import multiprocessing
import os
import resource
import tempfile
import time
import traceback
from collections import Counter, defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from multiprocessing.connection import Connection
from pathlib import Path
from random import Random

from scheduler.errors import InputError, TackfreeError
from scheduler.model.refusal import NoPlanError
from scheduler.telling.refused import refused
from tests.bench.fuzzkinds import Kind, kinds

SLOW = 5.0
"""Seconds of work; more is a hang."""
PATIENCE = 20.0
"""Seconds of work after which a worker that does not answer is ended."""
WAITING = 900.0
"""Seconds after which it is ended in any case: the machine may be busy with other things, but not for ever."""
MUCH = 500
"""MiB that one input may take, the program itself included."""
MOST = 1500
"""MiB that the system gives a worker at most: beyond that it fails, and this is a crash."""


@dataclass(frozen=True)
class Came:
    """What came of one input: an outcome in a word or two, seconds of work, the peak of memory in MiB, a trace."""

    outcome: str
    seconds: float = 0.0
    memory: float = 0.0
    trace: str = ""


def one(kind: Kind, data: bytes, folder: Path) -> Came:
    """Put an input into a folder and read it there."""
    file = folder / kind.file
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(data)
    begun, trace = time.process_time(), ""
    _forget_peak()
    try:
        outcome = kind.reads(file)
    except TackfreeError as error:
        outcome = said_well(error)
    except Exception as error:
        outcome, trace = f"CRASH {type(error).__name__}", traceback.format_exc()
    return Came(outcome, time.process_time() - begun, _peak(), trace)


def said_well(error: TackfreeError) -> str:
    """Refused, or how the refusal itself is wrong: each fault is one line of a sensible length, with a remedy."""
    if isinstance(error, NoPlanError):
        return "no plan" if "\n" not in refused(error).short else "BROKEN LINE"
    faults = error.faults if isinstance(error, InputError) else ()
    lines = [str(fault) for fault in faults]
    if not lines or any("\n" in line or not line.isprintable() for line in lines):
        return "BROKEN LINE"
    if any(len(line) > 700 for line in lines):
        return "LONG LINE"
    return "refused" if all(fault.hint for fault in faults) else "NO REMEDY"


def _forget_peak() -> None:
    """Let the system count the peak of memory anew from here (Linux only; else it is the peak so far)."""
    peak = Path("/proc/self/clear_refs")
    if peak.exists():
        peak.write_text("5", encoding="ascii")


def _peak() -> float:
    status = Path("/proc/self/status")
    if status.exists():
        line = next(line for line in status.read_text(encoding="utf-8").splitlines() if line.startswith("VmHWM"))
        return int(line.split()[1]) / 1024
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


def _worked(process: int) -> float:
    """Seconds that a process has worked so far (Linux only; else none)."""
    stat = Path(f"/proc/{process}/stat")
    if not stat.exists():
        return 0.0
    parts = stat.read_text(encoding="utf-8").rpartition(")")[2].split()
    return (int(parts[11]) + int(parts[12])) / os.sysconf("SC_CLK_TCK")


def written(number: int, seed: int, only: Sequence[str] = ()) -> tuple[Kind, bytes]:
    """The input with this number, of these kinds only if any are named."""
    random = Random(f"{seed}/{number}")
    everything = [kind for kind in kinds() if not only or kind.name in only]
    shares = [kind.share for kind in everything]
    kind = everything[random.choices(range(len(everything)), shares)[0]]
    return kind, kind.write(random)


def _work(wire: Connection, seed: int, only: Sequence[str], base: str) -> None:
    """A worker: numbers in, what came of them out."""
    resource.setrlimit(resource.RLIMIT_AS, (MOST << 20, MOST << 20))
    while True:
        kind, data = written(wire.recv(), seed, only)
        with tempfile.TemporaryDirectory(dir=base) as folder:
            wire.send(one(kind, data, Path(folder)))


class Worker:
    """A process that is started again when it hangs or dies."""

    def __init__(self, seed: int, base: str, only: Sequence[str] = ()) -> None:
        self.seed, self.base, self.only = seed, base, only
        self._start()

    def _start(self) -> None:
        context = multiprocessing.get_context("fork")
        self.wire, theirs = context.Pipe()
        self.process = context.Process(target=_work, args=(theirs, self.seed, self.only, self.base), daemon=True)
        self.process.start()
        theirs.close()

    def ask(self, number: int) -> Came:
        """What comes of the input with this number."""
        outcome = "HANG"
        try:
            self.wire.send(number)
            if self._answers():
                came: Came = self.wire.recv()
                return came
        except (EOFError, OSError):
            outcome = "DIED"
        self.stop()
        self._start()
        return Came(outcome, PATIENCE if outcome == "HANG" else 0.0)

    def _answers(self) -> bool:
        """Whether an answer comes before patience is at its end."""
        process = self.process.pid or 0
        worked, waited = _worked(process), time.monotonic()
        while not self.wire.poll(1.0):
            if _worked(process) - worked > PATIENCE or time.monotonic() - waited > WAITING:
                return False
        return True

    def stop(self) -> None:
        """End the process."""
        self.process.kill()
        self.process.join()


def judged(came: Came) -> str:
    """The outcome, with what was too slow or took too much."""
    slow = "SLOW " if came.seconds > SLOW else ""
    return f"{slow}{'LARGE ' if came.memory > MUCH else ''}{came.outcome}"


def main() -> None:
    """Write, damage, read, plan, count, print."""
    ask = argparse.ArgumentParser(description=__doc__, formatter_class=argparse.RawDescriptionHelpFormatter)
    ask.add_argument("--count", type=int, default=20_000)
    ask.add_argument("--seconds", type=float, default=2700)
    ask.add_argument("--seed", type=int, default=0)
    ask.add_argument("--first", type=int, default=0, help="number of the first input")
    ask.add_argument("--only", default="", help="kinds by name, with commas between them; all if left out")
    ask.add_argument("--keep", type=Path, default=None, help="folder for what crashes")
    asked = ask.parse_args()
    counts: dict[str, Counter[str]] = defaultdict(Counter)
    slowest: dict[str, tuple[float, int]] = {}
    largest: dict[str, tuple[float, int]] = {}
    begun = time.perf_counter()
    only = [name.strip() for name in asked.only.split(",") if name.strip()]
    written(0, asked.seed, only)  # makes all kinds once, for all workers
    with tempfile.TemporaryDirectory() as base:
        worker = Worker(asked.seed, base, only)
        for number in range(asked.first, asked.first + asked.count):
            if time.perf_counter() - begun > asked.seconds:
                break
            if number % 1000 == 999:
                print(f"… {number + 1} after {time.perf_counter() - begun:.0f} s", flush=True)
            came = worker.ask(number)
            kind, data = written(number, asked.seed, only)
            outcome = judged(came)
            counts[kind.name][outcome] += 1
            slowest[kind.name] = max(slowest.get(kind.name, (0.0, 0)), (came.seconds, number))
            largest[kind.name] = max(largest.get(kind.name, (0.0, 0)), (came.memory, number))
            if outcome.split()[0].isupper():
                print(f"{number}: {kind.name}: {outcome}", flush=True)
                _keep(asked.keep, number, kind, data, f"{outcome}\n{came.trace}")
        worker.stop()
    _report(counts, slowest, largest)
    total = sum(one.total() for one in counts.values())
    print(f"{total} inputs, seed {asked.seed}, {time.perf_counter() - begun:.0f} s")


def _keep(folder: Path | None, number: int, kind: Kind, data: bytes, said: str) -> None:
    if folder is not None:
        folder.mkdir(parents=True, exist_ok=True)
        (folder / f"{number}-{Path(kind.file).name}").write_bytes(data)
        (folder / f"{number}.txt").write_text(f"{kind.name}: {said}", encoding="utf-8")


def _report(
    counts: dict[str, Counter[str]], slowest: dict[str, tuple[float, int]], largest: dict[str, tuple[float, int]]
) -> None:
    for name, outcomes in sorted(counts.items()):
        said = ", ".join(f"{outcome} {count}" for outcome, count in sorted(outcomes.items()))
        slow, large = slowest[name], largest[name]
        print(f"{name:16} {outcomes.total():6}: {said}")
        print(f"{'':25}at most {slow[0]:.2f} s (number {slow[1]}), {large[0]:.0f} MiB (number {large[1]})")


if __name__ == "__main__":
    main()
