"""The shape of a job file: which keys there are, what stands under each, and what it is for.

The descriptions are the manual of the file: editors show them out of the JSON Schema.
"""

from __future__ import annotations

from typing import Annotated, Any

from pydantic import BeforeValidator, Field

from scheduler.model.rule import OVERRULED
from scheduler.model.tradewords import ENGLISH
from scheduler.reading import scalars as s
from scheduler.reading import scopescalars as ss
from scheduler.reading.scalars import word_of
from scheduler.reading.shapebase import Shape, key, must
from scheduler.reading.shapescope import OpeningShape, Part
from scheduler.reading.shorthand import OneOrMore, Short
from scheduler.told import told
from scheduler.units import UnclearQuantityError


class HoursShape(Shape):
    """When somebody may work."""

    on: Annotated[list[s.Weekdays], OneOrMore()] = must("A day of the week, several, weekdays, weekends, every day.")
    start: s.Clock = must("When work may begin.", "from")
    end: s.Clock = must("When everything is cleared up again.", "to")
    people: s.People = Field(default=1, description="How many people are there. 1 if left out.")
    breaks: Annotated[list[s.Clocks], OneOrMore()] | None = key("Nobody works, but nothing is cleared up.", "break")
    quiet: s.YesNo | None = key("yes: no saw, nailer or sander.")
    rooms: Annotated[list[s.Name], OneOrMore()] | None = key("The only rooms in which anybody works then.", "in")
    every: s.Weeks | None = key("`second week`: every so many weeks, counted from that of `since`.")
    since: s.Day | None = key("The first day on which these hours hold.")
    until: s.Day | None = key("The last day on which these hours hold.")


Overruled = Annotated[
    str, s.reads(word_of(*OVERRULED), "write `left out` or `reversed`"), s.schema("string", *OVERRULED)
]


class QuietShape(Shape):
    """A stretch of the day, past midnight if need be, without saw, nailer or sander."""

    on: Annotated[list[s.Weekdays], OneOrMore()] = must("The days on which the quiet begins.")
    start: s.Clock = must("When the quiet begins.", "from")
    end: s.Clock = must("When it ends, on the next day if that is earlier than it begins.", "to")


class AwayShape(Shape):
    """Days on which nobody works."""

    on: s.Days = must("A day, or the first and the last one: `2027-02-13 to 2027-02-14`.")
    why: s.Text | None = key("What keeps you, for the plan to say.")


class DayHoursShape(Shape):
    """When the air of a day holds, on some days of the week."""

    on: Annotated[list[s.Weekdays], OneOrMore()] = must("A day of the week, several, weekdays, weekends, every day.")
    hours: s.Clocks = must("From when to when, `8:00 to 20:00`.")


OnEveryDay = Annotated[DayHoursShape, Short(lambda text: {"on": "every day", "hours": text}, ("8:00 to 20:00",))]


class AirShape(Shape):
    """The air of a room: what dries the film, day and night."""

    day: s.Temp = must("Temperature by day, `68 °F` or `20 °C`.")
    night: s.Temp = must("Temperature by night.")
    humidity: s.Share = must("Relative humidity, `45 %`.")
    night_humidity: s.Share | None = key("Humidity by night; if left out, the day's water.", "night humidity")
    day_hours: Annotated[list[OnEveryDay], OneOrMore()] | None = key(
        "When the day's values hold, `8:00 to 20:00` if left out; a list where that differs by the day of the week.",
        "day hours",
    )
    since: s.Day | None = key("The first day of this air, for every entry but the first.")


class WarmedShape(Shape):
    """The air while somebody is there, as far as it is warmer than without."""

    temperature: s.Temp = must("How warm it is then, `18 °C` or `65 °F`.")
    humidity: s.Share | None = key("Relative humidity then; if left out, the water that is in the air without heat.")
    takes: s.Name | None = key("The shared thing that warms it: `heater`.")


