"""What a step uses up, by the names under which it is bought: the list of what to buy and what a session has ready
say the same, because both ask here."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from scheduler.model.graph import Task
from scheduler.model.material import Material, Trade
from scheduler.model.names import slug
from scheduler.model.shopping import Ware
from scheduler.model.supply import Use


@dataclass(frozen=True, slots=True, kw_only=True)
class Stock:
    """One thing that a step uses up: a family of material, or a ware, or neither of them where nobody knows it.

    `what` is its id, `colour` the id of the colour of a paint, `title` what it is called. `use` is None where nobody
    measured how much. `item` is the item on order that it is: needed by the step, and either the same ware, or all
    words of its name are words of the title (`wall paint` is `warm white, acrylic latex wall paint`).
    """

    what: str
    title: str
    colour: str | None = None
    use: Use | None = None
    material: Material | None = None
    ware: Ware | None = None
    item: str | None = None


class Stores:
    """Names what steps use up. `colours` and `items` are the titles of colours and of what is on order, by id."""

    def __init__(self, trade: Trade, colours: Mapping[str, str], items: Mapping[str, str]) -> None:
        self.trade, self.colours, self.items = trade, colours, items
        self._firsts = {title.casefold(): name for name, title in reversed([*colours.items()])}
        self._wares: dict[str, Ware | None] = {}

    def of(self, task: Task) -> tuple[Stock, ...]:
        """What a step uses up, less what nobody buys. How much of a film it takes nobody knows if it does not say."""
        used: list[tuple[str, Use | None]] = [(use.what, use) for use in task.uses if use.amount > 0]
        if task.film is not None and not any(_lays(task, use.what) for use in task.uses):
            used.append((task.film.material, None))
        found = (self._stock(task, name, use) for name, use in used)
        return tuple(each for each in found if each.material is None or self._is_bought(each.material))

    def _stock(self, task: Task, name: str, use: Use | None) -> Stock:
        what = slug(name)
        material = self.trade.material(what)
        ware = None if material is not None else self._ware(what)
        colour = self._same(task.colour) if _lays(task, name) else None
        title = ware.title if ware is not None and ware.id == what else self.trade.words(" ".join(name.split()))
        if material is not None:
            title = f"{self.colours.get(colour, colour)}, {material.title}" if colour else material.title
        item = next((item for item in task.needs if self._is(item, ware, title)), None)
        return Stock(what=what, title=title, colour=colour, use=use, material=material, ware=ware, item=item)

    def _same(self, colour: str | None) -> str | None:
        """The first colour of that title: the white of five rooms is one paint, out of one batch."""
        title = self.colours.get(colour, "").casefold() if colour is not None else ""
        return self._firsts.get(title, colour)

    def _is_bought(self, material: Material) -> bool:
        return material.group not in self.trade.shelf.never_bought

    def _is(self, item: str, ware: Ware | None, title: str) -> bool:
        """Whether what is on order is the ware, or the thing of that title."""
        names = (item, self.items[item]) if item in self.items else ()
        same = ware is not None and ware in [self._ware(name) for name in names]
        return same or any(_words(name) <= _words(title) for name in names)

    def _ware(self, name: str) -> Ware | None:
        if name not in self._wares:
            self._wares[name] = self.trade.shelf.ware(name)
        return self._wares[name]


def _lays(task: Task, what: str) -> bool:
    return task.film is not None and task.film.material == slug(what)


def _words(title: str) -> set[str]:
    """The words of a title; one thing and several of it are the same."""
    return {word.removesuffix("s") for word in slug(title).split("-")}
