"""The shopping list of a job under way: its plan as of now, and what that plan still uses up."""

from __future__ import annotations

from scheduler.buying import shopping_list
from scheduler.living.site import Site, replan
from scheduler.model.page import ToBuy
from scheduler.model.plan import Plan
from scheduler.model.shopping import Shopping
from scheduler.model.watch import Watch
from scheduler.pipeline import Made


def to_buy(site: Site, now: int, watch: Watch | None = None) -> tuple[Plan, Shopping]:
    """The plan as of `now` and what to buy for it. Raises InputError and NoPlanError."""
    made = replan(site, now, watch=watch)
    return made.plan, list_of(site, made)


def list_of(site: Site, made: Made) -> Shopping:
    """What to buy for a plan that is made already."""
    colours = {colour.id: colour.title for colour in site.job.colours}
    stand = site.standing
    return shopping_list(made.ground.graph, made.plan, made.ground.trade, colours, stand.bought, stand.ordered)


def on_the_list(site: Site, now: int) -> Shopping:
    """What there is to buy by the plan handed out, or the one that would be where there is none, or it is none of
    the job file of today. Raises InputError and NoPlanError."""
    stand, plan = site.standing, site.kept.plan
    if plan is None or site.edited:
        plan = replan(site, now).plan
    colours = {colour.id: colour.title for colour in site.job.colours}
    return shopping_list(site.graph, plan, site.trade, colours, stand.bought, stand.ordered)


def page_shopping(site: Site, made: Made) -> tuple[ToBuy, ...]:
    """The list as a page shows it, for `PageFacts.shopping`."""
    from scheduler.telling.page.shopping import shopping_for_page  # of use to pages alone

    return shopping_for_page(list_of(site, made), metric=made.plan.metric, lang=made.plan.language)