class RoomShape(Shape):
    """A room and its air."""

    title: s.Text | None = key("What the plan calls it; its key if left out.")
    air: Annotated[list[AirShape], OneOrMore()] = must("The air by day and night; a list where it changes by date.")
    warmed: Annotated[WarmedShape, Short(lambda text: {"temperature": text}, ("18 °C",))] | None = key(
        "The air while somebody is there to watch the heater, `18 °C`; with the thing that warms it under `takes`.",
        "while somebody is there",
    )
    readings: s.Text | None = key("A CSV file of measured air beside this file: time, temperature, humidity.")
    length: ss.Length | None = key("Length of the room; with width and height it can be measured for `scope`.")
    width: ss.Length | None = key("Width of the room.")
    height: ss.Length | None = key("Height of the room.")
    walls: dict[s.Name, ss.Length] | None = key(
        "The walls in their order around the room; north and south wall (length), east and west wall (width) else."
    )
    openings: dict[s.Name, OpeningShape] | None = key("Windows and doors by name.")
    dry_times: dict[s.Name, ss.DryTime] | None = key(
        "How long materials take to dry here against their profiles: `{acrylic-latex-wall-paint: 130 %}`.",
        "dry times",
    )
    done_by: s.Day | None = key("The day by which all work in it is to be done.", "done by")
    saw_in: s.Name | None = key("The room where boards are sawn; this room if left out.", "saw in")


class ItemShape(Shape):
    """Something on order."""

    title: s.Text | None = key("What the plan calls it; its key if left out.")
    comes: s.Day | None = key("The day on which it is expected.")
    between: s.EarlyLate | None = key("The earliest and the latest day: `2027-02-15 and 2027-03-10`.")
    order_time: s.WholeDays | None = key("How long the shop takes, `3 weeks`.", "order time")
    arrived: s.Day | None = key("The day on which it came.")
    shop: s.Text | None = key("Who delivers it: what comes from one shop is late together, in the odds.")


class LayShape(Shape):
    """The film that a step lays."""

    material: s.Name = must("The name of a material family, such as `acrylic-latex-wall-paint`.")
    coat: s.Coats = Field(default=1, description="Which coat it is. 1 if left out.")
    thickness: s.Thickness | None = key("Film thickness, depth or bead width, if not the material's own.")
    moisture: s.Share | None = key("Of wood: what a meter says of it when it comes, `12 %`.")


class HowShape(Shape):
    """When what is followed lets the next one begin."""

    stage: s.Stage | None = key("A stage of its film, or `end`.")
    wait: s.SomeMinutes | None = key("So long after that stage, or after its end.")
    within: s.SomeMinutes | None = key("At the latest so long after its end.")


def _how(text: str) -> dict[str, Any]:
    """`handle` is a stage, `2 h` a time."""
    return {"wait" if any(sign in "0123456789" for sign in text) else "stage": text}


def _one_name(value: object) -> object:
    if not isinstance(value, dict):
        return value
    if len(value) != 1:
        hint = "write one step in an entry, such as `- glue backer: handle`"
        raise UnclearQuantityError(told("{value} names stand in one entry", value=len(value)), hint)
    return {name: {} if how is None else how for name, how in value.items()}


How = Annotated[HowShape, Short(_how, ("handle", "recoat", "2 h", "end"))]
Follow = Annotated[dict[s.Name, How], Short(lambda text: {text: {}}, ("prime",)), BeforeValidator(_one_name)]
Follows = Annotated[list[Follow], OneOrMore()]
Names = Annotated[list[s.Name], OneOrMore()]
Takes = Annotated[dict[s.Name, s.Takes], Short(lambda text: {text: "1"}, ("step ladder",))]
Cautions = Annotated[list[s.Text], OneOrMore()]
Uses = dict[s.Name, ss.Used]
Lays = Annotated[LayShape, Short(lambda text: {"material": text}, ("acrylic-latex-wall-paint",))]

_FOLLOWS = "Steps or colours that come before: `- prime`, `- glue backer: handle`, `- fill: 2 h`."
_NEEDS = "What on order must be there."
_TAKES = (
    "Shared things that are in use meanwhile, and how many: `{step ladder: 1}`; for longer with an end: "
    "`{drying rack: 9 until handle}`, a stage of its film, `1 until` another step ends, `1 until start of` it, "
    "`1 for 45 min`."
)
_CAUTION = "What to beware of, shown at the step."
_USES = "What it uses up: `{acrylic-latex-caulk: 300 ml, batten: 12 ft, backer sheet: 3}`."
_DISTURBS = "old paint, old texture or nothing: what old stuff a dusty step tears up; both if left out."

_DANGERS = "Kinds of cautions that the step calls for, such as saw, glass, stripper or mould."


