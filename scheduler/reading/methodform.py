"""One file of profiles/methods/ as it has to look. What must hold between its parts: `methodrules`."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, Field, model_validator

from scheduler.model.basics import STAGES
from scheduler.model.material import CAUTION_KINDS
from scheduler.model.method import OPTION_KINDS, Amount, Batches
from scheduler.reading.methodparts import Factor, OnePlaces, Phase, Plain, Rates, Sum, Surface, Unit
from scheduler.reading.order import Does
from scheduler.reading.profileform import RemedyStep
from scheduler.reading.profileparts import Cautions, Form, ReadBy, Source, Texts, one_of
from scheduler.reading.scalars import (
    Coats,
    Hands,
    Kind,
    Name,
    Pause,
    People,
    Share,
    SomeMinutes,
    Stage,
    Text,
    YesNo,
    reads,
)
from scheduler.reading.shorthand import OneOrMore, Short
from scheduler.told import told
from scheduler.units import UnclearQuantityError, parse_length

Danger = Annotated[str, one_of(CAUTION_KINDS, "kind of caution")]
Old = Annotated[str, one_of(("old paint", "old texture"), "thing to disturb")]
Dangers = Annotated[tuple[Danger, ...], OneOrMore()]
Olds = Annotated[tuple[Old, ...], OneOrMore()]
Kinds = Annotated[tuple[Kind, ...], OneOrMore()]
Surfaces = Annotated[tuple[Surface, ...], OneOrMore()]
Length = Annotated[float, reads(parse_length, "write a length such as `16 in`")]
Ready = Annotated[str, one_of((*STAGES, "end"), "stage")]
_AMOUNTS = ("covers", "bead", "volume", "count", "area", "run", "kg", "lengths")


class OptionForm(Form):
    """What a job may say of the method: one of these, with what holds if it says nothing."""

    choice: Texts | None = None
    length: Length | None = None
    number: Plain | None = None
    material: Name | None = None
    word: Text | None = None
    room: Name | None = None
    unless: Text | None = None
    where: dict[Name, Name] = Field(default_factory=dict)

    @model_validator(mode="after")
    def _one_kind(self) -> OptionForm:
        if len(self.given()) != 1:
            said = told("one of {names} belongs here", names=", ".join(OPTION_KINDS))
            raise UnclearQuantityError(said, "write one, such as `length: 16 in`")
        return self

    def given(self) -> list[tuple[str, object]]:
        """The kind and the value that was written."""
        values = [(kind, getattr(self, kind)) for kind in OPTION_KINDS]
        return [(kind, value) for kind, value in values if value is not None]


class QuantityForm(Form):
    """A quantity that the method works out for itself."""

    of: Sum
    unit: Unit


class BatchesForm(Form):
    """Many like pieces, done in batches."""

    of: Name
    size: Name
    rack: Name


class MoreForm(Form):
    """So long with a further number of hands."""

    takes: Rates
    source: Source


class LabourForm(Form):
    """So long for each unit."""

    per: Sum
    takes: Rates
    source: Source
    more: dict[People, MoreForm] = Field(default_factory=dict)


class AmountForm(Form):
    """What is used up, and how much of it."""

    what: Text
    covers: Sum | None = None
    bead: Sum | None = None
    volume: Sum | None = None
    count: Sum | None = None
    area: Sum | None = None
    run: Sum | None = None
    kg: Sum | None = None
    lengths: Sum | None = None
    width: Sum | None = None
    shape: Annotated[str, one_of(("round", "joint", "fillet"), "shape of a bead")] = "round"

    @model_validator(mode="after")
    def _one_amount(self) -> AmountForm:
        if len(self.given()) != 1:
            said = told("one of {names} belongs here", names=", ".join(_AMOUNTS))
            raise UnclearQuantityError(said, "write one, such as `covers: area`")
        if (self.bead is None) != (self.width is None):
            raise UnclearQuantityError("`bead` and `width` belong together", "write both, such as `width: 1/4 in`")
        return self

    def given(self) -> list[tuple[str, object]]:
        """How the amount is said, and the sum."""
        values = [(how, getattr(self, how)) for how in _AMOUNTS]
        return [(how, value) for how, value in values if value is not None]

    def how_much(self) -> dict[str, object]:
        """The same of a form that holds, where there is one."""
        return dict(zip(("how", "of"), self.given()[0], strict=True))


class LayForm(Form):
    """The film that a step lays."""

    material: Text
    coat: Coats = 1
    thickness: Sum | None = None
    side: Text | None = None


class HowForm(Form):
    """From when a step of the method lets the next one begin, until when, and what is due if that is missed."""

    stage: Stage | None = None
    on: Surfaces = ()
    wait: SomeMinutes | None = None
    within: SomeMinutes | None = None
    remedy: RemedyStep | None = None
    first: YesNo = False


def _takes(value: object) -> object:
    """One thing, or several of them, each once; or each with its places."""
    if isinstance(value, str):
        return {value: "1"}
    return (
        dict.fromkeys(value, "1")
        if isinstance(value, list) and all(isinstance(each, str) for each in value)
        else value
    )


def _how(text: str) -> dict[str, str]:
    return {"wait" if any(sign.isdigit() for sign in text) else "stage": text}


def _entry(value: object) -> object:
    if isinstance(value, str):
        return {value: {}}
    if isinstance(value, dict) and len(value) == 1:
        return {name: {} if how is None else how for name, how in value.items()}
    raise UnclearQuantityError("this is no step to follow", "write one name, such as `- cut` or `- glue: handle`")


How = Annotated[HowForm, Short(_how, ("handle", "2 h"))]
Takes = Annotated[dict[Name, OnePlaces], BeforeValidator(_takes)]
After = Annotated[dict[Name, How], BeforeValidator(_entry)]


class QuietForm(Form):
    """The share of a loud step's time in which nothing is loud: it comes first, in quiet hours as well."""

    title: Text
    share: Share
    source: Source


