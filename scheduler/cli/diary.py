"""`tackfree diary`: what has been recorded; notes and readings of the air are added here."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.again import NoFilesOption
from scheduler.cli.changing import Asked, clock_of, record, say_found, say_passed, when_from
from scheduler.cli.recording import DryRunOption, ReasonOption
from scheduler.cli.shared import (
    AsOfOption,
    JobArgument,
    JsonOption,
    is_coloured,
    is_plain,
    read_from,
    sentence,
    width,
)
from scheduler.errors import wrong_input
from scheduler.told import told

if TYPE_CHECKING:
    from scheduler.living.site import Site
    from scheduler.model.diary import Event


def diary(
    job: JobArgument,
    note: Annotated[str | None, typer.Option("--note", help="Add a note.", metavar="TEXT")] = None,
    air: Annotated[
        str | None,
        typer.Option("--air", help="Add a reading of the air, then plan anew: '66 °F, 48 %'.", metavar="READING"),
    ] = None,
    room: Annotated[
        str | None, typer.Option("--room", help="In which room, if there are more.", metavar="ROOM")
    ] = None,
    at: Annotated[str | None, typer.Option("--at", help="When it was read (else now).", metavar="TIME")] = None,
    renamed: Annotated[
        list[str] | None,
        typer.Option(
            "--renamed",
            help="What was recorded as OLD is called NEW in the job file now: carry it over, then plan anew.",
            metavar="OLD=NEW",
        ),
    ] = None,
    undo: Annotated[
        bool, typer.Option("--undo", help="Take the newest entry back that holds, with all its command wrote.")
    ] = False,
    taught: Annotated[
        bool, typer.Option("--taught", help="Print what it taught, as lines for the job file of the next job.")
    ] = False,
    reason: ReasonOption = "",
    dry_run: DryRunOption = False,
    as_of: AsOfOption = None,
    as_json: JsonOption = False,
    no_files: NoFilesOption = False,
) -> None:
    """What has been recorded of a job, one line an event.

    Example: tackfree diary examples/hobby-room --note "Second bucket of white is opened"
    """
    if sum((note is not None, air is not None, bool(renamed), undo, taught)) > 1:
        said = "--note, --air, --renamed, --undo and --taught are five things"
        raise wrong_input("diary", said, "give one of them")
    if taught:
        _print_taught(job, as_of)
        return
    if note is not None and not dry_run:
        _note(job, note, reason, as_of)
    elif air is not None or renamed or undo:
        temp, humidity = (0.0, 0.0) if air is None else _reading(air)

        def request(site: Site, now: int) -> Sequence[Event]:
            from scheduler.living import requests, takeback

            if undo:
                return takeback.undo(site, takeback.EVERYTHING, "--undo")
            if renamed:
                return requests.renamed(site, renamed)
            moment = when_from(at, site, now, "--at").minute if at is not None else now
            if moment is None:
                raise wrong_input("--at", "a reading has a time of day", "add it: `2027-01-16 16:40`")
            return [requests.air(site, room, moment, temp, humidity)]

        record(job, request, Asked(as_of=as_of, reason=reason, dry_run=dry_run, as_json=as_json, no_files=no_files))
    else:
        _print(job, as_of, as_json)


def _print(job: JobArgument, as_of: str | None, as_json: bool) -> None:
    from scheduler.living.change import opened
    from scheduler.telling.text.diary import Teller, diary_json, diary_text
    from scheduler.telling.text.learned import uses

    with opened(job, clock_of(as_of), keep=False) as (site, now):
        teller = Teller(
            site.job, {**site.titles, **{former.name: former.title for former in site.former()}}, site.entries
        )
        use = uses(site.entries, site.learned(now), site.job.language)
        if as_json:
            sys.stdout.write(diary_json(site.entries, teller, use))
        else:
            look = (width(), is_coloured(), is_plain())
            print(diary_text(site.entries, teller, *look, lost=site.lost_names, use=use), end="")
        say_found(site, all_of_it=True)
        say_passed(site, now)


def _print_taught(job: JobArgument, as_of: str | None) -> None:
    from scheduler.living.change import opened
    from scheduler.telling.text.learned import taught_lines

    with opened(job, clock_of(as_of), keep=False) as (site, now):
        lines = list(taught_lines(site.learned(now).lessons, site.job))
    print("\n".join(lines) if lines else sentence("cli.nothing taught"))


def _note(job: JobArgument, text: str, reason: str, as_of: str | None) -> None:
    from scheduler.living.change import jot
    from scheduler.model.diary import Note
    from scheduler.telling.wording import one_line

    words = one_line(text)
    if not words:
        raise wrong_input("--note", "it is empty", "write a few words")
    jot(job, lambda site, now: [Note(text=words)], clock_of(as_of), one_line(reason))
    print(sentence("cli.recorded"))


def _reading(text: str) -> tuple[float, float]:
    """°C and a fraction from `66 °F, 48 %`."""
    from scheduler.reading.scalars import AIR_RANGE
    from scheduler.units import UnclearQuantityError, parse_fraction, parse_temp

    temp, comma, humidity = text.partition(",")
    with read_from("--air"):
        if not comma:
            raise UnclearQuantityError(
                told("`{text}` is not a temperature and a humidity", text=text), "write `66 °F, 48 %`"
            )
        celsius, share = parse_temp(temp.strip()), parse_fraction(humidity.strip())
        if not AIR_RANGE[0] <= celsius <= AIR_RANGE[1] or share < 0.01:
            raise UnclearQuantityError(told("`{text}` is no air of a room", text=text), "write it as `66 °F, 48 %`")
    return celsius, share