class AppointmentShape(Shape):
    """Somebody else's work at a fixed time: it takes none of your hands, and never moves by itself."""

    title: s.Text | None = key("What the plan calls it; its key if left out.")
    on: s.Day = must("The day on which they come.")
    start: s.Clock = must("When they begin.", "from")
    end: s.Clock = must("When they are done, on the same day.", "to")
    rooms: Names | None = key("The rooms in which nobody else works then.", "in")
    after: Follows | None = key("What must be ready by then: `- bedroom floor: use`, `- lay the pipe`.")
    before: Names | None = key("The steps and colours that wait until they are done.")
    needs: Names | None = key("What on order must be there on that day.")


class StepShape(Shape):
    """One step of the work."""

    title: s.Text | None = key("What the plan calls it; its key if left out.")
    room: s.Name | None = key("The room; may be left out where there is one.")
    work: s.Work = must("Hands-on time with these people: `1 h 30 min`, or `1 h to 3 h, likely 90 min`.")
    people: s.Hands = Field(default=(1, 1), description="How many people it takes: 1 if left out; or `1 to 2`.")
    more_hands: dict[s.People, s.Work] | None = key(
        "With `people: 1 to 2`, hands-on time with each further number: `{2: 2 h 30 min}`.", "more hands"
    )
    pause: s.Pause | None = key(
        "The shortest piece it may be split into; `no`: one piece. `no` for a film or an hour of work, else 30 min."
    )
    kind: Annotated[list[s.Kind], OneOrMore()] | None = key("dusty, noisy, wet; wipes: leaves the room free of dust.")
    lays: Lays | None = key("The film that it lays: the material's name, or material, coat, thickness.")
    follows: Follows | None = key(_FOLLOWS)
    needs: Names | None = key(_NEEDS)
    takes: Takes | None = key(_TAKES)
    caution: Cautions | None = key(_CAUTION)
    uses: Uses | None = key(_USES)
    disturbs: Annotated[list[ss.Disturbed], OneOrMore()] | None = key(_DISTURBS)
    dangers: Annotated[list[ss.Danger], OneOrMore()] | None = key(_DANGERS)
    part: s.Name | None = key("A part of the scope that it works on: with `phase` it takes its place in the order.")
    done_by: s.Day | None = key("The day by which it is to be done.", "done by")
    phase: ss.Phase | None = key("Where in the trade's order it belongs: protect, strip, … paint, put back, clean.")


class ChangeShape(Shape):
    """What is to be otherwise in a step that a method or a colour brought; the rest stays."""

    title: s.Text | None = key("What the plan calls it.")
    room: s.Name | None = key("The room.")
    work: s.Work | None = key("Hands-on time with these people.")
    people: s.People | None = key("How many people it takes.")
    pause: s.Pause | None = key("The shortest piece it may be split into; `no`: one piece.")
    kind: Annotated[list[s.Kind], OneOrMore()] | None = key("dusty, noisy, wet, wipes: all that it is.")
    lays: Lays | None = key("The film that it lays.")
    follows: Follows | None = key("All that it follows, instead of what the order of the trade says.")
    needs: Names | None = key(_NEEDS)
    takes: Takes | None = key(_TAKES)
    caution: Cautions | None = key(_CAUTION)
    uses: Uses | None = key(_USES)
    disturbs: Annotated[list[ss.Disturbed], OneOrMore()] | None = key(_DISTURBS)


class ColourShape(Shape):
    """A paint colour: taping off, coats, waits and pulling the tape come out of it."""

    title: s.Text | None = key("What the plan calls it; its key if left out.")
    room: s.Name | None = key("The room; may be left out where there is one.")
    material: s.Name = must("The name of a material family, such as `acrylic-latex-wall-paint`.")
    coats: s.Coats = must("How many coats.")
    on: Names | None = key("The parts of the scope that carry it: labour, taping and borders come out of them.")
    one_coat: s.Work | None = key("Hands-on time of one coat; out of the measures if left out.", "one coat")
    tape_off: ss.WorkOrNone | None = key("Time to tape off what is no neighbouring colour; or `none`.", "tape off")
    pull_tape: s.Work | None = key("Time to pull that tape; a third of taping it if left out.", "pull tape")
    thickness: s.Thickness | None = key("Film thickness of a coat, if not the material's own.")
    people: s.People = Field(default=1, description="How many people a coat takes. 1 if left out.")
    follows: Follows | None = key(_FOLLOWS)
    needs: Names | None = key(_NEEDS)
    takes: Takes | None = key(_TAKES)
    uses: Uses | None = key("What one coat uses up: `{acrylic-latex-wall-paint: 2 qt}`.")
    caution: Cautions | None = key(_CAUTION)


