"""Damaged files into the readers: whatever they hold, the answer is data or faults, soon.

Takes the shipped examples (jobs, readings, plans), a material, a method, and a diary and a calendar of its own,
damages them (bytes, lines, values, pieces of other files), reads them in this process, and counts what came of it.
The seed makes a run repeatable. A crash or a wait is written to FOLDER, for a test to be made of it.

    python -m tests.bench.fuzz --count 20000 --seconds 900 --seed 1 --keep crashes
"""

from __future__ import annotations

import argparse
import resource
import subprocess
import sys
import tempfile
import time
import traceback
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from random import Random
from zoneinfo import ZoneInfo

from scheduler.diary.kept import read_kept
from scheduler.diary.record import Files, read_record
from scheduler.errors import InputError, NoPlanError
from scheduler.expanding import expand
from scheduler.model.basics import Span
from scheduler.pipeline import read
from scheduler.reading.airlog import read_air
from scheduler.reading.busy.reader import read_busy
from scheduler.reading.shipped import shipped_profiles

ROOT = Path(__file__).parents[2]
SLOW = 5.0
"""Seconds; more is a hang."""
ZONE = ZoneInfo("America/Denver")
MARCH = Span(29_500_000, 29_600_000)

VALUES = (
    *("0", "-1", "1e308", "9" * 40, "nan", "inf", "~", "null", "true", "[]", "{}", "[[1]]", "{a: b}", '""', "*a"),
    *("0001-01-01", "9999-12-31", "2027-02-30", "24:00", "25:61", "0 h", "-3 h", "99999999 h", "1/0 h", "4 h to 2 h"),
    *("-500 °F", "999 °C", "0 %", "101 %", "68", "!!binary x", "\t", "\0", "\u202e", "\ud7ff", "ſ", "а", "½", "💥"),
    *("FREQ=SECONDLY", "19000101T000000Z", "-P9999D", "TZID=Nowhere:", "RRULE:FREQ=YEARLY;BYDAY=53MO", "\\n", '"'),
)  # fmt: skip

DIARY = """\
{"what": "note", "at": "2027-01-09T16:40:00-07:00", "text": "opened the second bucket"}
{"what": "lost", "at": "2027-01-10T16:40:00-07:00", "from": "2027-01-10T08:30-07:00", "to": "2027-01-10T17:00-07:00"}
"""
CALENDAR = """\
BEGIN:VCALENDAR
VERSION:2.0
PRODID:-//home//EN
BEGIN:VEVENT
UID:choir@home.example
DTSTAMP:20260101T000000Z
DTSTART;TZID=America/Denver:20260210T190000
DURATION:PT2H
RRULE:FREQ=WEEKLY;BYDAY=TU,TH;INTERVAL=2
EXDATE;TZID=America/Denver:20260224T190000
END:VEVENT
BEGIN:VEVENT
UID:trip@home.example
DTSTAMP:20260101T000000Z
DTSTART;VALUE=DATE:20260303
DTEND;VALUE=DATE:20260305
END:VEVENT
END:VCALENDAR
"""


@dataclass(frozen=True)
class Kind:
    """A kind of file: its sound texts, the name it has in the folder of a job, and who reads it."""

    name: str
    seeds: tuple[bytes, ...]
    file: str
    reads: Callable[[Path], object]


def _job(file: Path) -> object:
    (file.parent / "air.csv").write_bytes((ROOT / "examples" / "cold-garage" / "air.csv").read_bytes())
    return expand(*read(file))


