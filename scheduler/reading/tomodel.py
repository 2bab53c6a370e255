"""The shape of a job file -> the model's `Job`. Names become ids; nothing is refused any more.

A shape with faults (a name that nothing bears, a list without an entry) makes a job too, to be looked over further.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from zoneinfo import ZoneInfo

from scheduler.errors import Place
from scheduler.model.after import After
from scheduler.model.basics import Estimate
from scheduler.model.beware import Beware
from scheduler.model.job import (
    EVERY_DAY,
    AirPeriod,
    Appointment,
    AtMost,
    Away,
    Border,
    BusyFile,
    Colour,
    DryTime,
    Hours,
    Item,
    Job,
    Lay,
    QuietHours,
    Reading,
    Room,
    SharedThing,
    Step,
    Warmed,
)
from scheduler.model.keep import Keep
from scheduler.model.names import slug
from scheduler.model.scope import Change
from scheduler.model.supply import Use
from scheduler.reading.positions import Positions
from scheduler.reading.scalars import END
from scheduler.reading.scopemodel import scope_of
from scheduler.reading.shape import (
    AirShape,
    AppointmentShape,
    ChangeShape,
    ColourShape,
    DayHoursShape,
    Follow,
    HoursShape,
    ItemShape,
    JobShape,
    LayShape,
    QuietShape,
    RoomShape,
    StepShape,
    WarmedShape,
)
from scheduler.reading.zonenames import country_of, in_fahrenheit
from scheduler.wallclock import at_local

SMALLEST_PIECE = 30
"""Minutes; a step that lays no film may be left and taken up again in pieces of half an hour."""
LONGEST_WHOLE = 60
"""Minutes; what takes no longer is done in one piece."""
WHILE = "while somebody is there"
NO_TIME = Estimate.sure(0)
RESTRICTING = ("work", "people", "pause", "kind", "takes", "needs", "lays")
"""The parts of a step that may leave it no place, whose own places are kept."""

Path = tuple[str | int, ...]


def job_of(shape: JobShape, at: Positions, readings: dict[str, tuple[Reading, ...]]) -> Job:
    """The job; `readings` are those of each room, by the room's name in the file."""
    zone = ZoneInfo(shape.zone)
    day, minute = shape.start
    scope = scope_of(shape, at, _changes(shape, at))
    only_room = slug(next(iter(shape.rooms))) if len(shape.rooms) == 1 else ""
    in_room = {part.id: part.room for part in scope.parts} if scope else {}
    metric = shape.measures == "metric" if shape.measures else not in_fahrenheit(shape.zone)
    return Job(
        id=slug(shape.job) or "job",
        name=shape.job,
        zone=shape.zone,
        start=at_local(day, minute, zone),
        metric=metric,
        clock24=metric if shape.clock is None else shape.clock,
        hours=tuple(_hours(rule, at.key(("hours", number, "until"))) for number, rule in enumerate(shape.hours)),
        quiet=tuple(_quiet(rule) for rule in shape.quiet_hours or ()),
        away=tuple(
            Away(first=away.on[0], last=away.on[1], reason=away.why or "", place=at.value(("away", number)))
            for number, away in enumerate(shape.away or ())
        ),
        set_up=shape.set_up,
        clear_up=shape.clear_up,
        busy=tuple(
            BusyFile(file=file, place=at.value(("busy", number))) for number, file in enumerate(shape.busy or ())
        ),
        travel_margin=shape.travel_margin,
        rooms=tuple(_room(name, room, readings.get(name, ()), at) for name, room in shape.rooms.items()),
        items=tuple(_item(name, item, at) for name, item in (shape.items or {}).items()),
        things=tuple(
            SharedThing(id=slug(name), count=count, title=_title(None, name))
            for name, count in (shape.things or {}).items()
        ),
        appointments=tuple(_appointment(name, visit, zone, at) for name, visit in (shape.appointments or {}).items()),
        at_most=tuple(
            AtMost(thing=slug(name), minutes=longest.minutes, in_all=longest.in_all, place=at.key(("at most", name)))
            for name, longest in (shape.at_most or {}).items()
        ),
        steps=tuple(
            _step(name, step, in_room.get(slug(step.part or ""), only_room), at)
            for name, step in (shape.steps or {}).items()
        ),
        colours=tuple(
            _colour(name, colour, in_room.get(slug((colour.on or [""])[0]), only_room), at)
            for name, colour in (shape.colours or {}).items()
        ),
        borders=_borders(shape, at),
        colour_order=tuple(slug(name) for name in shape.colour_order or ()),
        done_by=shape.done_by,
        built=shape.built,
        language=shape.language,
        country=shape.where or country_of(shape.zone),
        scope=scope,
        learn=bool(shape.learn),
        pace_said=tuple(sorted((slug(name), pace) for name, pace in (shape.pace or {}).items())),
        place=at.value(),
    )


def _title(title: str | None, name: str) -> str:
    return title or " ".join(name.split())


