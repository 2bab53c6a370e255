"""`tackfree check`: every fault of a job file at its line and column, and nothing planned."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import typer

from scheduler.cli.shared import AsOfOption, JobArgument, JsonOption, now_for, say_error
from scheduler.errors import Fault, InputError

if TYPE_CHECKING:
    from scheduler.model.graph import TaskGraph
    from scheduler.model.job import Job


def check(job: JobArgument, as_of: AsOfOption = None, as_json: JsonOption = False) -> None:
    """Read and validate only: every fault at its line and column, with what would be right.

    The household's calendars are read as far ahead as a plan would ask for.

    Example: tackfree check examples/hobby-room
    """
    faults: tuple[Fault, ...] = ()
    graph: TaskGraph | None = None
    found: Job | None = None
    warnings: tuple[str, ...] = ()
    try:
        found, graph = _read(job)
        warnings = _household_warnings(job, found, now_for(found, as_of))
    except InputError as error:
        faults = error.faults
    from scheduler.presenting.quantities import check_json, quantities_text
    from scheduler.presenting.words import counted

    materials = sorted({task.film.material for task in graph.tasks if task.film}) if graph else []
    steps = sum(1 for task in graph.tasks if task.remedy_of is None) if graph else 0
    if as_json:
        print(check_json(faults, steps, materials, found.quantities if found else ()), end="")
    else:
        for fault in faults:
            say_error(str(fault))
        if found is not None and found.quantities and not faults:
            print(quantities_text(found.quantities, metric=found.metric), end="\n\n")
        if not faults:
            print(f"{counted(steps, 'step')}, {counted(len(materials), 'material')}: no fault found.")
    for line in warnings:
        say_error(line)
    if faults:
        raise typer.Exit(2)


def _household_warnings(path: Path, job: Job, now: int) -> tuple[str, ...]:
    """What could not be read in the household's calendars. Raises InputError for a file that is none."""
    from scheduler.living.household import household
    from scheduler.pipeline import HORIZONS
    from scheduler.reading.jobfile import job_file

    return household(job, job_file(path).parent, now, HORIZONS[0]).warnings


def _read(path: Path) -> tuple[Job, TaskGraph]:
    from scheduler.expanding import expand
    from scheduler.pipeline import read

    job, trade = read(path)
    return job, expand(job, trade)