@cache
def _kept_plan() -> bytes:
    """A plan as it is kept beside a job, made by the command itself."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "job.yaml"
        file.write_text(JOB, "utf-8")
        command = [sys.executable, "-c", "from scheduler.cli import main; main()"]
        subprocess.run([*command, "plan", str(file), "--as-of", "2026-12-01"], check=True, capture_output=True)
        return file.with_name("job.plan.json").read_bytes()


def kinds() -> tuple[Kind, ...]:
    """All that is damaged."""
    jobs = tuple(path.read_bytes() for path in sorted((ROOT / "examples").glob("*/job.yaml")))
    shipped = shipped_profiles()
    own = tuple(path.read_bytes() for path in sorted((shipped / "materials").glob("*wall-paint.yaml")))
    methods = ((shipped / "methods" / "paint-walls.yaml").read_bytes(),)
    air = (ROOT / "examples" / "cold-garage" / "air.csv").read_bytes()
    return (
        Kind("job file", jobs, "job.yaml", _job),
        Kind("own material", own, "profiles/materials/acrylic-latex-wall-paint.yaml", _beside),
        Kind("own method", methods, "profiles/methods/paint-walls.yaml", _beside),
        Kind("readings", (air,), "air.csv", lambda file: read_air(file, ZONE)),
        Kind("calendar", (CALENDAR.encode(),), "home.ics", lambda file: read_busy([file], MARCH, ZONE)),
        Kind(
            "diary", (DIARY.encode(),), "job.diary.jsonl", lambda file: read_record(Files(file.parent / "job.yaml"))
        ),
        Kind("kept plan", (_kept_plan(),), "job.plan.json", lambda file: read_kept(Files(file.parent / "job.yaml"))),
    )


JOB = """\
job: Walls
start: 2027-01-09
zone: America/Denver
measures: US
hours: {on: Saturday, from: 8:30, to: 17:00}
rooms: {study: {length: 9 ft, width: 9 ft, height: 8 ft, air: {day: 68 °F, night: 60 °F, humidity: 45 %}}}
scope: {walls: [prime, paint walls: {paint: acrylic-latex-wall-paint}]}
"""


def _beside(file: Path) -> object:
    """A sound job with a damaged profile of its own."""
    job = file.parents[2] / "job.yaml"
    job.write_text(JOB, encoding="utf-8")
    return _job(job)


def damaged(data: bytes, other: bytes, random: Random) -> bytes:
    """One to four damages."""
    for _ in range(random.choice((1, 1, 1, 2, 4))):
        data = random.choice((_value, _value, _value, _line, _line, _byte, _cut, _splice, _ends))(data, other, random)
    return data


def _value(data: bytes, other: bytes, random: Random) -> bytes:
    """Another value after a `:`, `,` or `=`."""
    spots = [at for at, byte in enumerate(data) if byte in b":,={["]
    if not spots:
        return data
    at = random.choice(spots) + 1
    end = at
    while end < len(data) and data[end] not in b",}]\r\n":
        end += 1
    return data[:at] + b" " * random.choice((0, 1)) + random.choice(VALUES).encode() + data[end:]


def _line(data: bytes, other: bytes, random: Random) -> bytes:
    """A line away, twice, further in, elsewhere, or out of another file."""
    lines = data.split(b"\n")
    at = random.randrange(len(lines))
    what = random.randrange(5)
    if what == 0:
        del lines[at]
    elif what == 1:
        lines.insert(at, lines[at])
    elif what == 2:
        lines[at] = random.choice((b"  ", b"\t", b" ", b"- ")) + lines[at]
    elif what == 3:
        lines.insert(random.randrange(len(lines)), lines.pop(at))
    else:
        lines.insert(at, random.choice(other.split(b"\n")))
    return b"\n".join(lines)


def _byte(data: bytes, other: bytes, random: Random) -> bytes:
    """One byte is another."""
    if not data:
        return b"\xff"
    at = random.randrange(len(data))
    return data[:at] + bytes([random.randrange(256)]) + data[at + 1 :]


def _cut(data: bytes, other: bytes, random: Random) -> bytes:
    """A stretch is missing, or the rest of the file."""
    start = random.randrange(len(data) + 1)
    return data[:start] + data[min(len(data), start + random.choice((1, 8, 100, len(data)))) :]


def _splice(data: bytes, other: bytes, random: Random) -> bytes:
    """A stretch of another file in the middle, or the same once more."""
    piece = random.choice((other, data))
    start = random.randrange(len(piece) + 1)
    at = random.randrange(len(data) + 1)
    return data[:at] + piece[start : start + random.choice((3, 30, 300))] + data[at:]


def _ends(data: bytes, other: bytes, random: Random) -> bytes:
    """Other line ends, another encoding, a mark at the beginning, depth, length."""
    text = data.decode("utf-8", "replace")
    return random.choice(
        (
            data.replace(b"\n", b"\r\n"),
            data.replace(b"\n", b"\r"),
            text.encode("utf-16"),
            text.encode("latin-1", "replace"),
            b"\xef\xbb\xbf" + data,
            data + b"[" * 5000,
            data + b"\nx: " + b"y" * 100_000,
            data * 3,
            b"",
        )
    )


def one(kind: Kind, data: bytes, folder: Path) -> tuple[str, float, str]:
    """What came of one damaged file, the seconds it took, and the trace of a crash."""
    file = folder / kind.file
    file.parent.mkdir(parents=True, exist_ok=True)
    file.write_bytes(data)
    begun = time.perf_counter()
    trace = ""
    try:
        kind.reads(file)
        outcome = "read"
    except InputError as error:
        lines = str(error).split("\n")
        outcome = "refused" if len(lines) == len(error.faults) else "refused in a broken line"
    except NoPlanError:
        outcome = "no plan"
    except Exception as error:
        outcome, trace = f"CRASH {type(error).__name__}", traceback.format_exc()
    return outcome, time.perf_counter() - begun, trace


def main() -> None:
    """Damage, read, count, print."""
    ask = argparse.ArgumentParser(description=__doc__)
    ask.add_argument("--count", type=int, default=20_000)
    ask.add_argument("--seconds", type=float, default=600)
    ask.add_argument("--seed", type=int, default=0)
    ask.add_argument("--keep", type=Path, default=None, help="folder for what crashes")
    asked = ask.parse_args()
    random, counts, begun, slowest = Random(asked.seed), Counter[tuple[str, str]](), time.perf_counter(), (0.0, "")
    everything = kinds()
    for number in range(asked.count):
        if time.perf_counter() - begun > asked.seconds:
            break
        kind = everything[number % len(everything)]
        other = random.choice(random.choice(everything).seeds)
        data = damaged(random.choice(kind.seeds), other, random)
        with tempfile.TemporaryDirectory() as folder:
            outcome, took, trace = one(kind, data, Path(folder))
        outcome = "SLOW " + outcome if took > SLOW else outcome
        counts[kind.name, outcome] += 1
        slowest = max(slowest, (took, f"{kind.name}, number {number}"))
        if asked.keep is not None and (trace or outcome.startswith(("SLOW", "refused in"))):
            asked.keep.mkdir(parents=True, exist_ok=True)
            (asked.keep / f"{number}-{Path(kind.file).name}").write_bytes(data)
            (asked.keep / f"{number}.txt").write_text(f"{kind.name}: {outcome}\n{trace}", encoding="utf-8")
    for (name, outcome), count in sorted(counts.items()):
        print(f"{name:14} {outcome:40} {count:6}")
    memory = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(
        f"{counts.total()} files, seed {asked.seed}, {time.perf_counter() - begun:.0f} s; slowest {slowest[0]:.2f} s"
    )
    print(f"({slowest[1]}); {memory:.0f} MiB at most")


if __name__ == "__main__":
    main()
