"""A job as its file says it: hours, rooms, items on order, steps, colours. What `reading` hands on."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from scheduler.errors import Place
from scheduler.model.after import After
from scheduler.model.basics import Estimate, Span
from scheduler.model.beware import Beware
from scheduler.model.byhand import HandMove
from scheduler.model.keep import Keep
from scheduler.model.scope import Change, Scope
from scheduler.model.supply import Use
from scheduler.model.tradewords import ENGLISH


def weeks_between(one: date, other: date) -> int:
    """Weeks (Monday to Sunday) from that of one day to that of another."""
    return (other.toordinal() - other.weekday() - one.toordinal() + one.weekday()) // 7


@dataclass(frozen=True, slots=True, kw_only=True)
class Hours:
    """One rule of work hours: on these weekdays, from and to on the clock on the wall, so many people.

    Weekdays count from Monday = 0. `start` and `end` are minutes of the day (end ≤ 1440). `breaks` are
    (from, to) in minutes of the day: nobody works, but the session goes on. `quiet` means no saw, nailer or
    sander. `rooms` are the only ones in which anybody works then (none: all). `first` and `last` bound the rule by
    date, both included; `last_place` is where the last day stands. `every` so many weeks it holds, counted from the
    week of `counted_from` (Monday to Sunday).
    """

    weekdays: frozenset[int]
    start: int
    end: int
    people: int = 1
    quiet: bool = False
    breaks: tuple[tuple[int, int], ...] = ()
    rooms: tuple[str, ...] = ()
    first: date | None = None
    last: date | None = None
    last_place: Place | None = field(default=None, compare=False)
    every: int = 1
    counted_from: date | None = None

    def holds_on(self, day: date) -> bool:
        """Whether the rule gives hours on that day."""
        within = day.weekday() in self.weekdays and (self.first or day) <= day <= (self.last or day)
        return within and weeks_between(self.counted_from or day, day) % self.every == 0


@dataclass(frozen=True, slots=True, kw_only=True)
class QuietHours:
    """A daily stretch without noisy work, in minutes of the day; it may run past midnight (start > end)."""

    weekdays: frozenset[int]
    start: int
    end: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Away:
    """Days on which nobody works, both ends included."""

    first: date
    last: date
    reason: str = ""
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class BusyFile:
    """A calendar of the household (iCalendar) by its name, which counts from the folder of the job file."""

    file: str
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class AirPeriod:
    """A day/night pair that holds from a date on (None: from the beginning) until the next period.

    Temperatures in °C, relative humidities as fractions 0..1. Without a humidity of its own the night keeps the
    water of the day's air (`drying.psychro.kept_humidity`), not its percentage.
    """

    since: date | None
    day_temp: float
    night_temp: float
    day_humidity: float
    night_humidity: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """One measurement of the air: minute since the epoch (UTC), °C, relative humidity as a fraction.

    `line` is where it stands in its file, 0 if in none.
    """

    minute: int
    temp: float
    humidity: float
    line: int = field(default=0, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class DryTime:
    """A material dries `factor` times as long as its profile says."""

    material: str
    factor: float
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Warmed:
    """The air of a room while somebody is there to watch the heater: °C, and relative humidity as a fraction (None:
    the water that is in the air without it). `takes` is the shared thing that warms it ("": nobody said)."""

    temp: float
    humidity: float | None = None
    takes: str = ""
    place: Place | None = field(default=None, compare=False)


EVERY_DAY: tuple[tuple[int, int], ...] = ((8 * 60, 20 * 60),) * 7
"""When the day's values of a room hold where nobody says so."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """A room and its air. The day's values hold on each day of the week, Monday first, from the first to the second
    of its `day_hours`, minutes of the day on the wall clock; past midnight if the second is earlier.

    Where `readings` are given they are the air as far as they reach; before and after them `air` holds. `dry_times`
    is what the person knows of materials in it, `done_by` the day by which all work in it is promised; `air_place` is
    where its air stands.

    `warmed` is its air while somebody is there, where that is warmer. `hours` are the spans in which somebody may be,
    set-up, breaks and clear-up included, `there` those in which it is reckoned that somebody is (None: in all of
    them); neither stands in a file.
    """

    id: str
    title: str
    air: tuple[AirPeriod, ...]
    readings: tuple[Reading, ...] = ()
    day_hours: tuple[tuple[int, int], ...] = EVERY_DAY
    dry_times: tuple[DryTime, ...] = ()
    done_by: date | None = None
    warmed: Warmed | None = None
    hours: tuple[Span, ...] = ()
    there: tuple[Span, ...] | None = None
    place: Place | None = None
    air_place: Place | None = None

    @property
    def warm_spans(self) -> tuple[Span, ...]:
        """When it is reckoned to be warmed."""
        if self.warmed is None:
            return ()
        return self.hours if self.there is None else self.there


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """Something on order. It is there from the beginning of `expected` (a date) on, unless it `arrived` earlier.

    `early` and `late` bound the delivery for the odds; `lead_days` is how long the shop takes, for the
    order-by day; `ordered` is when it was ordered, as far as anybody said so. `shop` is who delivers it ("": nobody
    said).
    """

    id: str
    title: str
    expected: date | None = None
    early: date | None = None
    late: date | None = None
    lead_days: int | None = None
    arrived: date | None = None
    ordered: date | None = None
    shop: str = ""
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SharedThing:
    """A shared thing: so many of them, or so many places of it, each used by one step at a time."""

    id: str
    count: int
    title: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class AtMost:
    """A shared thing is out of use for so many minutes at most, in one stretch, or with `in_all` all together."""

    thing: str
    minutes: int
    in_all: bool = False
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Appointment:
    """Somebody else's work at a fixed time, in minutes: nobody of ours works in its `rooms` then.

    What it comes `after` is ready by its start, what it `needs` of what is on order is there on its day, and the
    steps and colours `before` which it comes wait for its end.
    """

    id: str
    title: str
    start: int
    end: int
    rooms: tuple[str, ...]
    after: tuple[After, ...] = ()
    before: tuple[tuple[str, Place | None], ...] = ()
    needs: tuple[str, ...] = ()
    place: Place | None = field(default=None, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Lay:
    """The film that a step lays: a material, which coat it is, how thick against the profile's reference.

    `thickness` is in metres (film thickness, filler depth or bead width); None means the profile's own. `moisture` is
    that of wood when it comes, a fraction of dry mass (None: nobody measured). `surfaces` are the titles of the
    surfaces of the scope that it lies on: only for showing, so that no answer depends on them.
    """

    material: str
    coat: int = 1
    thickness: float | None = None
    moisture: float | None = None
    surfaces: tuple[str, ...] = field(default=(), compare=False)
    place: Place | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """One step of the work.

    `work` is hands-on time with `people` at it, in minutes. `hands` is the work with each number of people by which
    it may be done, `people` the fewest among them (empty: no other number). `smallest_piece` is None for a step that
    cannot pause (a wet edge), else the shortest piece it may be split into. `wipes`: it leaves the room free of
    dust. `keeps` says which of the things it takes it keeps for longer than it works. `part` and `phase` give a step
    written by hand its place in the order of the trade. `dangers` are kinds of cautions; `disturbs` says what old
    stuff the step tears up (None: nobody said). `doing` is the phase of the method that it came of ("": the person
    wrote it). `done_by` is the day by which it is promised. `part_places` are where the parts of its entry stand, by
    their keys in the file."""

    id: str
    title: str
    room: str
    work: Estimate
    people: int = 1
    hands: tuple[tuple[int, Estimate], ...] = ()
    smallest_piece: int | None = None
    dusty: bool = False
    noisy: bool = False
    wet: bool = False
    wipes: bool = False
    lays: Lay | None = None
    takes: tuple[tuple[str, int], ...] = ()
    keeps: tuple[Keep, ...] = ()
    after: tuple[After, ...] = ()
    needs: tuple[str, ...] = ()
    cautions: tuple[Beware, ...] = ()
    uses: tuple[Use, ...] = ()
    part: str = ""
    phase: str = ""
    doing: str = ""
    dangers: tuple[str, ...] = ()
    disturbs: tuple[str, ...] | None = None
    done_by: date | None = None
    place: Place | None = None
    part_places: Mapping[str, Place] = field(default_factory=dict, compare=False)


@dataclass(frozen=True, slots=True, kw_only=True)
class Colour:
    """One paint colour: the cycle tape, coat, wait, coat, pull is generated from it.

    `tape` is the time to tape off what is no neighbouring colour (glass, floor edge); borders add to it.
    `pull` is the time to take the tape off again. `after` holds for the first step of the cycle that
    touches the surface. `on` are the parts of the scope that carry it: what is not said then (`coat`, and `tape`
    unless `tape_said`) comes out of their measures. `uses` is for one coat, `tape_uses` for the taping.
    `thickness` is in metres; None means the profile's own. `by_rates`: the labour of a coat is that of the methods.
    `piece` is the smallest piece of a coat, minutes: the largest wall or leaf (None: all of it is one piece).
    `surfaces`: as with `Lay`. `lies_on` says on what, where one colour is laid in two parts at two times ("": all).
    """

    id: str
    title: str
    room: str
    material: str
    coats: int
    coat: Estimate
    tape: Estimate
    pull: Estimate
    thickness: float | None = None
    people: int = 1
    after: tuple[After, ...] = ()
    needs: tuple[str, ...] = ()
    takes: tuple[tuple[str, int], ...] = ()
    keeps: tuple[Keep, ...] = ()
    cautions: tuple[Beware, ...] = ()
    uses: tuple[Use, ...] = ()
    on: tuple[str, ...] = ()
    tape_said: bool = False
    tape_uses: tuple[Use, ...] = ()
    by_rates: bool = False
    piece: int | None = None
    dangers: tuple[str, ...] = ()
    surfaces: tuple[str, ...] = field(default=(), compare=False)
    lies_on: str = ""
    place: Place | None = None

    @property
    def said(self) -> str:
        """What it is called where it is laid."""
        return f"{self.title} ({self.lies_on})" if self.lies_on else self.title


@dataclass(frozen=True, slots=True, kw_only=True)
class Border:
    """Two colours that touch, and how long it takes to tape along their border once one of them is there.

    Without tape (nothing at most) the second one is cut in by hand along the first, once that takes a coat beside it.
    `above` is the one of them that is painted on the other, as stripes are, and comes after it unless the job says
    otherwise ("": they lie side by side).
    """

    first: str
    second: str
    tape: Estimate
    above: str = ""
    place: Place | None = None

    @property
    def taped(self) -> bool:
        """Whether the second one is taped off, not cut in by hand."""
        return self.tape.high > 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Quantity:
    """Something counted or measured on a part: `unit` is "m", "m2", "m3" or "piece". `given`: by the person."""

    part: str
    title: str
    name: str
    value: float
    unit: str
    given: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """The whole job file. `start` is the minute before which nothing is planned. `country` (ISO 3166-1, two letters;
    None: unknown) is the one whose rules the cautions cite.

    `scope` stands for steps, colours and borders that are not worked out yet; once they are it is None, `quantities`
    shows what they were worked out of, and `changes` is left for the tasks of the colours.

    Nobody works while the calendars `busy` say so, nor for `travel_margin` minutes around each of their events.
    `moves` come from the person's own calendar, not from the file.

    `learn`: what is recorded corrects what is reckoned. `pace_said` is what the file says of the pace of kinds of
    work: it has the last word on them. `language` is the one in which the job is told, one of
    `model.tradewords.LANGUAGES`.
    """

    id: str
    name: str
    zone: str
    start: int
    metric: bool
    clock24: bool
    hours: tuple[Hours, ...]
    quiet: tuple[QuietHours, ...] = ()
    away: tuple[Away, ...] = ()
    set_up: int = 0
    clear_up: int = 0
    rooms: tuple[Room, ...] = ()
    items: tuple[Item, ...] = ()
    things: tuple[SharedThing, ...] = ()
    appointments: tuple[Appointment, ...] = ()
    at_most: tuple[AtMost, ...] = ()
    steps: tuple[Step, ...] = ()
    colours: tuple[Colour, ...] = ()
    borders: tuple[Border, ...] = ()
    colour_order: tuple[str, ...] = ()
    done_by: date | None = None
    built: int | None = None
    country: str | None = None
    scope: Scope | None = None
    quantities: tuple[Quantity, ...] = ()
    changes: tuple[Change, ...] = ()
    busy: tuple[BusyFile, ...] = ()
    travel_margin: int = 0
    moves: tuple[HandMove, ...] = ()
    learn: bool = True
    pace_said: tuple[tuple[str, float], ...] = ()
    language: str = ENGLISH
    place: Place | None = None

    @property
    def warmed_in_turn(self) -> frozenset[str]:
        """The rooms that are warmed in turn: there are fewer of what warms them than rooms that it warms."""
        places = {thing.id: thing.count for thing in self.things}
        by_thing: dict[str, list[str]] = {}
        for room in self.rooms:
            if room.warmed is not None and room.warmed.takes:
                by_thing.setdefault(room.warmed.takes, []).append(room.id)
        return frozenset(
            name for thing, rooms in by_thing.items() if len(rooms) > places.get(thing, len(rooms)) for name in rooms
        )
