"""The job file: text -> data with places -> shape -> checks -> `Job`. All faults of a file come at once."""

from __future__ import annotations

import os
import re
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from itertools import islice
from pathlib import Path
from typing import Any
from zoneinfo import ZoneInfo

from scheduler.errors import Fault, InputError, wrong_input
from scheduler.files import is_address
from scheduler.model.doubts import NO_DOUBTS, Doubts
from scheduler.model.job import Job, Reading
from scheduler.reading.airlog import read_air
from scheduler.reading.book import NameBook, names_in
from scheduler.reading.checkidle import IDLE_CHECKS
from scheduler.reading.checknames import NAME_CHECKS
from scheduler.reading.checkscope import SCOPE_CHECKS
from scheduler.reading.checktimes import TIME_CHECKS
from scheduler.reading.handedon import Faulty, doubts_of, handed_on
from scheduler.reading.positions import Positions
from scheduler.reading.scalars import language_of
from scheduler.reading.shape import JobShape
from scheduler.reading.shapefaults import MOST_FAULTS, Shapes, read_shape
from scheduler.reading.textfile import read_text, shown
from scheduler.reading.tomodel import job_of
from scheduler.reading.yamlfile import compose_yaml
from scheduler.told import one_line, told

Check = Callable[[NameBook], Iterator[Fault]]


@dataclass(frozen=True, slots=True, kw_only=True)
class SeenFile:
    """What can be seen in a job file. A job with faults is what is sound of it: to be looked over further, with the
    `doubts` that they leave, and never to be planned; None where nothing can be said."""

    job: Job | None
    faults: tuple[Fault, ...] = ()
    doubts: Doubts = NO_DOUBTS


def named_file(path: Path) -> Path:
    """The job file that a person means by a file or by the folder that holds it."""
    return path / "job.yaml" if path.is_dir() else path


def job_file(path: Path) -> Path:
    """The same, and what it leads to if it is a link: a job has one record and one folder of profiles, beside its
    file, by whichever way it is opened."""
    file = named_file(path)
    real = Path(os.path.realpath(file)) if file.is_symlink() else file
    return real if real.is_file() or not file.exists() else file  # else it is a pipe: the name of it says more


def read_job(path: Path) -> Job:
    """The job of a file. Raises InputError with every fault of it, and of the readings it names."""
    return _whole(look_at_job(path))


def read_job_text(text: str, name: str, *, folder: Path = Path()) -> Job:
    """The job of a text. `name` is the file's name in the faults; `folder` is where its readings lie."""
    return _whole(look_at_job_text(text, name, folder=folder))


def look_at_job(path: Path) -> SeenFile:
    """A job file with all its faults. Raises InputError where it can't be read as a text of keys and values."""
    return look_at_job_text(read_text(path), shown(path), folder=path.parent)


def look_at_job_text(text: str, name: str, *, folder: Path = Path()) -> SeenFile:
    """The same of a text."""
    data, at, faults = compose_yaml(text, name, typed=False)
    if data is None and not faults:
        raise wrong_input(name, "this file is empty", "begin it with `job: ` and a name")
    read = read_shape(data, at, faults)
    faults += read.faults
    if not read.shapes:
        return SeenFile(job=None, faults=tuple(faults))
    shape = read.shapes[-1]  # of a mended file the one with something fitting in it
    faults += _checked(read, at, (*TIME_CHECKS, *NAME_CHECKS, *SCOPE_CHECKS))
    faults += Faulty(at, faults).without_doubt(_checked(read, at, IDLE_CHECKS))
    faults += _missing_calendars(shape, at, folder)
    readings, unread = _readings(shape, at, folder)
    faults += unread
    job = job_of(shape, at, readings)
    if not faults:
        return SeenFile(job=job)
    faulty = Faulty(at, faults)
    return SeenFile(job=handed_on(job, faulty), faults=tuple(faults), doubts=doubts_of(job, faulty))


