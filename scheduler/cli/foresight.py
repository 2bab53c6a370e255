"""`tackfree odds` and `tackfree sooner`: how sure the finish is, and what would bring it forward."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.changing import clock_of, say_found, say_passed
from scheduler.cli.shared import (
    AsOfOption,
    JobArgument,
    JsonOption,
    is_coloured,
    is_plain,
    width,
)
from scheduler.cli.waiting import progress

if TYPE_CHECKING:
    from scheduler.living.site import Site
    from scheduler.model.foresight import Foreseen


def odds(
    job: JobArgument,
    draws: Annotated[
        int | None,
        typer.Option(
            "--draws", help="So many draws (else as many as make the 80 % date sure to a day).", min=1, max=100_000
        ),
    ] = None,
    seed: Annotated[
        int, typer.Option("--seed", help="Seed of the draws and of the search: same input, same seed, same odds.")
    ] = 0,
    as_of: AsOfOption = None,
    as_json: JsonOption = False,
) -> None:
    """How likely it is to be done by which day: hands-on and dry times, air and deliveries drawn within their ranges.

    Every draw keeps to the order of the plan.

    Example: tackfree odds examples/hobby-room
    """
    from scheduler.living.change import opened
    from scheduler.living.site import replan
    from scheduler.telling.text.odds import odds_json, odds_text
    from scheduler.whatif.odds import Sampling
    from scheduler.whatif.odds import odds as odds_of

    with opened(job, clock_of(as_of), keep=False) as (site, now):
        made = replan(site, now)
        found = odds_of(
            made, Sampling(draws=draws, seed=seed), tell=progress("wait.drawing", "wait.four of five", site.job)
        )
    if as_json:
        sys.stdout.write(odds_json(found))
    else:
        print(odds_text(found, width(), is_coloured(), is_plain()), end="")
    say_found(site)
    say_passed(site, now)


def sooner(
    job: JobArgument,
    pairs: Annotated[bool, typer.Option("--pairs", help="Try two changes at once as well.")] = False,
    as_of: AsOfOption = None,
    as_json: JsonOption = False,
) -> None:
    """What would end the job sooner: every change you could make, each planned again, with what it would cost.

    Example: tackfree sooner examples/hobby-room --pairs
    """
    from scheduler.living.change import opened
    from scheduler.telling.text.sooner import sooner_json, sooner_text

    with opened(job, clock_of(as_of), keep=False) as (site, now):
        found = _foreseen(site, now, pairs, str(job))
    if as_json:
        sys.stdout.write(sooner_json(found))
    else:
        print(sooner_text(found, width(), is_coloured(), is_plain()), end="")
    say_found(site)
    say_passed(site, now)


def _foreseen(site: Site, now: int, pairs: bool, name: str) -> Foreseen:
    from scheduler.living.site import replan
    from scheduler.model.spans import union
    from scheduler.reading.profiles import read_trade
    from scheduler.reading.tradewords import trade_words
    from scheduler.whatif.job_file import keys_of
    from scheduler.whatif.sooner import sooner as sooner_of

    made = replan(site, now)
    return sooner_of(
        made,
        site.job,
        keys_of(site.files.job),
        trade_words(site.job.language).over(read_trade(site.files.job.parent, None)),
        site.wish,
        busy=union((*site.standing.lost, *site.household(now, made.weeks).spans)),
        name=name,
        pairs=pairs,
        tell=progress("wait.changes", "wait.at best done", site.job),
    )