def _hours(rule: HoursShape, last_place: Place) -> Hours:
    return Hours(
        weekdays=frozenset[int]().union(*rule.on),
        start=rule.start,
        end=rule.end,
        people=rule.people,
        quiet=bool(rule.quiet),
        breaks=tuple(rule.breaks or ()),
        rooms=tuple(sorted({slug(room) for room in rule.rooms or ()})),
        first=rule.since,
        last=rule.until,
        last_place=last_place,
        every=rule.every or 1,
        counted_from=rule.since,
    )


def _quiet(rule: QuietShape) -> QuietHours:
    return QuietHours(weekdays=frozenset[int]().union(*rule.on), start=rule.start, end=rule.end)


def _day_hours(rules: Iterable[DayHoursShape]) -> tuple[tuple[int, int], ...]:
    """By day of the week; on a day of which nothing is said, as where nothing is said at all."""
    said = {weekday: rule.hours for rule in rules for weekday in frozenset[int]().union(*rule.on)}
    return tuple(said.get(weekday, hours) for weekday, hours in enumerate(EVERY_DAY))


def _room(name: str, room: RoomShape, readings: tuple[Reading, ...], at: Positions) -> Room:
    return Room(
        id=slug(name),
        title=_title(room.title, name),
        air=tuple(_air(air) for air in room.air),
        readings=readings,
        day_hours=_day_hours(room.air[0].day_hours or () if room.air else ()),
        dry_times=tuple(
            DryTime(material=slug(material), factor=factor, place=at.key(("rooms", name, "dry times", material)))
            for material, factor in (room.dry_times or {}).items()
        ),
        done_by=room.done_by,
        warmed=None if room.warmed is None else _warmed(room.warmed, at.key(("rooms", name, WHILE))),
        place=at.key(("rooms", name)),
        air_place=at.key(("rooms", name, "air")) if room.air else at.key(("rooms", name)),
    )


def _warmed(air: WarmedShape, place: Place) -> Warmed:
    return Warmed(temp=air.temperature, humidity=air.humidity, takes=slug(air.takes or ""), place=place)


def _air(air: AirShape) -> AirPeriod:
    return AirPeriod(
        since=air.since,
        day_temp=air.day,
        night_temp=air.night,
        day_humidity=air.humidity,
        night_humidity=air.night_humidity,
    )


def _item(name: str, item: ItemShape, at: Positions) -> Item:
    early, late = item.between or (None, None)
    return Item(
        id=slug(name),
        title=_title(item.title, name),
        expected=item.comes,
        early=early,
        late=late,
        lead_days=item.order_time,
        arrived=item.arrived,
        shop=item.shop or "",
        place=at.key(("on order", name)),
    )


def _appointment(name: str, visit: AppointmentShape, zone: ZoneInfo, at: Positions) -> Appointment:
    path: Path = ("appointments", name)
    return Appointment(
        id=slug(name),
        title=_title(visit.title, name),
        start=at_local(visit.on, visit.start, zone),
        end=at_local(visit.on, visit.end, zone),
        rooms=tuple(dict.fromkeys(slug(room) for room in visit.rooms or ())),
        after=_after(visit.after, path, at, "after"),
        before=tuple(
            (slug(other), at.value((*path, "before", number))) for number, other in enumerate(visit.before or ())
        ),
        needs=tuple(dict.fromkeys(slug(item) for item in visit.needs or ())),
        place=at.key(path),
    )


def _step(name: str, step: StepShape, only_room: str, at: Positions) -> Step:
    path: Path = ("steps", name)
    kinds = step.kind or ()
    return Step(
        id=slug(name),
        title=_title(step.title, name),
        room=slug(step.room) if step.room else only_room,
        work=step.work,
        people=step.people[0],
        hands=_hands(step),
        smallest_piece=_piece(step),
        dusty="dusty" in kinds,
        noisy="noisy" in kinds,
        wet="wet" in kinds,
        wipes="wipes" in kinds,
        lays=_lays(step.lays, path, at),
        takes=_takes(step),
        keeps=_keeps(step, path, at),
        after=_after(step.follows, path, at),
        needs=_needs(step),
        cautions=_cautions(step.caution),
        uses=_uses(step.uses),
        part=slug(step.part or ""),
        phase=step.phase or "",
        disturbs=_disturbs(step.disturbs),
        dangers=tuple(step.dangers or ()),
        done_by=step.done_by,
        place=at.key(path),
        part_places={part: at.key((*path, part)) for part in RESTRICTING if at.has((*path, part))},
    )


def _lays(lays: LayShape | None, path: Path, at: Positions) -> Lay | None:
    if lays is None:
        return None
    place = at.value((*path, "lays", "material"))
    return Lay(
        material=slug(lays.material), coat=lays.coat, thickness=lays.thickness, moisture=lays.moisture, place=place
    )


def _uses(uses: dict[str, tuple[float, str]] | None) -> tuple[Use, ...]:
    return tuple(
        Use(what=" ".join(name.split()), amount=amount, unit=unit) for name, (amount, unit) in (uses or {}).items()
    )


