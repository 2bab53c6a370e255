"""`tackfree check`: every fault of a job file at its line and column, what comes of it, and nothing planned."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.shared import AsOfOption, JobArgument, JsonOption, is_plain, now_for, say_error, say_fault, width
from scheduler.errors import InputError

if TYPE_CHECKING:
    from scheduler.looking import Inspection
    from scheduler.model.job import Job


def check(
    job: JobArgument,
    as_of: AsOfOption = None,
    measures: Annotated[bool, typer.Option("--measures", help="Show all that the parts measure instead.")] = False,
    as_json: JsonOption = False,
) -> None:
    """Read and validate only: every fault at its line and column, with what would be right; else the steps that come
    of the job, by the names that `did`, `changes:` and `follows:` take.

    The household's calendars are read as far ahead as a plan would ask for.

    Example: tackfree check examples/hobby-room
    """
    seen, warnings = _look(job, as_of)
    if as_json:
        from scheduler.telling.text.quantities import check_json

        sys.stdout.write(check_json(seen.faults, seen.graph, seen.quantities, seen.measures))
    elif not seen.faults:
        _show(seen, measures)
        _show_learned(job, as_of)
    if not as_json:
        for fault in seen.faults:
            say_fault(fault)
    for line in warnings:
        say_error(line)
    if seen.faults:
        raise typer.Exit(2)


def _show(seen: Inspection, measures: bool) -> None:
    """The tables of a job without a fault."""
    from scheduler.telling.text.quantities import (
        found_line,
        measures_text,
        needed_by_none,
        quantities_text,
        steps_text,
    )
    from scheduler.telling.words import words_of

    assert seen.job is not None and seen.graph is not None  # else there were a fault
    metric, words = seen.job.metric, words_of(seen.job)
    if measures:
        tables = [measures_text(seen.measures, words, metric=metric)]
    else:
        rooms = {room.id: room.title for room in seen.job.rooms}
        steps = steps_text(seen.graph, rooms, words, width=width(), plain=is_plain())
        tables = [quantities_text(seen.quantities, words, metric=metric), steps]
    for table in filter(None, tables):
        print(table, end="\n\n")
    print(found_line(seen.graph, words))
    print(needed_by_none(seen.job, seen.graph, words, width(), is_plain()), end="")


def _show_learned(path: Path, as_of: str | None) -> None:
    """What the record taught, if there is one that can be read: it is not what this command looks over."""
    from scheduler.diary.record import Files
    from scheduler.living.site import open_site, settled_now
    from scheduler.reading.jobfile import job_file
    from scheduler.telling.text.learned import learned_text

    if not Files(job_file(path)).diary.exists():
        return
    try:
        site = open_site(path)
        found = site.learned(settled_now(site, now_for(site.job, as_of), named=False)).lessons
    except InputError:
        return
    print(learned_text(found, width(), is_plain(), site.job.language), end="")


def _look(path: Path, as_of: str | None) -> tuple[Inspection, tuple[str, ...]]:
    """What there is to see, with the faults of the household's calendars, and warnings."""
    from dataclasses import replace

    from scheduler.looking import Inspection, look, short_handed
    from scheduler.reading.jobfile import listed

    try:
        seen = look(path)
        seen = replace(seen, faults=seen.faults or short_handed(seen))
    except InputError as error:
        return Inspection(job=None, faults=error.faults), ()
    if seen.job is None:
        return seen, ()
    try:
        return seen, _household_warnings(path, seen.job, now_for(seen.job, as_of))
    except InputError as error:
        known = {fault.place for fault in seen.faults}  # a file that is not there has a fault already
        more = [fault for fault in error.faults if fault.place not in known]
        return replace(seen, faults=tuple(listed([*seen.faults, *more]))), ()


def _household_warnings(path: Path, job: Job, now: int) -> tuple[str, ...]:
    """What could not be read in the household's calendars. Raises InputError for a file that is none."""
    from scheduler.living.household import household
    from scheduler.pipeline import HORIZONS
    from scheduler.reading.jobfile import job_file

    return household(job, job_file(path).parent, now, HORIZONS[0]).warnings
