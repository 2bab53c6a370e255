"""The shopping list of a job under way: its plan as of now, and what that plan still uses up."""

from __future__ import annotations

from dataclasses import replace

from scheduler.buying import shopping_list
from scheduler.living.site import Site, Tell, replan
from scheduler.model.material import Trade
from scheduler.model.names import slug
from scheduler.model.page import ToBuy
from scheduler.model.plan import Plan
from scheduler.model.shopping import Shopping
from scheduler.pipeline import Made
from scheduler.presenting.shoppingpage import shopping_for_page
from scheduler.reading.profiles import read_trade
from scheduler.reading.wares import read_wares


def to_buy(site: Site, now: int, tell: Tell | None = None) -> tuple[Plan, Shopping]:
    """The plan as of `now` and what to buy for it. Raises InputError and NoPlanError."""
    made = replan(site, now, tell=tell)
    return made.plan, list_of(site, made)


def list_of(site: Site, made: Made) -> Shopping:
    """What to buy for a plan that is made already. Raises InputError for faults in profiles."""
    shelf = read_wares(site.files.job.parent)
    colours = {colour.id: colour.title for colour in site.job.colours}
    return shopping_list(made.ground.graph, made.plan, _trade(site), shelf, colours)


def page_shopping(site: Site, made: Made) -> tuple[ToBuy, ...]:
    """The list as a page shows it, for `PageFacts.shopping`. Raises InputError for faults in profiles."""
    return shopping_for_page(list_of(site, made), metric=made.plan.metric)


def _trade(site: Site) -> Trade:
    """The trade with the families that steps use up and no step lays."""
    used = {slug(use.what) for task in site.graph.tasks for use in task.uses}
    more = (used & set(site.trade.known)) - {material.id for material in site.trade.materials}
    if not more:
        return site.trade
    found = read_trade(site.files.job.parent, more)
    known = {material.id for material in site.trade.materials}
    added = tuple(material for material in found.materials if material.id not in known)
    return replace(site.trade, materials=(*site.trade.materials, *added))
