"""`tackfree methods`: what a job can have done to its parts, and what it may say of each."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from scheduler.cli import completing
from scheduler.cli.shared import JsonOption, is_coloured, is_plain, spoken, width
from scheduler.errors import wrong_input
from scheduler.model.tradewords import ENGLISH
from scheduler.told import told


def methods(
    method: Annotated[
        str | None,
        typer.Argument(
            help="One method, with the steps it brings; without one, all.",
            metavar="METHOD",
            autocompletion=completing.methods,
        ),
    ] = None,
    job: Annotated[
        Path | None, typer.Option("--job", help="With the person's own methods beside this job.", metavar="JOB")
    ] = None,
    word: Annotated[
        str | None, typer.Option("--filter", help="List only methods that hold this word.", metavar="WORD")
    ] = None,
    metric: Annotated[bool | None, typer.Option("--metric/--us", help="Units of what is shown.")] = None,
    as_json: JsonOption = False,
) -> None:
    """All methods that `scope` can name, each with its options, what they may be, and what they are if left out.

    Example: tackfree methods prime
    """
    from scheduler.model.names import meant, slug
    from scheduler.reading.methods import read_methods
    from scheduler.reading.tradewords import trade_words
    from scheduler.telling.text.methods import methods_json, methods_sheet, name_of

    folder = None if job is None else job if job.is_dir() else job.parent
    found = list(read_methods(folder).loaded.values())
    if method is not None:
        known = [name_of(each) for each in found]
        found = [each for each in found if slug(method) in (each.id, slug(each.title))]
        if not found:
            raise wrong_input(method[:60], "there is no method of that name", meant(method, known))
    wanted = (word or "").lower().split()
    found = [
        each
        for each in found
        if all(part in f"{name_of(each)} {each.title} {' '.join(each.fits)}".lower() for part in wanted)
    ]
    if not found:
        raise wrong_input(
            "--filter", told("no method holds “{word}”", word=word), "leave it out: all of them are listed then"
        )
    if as_json:
        sys.stdout.write(methods_json(found))
        return
    lang = spoken(job)
    shown = methods_sheet(
        trade_words(lang).over(tuple(found)),
        metric=lang != ENGLISH if metric is None else metric,
        steps=method is not None,
        width=width(),
        colour=is_coloured(),
        plain=is_plain(),
        lang=lang,
    )
    print(shown.rstrip("\n"))
