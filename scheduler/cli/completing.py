"""What a shell offers where a name is to be typed: steps and items of the job at hand, materials, methods.

A shell that asks gets an answer or none: whatever is wrong with the job is said by the command itself, once it runs.
"""

from __future__ import annotations

from collections.abc import Mapping
from contextlib import suppress
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from scheduler.errors import TackfreeError

if TYPE_CHECKING:
    from scheduler.living.site import Site

Offers = list[tuple[str, str]]
"""What may be typed, each with what it stands for (not all shells show that)."""


def steps(ctx: typer.Context, incomplete: str) -> Offers:
    """The ids of the steps that are not recorded as done, with their titles; with --undo of those that are begun or
    done. What is only due where a window was missed is offered where it was planned."""
    with suppress(TackfreeError, OSError):
        site = _site(ctx)
        stand, plan = site.standing, site.kept.plan
        planned = {step.id for step in plan.steps} if plan is not None else set()
        left = {task.id for task in site.graph.tasks if task.remedy_of is None or task.id in planned} - set(
            stand.done
        )
        meant = {*stand.done, *stand.begun} if ctx.params.get("undo") else left
        meant -= set(ctx.params.get("step") or ())
        return _beginning(incomplete, {name: title for name, title in site.titles.items() if name in meant})
    return []


def items(ctx: typer.Context, incomplete: str) -> Offers:
    """The ids of what is on order, with their titles."""
    with suppress(TackfreeError, OSError):
        return _beginning(incomplete, {item.id: item.title for item in _site(ctx).job.items})
    return []


def comings(ctx: typer.Context, incomplete: str) -> Offers:
    """The ids of what is on order and of the appointments, with their titles."""
    with suppress(TackfreeError, OSError):
        job = _site(ctx).job
        titles = {item.id: item.title for item in job.items}
        return _beginning(incomplete, titles | {visit.id: visit.title for visit in job.appointments})
    return []


def things(ctx: typer.Context, incomplete: str) -> Offers:
    """What there is to buy by the plan handed out, and what is on order, with their titles."""
    from scheduler.living.buying import on_the_list

    with suppress(TackfreeError, OSError):
        site = _site(ctx)
        if site.kept.plan is None:
            return []
        lots = {lot.name: lot.title for lot in on_the_list(site, site.kept.plan.as_of).lots if not lot.enough}
        return _beginning(incomplete, {**lots, **{item.id: item.title for item in site.job.items}})
    return []


def materials(ctx: typer.Context, incomplete: str) -> Offers:
    """The families of material, those beside the job of `--job` among them, with their titles."""
    from scheduler.reading.jobfile import job_file
    from scheduler.reading.profiles import read_trade

    with suppress(TackfreeError, OSError):
        job = ctx.params.get("job")
        trade = read_trade(None if job is None else job_file(Path(job)).parent)
        return _beginning(incomplete, {family.id: family.title for family in trade.materials})
    return []


def methods(ctx: typer.Context, incomplete: str) -> Offers:
    """The methods by the names of their files, those beside the job of `--job` among them, with their titles."""
    from scheduler.reading.jobfile import job_file
    from scheduler.reading.methods import read_methods

    with suppress(TackfreeError, OSError):
        job = ctx.params.get("job")
        found = read_methods(None if job is None else job_file(Path(job)).parent).loaded.values()
        return _beginning(incomplete, {method.id: method.title for method in found})
    return []


def _site(ctx: typer.Context) -> Site:
    """The job that stands in the words typed so far. Raises InputError."""
    from scheduler.living.site import open_site

    return open_site(Path(ctx.params.get("job") or ""))


def _beginning(incomplete: str, titles: Mapping[str, str]) -> Offers:
    return [(name, title) for name, title in titles.items() if name.startswith(incomplete)]
