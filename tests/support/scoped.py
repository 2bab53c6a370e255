"""Measured rooms in few words: a job file's text with what a test is about, read and unfolded as a command would."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from textwrap import indent

from scheduler.expanding import expand, unfold
from scheduler.model.graph import TaskGraph
from scheduler.model.job import Job, Step
from scheduler.model.material import Trade
from scheduler.model.method import Methods
from scheduler.model.supply import Use
from scheduler.reading.jobfile import read_job_text
from scheduler.reading.methods import materials_of, methods_named, read_methods
from scheduler.reading.profiles import named_in, read_trade

FILE = "job.yaml"
HEAD = """\
job: Test
start: 2027-01-09
zone: UTC
measures: {measures}
built: {built}
hours: {{on: every day, from: 7:00, to: 21:00, people: 2}}
shared things: {{step ladder: 1, nailer: 1}}
rooms:
  den:
    length: {length}
    width: {width}
    height: {height}
    openings: {openings}
    air: {{day: 70 °F, night: 70 °F, humidity: 50 %}}
"""


def text_of(
    scope: str,
    rest: str = "",
    *,
    length: str = "12 ft",
    width: str = "10 ft",
    height: str = "8 ft",
    openings: str = "{}",
    measures: str = "US",
    built: int = 2001,
) -> str:
    """A job file: one room of 12 by 10 by 8 ft, what is to be done in it, and whatever else."""
    head = HEAD.format(length=length, width=width, height=height, openings=openings, measures=measures, built=built)
    return f"{head}scope:\n{indent(scope.rstrip(), '  ')}\n{rest}"


def unfolded(text: str, folder: Path | None = None) -> tuple[Job, Trade]:
    """The job of a text with all that its scope stands for, and the profiles that it draws on."""
    job = read_job_text(text, FILE)
    methods = _methods(folder, methods_named(job))
    trade = _trade(folder, named_in(job) | materials_of(methods, job))
    return unfold(job, methods, trade), trade


@cache
def _methods(folder: Path | None, names: frozenset[str]) -> Methods:
    return read_methods(folder, names)


@cache
def _trade(folder: Path | None, names: frozenset[str]) -> Trade:
    return read_trade(folder, names)


def job_of(scope: str, rest: str = "", **more: str) -> Job:
    """The unfolded job of a scope in the test's room."""
    return unfolded(text_of(scope, rest, **more))[0]  # type: ignore[arg-type]


def graph_of(scope: str, rest: str = "", **more: str) -> TaskGraph:
    """The task graph of a scope in the test's room."""
    return expand(*unfolded(text_of(scope, rest, **more)))  # type: ignore[arg-type]


def step_of(job: Job, name: str) -> Step:
    """The step of that id. Raises KeyError."""
    for step in job.steps:
        if step.id == name:
            return step
    raise KeyError(name)


def quantity(job: Job, part: str, name: str) -> float:
    """A quantity of a part, in metres, square metres, cubic metres or pieces. Raises KeyError."""
    for each in job.quantities:
        if (each.part, each.name) == (part, name):
            return each.value
    raise KeyError(name)


def used(job: Job, what: str) -> float:
    """How much of one thing all steps use up."""
    uses: list[Use] = [use for step in job.steps for use in step.uses]
    uses += [use for colour in job.colours for use in (*colour.uses * colour.coats, *colour.tape_uses)]
    return sum(use.amount for use in uses if use.what == what)