def _checked(read: Shapes, at: Positions, checks: Iterable[Check]) -> list[Fault]:
    """What some checks find in a file, in each of the ways in which it was mended and outside of what was mended."""
    names = names_in(read.data)
    books = [NameBook(shape, at, names, read.broken, read.mended, read.lost) for shape in read.shapes]
    found = [list(islice((fault for check in checks for fault in check(book)), MOST_FAULTS + 1)) for book in books]
    common = [fault for fault in found[0] if all(fault in other for other in found[1:])]
    if not read.mended:
        return common
    faulty = Faulty(at, ())
    return [fault for fault in common if not faulty.under(fault.place, read.mended)]


_LANGUAGE = re.compile(r"^language:[ \t]*[\"']?([^\W\d_]+)", re.MULTILINE)


def language_said(path: Path) -> str | None:
    """The language that a job file says it is told in, whatever else is wrong with it; None if it says none.

    `path` is the file or the folder that holds it, and need not be there.
    """
    file = named_file(path)
    try:
        found = _LANGUAGE.search(file.read_text("utf-8", "replace")) if file.is_file() else None
        return language_of(found[1]) if found is not None else None
    except (OSError, ValueError):
        return None


def _whole(seen: SeenFile) -> Job:
    if seen.faults or seen.job is None:
        raise InputError(listed(seen.faults))
    return seen.job


def job_schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of a job file, for editors."""
    schema = JobShape.model_json_schema(by_alias=True)
    head = {"$schema": "https://json-schema.org/draft/2020-12/schema", "title": "Job file of tackfree"}
    return {**head, **{key: _tidy(part) for key, part in schema.items() if key != "title"}}


def _tidy(node: Any) -> Any:
    """Without what says nothing to a person: generated titles, and null as the value of a key left out."""
    if isinstance(node, list):
        return [_tidy(part) for part in node]
    if not isinstance(node, dict):
        return node
    tidy = {key: _tidy(part) for key, part in node.items() if not (key == "title" and isinstance(part, str))}
    choices = [choice for choice in tidy.get("anyOf", []) if choice != {"type": "null"}]
    if tidy.get("default", 0) is None:
        del tidy["default"]
    if len(choices) == 1:
        del tidy["anyOf"]
        return {**choices[0], **tidy}
    return {**tidy, "anyOf": choices} if choices else tidy


def _readings(shape: JobShape, at: Positions, folder: Path) -> tuple[dict[str, tuple[Reading, ...]], list[Fault]]:
    """The measured air of each room that has a file of it, and the faults of these files."""
    found: dict[str, tuple[Reading, ...]] = {}
    faults: list[Fault] = []
    for name, room in shape.rooms.items():
        if room.readings is None:
            continue
        path = folder / room.readings
        place = at.value(("rooms", name, "readings"))
        try:
            found[name] = read_air(path, ZoneInfo(shape.zone))
        except InputError as error:
            faults += [fault.where_named(place, room.readings) for fault in error.faults]
    return found, faults


def _missing_calendars(shape: JobShape, at: Positions, folder: Path) -> Iterator[Fault]:
    """A fault for each calendar of the household that is not there; what is in them is read when a plan is made."""
    for number, name in enumerate(shape.busy or ()):
        place = at.value(("busy", number))
        if is_address(name):
            said = "this is an address, and a job file names files alone"
            yield Fault(place, said, "name it when you plan: tackfree plan JOB --busy URL")
        elif not _is_there(folder / name):
            yield Fault(
                place, told("there is no file `{name}`", name=name), "check the name; it counts from this folder"
            )


def _is_there(path: Path) -> bool:
    try:
        return path.exists()
    except (OSError, ValueError):
        return False  # no name that a file could have


def listed(faults: Iterable[Fault]) -> list[Fault]:
    """Each fault in one line, none twice, and of too many the first ones."""
    lines = [Fault(each.place, one_line(each.message), one_line(each.hint)) for each in faults]
    ordered = list(InputError(dict.fromkeys(lines)).faults)
    if len(ordered) <= MOST_FAULTS:
        return ordered
    said = told("there are more than these {most_faults} faults", most_faults=MOST_FAULTS)
    return [*ordered[:MOST_FAULTS], Fault(ordered[MOST_FAULTS - 1].place, said, "mend them first")]
