"""profiles/order.yaml -> the rules of the trade's order; a person's own file goes before it rule by rule."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import Field

from scheduler.errors import wrong_input
from scheduler.model.basics import STAGES
from scheduler.model.names import slug
from scheduler.model.rule import DOES, Group, Rule
from scheduler.reading.methodparts import Phase, Surface
from scheduler.reading.positions import Positions
from scheduler.reading.profileparts import Form, ReadBy, Source, carried, form_of, one_of
from scheduler.reading.scalars import Name, Text, YesNo
from scheduler.reading.shorthand import OneOrMore
from scheduler.reading.yamlfile import YamlValue, load_yaml

FILE = "order.yaml"
Does = Annotated[str, one_of(DOES, "thing that a step does")]
Phases = Annotated[tuple[Phase, ...], OneOrMore()]


class GroupForm(Form):
    """Steps of one room."""

    of: Annotated[tuple[Surface, ...], OneOrMore()] = ()
    along: Annotated[tuple[Annotated[str, one_of(("floor", "ceiling"), "line")], ...], OneOrMore()] = ()
    phase: Phases = ()
    does: Annotated[tuple[Does, ...], OneOrMore()] = ()
    where: Phases = ()
    last_coat: YesNo = False


Steps = Annotated[Group, ReadBy(GroupForm, lambda form: {"phases": form.phase})]


class RuleForm(Form):
    """One rule."""

    first: Steps
    then: Steps
    because: Text
    source: Source
    unless: Text = ""
    stage: Annotated[str, one_of((*STAGES, "end"), "stage")] | None = None
    moves: Annotated[str, one_of(("first", "then"), "side of a rule")] | None = None
    hard: YesNo = False
    same_opening: YesNo = False
    free_where_taped: YesNo = False


class RulesForm(Form):
    """The whole file."""

    source: Source
    rules: dict[Name, RuleForm] = Field(default_factory=dict)


def read_order(path: Path) -> tuple[Rule, ...]:
    """The rules of a file. Raises InputError with every fault."""
    return rules_of(*load_order(path))


def load_order(path: Path) -> tuple[dict[str, YamlValue], Positions]:
    """The one mapping of a file, every value as it was written. Raises InputError."""
    data, positions = load_yaml(path, typed=False)
    if not isinstance(data, dict):
        raise wrong_input(positions.value(), "there are no rules of order here", "write `source: …`, `rules: …`")
    return data, positions


def rules_of(data: dict[str, YamlValue], positions: Positions) -> tuple[Rule, ...]:
    """The rules of a mapping. Raises InputError with every fault."""
    form = form_of(RulesForm, data, positions)
    return tuple(carried(Rule, rule, id=slug(name)) for name, rule in form.rules.items())


def over(shipped: tuple[Rule, ...], own: tuple[Rule, ...]) -> tuple[Rule, ...]:
    """A person's own rules in place of the shipped ones of the same name, then those that are new."""
    mine = {rule.id: rule for rule in own}
    there = {rule.id for rule in shipped}
    return (*(mine.get(rule.id, rule) for rule in shipped), *(rule for rule in own if rule.id not in there))
