"""A material family as its profile says it: stages with their times, laws and sources; limits; remedies."""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass, field
from types import MappingProxyType
from typing import TypeAlias

from scheduler.model.basics import WINDOW_ENDS
from scheduler.model.beware import Beware
from scheduler.model.message import Message
from scheduler.model.names import nearest, slug
from scheduler.model.rule import Rule
from scheduler.model.shopping import Shelf
from scheduler.model.tradewords import TradeWords

LAWS: Mapping[str, str] = MappingProxyType(
    {
        "water": "evaporation of water: warm, dry air is quick; damp air stops it",
        "film": "hardening of the film: by temperature; held back only by very damp air",
        "solvent": "evaporation of solvent: by temperature",
        "set": "setting and curing: by temperature",
        "moisture": "curing with the water in the air: by temperature and humidity; dry air is slow",
    }
)
"""The rate laws and what each says, as a page tells it (its translations: `telling/page/phrases.json`). What they
reckon: `scheduler.drying.laws`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class StageTime:
    """When one stage is reached at the profile's reference air and thickness.

    `low`, `typical`, `high` in minutes; `law` one of LAWS; `activation` in J/mol for Arrhenius laws (None:
    the law's own default); `exponent` is n in (actual/reference thickness)^n. `temps` (°C) and `humidities`
    (fractions) are the range that the source covers. `source` names title, section or table and year, or
    says "common practice, no source" or "from memory".
    """

    stage: str
    low: int
    typical: int
    high: int
    law: str
    exponent: float
    source: str
    activation: float | None = None
    temps: tuple[float, float] = (10.0, 35.0)
    humidities: tuple[float, float] = (0.20, 0.85)


@dataclass(frozen=True, slots=True, kw_only=True)
class Limits:
    """The air in which a material may be laid: °C, fractions, °C above the dew point.

    `hold_until` names the stage until which the air must stay inside (None: only while it is being laid).
    """

    temp_low: float
    temp_high: float
    humidity_high: float
    source: str
    humidity_low: float = 0.0
    dew_margin: float | None = 3.0
    hold_until: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Spoils:
    """What spoils a film for good, whatever comes after, as long as it is not at stage `until`.

    `below`: the temperature (°C) under which it forms no film, or freezes; `wet`: water that lies on it, as on
    everything in saturated air.
    """

    until: str
    source: str
    below: float | None = None
    wet: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Acclimation:
    """How wood comes near the moisture of a room: the times of its profile are for `share` of the way, and it is
    there within `allowed` of the moisture at which it settles. All in fractions, moisture of dry mass."""

    share: float
    allowed: float
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Remedy:
    """The step that is due when a window has been missed: scuff sand and wipe, score the edge.

    `work` is in minutes for the step as a whole. It begins no earlier than `wait` minutes after the end of the step
    whose window was missed, nor before that window has ended.
    """

    title: str
    work: int
    source: str
    wait: int = 0
    dusty: bool = False
    noisy: bool = False
    cautions: tuple[Beware, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Tape:
    """What a masking tape asks for: clean removal within `clean_for` minutes of sticking it on.

    After the last coat it comes off from that coat's `touch` on, until `pull_by` minutes after it; later
    the edge is scored first (`remedy`). On kinds of surface of `pulled_wet` it comes off within `wet_by` minutes of
    the last coat instead.
    """

    clean_for: int
    pull_by: int
    wet_by: int = 20
    pulled_wet: tuple[str, ...] = ()
    remedy: Remedy
    source: str
    overdue: Remedy | None = None
    """What is due when the tape has been on for longer than `clean_for` all the same."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pack:
    """One size in which a family is sold: as written on it, and the litres of ready material that it makes."""

    label: str
    litres: float
    metric: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Material:
    """One generic family. Times hold at `temp` (°C), `humidity` (fraction) and `thickness` (metres).

    `thickness_kind` says what the thickness measures: "film", "depth" or "bead". `spread` is m² per litre of ready
    material as it is usually laid, `pot_life` and `open_time` are minutes, `packs` the sizes it is sold in. It
    is laid at `speed` times the rate of a method that may lay it.
    `exposed`: dust can settle in it while it is wet (false for glue behind a panel). `by_touch`: a finger can tell
    how far it is (false for what bears a load or keeps water out). `room_closed_until` names the
    stage before which nobody works in the room (a wet floor). `origin` is the file that the profile came from;
    `replaces` the shipped file that it overrides, if it does. `dangers` are kinds of cautions. `sources` pairs
    `spread`, `pot_life`, `open_time` and other numbers that are none of a stage with where they come from. `fit_for`
    says what it goes on, in words that families of a group share: one stands in for another only where it stands all
    that the other does.
    """

    id: str
    title: str
    group: str
    temp: float
    humidity: float
    thickness: float
    thickness_kind: str
    stages: tuple[StageTime, ...]
    limits: Limits | None
    source: str
    remedy: Remedy | None = None
    pot_life: int | None = None
    open_time: int | None = None
    speed: float = 1.0
    spread: float | None = None
    spread_range: tuple[float, float] | None = None
    clean_up: str = ""
    cautions: tuple[Beware, ...] = ()
    dangers: tuple[str, ...] = ()
    thicknesses: tuple[float, float] | None = None
    room_closed_until: str | None = None
    exposed: bool = True
    by_touch: bool = True
    origin: str = ""
    replaces: str | None = None
    packs: tuple[Pack, ...] = ()
    sources: tuple[tuple[str, str], ...] = ()
    acclimates: Acclimation | None = None
    fit_for: tuple[str, ...] = ()
    spoils: Spoils | None = None

    @property
    def takes_paint(self) -> bool:
        """Whether anything of paint holds on it: silicone has neither a stage for the next coat nor one for paint."""
        return not self.exposed or any(self.stage(name) is not None for name in ("recoat", "paint_over"))

    def stage(self, name: str) -> StageTime | None:
        """The named stage, or None if this family has none such."""
        return next((stage for stage in self.stages if stage.stage == name), None)

    def can_be_felt(self, name: str) -> bool:
        """Whether a finger can tell that a film is at a stage before the table has it there."""
        return self.by_touch and name not in NOT_FELT

    def in_keeping(self, name: str, factor: float) -> float:
        """How many times as long a stage takes in a film that takes `factor` times as long as its profile says.

        Quicker never below the shortest time of the profile, nor what no finger can tell; and the end of a window
        does not move out because a film dries slowly.
        """
        stage = self.stages[0] if name in WINDOW_ENDS and self.stages else self.stage(name)
        if stage is None or not stage.typical or (factor > 1 and name == WINDOW_END):
            return 1.0
        if factor >= 1:
            return factor
        return max(factor, stage.low / stage.typical) if self.can_be_felt(name) else 1.0


WINDOW_END = "recoat_by"
"""The end of a window, which no slow film makes longer."""

NOT_FELT = frozenset({"use", "full"})
"""Stages that no finger can tell: the film may be soft below."""

HEATING = ("heater",)
"""The kind of caution that goes with every advice to heat or to dry the air."""

CAUTION_KINDS = (
    "dusty",
    "noisy",
    "old paint",
    "old texture",
    "ladder",
    "lifting",
    "nailer",
    "wiring",
    "boxes",
    "structure",
    "solvent",
    "rags",
    "cement",
    "hidden lines",
    "floor sander",
    "mineral dust",
    "wood dust",
    "cutting dust",
    "stripper",
    "isocyanate",
    "epoxy",
    "polyester",
    "vapour",
    "heater",
    "saw",
    "glass",
    "wet electricity",
    "open boxes",
    "water",
    "drains",
    "acid",
    "mould",
    "egress",
    "household",
    "sleeping",
    "waste",
    "contact cement",
)
"""What a step may be, or have to do with, that calls for a caution: `dusty` and `noisy` are its kind, `old paint` and
`old texture` what it disturbs, the rest what a method says of it, or the material that it lays."""

ByRegion: TypeAlias = tuple[tuple[str, str], ...]
"""(region, words): see `model.region`."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """What to beware of wherever steps are of a kind, one of CAUTION_KINDS, or of one of those `also` named.

    With `built_before`, or a year of the region in `years`, it holds in houses built before that year, and where the
    job does not say when. `masks` is what to wear, `cites` the rule that was read, `asks` whom to ask, by region.
    `short` is the danger and what protects from it in a few words, `wear` the mask in as few, by region.
    `rules` is all that is known by region, printed nowhere. `name` is what it is called afterwards. `densities` are
    those of sheets by a word of their name, kg/m³: what a step lifts is weighed by them. `to_wear` and `to_ask`
    put the mask, and who is to be asked, into the sentence. It is not said in a room that one of the words `not_in`
    names.
    """

    text: str
    kind: str
    source: str
    built_before: int | None = None
    name: str = ""
    short: str = ""
    wear: ByRegion = ()
    also: tuple[str, ...] = ()
    masks: ByRegion = ()
    cites: ByRegion = ()
    asks: ByRegion = ()
    rules: ByRegion = ()
    years: tuple[tuple[str, int], ...] = ()
    densities: tuple[tuple[str, float], ...] = ()
    to_wear: str = "mask: {mask}"
    not_in: tuple[str, ...] = ()
    to_ask: str = "ask: {ask}"

    def holds(self, kinds: Collection[str], regions: tuple[str, ...], built: int | None, room: str = "") -> bool:
        """Whether it is due for something of these kinds, in a house of that year (None: unknown) there, in a room of
        that name ("": wherever it is)."""
        if self.kind not in kinds and not any(kind in kinds for kind in self.also):
            return False
        if not {slug(word) for word in self.not_in}.isdisjoint(slug(room).split("-")):
            return False
        years = dict(self.years)
        limit = next((years[region] for region in regions if region in years), self.built_before)
        return limit is None or built is None or built < limit

    def said(self, regions: tuple[str, ...]) -> Beware:
        """The sentence, behind it what to wear and whose rule it is there, or whom to ask where none was read; the
        same without the rule; the few words, and what to wear there."""
        mask = self._mask(regions)
        plain = f"{self._head} ({mask[0]})" if mask else self._head
        wear = _first(self.wear, regions)
        short = f"{self.short}, {wear}" if wear and self.short else self.short
        if not self.asks:
            return Beware(f"{self._head} ({self.source})", plain, short, self.name)
        cite, ask = (_first(words, regions) for words in (self.cites, self.asks))
        return Beware(
            f"{self._head} ({'; '.join([*mask, cite or self.to_ask.format(ask=ask)])})", plain, short, self.name
        )

    @property
    def _head(self) -> str:
        return f"{self.name}: {self.text}" if self.name else self.text

    def _mask(self, regions: tuple[str, ...]) -> list[str]:
        mask = _first(self.masks, regions)
        return [self.to_wear.format(mask=mask)] if mask and mask != "none" else []


def _first(words: ByRegion, regions: tuple[str, ...]) -> str:
    """What the first of the regions says that says anything; "" if none does."""
    known = dict(words)
    return next((known[region] for region in regions if region in known), "")


@dataclass(frozen=True, slots=True, kw_only=True)
class KindOfWork:
    """What a person is quick or slow at as a whole, by what tells a step of it: the group of the film that it lays,
    its phase, or what it is ("dusty", "noisy", "wipes")."""

    id: str
    groups: tuple[str, ...] = ()
    phases: tuple[str, ...] = ()
    marks: tuple[str, ...] = ()


OTHER_WORK = "other work"
"""Of a step that no kind claims."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Trade:
    """The data of profiles/ that a job draws on.

    `known` names every family that there is, loaded or not; `shelf` says how things are sold, `order`
    what comes before what in a room. All of it is in the language of the job already; `words` are for what is put
    together of it.
    """

    materials: tuple[Material, ...]
    tape: Tape
    notes: tuple[Message, ...] = ()
    known: tuple[str, ...] = ()
    cautions: tuple[Caution, ...] = ()
    shelf: Shelf = field(default_factory=Shelf)
    kinds: tuple[KindOfWork, ...] = ()
    order: tuple[Rule, ...] = ()
    words: TradeWords = field(default_factory=TradeWords)

    def kind_of(self, group: str, phase: str, marks: frozenset[str]) -> str:
        """The kind of work of a step: by the group of its film, else by its phase, else by what it is."""
        for claims in (
            (kind.id for kind in self.kinds if group in kind.groups),
            (kind.id for kind in self.kinds if phase in kind.phases),
            (kind.id for kind in self.kinds if not phase and marks & set(kind.marks)),
        ):
            found = next(claims, None)
            if found is not None:
                return found
        return OTHER_WORK

    def material(self, name: str) -> Material | None:
        """The family of that id, or None."""
        return next((material for material in self.materials if material.id == name), None)

    def cautions_for(
        self, kinds: Collection[str], regions: tuple[str, ...], built: int | None, room: str = ""
    ) -> tuple[Beware, ...]:
        """The cautions that are due for something of these kinds, as they are said in these regions, in that room."""
        return tuple(each.said(regions) for each in self.cautions if each.holds(kinds, regions, built, room))

    def nearest(self, name: str) -> str | None:
        """The known family that a misspelt name comes nearest to, or None if none is near."""
        known = self.known or tuple(material.id for material in self.materials)
        return nearest(name, known)