class TemplateForm(Form):
    """One step."""

    title: Text
    phase: Phase
    work: Annotated[tuple[LabourForm, ...], OneOrMore()]
    id: Name | None = None
    people: Hands = (1, 1)
    pause: Pause = 30
    units: YesNo = False
    kind: Kinds = ()
    quiet: QuietForm | None = None
    trade: Text | None = None
    saw: YesNo = False
    lays: LayForm | None = None
    uses: Annotated[tuple[Annotated[Amount, ReadBy(AmountForm, AmountForm.how_much)], ...], OneOrMore()] = ()
    takes: Takes = Field(default_factory=dict)
    dangers: Dangers = ()
    disturbs: Olds = ()
    cautions: Cautions = ()
    delivered: YesNo = False
    does: Annotated[tuple[Does, ...], OneOrMore()] = ()
    abrades: YesNo = False
    buries: YesNo = False
    after: Annotated[tuple[After, ...], OneOrMore()] | None = None
    ladder: Length | None = None
    ready: dict[Phase, Ready] = Field(default_factory=dict)
    only: dict[Name, Texts] = Field(default_factory=dict)
    each: Annotated[str, one_of(("wall", "batch"), "way to split")] | None = None
    room: Name | None = None
    cycle: Name | None = None
    between: YesNo = False


class MethodForm(Form):
    """A method."""

    title: Text
    source: Source
    steps: dict[Name, TemplateForm]
    fits: Surfaces = ()
    learning: Factor = 1.5
    sources: dict[str, Source] = Field(default_factory=dict)
    options: dict[Name, OptionForm] = Field(default_factory=dict)
    quantities: dict[Name, QuantityForm] = Field(default_factory=dict)
    batches: Annotated[Batches, ReadBy(BatchesForm)] | None = None
    gives: dict[Name, Sum] = Field(default_factory=dict)
    asks: dict[Name, Text] = Field(default_factory=dict)
