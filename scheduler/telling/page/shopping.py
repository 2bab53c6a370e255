"""The shopping list as the page shows it."""

from __future__ import annotations

from scheduler.model.page import ToBuy
from scheduler.model.shopping import Lot, Shopping
from scheduler.telling.text.shopping import AS_NEEDED, amount_words, containers_words, ordered
from scheduler.telling.wording import one_line
from scheduler.units import format_fraction


def _so_much(lot: Lot, metric: bool) -> str:
    """What is used, and what is bought on top of it."""
    if lot.net is None:
        return AS_NEEDED
    used = amount_words(lot.net, lot.unit, metric=metric)
    return f"{used} + {format_fraction(lot.waste)}" if lot.waste and lot.cuts is None else used


def shopping_for_page(found: Shopping, *, metric: bool) -> tuple[ToBuy, ...]:
    """What is still to be bought or to come, for the page."""
    lots = (
        ToBuy(
            name=one_line(lot.title),
            quantity=_so_much(lot, metric),
            containers=containers_words(lot.containers),
            order_by=lot.order_by,
            needed_by=lot.needed_by,
            thing=lot.name,
            ordered=lot.ordered,
        )
        for lot in found.lots
        if lot.to_be_bought
    )
    deliveries = (
        ToBuy(
            name=one_line(each.title),
            quantity="on order",
            containers=" + ".join(containers_words(lot.containers) for lot in ordered(found, each)),
            order_by=each.order_by,
            needed_by=each.needed_by,
        )
        for each in found.deliveries
        if not each.arrived
    )
    return (*lots, *deliveries)
