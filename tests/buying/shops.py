"""Steps, plans and a shelf in few words, for the tests of the shopping list."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from scheduler.buying import shopping_list
from scheduler.model.basics import Estimate
from scheduler.model.graph import Film, Task, TaskGraph
from scheduler.model.material import Material, Pack
from scheduler.model.plan import Plan, PlannedItem
from scheduler.model.shopping import Lot, Shelf, Shopping, Size, Ware
from scheduler.model.supply import Use
from scheduler.units import parse_length, parse_volume
from tests.support.builders import INVENTED, material, trade
from tests.support.plans import plan, step

BOARD = Ware(
    id="board",
    title="boards",
    unit="m",
    pack="board",
    sizes=tuple(Size(label=f"{feet} ft", amount=feet * 0.3048, metric=False) for feet in (8, 10)),
    waste=0.10,
    source=INVENTED,
    cut=True,
    settles=3,
)
TILE = Ware(
    id="tile",
    title="tiles",
    unit="m2",
    pack="box",
    sizes=(Size(label="10 sq ft", amount=10 * 0.3048**2, metric=False),),
    waste=0.10,
    source=INVENTED,
    lead=7,
)
NAIL = Ware(
    id="nail",
    title="nails",
    unit="piece",
    pack="box",
    sizes=(Size(label="100", amount=100, metric=False),),
    waste=0.15,
    source=INVENTED,
    names=("brad",),
)
SHELF = Shelf(
    wares=(BOARD, TILE, NAIL),
    waste={"paints": 0.10, "fillers": 0.15},
    other_waste=0.10,
    bulk=0.7,
    kerf=parse_length("1/8 in"),
    margin=3,
    never_bought=("wood",),
)


def paint(name: str = "paint", **fields: Any) -> Material:
    """A paint in quarts, gallons and litres."""
    packs = (
        *(Pack(label=each, litres=parse_volume(each), metric=False) for each in ("1 qt", "1 gal")),
        *(Pack(label=each, litres=parse_volume(each), metric=True) for each in ("1 L", "2.5 L")),
    )
    return replace(material(name), **{"group": "paints", "packs": packs, **fields})


def task(
    name: str, *uses: Use, lays: str | None = None, colour: str | None = None, needs: tuple[str, ...] = ()
) -> Task:
    """A step of one hour that uses something up."""
    return Task(
        id=name,
        title=name,
        room="hobby",
        work=Estimate.sure(60),
        people=1,
        smallest_piece=None,
        film=Film(material=lays, coat=1, ratio=1.0, room="hobby") if lays else None,
        colour=colour,
        needs=needs,
        uses=uses,
    )


def use(what: str, amount: float, unit: str = "L", *lengths: float) -> Use:
    """So much of something; with `lengths` their sum."""
    return Use(what=what, amount=sum(lengths) or amount, unit=unit, lengths=lengths)


def planned(
    *tasks: Task, states: dict[str, str] | None = None, items: tuple[PlannedItem, ...] = (), **more: Any
) -> Plan:
    """A plan with these tasks at nine on the Saturdays from 16 January 2027 on, one a week."""
    days = ("2027-01-16", "2027-01-23", "2027-01-30", "2027-02-06", "2027-02-13")
    steps = [
        step(each.id, f"{day} 09:00 10:00", state=(states or {}).get(each.id, "planned"), needs=each.needs)
        for each, day in zip(tasks, days, strict=False)
    ]
    return plan(*steps, items=items, **more)


def listed(
    *tasks: Task,
    materials: tuple[Material, ...] | None = None,
    shelf: Shelf = SHELF,
    colours: Mapping[str, str] | None = None,
    **more: Any,
) -> Shopping:
    """The list for these tasks."""
    known = (paint(),) if materials is None else materials
    graph = TaskGraph(tasks=tasks, links=())
    colours = colours or {"blue": "Blue", "white": "White"}
    return shopping_list(graph, planned(*tasks, **more), trade(*known, shelf=shelf), colours)


def lot(*tasks: Task, **more: Any) -> Lot:
    """The only thing on the list for these tasks."""
    (found,) = listed(*tasks, **more).lots
    return found
