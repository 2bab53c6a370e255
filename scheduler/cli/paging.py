"""`plan --page`: the page of a plan, with what else is known or worth reckoning for it."""

from __future__ import annotations

import hashlib
from dataclasses import replace
from enum import StrEnum
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from scheduler.cli.waiting import progress
from scheduler.files import write_whole

if TYPE_CHECKING:
    from scheduler.living.site import Site
    from scheduler.model.page import Home, PageFacts
    from scheduler.model.plan import Plan
    from scheduler.pipeline import Made


class Lang(StrEnum):
    """The languages of the page, see `telling.dates`."""

    en = "en"
    de = "de"


class Extra(StrEnum):
    """What takes its time to reckon, and is on the page only if it is asked for."""

    odds = "odds"
    leeway = "leeway"


WEEKS = 3
"""Weeks of delay that the leeway on the page prices."""

PageOption = Annotated[
    Path | None, typer.Option("--page", help="Write a page for phone, wall and household.", metavar="FILE")
]
LangOption = Annotated[
    Lang | None,
    typer.Option("--lang", help="Language of the page, if not that of the job (`language:`); its own words alone."),
]
WithOption = Annotated[
    list[Extra] | None, typer.Option("--with", help="Reckon this for the page, too: odds (seconds), leeway (longer).")
]


def write_page(
    file: Path, site: Site, made: Made, now: int, before: Plan | None, lang: str, extras: list[Extra] | None
) -> None:
    """Write the page of a plan, in the job's language or in `lang` ("": that of the job). `before` is the plan handed
    out before it. Raises OSError with the file's name."""
    from scheduler.telling.page import page

    facts = _facts(site, made, now, before, extras or [])
    write_whole(file, page(made.plan, facts, lang).encode())


def _home(job: Path) -> Home:
    """Where the job lies; a folder stands for the `job.yaml` in it."""
    from scheduler.model.page import Home
    from scheduler.reading.jobfile import job_file

    mark = hashlib.sha256(str(job.resolve()).encode("utf-8", "surrogateescape")).hexdigest()[:12]
    return Home(mark=mark, job="." if job_file(job.parent).name == job.name else job.name)


def _facts(site: Site, made: Made, now: int, before: Plan | None, extras: list[Extra]) -> PageFacts:
    from scheduler.living.buying import page_shopping
    from scheduler.living.paging import page_facts
    from scheduler.telling.text.moves import what_moves
    from scheduler.whatif.asides import asides, with_chances

    beside = with_chances(asides(site, made, now), made)
    facts = replace(page_facts(made), shopping=page_shopping(site, made), asides=beside, home=_home(site.files.job))
    if before is not None and not (moves := what_moves(before, made.plan)).nothing:
        facts = replace(facts, moves=moves)
    if Extra.odds in extras:
        from scheduler.whatif.odds import Sampling, odds

        told = progress("wait.drawing", "wait.four of five", site.job)
        facts = replace(facts, odds=odds(made, Sampling(seed=made.plan.seed), told))
    if Extra.leeway in extras:
        from scheduler.whatif.leeway import leeways

        told = progress("wait.leeway", "wait.at worst", site.job)
        facts = replace(facts, leeway=leeways(site, now, WEEKS, told)[1])
    return facts
