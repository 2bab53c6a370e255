"""`tackfree plan`: the plan of a job on the terminal, as JSON, and as a calendar file."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Annotated

import typer

from scheduler.cli.shared import (
    AsOfOption,
    JobArgument,
    JsonOption,
    SeedOption,
    is_coloured,
    is_plain,
    now_for,
    say_error,
    width,
)
from scheduler.files import write_whole


def plan(
    job: JobArgument,
    ics: Annotated[Path | None, typer.Option("--ics", help="Write an iCalendar file.", metavar="FILE")] = None,
    as_json: JsonOption = False,
    as_of: AsOfOption = None,
    seed: SeedOption = 0,
    effort: Annotated[
        int | None, typer.Option("--effort", help="Search effort in steps placed; more may find a better plan.", min=1)
    ] = None,
    remind: Annotated[
        int | None, typer.Option("--remind", help="Alarm so many minutes before each session.", min=0)
    ] = None,
    timing: Annotated[bool, typer.Option("--timing", help="Put the seconds taken into the JSON.")] = False,
) -> None:
    """Plan the job and print what to do in which hours of which weekend.

    Example: tackfree plan examples/hobby-room --ics hobby-room.ics
    """
    from scheduler.model.facts import Facts
    from scheduler.pipeline import Wish, make_plan, read

    begun = time.perf_counter()
    found, trade = read(job)
    facts = Facts(now=now_for(found, as_of))
    wish = Wish(seed=seed) if effort is None else Wish(seed=seed, effort=effort)
    made = make_plan(found, trade, facts, wish, tell=_progress())
    seconds = time.perf_counter() - begun if timing else 0.0
    if as_json:
        from scheduler.presenting.planjson import plan_json

        sys.stdout.write(plan_json(made.plan, seconds))
    else:
        from scheduler.presenting.agenda import agenda

        print(agenda(made.plan, width(), is_coloured(), is_plain()).rstrip("\n"))
    if ics is not None:
        from scheduler.presenting.calendar import calendar

        content, _ = calendar(made.plan, remind=remind)
        write_whole(ics, content)
        say_error(f"Wrote {ics}.")


def _progress() -> Callable[[float], None] | None:
    """A line that shows the share of a long search, on a terminal only."""
    if not sys.stderr.isatty():
        return None
    begun = time.perf_counter()
    shown = 0.0

    def tell(share: float) -> None:
        nonlocal shown
        passed = time.perf_counter() - begun
        if passed > 1 and (passed - shown > 0.2 or share >= 1):
            shown = passed
            end = "\r" + " " * 40 + "\r" if share >= 1 else ""
            print(f"\rlooking for a better plan: {share:4.0%} ", end=end, file=sys.stderr, flush=True)

    return tell
