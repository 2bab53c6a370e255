"""`tackfree add` and `tackfree drop`: a step more or less, written into the job file at its place, and planned."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli import completing
from scheduler.cli.again import NoFilesOption
from scheduler.cli.changing import Asked, record
from scheduler.cli.recording import DryRunOption
from scheduler.cli.shared import AsOfOption, JobArgument, read_from
from scheduler.errors import InputError, wrong_input
from scheduler.told import told

if TYPE_CHECKING:
    from scheduler.living.site import Site
    from scheduler.model.graph import Task


def add(
    job: JobArgument,
    title: Annotated[str, typer.Argument(help="What is done, in a few words.", metavar="TITLE")],
    after: Annotated[
        str | None,
        typer.Option(
            "--after",
            help="The step that it comes after; it takes its place there in the order of the work.",
            metavar="STEP",
            autocompletion=completing.steps,
        ),
    ] = None,
    work: Annotated[str, typer.Option("--work", help="How long it takes.", metavar="LENGTH")] = "30 min",
    lays: Annotated[
        str | None,
        typer.Option(
            "--lays", help="The material that it lays.", metavar="MATERIAL", autocompletion=completing.materials
        ),
    ] = None,
    room: Annotated[
        str | None, typer.Option("--room", help="In which room (else that of --after).", metavar="ROOM")
    ] = None,
    dry_run: DryRunOption = False,
    as_of: AsOfOption = None,
    no_files: NoFilesOption = False,
) -> None:
    """A step more: write it into the job file, comments kept, and plan anew.

    Example: tackfree add examples/hobby-room "block the stain" --after caulk
    """
    from scheduler.model.names import slug
    from scheduler.reading.jobedit import with_step
    from scheduler.units import parse_duration

    with read_from("--work"):
        parse_duration(work)
    if not slug(title) or not title.isprintable():
        raise wrong_input("TITLE", "it is missing", "write what is done, in a few words")

    def edited(site: Site, text: str) -> str:
        from scheduler.living.requests import open_step

        before = None if after is None else site.graph.task(open_step(site, after))
        if slug(title) in site.titles:
            raise wrong_input(
                "TITLE", told("the job has a step `{title}`", title=slug(title)), "give it another name"
            )
        fields = {"work": work, **_place(site, before, room)}
        if lays is not None:
            fields["lays"] = lays
        return with_step(text, title, fields, None if before is None else before.id)

    _edit(job, edited, Asked(as_of=as_of, dry_run=dry_run, no_files=no_files))


def drop(
    job: JobArgument,
    step: Annotated[
        str,
        typer.Argument(
            help="The id of a step, or a part of its title.", metavar="STEP", autocompletion=completing.steps
        ),
    ],
    dry_run: DryRunOption = False,
    as_of: AsOfOption = None,
    no_files: NoFilesOption = False,
) -> None:
    """A step less: leave it out in the job file, comments kept, and plan anew.

    Example: tackfree drop examples/hobby-room caulk
    """
    from scheduler.reading.jobedit import without_step

    def edited(site: Site, text: str) -> str:
        from scheduler.living.requests import open_step

        name = open_step(site, step)
        if name in site.standing.done:
            raise wrong_input("STEP", told("`{name}` is done", name=name), "name one that is still to come")
        return without_step(text, name)

    _edit(job, edited, Asked(as_of=as_of, dry_run=dry_run, no_files=no_files))


def _place(site: Site, before: Task | None, room: str | None) -> dict[str, str]:
    """Where a step comes: in the order of the trade if the one before it has a place there, else after that one."""
    if before is None:
        return {} if room is None else {"room": room}
    step = next((each for each in site.job.steps if each.id == before.id), None)
    if room is None and step is not None and step.phase:
        return {"part": step.part, "phase": step.phase}
    stage = f"{before.id}: recoat" if before.film is not None else before.id
    return {"room": room or before.room, "follows": f"[{stage}]"}


def _edit(path: Path, edit: Callable[[Site, str], str], asked: Asked) -> None:
    """Write an edited job file, if it can be read as it is then, and plan anew; or show what would be written."""
    from difflib import ndiff

    from scheduler.expanding import expand
    from scheduler.files import write_whole
    from scheduler.living.site import open_site
    from scheduler.looking import read
    from scheduler.reading.jobfile import job_file

    file = job_file(path)
    before = file.read_bytes()
    site = open_site(path)
    with read_from(str(file)):
        text = edit(site, before.decode("utf-8-sig"))
    fresh = text.encode("utf-8")
    trial = file.with_name(f".{file.stem}.trial{file.suffix}")
    try:
        write_whole(trial, fresh)
        expand(*read(trial))
    except InputError as error:
        raise InputError(
            [replace(fault, place=replace(fault.place, file=str(file))) for fault in error.faults]
        ) from None
    finally:
        trial.unlink(missing_ok=True)
    for line in ndiff(before.decode("utf-8-sig").splitlines(), text.splitlines()):
        if line.startswith(("+ ", "- ")):
            print(line)
    if asked.dry_run:
        return
    write_whole(file, fresh)
    record(path, lambda site, now: [], asked)
