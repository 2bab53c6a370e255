"""`tackfree plan`: the plan of a job on the terminal, as JSON, as a calendar file, and as a page."""

from __future__ import annotations

import sys
import time
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.again import (
    NoFilesOption,
    NoPublishOption,
    address_of,
    publish_again,
    publish_now,
    remembered,
    server_of,
    write_page_to,
)
from scheduler.cli.asking import ask_what_happened
from scheduler.cli.calendars import (
    BusyOption,
    CaOption,
    DetailOption,
    ForOption,
    MarginOption,
    MovedOption,
    OverwriteOption,
    Publishing,
    PublishOption,
    RemindOption,
    WithoutCancelledOption,
    ZonedOption,
    ask_busy,
    handing_of,
    named_outputs,
    returned,
    say_all_written,
    take_back,
    with_busy,
)
from scheduler.cli.changing import (
    ByHandOption,
    can_keep,
    clock_of,
    list_object,
    say_by_hand,
    say_edited,
    say_found,
    say_how_to_take_back,
    say_passed,
)
from scheduler.cli.outfiles import Outcome, check_outputs, unwritten, unwritten_file
from scheduler.cli.paging import LangOption, PageOption, WithOption
from scheduler.cli.shared import (
    AsOfOption,
    JobArgument,
    JsonOption,
    SeedOption,
    is_coloured,
    is_plain,
    say_error,
    say_wrote,
    width,
)
from scheduler.cli.waiting import Waiting, WithinOption, face_of, progress, seconds_of
from scheduler.files import write_whole
from scheduler.model.refusal import NoPlanError

if TYPE_CHECKING:
    from scheduler.living.change import CalendarsTold
    from scheduler.living.site import Site
    from scheduler.model.plan import Plan
    from scheduler.pipeline import Made, Wish

IcsOption = Annotated[Path | None, typer.Option("--ics", help="Write an iCalendar file.", metavar="FILE")]
GraphOption = Annotated[
    Path | None,
    typer.Option("--graph", help="Write the steps and their waits: GraphML, or JSON by its ending.", metavar="FILE"),
]
EffortOption = Annotated[
    int | None, typer.Option("--effort", help="Search effort in steps placed; more may find a better plan.", min=1)
]
AnewOption = Annotated[
    bool, typer.Option("--anew", help="As if no plan had been handed out before; the diary holds all the same.")
]
AllOption = Annotated[
    bool, typer.Option("--all", help="Print every session in full, with what each step waits for and all sources.")
]
TimingOption = Annotated[bool, typer.Option("--timing", help="Put the seconds taken into the JSON.")]


