"""`tackfree leeway`: how late each item and each session may be, and what each week more costs."""

from __future__ import annotations

import sys
from typing import Annotated

import typer

from scheduler.cli.changing import clock_of, say_found, say_passed
from scheduler.cli.shared import AsOfOption, JobArgument, JsonOption, is_coloured, is_plain, width
from scheduler.cli.waiting import progress


def leeway(
    job: JobArgument,
    weeks: Annotated[
        int, typer.Option("--weeks", help="So many weeks of delay are reckoned, each by a full plan.", min=0, max=52)
    ] = 4,
    as_of: AsOfOption = None,
    as_json: JsonOption = False,
) -> None:
    """How late each delivery, appointment or session may be before the end moves; then week by week.

    Example: tackfree leeway examples/hobby-room --weeks 2
    """
    from scheduler.living.change import opened
    from scheduler.telling.text.leeway import leeway_json, leeway_text
    from scheduler.whatif.leeway import leeways

    with opened(job, clock_of(as_of), keep=False) as (site, now):
        tell = progress("wait.leeway", "wait.at worst", site.job)
        plan, found = leeways(site, now, weeks, tell)
    if as_json:
        sys.stdout.write(leeway_json(found, plan))
    else:
        print(leeway_text(found, plan, width(), is_coloured(), is_plain()), end="")
    say_found(site)
    say_passed(site, now)