def _disturbs(words: list[str] | None) -> tuple[str, ...] | None:
    return None if words is None else tuple(word for word in words if word != "nothing")


def _changes(shape: JobShape, at: Positions) -> tuple[Change, ...]:
    """What is to be otherwise in steps that the file does not write out."""
    return tuple(
        Change(
            step=slug(name),
            fields=_changed_fields(change, ("changes", name), at),
            after=None if change.follows is None else _after(change.follows, ("changes", name), at),
            place=at.key(("changes", name)),
        )
        for name, change in (shape.changes or {}).items()
    )


def _changed_fields(change: ChangeShape, path: Path, at: Positions) -> dict[str, object]:
    """The fields of a step that a change speaks of, with their values."""
    fields: dict[str, object] = {
        "title": change.title,
        "room": None if change.room is None else slug(change.room),
        "work": change.work,
        "people": change.people,
        "lays": _lays(change.lays, path, at),
        "needs": None if change.needs is None else _needs(change),
        "takes": None if change.takes is None else _takes(change),
        "keeps": None if change.takes is None else _keeps(change, path, at),
        "cautions": None if change.caution is None else _cautions(change.caution),
        "uses": None if change.uses is None else _uses(change.uses),
        "disturbs": _disturbs(change.disturbs),
    }
    if change.kind is not None:
        fields |= {kind: kind in change.kind for kind in ("dusty", "noisy", "wet", "wipes")}
    said = {name: value for name, value in fields.items() if value is not None}
    return said if change.pause is None else {**said, "smallest_piece": change.pause or None}


def _cautions(said: Sequence[str] | None) -> tuple[Beware, ...]:
    """What a person wrote has one length."""
    return tuple(map(Beware, said or ()))


def _hands(step: StepShape) -> tuple[tuple[int, Estimate], ...]:
    """The work with each number of people; none where there is one number only."""
    more = sorted((step.more_hands or {}).items())
    return ((step.people[0], step.work), *more) if more else ()


def _piece(step: StepShape) -> int | None:
    """The smallest piece: as written; else one piece for a film and for an hour of work, half an hour for more.

    A trap, a tap, a lamp: what is begun of it in the evening is not left open overnight (common practice, no source).
    """
    pause = step.pause
    if pause is None:
        pause = 0 if step.lays is not None or step.work.likely <= LONGEST_WHOLE else SMALLEST_PIECE
    return min(pause, step.work.planned) if pause else None


def _colour(name: str, colour: ColourShape, only_room: str, at: Positions) -> Colour:
    path: Path = ("colours", name)
    return Colour(
        id=slug(name),
        title=_title(colour.title, name),
        room=slug(colour.room) if colour.room else only_room,
        material=slug(colour.material),
        coats=colour.coats,
        coat=colour.one_coat or NO_TIME,
        tape=colour.tape_off or NO_TIME,
        pull=colour.pull_tape or NO_TIME,
        thickness=colour.thickness,
        people=colour.people,
        after=_after(colour.follows, path, at),
        needs=_needs(colour),
        takes=_takes(colour),
        keeps=_keeps(colour, path, at),
        cautions=_cautions(colour.caution),
        uses=_uses(colour.uses),
        on=tuple(dict.fromkeys(slug(part) for part in colour.on or ())),
        tape_said=colour.tape_off is not None,
        place=at.key(path),
    )


def _takes(work: StepShape | ColourShape | ChangeShape) -> tuple[tuple[str, int], ...]:
    return tuple((slug(name), taken.count) for name, taken in (work.takes or {}).items())


def _keeps(work: StepShape | ColourShape | ChangeShape, path: Path, at: Positions) -> tuple[Keep, ...]:
    """What is kept for longer than the work."""
    keeps = []
    for name, taken in (work.takes or {}).items():
        if not taken.until and not taken.minutes:
            continue
        keeps.append(
            Keep(
                thing=slug(name),
                count=taken.count,
                stage=taken.stage,
                step=taken.step,
                at_start=taken.at_start,
                minutes=taken.minutes,
                place=at.value((*path, "takes", name)),
            )
        )
    return tuple(keeps)


def _needs(work: StepShape | ColourShape | ChangeShape) -> tuple[str, ...]:
    return tuple(dict.fromkeys(slug(name) for name in work.needs or ()))


def _after(follows: list[Follow] | None, path: Path, at: Positions, section: str = "follows") -> tuple[After, ...]:
    return tuple(
        After(
            step=slug(name),
            stage=None if how.stage == END else how.stage,
            wait=how.wait or 0,
            within=how.within,
            at_end=how.stage == END,
            place=at.value((*path, section, number)),
            limit_place=None if how.within is None else at.key((*path, section, number, name, "within")),
        )
        for number, entry in enumerate(follows or ())
        for name, how in entry.items()
    )


def _borders(shape: JobShape, at: Positions) -> tuple[Border, ...]:
    return tuple(
        Border(
            first=slug(border.between[0]),
            second=slug(border.between[1]),
            tape=border.tape_off,
            place=at.value(("borders", number)),
        )
        for number, border in enumerate(shape.borders or ())
    )
