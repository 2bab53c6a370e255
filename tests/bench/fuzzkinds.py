"""What `fuzz` hands in: each kind of file, how it is written or damaged, and who reads it."""

from __future__ import annotations

import json
import tempfile
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cache, partial
from pathlib import Path
from random import Random
from typing import Any
from zoneinfo import ZoneInfo

from scheduler.diary.record import Files, read_record
from scheduler.expanding import expand
from scheduler.model.basics import Span
from scheduler.pipeline import read
from scheduler.reading.airlog import read_air
from scheduler.reading.busy.reader import read_busy
from scheduler.reading.shipped import shipped_profiles
from scheduler.reading.wares import read_wares
from scheduler.reading.yamlfile import load_yaml
from tests.cli.running import run
from tests.support.damage import damaged, rebuilt
from tests.support.wild import wild_calendar, wild_diary, wild_job, wild_readings

ROOT = Path(__file__).parents[2]
ZONE = ZoneInfo("America/Denver")
MARCH = Span(29_500_000, 29_600_000)
AS_OF = "2026-12-01"

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
JOB = """\
job: Walls
start: 2027-01-09
zone: America/Denver
measures: US
hours: {on: Saturday, from: 8:30, to: 17:00}
rooms: {study: {length: 9 ft, width: 9 ft, height: 8 ft, air: {day: 68 °F, night: 60 °F, humidity: 45 %}}}
scope: {walls: [prime, paint walls: {paint: acrylic-latex-wall-paint}]}
"""


@dataclass(frozen=True)
class Kind:
    """A kind of file: the name it has in the folder of a job, its sound texts, how one is written, and who reads it.

    `reads` gives the outcome in a word, or raises what the tool raises.
    """

    name: str
    file: str
    seeds: tuple[bytes, ...]
    write: Callable[[Random], bytes]
    reads: Callable[[Path], str]
    share: int = 1


@cache
def kinds() -> tuple[Kind, ...]:
    """All that is handed in."""
    jobs = _files(ROOT / "examples", "*/job.yaml")
    shipped = shipped_profiles()
    air = _files(ROOT / "examples", "cold-garage/air.csv")
    plan, calendar = _handed_out()
    return (
        _damaged("job file", "job.yaml", jobs, _expands, 4),
        _wild("wild job", "job.yaml", lambda random: wild_job(random, random.choice((0, 0.002, 0.01))), _expands, 4),
        _rebuilt("material", "profiles/materials/acrylic-latex-wall-paint.yaml", shipped / "materials", _beside, 3),
        _rebuilt("method", "profiles/methods/paint-walls.yaml", shipped / "methods", _beside, 3),
        _rebuilt("tape", "profiles/tape.yaml", shipped / "tape.yaml", _beside, 1),
        _rebuilt("cautions", "profiles/cautions.yaml", shipped / "cautions.yaml", _beside, 1),
        _rebuilt("wares", "profiles/wares.yaml", shipped / "wares.yaml", _wares, 1),
        _damaged("readings", "air.csv", air, _reads_air, 1),
        _wild("wild readings", "air.csv", wild_readings, _reads_air, 2),
        _damaged("calendar", "home.ics", (CALENDAR.encode(),), _reads_busy, 1),
        _wild("wild calendar", "home.ics", wild_calendar, _reads_busy, 3),
        _damaged("diary", "job.diary.jsonl", (DIARY.encode(),), _reads_diary, 1),
        _wild("wild diary", "job.diary.jsonl", wild_diary, _reads_diary, 2),
        Kind("kept plan", "job.plan.json", (plan,), partial(_rebuilt_json, plan), _after_kept, 2),
        _damaged("moved calendar", "back.ics", (calendar,), _after_moved, 1),
        _wild("job planned", "job.yaml", partial(wild_job, odd=0.002, steps=6), _planned, 2),
    )


def _files(folder: Path, pattern: str) -> tuple[bytes, ...]:
    return tuple(path.read_bytes() for path in sorted(folder.glob(pattern)))


def _damaged(name: str, file: str, seeds: tuple[bytes, ...], reads: Callable[[Path], str], share: int) -> Kind:
    """Sound texts, damaged; what is spliced in comes out of anything."""
    others = (*seeds, DIARY.encode(), CALENDAR.encode(), JOB.encode())
    return Kind(name, file, seeds, lambda r: damaged(r.choice(seeds), r.choice(others), r), reads, share)


def _wild(name: str, file: str, text: Callable[[Random], str], reads: Callable[[Path], str], share: int) -> Kind:
    """Whole files at random."""
    return Kind(name, file, (), lambda random: text(random).encode("utf-8", "replace"), reads, share)


def _rebuilt(name: str, file: str, shipped: Path, reads: Callable[[Path], str], share: int) -> Kind:
    """Profiles that ship: damaged like any text, or with whole values of other profiles of their kind."""
    paths = sorted(shipped.glob("*.yaml")) if shipped.is_dir() else [shipped]
    seeds = tuple(path.read_bytes() for path in paths)
    same = next((path for path in paths if path.name == Path(file).name), paths[0])

    def write(random: Random) -> bytes:
        if random.random() < 0.4:
            return damaged(same.read_bytes(), random.choice(seeds), random)
        data = rebuilt(_data(random.choice((same, *paths))), _data(random.choice(paths)), random)
        return _text(data).encode("utf-8", "replace")

    return Kind(name, file, (same.read_bytes(),), write, reads, share)


