"""One file of profiles/ as it has to look. What must hold between its parts: `profilerules`."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, model_validator

from scheduler.errors import brief
from scheduler.model.basics import STAGES
from scheduler.model.material import CAUTION_KINDS, LAWS, Acclimation, Limits, Remedy, Spoils
from scheduler.model.method import PHASES
from scheduler.model.region import ELSEWHERE
from scheduler.model.scope import SURFACES
from scheduler.reading.profileparts import (
    Activation,
    Cautions,
    Celsius,
    Exponent,
    Form,
    Margin,
    MinutesThree,
    ReadBy,
    Source,
    SpreadThree,
    Temps,
    Texts,
    Thicknesses,
    UpToShares,
    Yield,
    number_from,
    one_of,
)
from scheduler.reading.scalars import Share, SomeMinutes, Text, Thickness, Year, YesNo, reads
from scheduler.reading.shorthand import OneOrMore
from scheduler.told import told
from scheduler.units import UnclearQuantityError, parse_mass, parse_volume

ORDERS = ("before touch", "with touch", "after touch")
WET = "wet"
"""How tape is pulled that is not left on until the coat is dry."""
THICKNESS_KINDS = ("film", "depth", "bead")


def _region(text: str) -> str:
    word = text.strip().lower()
    if word != ELSEWHERE and not (len(word) == 2 and word.isalpha()):
        raise UnclearQuantityError(
            told("`{text}` is no region", text=brief(text, 40)), "write one such as `us` or `elsewhere`"
        )
    return word


Painted = Annotated[str, one_of(SURFACES, "kind of surface")]
Pull = Annotated[str, one_of(("once dry", WET), "way to pull tape")]
Stage = Annotated[str, one_of(STAGES, "stage")]
Law = Annotated[str, one_of(LAWS, "rate law")]
Density = Annotated[float, reads(number_from(1, 20_000), "write kg/m³, such as `800`")]
Region = Annotated[str, reads(_region, "write us, uk, eu, elsewhere or the two letters of a country, such as `de`")]
KindOfWork = Annotated[str, one_of(CAUTION_KINDS, "kind of caution")]
Phases = Annotated[tuple[Annotated[str, one_of(PHASES, "phase")], ...], OneOrMore()]
Marks = Annotated[tuple[Annotated[str, one_of(("dusty", "noisy", "wipes"), "mark of a step")], ...], OneOrMore()]


class ReferenceForm(Form):
    """The air and the thickness at which the times hold."""

    temp: Celsius
    humidity: Share
    film: Thickness | None = None
    depth: Thickness | None = None
    bead: Thickness | None = None

    @model_validator(mode="after")
    def _one_thickness(self) -> ReferenceForm:
        if len(self._given()) != 1:
            raise UnclearQuantityError(
                "one of `film`, `depth` and `bead` belongs here", "write one, such as `film: 4 mil`"
            )
        return self

    def _given(self) -> list[tuple[str, float]]:
        said = (("film", self.film), ("depth", self.depth), ("bead", self.bead))
        return [(kind, metres) for kind, metres in said if metres is not None]

    @property
    def thickness(self) -> tuple[str, float]:
        """What the thickness measures, and metres."""
        return self._given()[0]


class CoversForm(Form):
    """The range that the sources cover."""

    temp: Temps
    humidity: UpToShares
    film: Thicknesses | None = None
    depth: Thicknesses | None = None
    bead: Thicknesses | None = None

    def thicknesses(self, kind: str) -> tuple[float, float] | None:
        """The range of a film, a depth or a bead, metres."""
        return {"film": self.film, "depth": self.depth, "bead": self.bead}[kind]


class StageForm(Form):
    """When a stage is reached."""

    time: MinutesThree
    law: Law
    exponent: Exponent
    source: Source
    activation: Activation | None = None


class LimitsForm(Form):
    """The air in which it may be laid."""

    temp: Temps
    humidity: UpToShares
    dew_margin: Margin
    source: Source
    hold_until: Stage | None = None

    def bounds(self) -> dict[str, float]:
        """The lowest and the highest of what it may be laid in."""
        low, high = self.temp
        driest, dampest = self.humidity
        return {"temp_low": low, "temp_high": high, "humidity_low": driest, "humidity_high": dampest}


class RemedyForm(Form):
    """The step that is due when a window has been missed."""

    title: Text
    work: SomeMinutes
    source: Source
    wait: SomeMinutes | None = None
    dusty: YesNo = False
    noisy: YesNo = False
    cautions: Cautions = ()

    def waited(self) -> dict[str, int]:
        """A wait that is left out is none."""
        return {"wait": self.wait or 0}


RemedyStep = Annotated[Remedy, ReadBy(RemedyForm, RemedyForm.waited)]


class TimedForm(Form):
    """A time with its source."""

    time: SomeMinutes
    source: Source


class SpeedForm(Form):
    """How fast it is laid, as a share of what the method says that may lay it."""

    share: Share
    source: Source


class SpreadForm(Form):
    """How far it goes at the reference thickness."""

    area: SpreadThree
    source: Source


class SoldForm(Form):
    """The sizes it is sold in; powders say how much ready material a kilogram makes."""

    us: Texts = ()
    metric: Texts = ()
    litres_per_kg: Yield | None = None
    source: Source | None = None


class OrderForm(Form):
    """Which of the first two stages comes first."""

    dust_free: Annotated[str, one_of(ORDERS, "order")]
    source: Source


class SpoilsForm(Form):
    """What spoils the film before it has come to a stage."""

    until: Stage
    source: Source
    below: Celsius | None = None
    wet: YesNo = False

    @model_validator(mode="after")
    def _something(self) -> SpoilsForm:
        if self.below is None and not self.wet:
            raise UnclearQuantityError("nothing is said that spoils it", "add `below: 41 °F`, `wet: yes` or both")
        return self


class AcclimationForm(Form):
    """How wood comes near the moisture of a room."""

    share: Share
    allowed: Share
    source: Source


class SourcesForm(Form):
    """Where numbers come from that have no place for it beside them."""

    reference: Source | None = None
    covers: Source | None = None
    exponent: Source | None = None
    activation: Source | None = None


class MaterialForm(Form):
    """A material family."""

    title: Text
    group: Text
    source: Source
    reference: ReferenceForm
    stages: dict[Stage, StageForm]
    covers: CoversForm | None = None
    order: OrderForm | None = None
    spoils: Annotated[Spoils, ReadBy(SpoilsForm)] | None = None
    acclimates: Annotated[Acclimation, ReadBy(AcclimationForm)] | None = None
    sources: SourcesForm | None = None
    limits: Annotated[Limits, ReadBy(LimitsForm, LimitsForm.bounds)] | None = None
    remedy: RemedyStep | None = None
    pot_life: TimedForm | None = None
    open_time: TimedForm | None = None
    speed: SpeedForm | None = None
    spread: SpreadForm | None = None
    sold: SoldForm | None = None
    exposed: YesNo = True
    by_touch: YesNo = True
    room_closed_until: Stage | None = None
    clean_up: Text = ""
    cautions: Cautions = ()
    fit_for: Texts = ()
    dangers: Annotated[tuple[KindOfWork, ...], OneOrMore()] = ()


class TapeForm(Form):
    """Masking tape."""

    clean_for: SomeMinutes
    pull_by: SomeMinutes
    wet_by: SomeMinutes = 20
    pull: dict[Painted, Pull] = Field(default_factory=dict)
    remedy: RemedyStep
    overdue: RemedyStep | None = None
    source: Source
    sources: dict[str, Source] = Field(default_factory=dict)


class YearForm(Form):
    """The year from which on a house is taken to be free of something."""

    before: Year
    source: Source
    likely_before: Year | None = None


class CautionForm(Form):
    """What to beware of wherever a step is of a kind."""

    text: Text
    kind: KindOfWork
    source: Source
    built_before: Year | None = None
    name: Text = ""
    short: Text = ""
    wear: dict[Region, Text] = Field(default_factory=dict)
    also: Annotated[tuple[KindOfWork, ...], OneOrMore()] = ()
    mask: dict[Region, Text] = Field(default_factory=dict)
    ask: dict[Region, Text] = Field(default_factory=dict)
    cite: dict[Region, Source] = Field(default_factory=dict)
    rules: dict[Region, Annotated[tuple[Source, ...], OneOrMore()]] = Field(default_factory=dict)
    years: dict[Region, YearForm] = Field(default_factory=dict)
    densities: dict[str, Density] = Field(default_factory=dict)
    worn: Text = "mask"
    not_in: Texts = ()


class CautionsForm(Form):
    """The file of cautions."""

    cautions: tuple[CautionForm, ...]


class KindForm(Form):
    """What tells a step of a kind of work."""

    groups: Texts = ()
    phases: Phases = ()
    marks: Marks = ()


class KindsForm(Form):
    """The file of the kinds of work."""

    kinds: dict[Text, KindForm]
    source: Source


def pack_litres(label: str, litres_per_kg: float | None) -> float:
    """Litres of ready material in a pack such as `1 gal`, `300 ml` or, of a powder, `25 lb`."""
    try:
        return parse_volume(label)
    except UnclearQuantityError as unclear:
        if litres_per_kg is None:
            raise unclear from None
        return parse_mass(label) * litres_per_kg
