"""The shopping list as the page shows it."""

from __future__ import annotations

from scheduler.model.page import ToBuy
from scheduler.model.shopping import Lot, Shopping
from scheduler.model.tradewords import ENGLISH
from scheduler.telling.text.shopping import amount_words, containers_words, ordered
from scheduler.telling.wording import one_line
from scheduler.telling.words import Words
from scheduler.units import format_fraction


def _so_much(lot: Lot, metric: bool, words: Words) -> str:
    """What is used, and what is bought on top of it."""
    if lot.net is None:
        return words.of("buy", "as needed")
    used = words.figures(amount_words(lot.net, lot.unit, metric=metric))
    return f"{used} + {format_fraction(lot.waste)}" if lot.waste and lot.cuts is None else used


def shopping_for_page(found: Shopping, *, metric: bool, lang: str = ENGLISH) -> tuple[ToBuy, ...]:
    """What is still to be bought or to come, for the page."""
    words = Words(lang=lang)
    lots = (
        ToBuy(
            name=one_line(lot.title),
            quantity=_so_much(lot, metric, words),
            containers=containers_words(lot.containers, words),
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
            quantity=words.of("agenda", "order").lower(),
            containers=" + ".join(containers_words(lot.containers, words) for lot in ordered(found, each)),
            order_by=each.order_by,
            needed_by=each.needed_by,
        )
        for each in found.deliveries
        if not each.arrived
    )
    return (*lots, *deliveries)
