"""`tackfree starter` and `tackfree schema`: something to begin with, and the job file for an editor."""

from __future__ import annotations

import json
import sys
from pathlib import Path
from typing import Annotated

import typer

from scheduler.cli.shared import is_plain
from scheduler.errors import Fault, InputError, Place


def starter(
    folder: Annotated[Path, typer.Argument(help="A folder; it is made if it is not there.", metavar="FOLDER")],
) -> None:
    """Write a commented starter job to edit. Never overwrites anything.

    Example: tackfree starter bedroom
    """
    from scheduler.reading.starter import starter_text

    file = folder / "job.yaml"
    try:
        folder.mkdir(parents=True, exist_ok=True)
        with file.open("x", encoding="utf-8") as out:
            out.write(starter_text("repaint a room"))
    except FileExistsError:
        taken = file if file.exists() else folder
        fault = Fault(Place(str(taken)), "is there already and is left as it is", "name another folder")
        raise InputError([fault]) from None
    print(f"Wrote {file}. Edit the values, then: tackfree plan {folder}")


def schema(
    name: Annotated[
        str,
        typer.Argument(help="job (its file), or what a command prints: plan, moves, buy, leeway, odds, sooner, dry."),
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
    from scheduler.presenting.planjson import schema_text

    try:
        print(schema_text(name).rstrip("\n"))
    except KeyError:
        hint = "take job, plan, moves, buy, leeway, odds, sooner or dry"
        fault = Fault(Place("schema"), f"there is no schema called “{name}”", hint)
        raise InputError([fault]) from None
