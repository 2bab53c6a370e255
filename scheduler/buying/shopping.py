"""The shopping list of a plan: amounts over all steps, containers, and the day by which each must be there."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from scheduler.buying.containers import fewest
from scheduler.buying.cutting import cut
from scheduler.model.diary import Bought
from scheduler.model.graph import TaskGraph
from scheduler.model.material import Material, Trade
from scheduler.model.plan import Plan, PlannedItem, PlannedStep
from scheduler.model.shopping import Container, CutPlan, Delivery, Lot, Shelf, Shopping, Size, Ware
from scheduler.model.stores import Stock, Stores
from scheduler.model.supply import Use
from scheduler.units import UnclearQuantityError, parse_mass
from scheduler.wallclock import NEVER, at_local, local_date

CARTRIDGE = "cartridge"
"""What is laid as a bead comes in these. All of one size: each size wants its own gun."""


@dataclass(frozen=True, slots=True)
class _Key:
    """What is bought in one go: a thing, in one unit, and of paint one colour; or what one item on order is."""

    what: str
    colour: str | None
    unit: str
    item: str | None


@dataclass(frozen=True, slots=True)
class _Used:
    """One step and a thing that it uses."""

    step: PlannedStep
    stock: Stock


NEAR = 0.05
"""So much less than is needed is as good as enough: nobody drives to the shop for a cup of paint (from memory)."""


def shopping_list(
    graph: TaskGraph,
    plan: Plan,
    trade: Trade,
    colours: Mapping[str, str] | None = None,
    bought: Mapping[str, Bought] | None = None,
    ordered: Mapping[str, date] | None = None,
) -> Shopping:
    """What the steps of a plan that are not done yet use up, and what is on order.

    `colours` are the titles of the colours of paint by id; `bought` and `ordered` what somebody said is in the house,
    or ordered, by its name (see `Lot.name`). A thing that a step has begun to use should be in
    the house; what is listed then is for the steps that are still to come.
    """
    stores = Stores(trade, colours or {}, {item.item: item.title for item in plan.items})
    lister = _Lister(plan, trade, bought or {}, ordered or {})
    lots = [lot for key, used in _gathered(graph, plan, stores).items() if (lot := lister.lot(key, used)) is not None]
    deliveries = [lister.delivery(item) for item in plan.items]
    return Shopping(
        lots=tuple(sorted(lots, key=lambda lot: (lot.needed_by, lot.first, lot.title, lot.colour or "", lot.unit))),
        deliveries=tuple(sorted(deliveries, key=lambda each: (each.needed_by or date.max, each.item))),
        margin=trade.shelf.margin,
        small_things=tuple(_small_things(lots, trade)),
        notes=trade.shelf.notes,
    )


def _small_things(lots: list[Lot], trade: Trade) -> Iterator[str]:
    """What goes with all that is still to be bought, by group, and is not counted."""
    bought = [trade.material(lot.what) for lot in lots if lot.to_be_bought]
    groups = {material.group for material in bought if material is not None}
    yield from (said for group, said in trade.shelf.small_things.items() if group in groups)
    if bought and trade.shelf.other_small_things:
        yield trade.shelf.other_small_things


def _gathered(graph: TaskGraph, plan: Plan, stores: Stores) -> dict[_Key, list[_Used]]:
    """All uses by what is bought in one go, in the order of the plan. A film that nobody measured joins its like."""
    tasks = {task.id: task for task in graph.tasks}
    found: dict[_Key, list[_Used]] = {}
    for step in plan.steps:
        for stock in stores.of(tasks[step.id]) if step.id in tasks else ():
            key = _Key(stock.what, stock.colour, stock.use.unit if stock.use else "", stock.item)
            found.setdefault(key, []).append(_Used(step, stock))
    for key in [key for key in found if not key.unit]:
        like = next((other for other in found if other.unit and replace(other, unit="") == key), None)
        if like is not None:
            found[like] += found.pop(key)
    return found


class _Lister:
    """Makes the lines of one list."""

    def __init__(self, plan: Plan, trade: Trade, bought: Mapping[str, Bought], ordered: Mapping[str, date]) -> None:
        self.plan, self.shelf, self.words = plan, trade.shelf, trade.words
        self.bought, self.ordered = bought, ordered
        self.zone = ZoneInfo(plan.zone)
        self.today = local_date(plan.as_of, self.zone)

    def lot(self, key: _Key, used: list[_Used]) -> Lot | None:
        """One thing to buy, or to be had already; None if no step to come uses it."""
        lot = self._lot(key, used)
        if lot is None:
            return None
        lot = replace(lot, whole=lot.needed, ordered=self.ordered.get(lot.name))
        if lot.ordered is not None:
            lot = replace(lot, order_by=None, passed=lot.needed_by < self.today)
        had = self.bought.get(lot.name)
        return lot if had is None else self._had(lot, had, used)

    def _had(self, lot: Lot, had: Bought, used: list[_Used]) -> Lot:
        """The same where some of it is in the house: what has come to be needed since it was bought is left to buy.

        What was bought was for the steps that were to come on that day, those that are done by now included.
        """
        since = at_local(had.on, 0, self.zone)
        after = [each.stock.use for each in used if each.step.start >= since and each.stock.use is not None]
        wanted = sum(use.amount for use in after) * (1 + lot.waste)
        more = 0.0 if had.amount is None else wanted - had.amount
        if more <= NEAR * wanted or lot.needed is None:
            return replace(lot, had=had.on, enough=True, begun=False, passed=False, order_by=None, containers=())
        key, net = _Key(lot.what, lot.colour, lot.unit, lot.on_order), more / (1 + lot.waste)
        stock = used[0].stock
        containers = self._containers(key, more, None, stock.material, stock.ware)
        return replace(lot, had=had.on, begun=False, net=net, needed=more, cuts=None, containers=containers)

    def _lot(self, key: _Key, used: list[_Used]) -> Lot | None:
        """One thing to buy, as if nothing of it were in the house."""
        ahead = [each for each in used if each.step.state == "planned"]
        if not ahead:
            return None
        material, ware = used[0].stock.material, used[0].stock.ware
        uses = [each.stock.use for each in ahead if each.stock.use is not None]
        waste = self._waste(key, material, ware)
        together = max if ware is not None and (ware.hired or ware.lasts) else sum
        net = together(use.amount for use in uses) if uses else None
        cuts = self._cuts(uses, ware)
        if cuts is not None and net:
            waste = cuts.stock / net - 1
        needed = None if net is None else cuts.stock if cuts else net * (1 + waste)
        first = min(each.step.start for each in ahead)
        settles, lead = (ware.settles, ware.lead) if ware is not None else (0, 0)
        begun = len(ahead) < len(used)
        needed_by = local_date(first, self.zone) - timedelta(days=settles)
        to_order = lead > 0 and not begun and key.item is None
        order_by = needed_by - timedelta(days=lead + self.shelf.margin) if to_order else None
        return Lot(
            what=key.what,
            title=used[0].stock.title,
            colour=key.colour,
            unit=key.unit,
            net=net,
            waste=waste,
            needed=needed,
            containers=() if begun else self._containers(key, needed, cuts, material, ware),
            cuts=cuts,
            steps=_ids(ahead),
            unmeasured=_ids(each for each in ahead if each.stock.use is None),
            first=first,
            needed_by=needed_by,
            order_by=order_by,
            passed=not begun and min(needed_by, order_by or needed_by) < self.today,
            begun=begun,
            settles=settles,
            on_order=key.item,
            hired_for=self._days(ahead) if ware is not None and ware.hired else (),
        )

    def _days(self, used: Iterable[_Used]) -> tuple[date, ...]:
        """The days on which steps are worked at, in order."""
        pieces = (piece for each in used for piece in each.step.pieces)
        return tuple(sorted({local_date(piece.start, self.zone) for piece in pieces}))

    def _waste(self, key: _Key, material: Material | None, ware: Ware | None) -> float:
        """The share on top. Whole sheets and boards that were counted have their waste in them."""
        if material is not None:
            return self.shelf.waste.get(material.group, self.shelf.other_waste)
        if key.unit == "piece" and (ware is None or ware.unit != "piece"):
            return 0.0
        return self.shelf.other_waste if ware is None else ware.waste

    def _cuts(self, uses: list[Use], ware: Ware | None) -> CutPlan | None:
        """The cutting plan of what is cut from stock, if every single length is known."""
        if ware is None or not ware.cut or not uses or not all(use.unit == "m" and use.lengths for use in uses):
            return None
        lengths = [length for use in uses for length in use.lengths]
        return cut(lengths, self._sizes(ware.sizes), self.shelf.kerf, ware.per_cut)

    def _containers(
        self, key: _Key, needed: float | None, cuts: CutPlan | None, material: Material | None, ware: Ware | None
    ) -> tuple[Container, ...]:
        pack = ware.pack if ware is not None else ""
        if needed is None:
            return ()
        if cuts is not None:
            boards = {board.label: board.length for board in cuts.boards}
            counts = {label: sum(board.label == label for board in cuts.boards) for label in boards}
            return tuple(Container(count=counts[each], label=each, amount=boards[each], pack=pack) for each in boards)
        if ware is not None and key.unit == "piece" and ware.unit != "piece":
            return (Container(count=-int(-needed // 1), label="", amount=1.0, pack=pack),)
        sizes = _packs(material, key.unit) if material else ware.sizes if ware and ware.unit == key.unit else ()
        word = _pack_word(material, key.unit, self.shelf) if material is not None else pack
        spare = self.shelf.spare if word == CARTRIDGE else 0
        return tuple(
            Container(count=count + spare, label=size.label, amount=size.amount, pack=self.words(word))
            for count, size in fewest(needed, self._sizes(sizes), self.shelf.bulk, mixed=word != CARTRIDGE)
        )

    def _sizes(self, sizes: tuple[Size, ...]) -> tuple[Size, ...]:
        """The sizes of the measures of the job, or all if there are none such."""
        return tuple(size for size in sizes if size.metric == self.plan.metric) or sizes

    def delivery(self, item: PlannedItem) -> Delivery:
        """An item on order as the plan has it."""
        steps = [self.plan.step(step) for step in item.holds]
        ahead = [step for step in steps if step.state == "planned"]
        needed = min((step.start for step in ahead), default=None if steps else item.needed)
        needed = None if needed is None or needed >= NEVER else needed
        needed_by = None if needed is None else local_date(needed, self.zone)
        there = item.arrived is not None
        return Delivery(
            item=item.item,
            title=item.title,
            expected=item.expected,
            order_by=None if there else item.order_by,
            needed=needed,
            needed_by=needed_by,
            steps=tuple(step.id for step in ahead),
            passed=not there and item.order_by is not None and item.order_by < self.today,
            spare=(needed_by - item.expected).days if needed_by and item.expected and not there else None,
            arrived=there,
            ordered=item.ordered,
        )


def _ids(used: Iterable[_Used]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(each.step.id for each in used))


def _packs(material: Material, unit: str) -> tuple[Size, ...]:
    """The sizes of a family in litres of ready material, or in kilograms of what is in the bag."""
    if unit == "L":
        return tuple(Size(label=pack.label, amount=pack.litres, metric=pack.metric) for pack in material.packs)
    if unit != "kg":
        return ()
    masses = [(pack, _mass(pack.label)) for pack in material.packs]
    return tuple(Size(label=pack.label, amount=mass, metric=pack.metric) for pack, mass in masses if mass)


def _mass(label: str) -> float | None:
    try:
        return parse_mass(label)
    except UnclearQuantityError:
        return None


def _pack_word(material: Material, unit: str, shelf: Shelf) -> str:
    """`cartridge` of what is laid as a bead, `bag` of powder, else the word of its group; "" if there is none."""
    if material.thickness_kind == "bead":
        return CARTRIDGE
    powder = unit in ("L", "kg") and material.packs and _mass(material.packs[0].label)
    return "bag" if powder else shelf.packs.get(material.group, "")
