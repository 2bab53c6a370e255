"""How things are sold, and the list of what must be in the house by when."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date, timedelta

from scheduler.model.message import Message
from scheduler.model.names import slug

SOLD_BY = {"length": "m", "area": "m2", "count": "piece", "weight": "kg", "volume": "L"}
"""What a ware is sold by, and the unit in which that is counted."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Size:
    """One size in which something is sold: as written on it, its amount, and whether it is a metric size."""

    label: str
    amount: float
    metric: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Ware:
    """Something from the shelf that is no film: boards, sheets, nails, tape.

    `unit` is what it is counted in, `pack` the word for one of it ("board", "box"). `waste` is the share to be bought
    on top; for lengths that are `cut` from stock the cutting plan says the waste instead, and `per_cut` (metres) is
    added to every length. It lies in the room for `settles` days before it is used, and the shop takes `lead` days.
    What is `hired`, or a tool that `lasts`, is there for one step after the other: no more of it than one of them
    asks for.
    """

    id: str
    title: str
    unit: str
    pack: str
    sizes: tuple[Size, ...]
    waste: float
    source: str
    names: tuple[str, ...] = ()
    cut: bool = False
    per_cut: float = 0.0
    settles: int = 0
    lead: int = 0
    hired: bool = False
    lasts: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """What profiles/wares.yaml says of buying.

    `waste` is the share on top by group of materials, `other_waste` for all else; `packs` is what one of a group is
    called. A container of k times the size costs k^`bulk` times as much (below 1: the big one is cheaper by the
    litre). `kerf` (metres) is lost at each cut. What has to be ordered should come `margin` days before it is needed.
    `small_things` are what goes with a group and nobody counts, `other_small_things` with anything else.
    Nobody buys a group of `never_bought`. Of what is laid as a bead so many cartridges more are bought as `spare`.
    """

    wares: tuple[Ware, ...] = ()
    waste: Mapping[str, float] = field(default_factory=dict)
    other_waste: float = 0.0
    bulk: float = 1.0
    kerf: float = 0.0
    margin: int = 0
    small_things: Mapping[str, str] = field(default_factory=dict)
    other_small_things: str = ""
    never_bought: tuple[str, ...] = ()
    spare: int = 0
    packs: Mapping[str, str] = field(default_factory=dict)
    notes: tuple[Message, ...] = ()

    def ware(self, name: str) -> Ware | None:
        """The ware of that name, else the one whose name ends it or stands in it (`primed board` is a board)."""
        asked = slug(name)
        known = [(slug(each), ware) for ware in self.wares for each in (ware.id, *ware.names)]
        for same in (each for each in known if each[0] == asked):
            return same[1]
        held = [
            (f"-{asked}".endswith(f"-{one}"), len(one), ware) for one, ware in known if f"-{one}-" in f"-{asked}-"
        ]
        return max(held, key=lambda each: each[:2])[2] if held else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Container:
    """So many of one size. `pack` is the word for one of them, "" if the label says it all."""

    count: int
    label: str
    amount: float
    pack: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class StockLength:
    """One length of stock and the lengths that are cut from it, metres, longest first."""

    label: str
    length: float
    pieces: tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CutPlan:
    """Which lengths come out of which stock. `best`: no plan needs less stock. `joined` lengths are longer than any
    stock and are put together out of several. In metres."""

    boards: tuple[StockLength, ...]
    best: bool
    joined: tuple[float, ...] = ()

    @property
    def stock(self) -> float:
        """Metres of stock that are bought."""
        return sum(board.length for board in self.boards)

    @property
    def used(self) -> float:
        """Metres of stock that end up in the lengths."""
        return sum(sum(board.pieces) for board in self.boards)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lot:
    """One thing to buy, for all steps that use it, in one go (paint of one colour out of one batch).

    `what` is the id of a material family or a ware, `colour` the colour of paint. `net` is what the steps use, in
    `unit`, `needed` that with its waste; both are None where nobody measured it (`unmeasured` names these steps).
    `first` is the minute of the first use, `needed_by` the day on which it must be in the house, `order_by` the
    last day to order what a shop takes time for. `passed`: that day, or the day on which it had to lie in the room,
    is over. `on_order` is the item on order that this is: the steps that use the one need the other. `begun`: a step
    has used it already, so that it should be there; amounts are for the steps to come. `ordered` and `had` are the
    days since when it is ordered, or in the house as somebody said: what is to be bought then is what has come to be
    needed since, and nothing of it if `enough`; `whole` is `needed` of all the steps to come. What is hired is
    wanted on the days `hired_for`.
    """

    what: str
    title: str
    unit: str
    net: float | None
    waste: float
    needed: float | None
    steps: tuple[str, ...]
    first: int
    needed_by: date
    colour: str | None = None
    containers: tuple[Container, ...] = ()
    cuts: CutPlan | None = None
    unmeasured: tuple[str, ...] = ()
    order_by: date | None = None
    passed: bool = False
    begun: bool = False
    settles: int = 0
    on_order: str | None = None
    whole: float | None = None
    had: date | None = None
    enough: bool = False
    ordered: date | None = None
    hired_for: tuple[date, ...] = ()

    @property
    def to_be_bought(self) -> bool:
        """Whether somebody has to go and get it: it is neither in the house nor on order."""
        return not self.begun and self.on_order is None and not self.enough

    @property
    def name(self) -> str:
        """By which a person names it: the id of the thing, and of paint that of its colour."""
        return self.what if self.colour is None else f"{self.what}-{slug(self.colour)}"

    @property
    def settled(self) -> date | None:
        """When it has lain in the room for as long as it has to settle, if it is known to lie there."""
        return None if self.had is None or not self.settles else self.had + timedelta(self.settles)

    @property
    def bought(self) -> float:
        """What the containers hold together, in `unit`."""
        return sum(each.count * each.amount for each in self.containers)


@dataclass(frozen=True, slots=True, kw_only=True)
class Delivery:
    """Something on order: when it comes, is needed (minute, None: no step to come needs it), had to be ordered.

    `spare` are the days between its coming and its first use; `passed`: the order-by day is over; `arrived`: there.
    """

    item: str
    title: str
    expected: date | None
    order_by: date | None
    needed: int | None
    needed_by: date | None
    steps: tuple[str, ...]
    passed: bool = False
    spare: int | None = None
    arrived: bool = False
    ordered: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Shopping:
    """The whole list, in the order in which things are needed. `small_things` go with it and are not counted."""

    lots: tuple[Lot, ...]
    deliveries: tuple[Delivery, ...]
    margin: int
    small_things: tuple[str, ...] = ()
    notes: tuple[Message, ...] = field(default=())
