"""`tackfree starter` and `tackfree schema`: something to begin with, and the job file for an editor."""

from __future__ import annotations

import json
import shlex
import sys
from pathlib import Path
from typing import Annotated

import typer

from scheduler.cli.shared import AsOfOption, is_plain, say_error, sentence
from scheduler.errors import InputError, wrong_input
from scheduler.told import told

USUAL = "repaint a room"
"""The kind of starter where nobody says and nobody can be asked."""


def starter(
    folder: Annotated[Path, typer.Argument(help="A folder; it is made if it is not there.", metavar="FOLDER")],
    kind: Annotated[
        list[str] | None,
        typer.Option(
            "--kind",
            help="Ask nothing: repaint, wallpaper, panel-wall, drywall, windows, stair, cabinet-fronts, floor, "
            "floor-of-planks, bathroom-wall, shower-wall or shower-joint. Several: say it again.",
            metavar="KIND",
        ),
    ] = None,
    as_of: AsOfOption = None,
) -> None:
    """Write a commented starter job to edit: a few questions on a terminal. Never overwrites anything.

    Without a terminal and without --kind it is the repaint of a room.

    Example: tackfree starter den --kind repaint --kind floor-of-planks
    """
    file = folder / "job.yaml"
    if file.exists() or (folder.exists() and not folder.is_dir()):
        raise _taken(file)
    text, note = _text(folder, ",".join(kind) if kind is not None else None, as_of)
    try:
        folder.mkdir(parents=True, exist_ok=True)
        _write_new(file, text)
    except FileExistsError:
        raise _taken(file) from None
    print(sentence("starter.wrote", file=_shown(file), note=note))


def _write_new(file: Path, text: str) -> None:
    """Write a file that is not there yet, whole or not at all. Raises FileExistsError, and OSError with its name."""
    out = file.open("x", encoding="utf-8")
    try:
        with out:
            out.write(text)
    except BaseException as stopped:
        file.unlink(missing_ok=True)  # half a job would be in the way of the next try
        if isinstance(stopped, OSError):
            raise OSError(stopped.errno, stopped.strerror, str(file)) from None
        raise


def _shown(path: Path) -> str:
    from scheduler.reading.textfile import shown

    return shown(path)


def _taken(file: Path) -> InputError:
    taken = file if file.exists() else file.parent
    return wrong_input(_shown(taken), "is there already and is left as it is", "name another folder")


def _text(folder: Path, kind: str | None, as_of: str | None) -> tuple[str, str]:
    """The text of the job file, and what to do next. Raises typer.Exit if the person stops half way."""
    from scheduler.cli.localzone import local_zone
    from scheduler.cli.questions import asked, beginning
    from scheduler.cli.shared import is_asked
    from scheduler.reading.starter import usual
    from scheduler.reading.starters.jobtext import job_text, named_kinds

    begin = beginning(folder, local_zone(), as_of)
    if kind is not None or not is_asked():
        answers, why = usual(USUAL if kind is None else kind, begin), ""
    else:
        try:
            answers, why = asked(begin)
        except (KeyboardInterrupt, EOFError) as stopped:
            say_error(f"\n{sentence('starter.stopped')}")
            raise typer.Exit(130 if isinstance(stopped, KeyboardInterrupt) else 2) from None
    then = f"tackfree plan {shlex.quote(_shown(folder))}"
    name = "starter.no plan" if why else "starter.edit"
    return job_text(answers), sentence(name, kinds=named_kinds(answers), why=why, then=then)


def schema(
    name: Annotated[
        str,
        typer.Argument(
            help="job (its file), or what a command prints: plan, refusal, check, moves, buy, leeway, odds, sooner, "
            "dry, methods, diary."
        ),
    ] = "job",
) -> None:
    """JSON Schema of the job file, for editors; or of what a command prints with --json.

    Example: tackfree schema > job.schema.json
    """
    if name == "job":
        from scheduler.reading.jobfile import job_schema

        json.dump(job_schema(), sys.stdout, indent=2, ensure_ascii=is_plain())
        print()
        return
    from scheduler.telling.machine.plan import schema_text

    try:
        print(schema_text(name).rstrip("\n"))
    except KeyError:
        hint = "take job, plan, refusal, check, moves, buy, leeway, odds, sooner, dry, methods or diary"
        raise wrong_input("schema", told("there is no schema called “{name}”", name=name), hint) from None