@cache
def _data(path: Path) -> Any:
    return load_yaml(path, typed=False)[0]


def _text(data: Any) -> str:
    """Block YAML at the top, flow below."""
    if not isinstance(data, dict):
        return json.dumps(data, ensure_ascii=False)
    return "".join(f"{key}: {json.dumps(value, ensure_ascii=False)}\n" for key, value in data.items())


def _rebuilt_json(plan: bytes, random: Random) -> bytes:
    if random.random() < 0.3:
        return damaged(plan, CALENDAR.encode(), random)
    return json.dumps(rebuilt(json.loads(plan), json.loads(plan), random)).encode("utf-8", "replace")


@cache
def _handed_out() -> tuple[bytes, bytes]:
    """A plan as it is kept beside a job, and its calendar, both made by the command itself."""
    with tempfile.TemporaryDirectory() as folder:
        file = Path(folder) / "job.yaml"
        file.write_text(JOB, "utf-8")
        done = run("plan", str(file), "--as-of", AS_OF, "--effort", "1", "--ics", str(file.with_name("plan.ics")))
        assert done.code == 0, done.err
        return file.with_name("job.plan.json").read_bytes(), file.with_name("plan.ics").read_bytes()


def _furnish(folder: Path) -> None:
    """What a job may name beside it, sound."""
    for name, text in (
        ("air.csv", (ROOT / "examples/cold-garage/air.csv").read_text("utf-8")),
        ("home.ics", CALENDAR),
    ):
        if not (folder / name).exists():
            (folder / name).write_text(text, "utf-8")


def _expands(file: Path) -> str:
    _furnish(file.parent)
    expand(*read(file))
    return "read"


def _beside(file: Path) -> str:
    """A sound job with a profile of its own."""
    job = file.parents[len(file.parents) - 1 - _depth(file)] / "job.yaml"
    job.write_text(JOB, encoding="utf-8")
    return _expands(job)


def _depth(file: Path) -> int:
    """How many folders lie above the folder of the job."""
    return len(file.parts[: file.parts.index("profiles")]) - 1


def _wares(file: Path) -> str:
    read_wares(file.parent)
    return "read"


def _reads_air(file: Path) -> str:
    read_air(file, ZONE)
    return "read"


def _reads_busy(file: Path) -> str:
    warned = read_busy([file], MARCH, ZONE).warnings
    return _lines(warned, "read")


def _reads_diary(file: Path) -> str:
    read_record(Files(file.parent / "job.yaml"))
    return "read"


def _after_kept(file: Path) -> str:
    """The commands that lean on what is kept."""
    job = file.parent / "job.yaml"
    job.write_text(JOB, encoding="utf-8")
    if run("diary", str(job)).code not in (0, 2):
        raise AssertionError("an exit code that is none")
    return _ran("plan", str(job), "--as-of", AS_OF, "--effort", "1", "--ics", str(job.with_name("plan.ics")))


def _after_moved(file: Path) -> str:
    job = file.parent / "job.yaml"
    job.write_text(JOB, encoding="utf-8")
    plan, _ = _handed_out()
    job.with_name("job.plan.json").write_bytes(plan)
    return _ran("plan", str(job), "--moved", str(file), "--as-of", AS_OF, "--effort", "1")


def _planned(file: Path) -> str:
    """A job planned, printed, put into a calendar and on a page, with a diary at random."""
    _furnish(file.parent)
    random = Random(file.read_bytes())
    more = ["--ics", str(file.with_name("plan.ics")), "--page", str(file.with_name("plan.html"))]
    if random.random() < 0.3:
        file.with_name("job.diary.jsonl").write_text(wild_diary(random, 0.0, ("step-0", "step-1")), "utf-8")
        more = []
    if random.random() < 0.3:
        file.with_name("home.ics").write_text(wild_calendar(random, 0.0), "utf-8")
    return _ran("plan", str(file), "--as-of", random.choice((AS_OF, "2027-02-01")), "--effort", "1", *more)


def _ran(*words: str) -> str:
    """The outcome of a command; its exit code and its lines must be such as are promised."""
    done = run(*words)
    lines = [line for line in done.err.splitlines() if line]
    if done.code == 2:
        return _lines(lines, "refused") if lines else "NOTHING SAID"
    if done.code == 1:
        return _lines(lines, "no plan") if "No plan is possible. " in done.err else "NOTHING SAID"
    if done.code:
        return f"EXIT CODE {done.code}"
    return "BREAKS A RULE" if "This plan breaks a rule" in done.out else _lines(lines, "read")


def _lines(lines: Sequence[str], well: str) -> str:
    return well if all(line.isprintable() and len(line) < 900 for line in lines) else "BROKEN LINE"
