"""The shape of a job file: which keys there are, what stands under each, and what it is for.

The descriptions are the manual of the file: editors show them out of the JSON Schema.
"""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, model_validator

from scheduler.reading import scalars as s
from scheduler.reading.shorthand import OneOrMore, Short
from scheduler.units import UnclearQuantityError


class Shape(BaseModel):
    """A mapping of the file. A key without a value counts as left out."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=False)

    @model_validator(mode="before")
    @classmethod
    def _without_empty_keys(cls, value: object) -> object:
        return {key: part for key, part in value.items() if part is not None} if isinstance(value, dict) else value


def _key(said: str, name: str | None = None, **more: Any) -> Any:
    """A key that may be left out."""
    return Field(default=None, alias=name, description=said, **more)


def _must(said: str, name: str | None = None) -> Any:
    """A key that must be there."""
    return Field(alias=name, description=said)


class HoursShape(Shape):
    """When somebody may work."""

    on: Annotated[list[s.Weekdays], OneOrMore()] = _must("A day of the week, several, weekdays, weekends, every day.")
    start: s.Clock = _must("When work may begin.", "from")
    end: s.Clock = _must("When everything is cleared up again.", "to")
    people: s.People = Field(default=1, description="How many people are there. 1 if left out.")
    breaks: Annotated[list[s.Clocks], OneOrMore()] | None = _key("Nobody works, but nothing is cleared up.", "break")
    quiet: s.YesNo | None = _key("yes: no saw, nailer or sander.")
    since: s.Day | None = _key("The first day on which these hours hold.")
    until: s.Day | None = _key("The last day on which these hours hold.")


class QuietShape(Shape):
    """A stretch of the day, past midnight if need be, without saw, nailer or sander."""

    on: Annotated[list[s.Weekdays], OneOrMore()] = _must("The days on which the quiet begins.")
    start: s.Clock = _must("When the quiet begins.", "from")
    end: s.Clock = _must("When it ends, on the next day if that is earlier than it begins.", "to")


class AwayShape(Shape):
    """Days on which nobody works."""

    on: s.Days = _must("A day, or the first and the last one: `2027-02-13 to 2027-02-14`.")
    why: s.Text | None = _key("What keeps you, for the plan to say.")


class AirShape(Shape):
    """The air of a room: what dries the film, day and night."""

    day: s.Temp = _must("Temperature by day, `68 °F` or `20 °C`.")
    night: s.Temp = _must("Temperature by night.")
    humidity: s.Share = _must("Relative humidity, `45 %`.")
    night_humidity: s.Share | None = _key("Relative humidity by night, if it is another.", "night humidity")
    day_hours: s.Clocks | None = _key("When the day's values hold, `8:00 to 20:00` if left out.", "day hours")
    since: s.Day | None = _key("The first day of this air, for every entry but the first.")


class RoomShape(Shape):
    """A room and its air."""

    title: s.Text | None = _key("What the plan calls it; its key if left out.")
    air: Annotated[list[AirShape], OneOrMore()] = _must("The air by day and night; a list where it changes by date.")
    readings: s.Text | None = _key("A CSV file of measured air beside this file: time, temperature, humidity.")


class ItemShape(Shape):
    """Something on order."""

    title: s.Text | None = _key("What the plan calls it; its key if left out.")
    comes: s.Day | None = _key("The day on which it is expected.")
    between: s.EarlyLate | None = _key("The earliest and the latest day: `2027-02-15 and 2027-03-10`.")
    order_time: s.WholeDays | None = _key("How long the shop takes, `3 weeks`.", "order time")
    arrived: s.Day | None = _key("The day on which it came.")


class LayShape(Shape):
    """The film that a step lays."""

    material: s.Name = _must("The name of a material family, such as `acrylic-latex-wall-paint`.")
    coat: s.Coats = Field(default=1, description="Which coat it is. 1 if left out.")
    thickness: s.Thickness | None = _key("Film thickness, depth or bead width, if not the material's own.")


class HowShape(Shape):
    """When what is followed lets the next one begin."""

    stage: s.Stage | None = _key("A stage of its film, or `end`.")
    wait: s.SomeMinutes | None = _key("So long after that stage, or after its end.")
    within: s.SomeMinutes | None = _key("At the latest so long after its end.")


def _how(text: str) -> dict[str, Any]:
    """`handle` is a stage, `2 h` a time."""
    return {"wait" if any(sign in "0123456789" for sign in text) else "stage": text}


def _one_name(value: object) -> object:
    if not isinstance(value, dict):
        return value
    if len(value) != 1:
        hint = "write one step in an entry, such as `- glue backer: handle`"
        raise UnclearQuantityError(f"{len(value)} names stand in one entry", hint)
    return {name: {} if how is None else how for name, how in value.items()}


How = Annotated[HowShape, Short(_how, ("handle", "recoat", "2 h", "end"))]
Follow = Annotated[dict[s.Name, How], Short(lambda text: {text: {}}, ("prime",)), BeforeValidator(_one_name)]
Follows = Annotated[list[Follow], OneOrMore()]
Names = Annotated[list[s.Name], OneOrMore()]
Takes = Annotated[dict[s.Name, s.Count], Short(lambda text: {text: "1"}, ("step ladder",))]
Cautions = Annotated[list[s.Text], OneOrMore()]
Lays = Annotated[LayShape, Short(lambda text: {"material": text}, ("acrylic-latex-wall-paint",))]

_FOLLOWS = "Steps or colours that come before: `- prime`, `- glue backer: handle`, `- fill: 2 h`."
_NEEDS = "What on order must be there."
_TAKES = "Shared things that are in use meanwhile, and how many: `{step ladder: 1}`."
_CAUTION = "What to beware of, shown at the step."


class StepShape(Shape):
    """One step of the work."""

    title: s.Text | None = _key("What the plan calls it; its key if left out.")
    room: s.Name | None = _key("The room; may be left out where there is one.")
    work: s.Work = _must("Hands-on time with these people: `1 h 30 min`, or `1 h to 3 h, likely 90 min`.")
    people: s.People = Field(default=1, description="How many people it takes. 1 if left out.")
    pause: s.Pause | None = _key(
        "The shortest piece it may be split into; `no`: one piece. 30 min if left out, or `no` for a film."
    )
    kind: Annotated[list[s.Kind], OneOrMore()] | None = _key(
        "dusty, noisy, wet; wipes: leaves the room free of dust."
    )
    lays: Lays | None = _key("The film that it lays: the material's name, or material, coat, thickness.")
    follows: Follows | None = _key(_FOLLOWS)
    needs: Names | None = _key(_NEEDS)
    takes: Takes | None = _key(_TAKES)
    caution: Cautions | None = _key(_CAUTION)


class ColourShape(Shape):
    """A paint colour: taping off, coats, waits and pulling the tape come out of it."""

    title: s.Text | None = _key("What the plan calls it; its key if left out.")
    room: s.Name | None = _key("The room; may be left out where there is one.")
    material: s.Name = _must("The name of a material family, such as `acrylic-latex-wall-paint`.")
    coats: s.Coats = _must("How many coats.")
    one_coat: s.Work = _must("Hands-on time of one coat.", "one coat")
    tape_off: s.Work | None = _key("Time to tape off what is no neighbouring colour.", "tape off")
    pull_tape: s.Work | None = _key("Time to pull that tape; a third of taping it if left out.", "pull tape")
    thickness: s.Thickness | None = _key("Film thickness of a coat, if not the material's own.")
    people: s.People = Field(default=1, description="How many people a coat takes. 1 if left out.")
    follows: Follows | None = _key(_FOLLOWS)
    needs: Names | None = _key(_NEEDS)
    takes: Takes | None = _key(_TAKES)
    caution: Cautions | None = _key(_CAUTION)


def _pair(value: object) -> object:
    names = value.split(" and ") if isinstance(value, str) else value
    if not isinstance(names, list) or len(names) != 2:
        raise UnclearQuantityError("a border lies between two colours", "write `[chalk white, deep green]`")
    return names


class BorderShape(Shape):
    """Two colours that touch."""

    between: Annotated[list[s.Name], BeforeValidator(_pair)] = _must("The two colours.")
    tape_off: s.Work = _must("Time to tape along the border, once one of them is there.", "tape off")


class JobShape(Shape):
    """A job: when there are hands, in what air, and what is to be done."""

    job: s.Text = _must("The name of the job.")
    start: s.Moment = _must("Nothing is planned before this day, or this time of that day.")
    zone: s.Zone = _must("The time zone by its IANA name, such as `America/Denver`.")
    measures: s.Measures = Field(
        default="US", description="What the plan prints: US or metric. Either may be written."
    )
    clock: s.ClockFace | None = _key("12 h or 24 h; 12 h with US measures, else 24 h, if left out.")
    done_by: s.Day | None = _key("The day by which you want to be done.", "done by")
    built: s.Year | None = _key("The year in which the house was built; old paint may hold lead.")
    hours: Annotated[list[HoursShape], OneOrMore()] = _must("When somebody may work.")
    quiet_hours: Annotated[list[QuietShape], OneOrMore()] | None = _key("No noise then.", "quiet hours")
    away: (
        Annotated[
            list[Annotated[AwayShape, Short(lambda text: {"on": text}, ("2027-02-13 to 2027-02-14",))]], OneOrMore()
        ]
        | None
    ) = _key("Days on which nobody works.")
    set_up: s.Minutes = Field(default=0, alias="set-up", description="Taken from the beginning of every session.")
    clear_up: s.Minutes = Field(default=0, alias="clear-up", description="Taken from the end of every session.")
    busy: Annotated[list[s.Text], OneOrMore()] | None = Field(
        default=None, description="Calendar files (.ics) of the household, beside this file: nobody works then."
    )
    travel_margin: s.Minutes = Field(
        default=0, alias="travel margin", description="Taken before and after everything in those calendars."
    )
    things: dict[s.Name, s.Count] | None = _key("Shared things and how many there are.", "shared things")
    rooms: dict[s.Name, RoomShape] = _must("The rooms and their air.")
    items: dict[s.Name, ItemShape] | None = _key("What is on order.", "on order")
    steps: dict[s.Name, StepShape] | None = _key("The steps by name, in any order.")
    colours: dict[s.Name, ColourShape] | None = _key("The paint colours by name.")
    borders: Annotated[list[BorderShape], OneOrMore()] | None = _key("Which colours touch.")
    colour_order: list[s.Name] | None = _key(
        "Fixes which colour comes first; else the planner chooses.", "colour order"
    )