def plan(
    job: JobArgument,
    ics: IcsOption = None,
    page: PageOption = None,
    graph: GraphOption = None,
    lang: LangOption = None,
    extras: WithOption = None,
    every: AllOption = False,
    as_json: JsonOption = False,
    as_of: AsOfOption = None,
    seed: SeedOption = 0,
    effort: EffortOption = None,
    within: WithinOption = None,
    for_whom: ForOption = None,
    remind: RemindOption = None,
    anew: AnewOption = False,
    by_hand: ByHandOption = False,
    detail: DetailOption = None,
    zoned: ZonedOption = None,
    without_cancelled: WithoutCancelledOption = False,
    busy: BusyOption = None,
    margin: MarginOption = None,
    moved: MovedOption = None,
    publish: PublishOption = None,
    overwrite_moved: OverwriteOption = False,
    ca: CaOption = None,
    no_files: NoFilesOption = False,
    no_publish: NoPublishOption = False,
    timing: TimingOption = False,
) -> None:
    """Plan the job and print the answer in one screen: done by when, what to get, what dries, the next session.

    What the diary records is taken as given. A plan that is printed, or written to a calendar, is kept beside the job
    file as the one handed out; with --json alone nothing is kept.

    Example: tackfree plan examples/hobby-room
    """
    from scheduler.living.change import hand_out, opened
    from scheduler.living.site import apart_from_what_is_read
    from scheduler.pipeline import Wish

    begun = time.perf_counter()
    check_outputs(ics=ics, page=page, graph=graph)
    handed_out = any(each is not None for each in (ics, page, graph, publish)) or by_hand or not as_json
    again = remembered(job, wanted=handed_out and not no_files, publish=not no_publish)
    where = named_outputs(ics, for_whom, page, lang.value if lang else "", publish, ca).or_else(again)
    server = None if publish is None else Publishing(publish, where.ca, overwrite=overwrite_moved)
    keep = handed_out and can_keep(job)
    if keep:
        ask_what_happened(job, as_of)
    ics, page, old_server = where.ics, where.page, server_of(again) if publish is None else None
    asked = ask_busy(busy or (), where.ca, as_of)
    waiting = Waiting(seconds_of(within))
    wish = Wish(seed=seed) if effort is None else Wish(seed=seed, effort=effort)
    handing = handing_of(where, remind, detail, zoned, without_cancelled, by_hand, address_of(server, old_server))
    files, told = Outcome(), None
    back = None if moved is None else returned(moved, where.ca)
    new_file = ics is not None and not ics.exists()
    with opened(job, clock_of(as_of), keep=keep) as (found, now):
        site = with_busy(found.anew() if anew else found, asked, margin, now)
        apart_from_what_is_read(site, {"--ics": ics, "--page": page, "--graph": graph, **where.by_option})
        taken: list[str] = []
        site, seen = take_back(site, back, now, taken.append)
        handing = replace(handing, seen=seen)
        made = _sought(site, now, wish, waiting)
        seconds = time.perf_counter() - begun if timing else 0.0
        with files.gathered(lambda error: unwritten(error, site, job, ics, published=server is not None)):
            told = (
                hand_out(site, made, now, handing, wish=wish, keep=keep, looked=not as_json) if handed_out else None
            )
            say_all_written(where, new_file, made.plan, told, files)
    write_page_to(where, site, made, now, found.kept.plan, extras, files)
    _write_graph(files, graph, made.plan)
    publish_now(server, site, made.plan, told, files)
    publish_again(old_server, again, site, made.plan, told, files)
    # From here on only text: whoever closes the pipe that it goes into loses no file.
    try:
        say_found(site)
        for line in taken:
            (say_error if as_json else print)(line)
        if as_json:
            _print_json(made, seconds, told)
        else:
            _print(found, site, made, now, every=every, told=told)
    finally:
        files.tell()
        say_passed(site, now)
        files.raise_first()
    waiting.leave(made.plan)


def _sought(site: Site, now: int, wish: Wish, waiting: Waiting) -> Made:
    """The plan; where none is possible, how to take back what is recorded is said as well."""
    from scheduler.living.site import replan

    waiting.face = face_of(site.job)
    try:
        with waiting:
            return replan(site, now, wish, watch=waiting)
    except NoPlanError:
        say_how_to_take_back(site, ())
        raise


def _write_graph(files: Outcome, file: Path | None, plan: Plan) -> None:
    """Write the graph of a plan, if one is asked for, in the form that the file's ending says."""
    if file is None:
        return
    from scheduler.telling.machine.graph import graph_file

    with files.gathered(partial(unwritten_file, "graph")):
        write_whole(file, graph_file(plan, file.suffix.lower()))
        files.say(partial(say_wrote, file))


def _print_json(made: Made, seconds: float, told: CalendarsTold | None) -> None:
    from scheduler.telling.machine.plan import plan_json

    sys.stdout.write(plan_json(made.plan, seconds, list_object(told, made.plan)))


def _print(found: Site, site: Site, made: Made, now: int, *, every: bool, told: CalendarsTold | None) -> None:
    """The answer, or all of it (`every`); then what calendars were `told`, for changing them by hand."""
    from scheduler.telling.text.agenda import agenda
    from scheduler.telling.text.one_screen import one_screen
    from scheduler.whatif.asides import asides, with_chances, with_fits

    say_edited(found, made.plan)
    look = (width(), is_coloured(), is_plain())
    if every:
        text = agenda(made.plan, *look)
    else:
        beside = with_chances(asides(site, made, now), made, progress("wait.drawing", "wait.four of five", site.job))
        beside = with_fits(beside, site, made, now, progress("wait.fitting", "wait.at best done", site.job))
        text = one_screen(made.plan, beside, *look)
    print(text.rstrip("\n"))
    if told is not None and told.by_hand is not None:
        print()
        say_by_hand(told.by_hand, made.plan)
