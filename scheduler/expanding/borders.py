"""Where colours touch, one is first: a choice for the planner, unless the person or the work settles it."""

from __future__ import annotations

from collections.abc import Iterable

import networkx as nx

from scheduler.expanding.colours import share_for_pulling
from scheduler.expanding.draft import Draft
from scheduler.expanding.order import as_network
from scheduler.model.graph import Choice, ColourOrder, Link
from scheduler.model.job import Border, Colour
from scheduler.model.names import coat_of, meant, pull_of, tape_of
from scheduler.told import told


def settle_borders(draft: Draft) -> None:
    """Turn every border into links, where the order is known, or else into a choice.

    The order that the file gives goes before what lies on what.
    """
    colours = {colour.id: colour for colour in draft.job.colours}
    sound = _sound(draft, colours)
    open_choices = [_choice(draft, border, colours) for border in sound]
    fixed = {name: position for position, name in enumerate(draft.job.colour_order)}
    for choice in list(open_choices):
        places = [fixed.get(draft.owners[option.leader]) for option in choice.options]
        if None not in places:
            _take(draft, choice.options[places.index(min(place for place in places if place is not None))])
            open_choices.remove(choice)
    above = {"|".join(sorted((border.first, border.second))): border.above for border in sound if border.above}
    for choice in [each for each in open_choices if each.id in above]:
        (base,) = (each for each in choice.options if draft.owners[each.leader] != above[choice.id])
        _take(draft, base)
        open_choices.remove(choice)
    while forced := _forced(draft, open_choices):
        choice, option = forced
        _take(draft, option)
        open_choices.remove(choice)
    draft.choices += open_choices


def _sound(draft: Draft, colours: dict[str, Colour]) -> list[Border]:
    """The borders between two known, different colours, each pair once, in an order that the file does not set."""
    sound: dict[tuple[str, ...], Border] = {}
    for border in draft.job.borders:
        pair = tuple(sorted((border.first, border.second)))
        unknown = [name for name in pair if name not in colours]
        for name in unknown:
            if draft.doubts.may_be(name):
                continue
            draft.fault(border.place, told("no colour is called `{name}`", name=name), meant(name, list(colours)))
        if unknown:
            continue
        if border.first == border.second:
            draft.fault(border.place, told("`{first}` borders on itself", first=border.first), "name two colours")
        elif pair in sound:
            draft.fault(
                border.place,
                told("`{pair}` and `{pair2}` border twice", pair=pair[0], pair2=pair[1]),
                "add the two times up in one entry",
            )
        else:
            sound[pair] = border
    return [sound[pair] for pair in sorted(sound)]


def _choice(draft: Draft, border: Border, colours: dict[str, Colour]) -> Choice:
    one, other = (colours[name] for name in sorted((border.first, border.second)))
    return Choice(
        id=f"{one.id}|{other.id}",
        options=(_option(draft, border, one, other), _option(draft, border, other, one)),
    )


def _option(draft: Draft, border: Border, first: Colour, second: Colour) -> ColourOrder:
    """`second` is taped along the border once the film of `first` can bear it and its own tape is off.

    Without tape it is cut in by hand along `first` once that takes another coat: no brush drags what is still soft.
    """
    if not border.taped:
        link = Link(before=coat_of(first.id, first.coats), after=coat_of(second.id, 1), stage="recoat")
        return ColourOrder(name=f"{first.said} first", leader=coat_of(first.id, 1), links=(link,))
    tape = tape_of(second.id)
    return ColourOrder(
        name=f"{first.said} first",
        leader=coat_of(first.id, 1),
        links=(
            Link(before=coat_of(first.id, first.coats), after=tape, stage="tape"),
            Link(before=pull_of(first.id), after=tape),
            *draft.border_windows.get(second.id, ()),
        ),
        extra=((tape, border.tape), (pull_of(second.id), share_for_pulling(border.tape))),
    )


def _forced(draft: Draft, choices: Iterable[Choice]) -> tuple[Choice, ColourOrder] | None:
    """The first choice that is none, because the other answer would go round in a circle."""
    network = as_network(draft)
    for choice in choices:
        possible = [option for option in choice.options if not _goes_round(network, option)]
        if len(possible) == 1:
            return choice, possible[0]
    return None


def _goes_round(network: nx.DiGraph, option: ColourOrder) -> bool:
    return any(link.before in nx.descendants(network, link.after) for link in option.links)


def _take(draft: Draft, option: ColourOrder) -> None:
    draft.links |= set(option.links)
    for task, work in option.extra:
        draft.add_work(task, work)
