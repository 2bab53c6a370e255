"""`tackfree plan`: the plan of a job on the terminal, as JSON, as a calendar file, and as a page."""

from __future__ import annotations

import sys
import time
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.asking import ask_what_happened
from scheduler.cli.calendars import (
    BusyOption,
    Detail,
    MarginOption,
    MovedOption,
    OverwriteOption,
    Publishing,
    PublishOption,
    say_written,
    take_back,
    with_busy,
)
from scheduler.cli.changing import can_keep, clock_of, say_passed, say_torn
from scheduler.cli.outfiles import check_outputs
from scheduler.cli.paging import Lang, LangOption, PageOption, WithOption, write_page
from scheduler.cli.shared import (
    AsOfOption,
    JobArgument,
    JsonOption,
    SeedOption,
    is_coloured,
    is_plain,
    progress,
    say_error,
    width,
)

if TYPE_CHECKING:
    from scheduler.living.change import Told

MONTH = 31 * 24 * 60
"""Minutes; whoever wants to be told earlier meant another number."""


def plan(
    job: JobArgument,
    ics: Annotated[Path | None, typer.Option("--ics", help="Write an iCalendar file.", metavar="FILE")] = None,
    page: PageOption = None,
    lang: LangOption = Lang.en,
    extras: WithOption = None,
    as_json: JsonOption = False,
    as_of: AsOfOption = None,
    seed: SeedOption = 0,
    effort: Annotated[
        int | None,
        typer.Option("--effort", help="Search effort in steps placed; more may find a better plan.", min=1),
    ] = None,
    remind: Annotated[
        int | None, typer.Option("--remind", help="Alarm so many minutes before each session.", min=0, max=MONTH)
    ] = None,
    anew: Annotated[
        bool, typer.Option("--anew", help="As if no plan had been handed out before; the diary holds all the same.")
    ] = False,
    by_hand: Annotated[
        bool, typer.Option("--by-hand", help="List what to change by hand in a calendar that takes no file again.")
    ] = False,
    detail: Annotated[
        Detail | None, typer.Option("--detail", help="What the calendar holds: the sessions, or every step as well.")
    ] = None,
    zoned: Annotated[
        bool | None, typer.Option("--zoned/--utc", help="Local times in the calendar file instead of UTC.")
    ] = None,
    without_cancelled: Annotated[
        bool, typer.Option("--without-cancelled", help="Leave withdrawn events out of the file, for a first import.")
    ] = False,
    busy: BusyOption = None,
    margin: MarginOption = None,
    moved: MovedOption = None,
    publish: PublishOption = None,
    overwrite_moved: OverwriteOption = False,
    timing: Annotated[bool, typer.Option("--timing", help="Put the seconds taken into the JSON.")] = False,
) -> None:
    """Plan the job and print what to do in which hours of which weekend.

    What the diary records is taken as given. A plan that is printed, or written to a calendar, is kept beside the job
    file as the one handed out; with --json alone nothing is kept. Example: tackfree plan examples/hobby-room
    """
    from scheduler.living.change import Handing, hand_out, opened
    from scheduler.living.site import replan
    from scheduler.pipeline import Wish

    begun = time.perf_counter()
    check_outputs(ics=ics, page=page)
    server = None if publish is None else Publishing(publish, overwrite=overwrite_moved)
    handed_out = ics is not None or page is not None or server is not None or not as_json
    keep = handed_out and can_keep(job)
    if keep:
        ask_what_happened(job, as_of)
    told: Told | None = None
    with opened(job, clock_of(as_of), keep=keep) as (found, now):
        wish = Wish(seed=seed) if effort is None else Wish(seed=seed, effort=effort)
        site = with_busy(found.anew() if anew else found, busy, margin)
        if moved is not None:
            site = take_back(site, moved, now, say_error if as_json else print)
        made = replan(site, now, wish, tell=progress())
        seconds = time.perf_counter() - begun if timing else 0.0
        if handed_out:
            new_file = ics is not None and not ics.exists()
            handing = Handing(
                ics=ics,
                remind=remind,
                every_step=None if detail is None else detail is Detail.steps,
                zoned=zoned,
                without_cancelled=without_cancelled,
                by_hand=by_hand,
                published=server is not None,
            )
            told = hand_out(site, made, now, handing, wish=wish, keep=keep)
    say_torn(site)
    if as_json:
        from scheduler.presenting.planjson import plan_json

        sys.stdout.write(plan_json(made.plan, seconds))
    else:
        from scheduler.presenting.agenda import agenda

        print(agenda(made.plan, width(), is_coloured(), is_plain()).rstrip("\n"))
    if told is not None and by_hand:
        from scheduler.presenting.byhand import by_hand as list_by_hand

        print("\nIn a calendar that takes no file again:")
        zone, clock24 = made.plan.zone, made.plan.clock24
        print(list_by_hand(told.before, told.after, zone, clock24, width(), is_plain()), end="")
    if ics is not None:
        say_written(ics, new=new_file)
    if page is not None:
        write_page(page, site, made, now, found.kept.plan, lang, extras)
    say_passed(site, now)
    if server is not None and told is not None:
        server.publish(site, made.plan, told)
