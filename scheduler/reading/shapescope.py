"""The shape of what was measured and is wanted: openings of a room, and the parts under `scope`."""

from __future__ import annotations

from typing import Annotated

from pydantic import BeforeValidator, Field, WithJsonSchema

from scheduler.reading import scalars as s
from scheduler.reading import scopescalars as ss
from scheduler.reading.shapebase import Shape, key, must
from scheduler.reading.shorthand import NameOrList, OneOrMore
from scheduler.told import told
from scheduler.units import UnclearQuantityError


class OpeningShape(Shape):
    """A window or a door."""

    on: s.Name = must("The wall that it is in.")
    width: ss.Length = must("Its width.")
    height: ss.Length = must("Its height.")
    sill: ss.Length | None = key("Its height over the floor; a door, which has none, leaves it out.")
    leaves: s.Count = Field(default=1, description="How many leaves hang in a door. 1 if left out.")


def _one_method(value: object) -> object:
    if isinstance(value, str):
        return {value: {}}
    if isinstance(value, dict) and len(value) == 1:
        return {name: {} if options is None else options for name, options in value.items()}
    if isinstance(value, dict):
        hint = "write one method in an entry, such as `- prime` or `- paint trim: {coats: 2}`"
        raise UnclearQuantityError(told("{value} names stand in one entry", value=len(value)), hint)
    return value


Word = Annotated[s.Text, WithJsonSchema({"type": ["string", "number", "boolean"]})]
Words = Annotated[list[Word], OneOrMore()]
Do = Annotated[dict[s.Name, dict[s.Name, Words]], BeforeValidator(_one_method), NameOrList("prime")]
Names = Annotated[list[s.Name], OneOrMore()]


class PartShape(Shape):
    """A surface of a room, or several together, and what is done to it in which way."""

    title: s.Text | None = key("What the plan calls it; its key if left out.")
    room: s.Name | None = key("The room; may be left out where one room is measured.")
    surface: ss.Surface | None = key("walls, panel, ceiling, floor, trim, doors, room, other; its key may say it.")
    on: Names | None = key("Its walls; all if left out.")
    start: ss.LevelText | None = key(
        "Where a panel begins: a height, a fraction of the wall, golden section.", "from"
    )
    top: ss.LevelText | None = key(
        "How high a panel goes: a height, a fraction of the wall, golden section.", "up to"
    )
    width: ss.Length | None = key("The width of a panel that does not fill its wall.")
    around: Names | None = key("The openings that are cased, hung or painted.")
    along: Annotated[list[ss.Along], OneOrMore()] | None = key("`floor`, `ceiling`: where a moulding runs.")
    area: ss.Area | None = key("Its area, if nothing else says it.")
    length: ss.Length | None = key("Its running length, if nothing else says it.")
    count: s.Count | None = key(
        "How many pieces there are; of a panel with a `width`: so many on each wall, as stripes."
    )
    of: Names | None = key("The parts that it puts together.")
    over: Names | None = key("Parts that it lies over or joins: what is done to them comes first, phase by phase.")
    do: Annotated[list[Do], OneOrMore()] | None = key("Methods in any order, each with its options.")
    measured: dict[s.Name, ss.Measured] | None = key("Quantities that you counted yourself: `{battens: 23}`.")


def _done(value: object) -> object:
    return {"do": value} if isinstance(value, str | list) else value


Part = Annotated[PartShape, BeforeValidator(_done), NameOrList("prime", several=True)]
