"""What the page shows beyond the plan itself. Everything may be missing: a section appears where there is data."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date

from scheduler.model.asides import Asides
from scheduler.model.foresight import Odds
from scheduler.model.leeway import Leeways
from scheduler.model.moves import Moves


@dataclass(frozen=True, slots=True)
class AirSpell:
    """Air that does not change over [start, end) minutes: °C, humidity as a fraction."""

    start: int
    end: int
    temp: float
    humidity: float


@dataclass(frozen=True, slots=True, kw_only=True)
class RoomSpells:
    """The air of one room over the plan, in order and without overlap.

    The day's values hold from the first to the second of its `day_hours`, Monday's first, minutes of the day on the
    wall clock.
    """

    room: str
    title: str
    spells: tuple[AirSpell, ...]
    day_hours: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class StageSource:
    """How one stage of a family is reckoned: its law, minutes at the reference air, and where that comes from."""

    stage: str
    law: str
    typical: int
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class FilmSource:
    """One family that the plan lays: the reference air (°C, fraction) of its times, and its sources."""

    material: str
    title: str
    temp: float
    humidity: float
    source: str
    stages: tuple[StageSource, ...]
    limits_source: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ToBuy:
    """One line of the shopping list, by its title; `quantity` and `containers` are in words. `thing` is its id (see
    `Lot.name`), by which one says that it is `ordered`, or in the house."""

    name: str
    quantity: str
    containers: str = ""
    order_by: date | None = None
    needed_by: date | None = None
    thing: str = ""
    ordered: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Recent:
    """An entry of the diary that holds: its line, when it was written (minute), and what it says in words."""

    line: int
    at: int
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Subscription:
    """A calendar that can be subscribed to: whose it is ("plan", "household" or "helper"), its address, and that as
    the markup of a QR code."""

    kind: str
    address: str
    code: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Live:
    """What a page that is served shows beyond the file: what was recorded last, and what to subscribe to."""

    recent: tuple[Recent, ...] = ()
    subscriptions: tuple[Subscription, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Home:
    """Where the job of a page lies: a mark of its folder, which tells it from a copy elsewhere and names nothing of
    the disk, and how the job is named on a command line in that folder."""

    mark: str
    job: str


@dataclass(frozen=True, slots=True, kw_only=True)
class DaysAway:
    """Days on which nobody works, the first and the last of them, and why ("": nobody says)."""

    first: date
    last: date
    reason: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class PageFacts:
    """All that the page may show beyond the plan."""

    air: tuple[RoomSpells, ...] = ()
    films: tuple[FilmSource, ...] = ()
    moves: Moves | None = None
    leeway: Leeways | None = None
    odds: Odds | None = None
    shopping: tuple[ToBuy, ...] = ()
    asides: Asides = field(default_factory=Asides)
    away: tuple[DaysAway, ...] = ()
    live: Live | None = None
    home: Home | None = None