def _pair(value: object) -> object:
    names = value.split(" and ") if isinstance(value, str) else value
    if not isinstance(names, list) or len(names) != 2:
        raise UnclearQuantityError("a border lies between two colours", "write `[chalk white, deep green]`")
    return names


Paces = Annotated[dict[s.Name, ss.Pace], Short(lambda text: {"all work": text}, ("80 %",))]


class BorderShape(Shape):
    """Two colours that touch."""

    between: Annotated[list[s.Name], BeforeValidator(_pair)] = must("The two colours.")
    tape_off: ss.WorkOrNone = must(
        "Time to tape along it, once one of them is there; `none`: cut in by hand, one after the other.", "tape off"
    )


class JobShape(Shape):
    """A job: when there are hands, in what air, and what is to be done."""

    job: s.Text = must("The name of the job.")
    start: s.Moment = must("Nothing is planned before this day, or this time of that day.")
    zone: s.Zone = must("The time zone by its IANA name, such as `America/Denver`.")
    measures: s.Measures | None = key(
        "What the plan prints: US or metric; that of the country of the zone, if left out. Either may be written."
    )
    language: s.Language = Field(
        default=ENGLISH,
        description="The language of the answers: terminal, page and calendar. What you wrote stays as it is.",
    )
    clock: s.ClockFace | None = key("12 h or 24 h; 12 h with US measures, else 24 h, if left out.")
    done_by: s.Day | None = key("The day by which you want to be done.", "done by")
    at_most: dict[s.Name, s.AtMost] | None = key(
        "How long a shared thing may be out of use: `{bathtub: 3 days}` in one stretch, or `30 h in all`.", "at most"
    )
    built: s.Year | None = key("The year in which the house was built; old paint may hold lead.")
    where: s.Country | None = key("The country, for the cautions; that of the time zone, if left out.")
    hours: Annotated[list[HoursShape], OneOrMore()] = must("When somebody may work.")
    quiet_hours: Annotated[list[QuietShape], OneOrMore()] | None = key("No noise then.", "quiet hours")
    away: (
        Annotated[
            list[Annotated[AwayShape, Short(lambda text: {"on": text}, ("2027-02-13 to 2027-02-14",))]], OneOrMore()
        ]
        | None
    ) = key("Days on which nobody works.")
    set_up: s.Minutes = Field(default=0, alias="set-up", description="Taken from the beginning of every session.")
    clear_up: s.Minutes = Field(default=0, alias="clear-up", description="Taken from the end of every session.")
    busy: Annotated[list[s.Text], OneOrMore()] | None = Field(
        default=None, description="Calendar files (.ics) of the household, beside this file: nobody works then."
    )
    travel_margin: s.Minutes = Field(
        default=0, alias="travel margin", description="Taken before and after everything in those calendars."
    )
    things: dict[s.Name, s.Count] | None = key("Shared things and how many there are.", "shared things")
    rooms: dict[s.Name, RoomShape] = must("The rooms and their air.")
    items: dict[s.Name, ItemShape] | None = key("What is on order.", "on order")
    appointments: dict[s.Name, AppointmentShape] | None = key("Other people's work at fixed times.")
    scope: dict[s.Name, Part] | None = key("What is done to which part of the measured rooms.")
    changes: dict[s.Name, ChangeShape] | None = key("What is to be otherwise in steps that methods brought, by id.")
    drop: Names | None = key("Steps that methods brought and that are left out, by id.")
    pace: Paces | None = key(
        "Your own pace against the rates of the methods: `80 %` takes a quarter longer; or by kind of work, "
        "`{painting: 80 %}`. What is said here is not learned."
    )
    learn: s.YesNo = Field(
        default=True, description="What is recorded corrects what is reckoned; `no`: it does not. `yes` if left out."
    )
    order_of_work: dict[s.Name, Overruled] | None = key(
        "Rules of profiles/order.yaml that are `left out` or `reversed` here, by name.", "order of work"
    )
    first_time: Names | None = key("Methods that you have never done: they take longer.", "first time")
    steps: dict[s.Name, StepShape] | None = key("The steps by name, in any order.")
    colours: dict[s.Name, ColourShape] | None = key("The paint colours by name.")
    borders: Annotated[list[BorderShape], OneOrMore()] | None = key("Which colours touch.")
    colour_order: list[s.Name] | None = key(
        "Which colour comes first where two of them touch; of those left out the planner chooses.", "colour order"
    )
