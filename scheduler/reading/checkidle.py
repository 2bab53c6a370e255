"""Checks that nothing is written in vain: a key that can count for nothing where it stands is a fault.

What shows only once all is measured (a method that finds nothing to do, an option without effect) is found by
`expanding`; what the file alone shows is found here.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import timedelta

from scheduler.errors import Fault
from scheduler.model.job import weeks_between
from scheduler.model.names import APART, APART_HINT, slug
from scheduler.reading.book import NameBook
from scheduler.reading.scopemodel import kind_of_part, parts_of, room_of_part, rooms_of
from scheduler.reading.shape import ColourShape, HoursShape
from scheduler.reading.shapescope import PartShape
from scheduler.told import either, told

_KINDS_OF = {
    "on": ("walls", "panel", "trim"),
    "from": ("panel",),
    "up to": ("panel",),
    "width": ("panel",),
    "around": ("trim", "doors"),
    "along": ("trim",),
}
"""The kinds of surface that are measured by a key; the others pass it over."""
_ALTOGETHER = "leave them out; `people` says how many are there altogether"
_OF_ONE = ("surface", *_KINDS_OF, "area", "length", "count")
"""What is said of a single surface, not of several together."""


def keys_fit_the_surface(book: NameBook) -> Iterator[Fault]:
    """A part says what a surface of its kind is measured by; one that puts others together says none of it."""
    rooms = rooms_of(book.job)
    for name, part in (book.job.scope or {}).items():
        kind = kind_of_part(name, part, rooms)
        for key in _OF_ONE:
            if _said(part, key) is None:
                continue
            place = book.at.key(("scope", name, key))
            if part.of is not None:
                said = told(
                    "`{key}` counts for nothing here: `{name}` is what `of` puts together", key=key, name=name
                )
                yield Fault(place, said, "write it at the parts themselves")
            elif kind not in _KINDS_OF.get(key, (kind,)):
                said = told(
                    "`{key}` counts for nothing here: `{name}` is measured as {surface}",
                    key=key,
                    name=name,
                    surface=kind,
                )
                hint = told(
                    "leave it out, or write `surface: {kinds_of}`; it is for {surfaces}",
                    kinds_of=_KINDS_OF[key][0],
                    surfaces=either(f"`{each}`" for each in _KINDS_OF[key]),
                )
                if kind == "other" and key in ("on", "width") and part.length is None and part.area is None:
                    hint = told("leave it out, and write `length: …` for how long it is")
                yield Fault(place, said, hint)
        if kind == "trim" and part.on is not None and not part.of and not _runs_along(part):
            place = book.at.key(("scope", name, "on"))
            said = "`on` counts for nothing here: nothing runs along a wall"
            yield Fault(place, said, "leave it out, or write `along: floor`")


def parts_are_worked_on(book: NameBook) -> Iterator[Fault]:
    """Something is done to a part: a method, a colour, a step; or it leaves less of walls that are worked on."""
    scope = parts_of(book.job)
    rooms = rooms_of(book.job)
    colours = (colour.on or () for colour in (book.job.colours or {}).values())
    named = {slug(each) for names in colours for each in names}
    named |= {slug(step.part) for step in (book.job.steps or {}).values() if step.part is not None}
    named |= {slug(name) for name, part in scope.items() if part.do}
    named |= {slug(each) for name, part in scope.items() if slug(name) in named for each in part.of or ()}
    kinds = {slug(name): (kind_of_part(name, part, rooms), part) for name, part in scope.items()}
    walls = any(kinds[key][0] == "walls" for key in named if key in kinds)
    for name in book.job.scope or {}:
        kind, part = kinds[slug(name)]
        bounds = kind == "panel" and part.width is None and walls
        if slug(name) not in named and not bounds and not {"colours", "steps", "scope"} & book.broken:
            hint = "write `do:` and a method, or name it under `on` of a colour"
            yield Fault(book.at.key(("scope", name)), told("nothing is done to `{name}`", name=name), hint)


def over_something_done(book: NameBook) -> Iterator[Fault]:
    """A part comes over others to which something is done."""
    scope = {slug(name): part for name, part in parts_of(book.job).items()}
    coloured = {slug(each) for colour in (book.job.colours or {}).values() for each in colour.on or ()}
    by_hand = {slug(step.part) for step in (book.job.steps or {}).values() if step.part is not None}
    done = {key for key, part in scope.items() if part.do} | coloured | by_hand
    done |= {slug(each) for key in done if key in scope for each in scope[key].of or ()}
    done |= {key for key, part in scope.items() if any(slug(each) in done for each in part.of or ())}
    for name, part in (book.job.scope or {}).items():
        for number, said in enumerate(part.over or ()):
            if slug(said) in scope and slug(said) not in done:
                place = book.at.value(("scope", name, "over", number))
                yield Fault(
                    place,
                    told("nothing is done to `{said}` before", said=said),
                    "leave it out, or write what is done there",
                )


def doors_are_counted_once(book: NameBook) -> Iterator[Fault]:
    """Leaves hang in doors, not in windows; and the doors of a room are not counted a second time."""
    rooms = rooms_of(book.job)
    for name, room in book.job.rooms.items():
        for key, opening in (room.openings or {}).items():
            if opening.sill and book.at.has(("rooms", name, "openings", key, "leaves")):
                place = book.at.key(("rooms", name, "openings", key, "leaves"))
                yield Fault(
                    place, "`leaves` are those of a door, and a window has a `sill`", "leave one of the two out"
                )
    for name, part in (book.job.scope or {}).items():
        room_name = room_of_part(name, part, rooms, next(iter(rooms)) if len(rooms) == 1 else "")
        openings = (rooms[room_name].openings or {}) if room_name in rooms else {}
        doors = [key for key, opening in openings.items() if not opening.sill]
        hung = doors if part.around is None else part.around
        if kind_of_part(name, part, rooms) == "doors" and part.count is not None and part.area is None and hung:
            said = told(
                "the doors of `{name}` are counted under `openings`: {names}", name=name, names=", ".join(hung)
            )
            yield Fault(book.at.key(("scope", name, "count")), said, "leave `count` out, or write `leaves` at a door")


def names_stand_once(book: NameBook) -> Iterator[Fault]:
    """A name stands once in a list of names."""
    lists: list[tuple[tuple[str, ...], Sequence[str]]] = []
    for name, part in (book.job.scope or {}).items():
        keys = {"on": part.on, "around": part.around, "along": part.along, "of": part.of, "over": part.over}
        lists += [(("scope", name, key), said) for key, said in keys.items() if said]
    for name, colour in (book.job.colours or {}).items():
        lists += [(("colours", name, "on"), colour.on or ())]
    for path, work in book.entries():
        lists += [((*path, "needs"), work.needs or ())]
        if not isinstance(work, ColourShape):
            lists += [((*path, "kind"), work.kind or ()), ((*path, "disturbs"), work.disturbs or ())]
    lists += [(("drop",), book.job.drop or ()), (("first time",), book.job.first_time or ())]
    for where, said in lists:
        seen: set[str] = set()
        for number, each in enumerate(said):
            if slug(each) in seen:
                place = book.at.value((*where, number))
                yield Fault(place, told("`{each}` stands here twice", each=each), "leave one of the two out")
            seen.add(slug(each))


def colours_stay_in_a_room(book: NameBook) -> Iterator[Fault]:
    """All parts that carry a colour are in one room, and it is the room that the colour names."""
    rooms = rooms_of(book.job)
    only = next(iter(rooms)) if len(rooms) == 1 else ""
    scope = {slug(name): (name, part) for name, part in parts_of(book.job).items()}
    for name, colour in (book.job.colours or {}).items():
        first = None
        for number, said in enumerate(colour.on or ()):
            if slug(said) not in scope:
                continue
            room = room_of_part(*scope[slug(said)], rooms, only)
            if first is None:
                first = room
            if room and first and room != first:
                place = book.at.value(("colours", name, "on", number))
                yield Fault(
                    place, told("`{said}` is in another room than the rest", said=said), "make a colour for each room"
                )
        if first and colour.room is not None and slug(colour.room) != slug(first):
            said = told("what carries this colour is in the room `{first}`", first=first)
            yield Fault(book.at.value(("colours", name, "room")), said, "leave `room` out")


def tape_is_there_to_pull(book: NameBook) -> Iterator[Fault]:
    """Who says how long pulling the tape takes has something taped off."""
    if not _borders_are_sound(book):
        return
    bordered = {slug(each) for border in book.job.borders or () if border.tape_off.high for each in border.between}
    for name, colour in (book.job.colours or {}).items():
        untaped = colour.on is None if colour.tape_off is None else not colour.tape_off.high
        if colour.pull_tape is not None and colour.on is None and untaped and slug(name) not in bordered:
            place = book.at.key(("colours", name, "pull tape"))
            yield Fault(
                place,
                told("nothing is taped off for `{name}`", name=name),
                "write `tape off` as well, or leave it out",
            )


def ordered_colours_touch(book: NameBook) -> Iterator[Fault]:
    """A colour in the order touches another one in it. Which do where parts are measured `expanding` knows."""
    order = book.job.colour_order or []
    known = {slug(name) for name in book.job.colours or {}}
    measured = any(colour.on for colour in (book.job.colours or {}).values())
    sound = _borders_are_sound(book) and not {"colour order", "colours"} & book.broken
    if measured or not sound or len(order) < 2 or any(slug(name) not in known for name in order):
        return
    pairs = [{slug(each) for each in border.between} for border in book.job.borders or ()]
    for number, name in enumerate(order):
        others = {slug(each) for each in order} - {slug(name)}
        if not any(slug(name) in pair and pair & others for pair in pairs):
            place = book.at.value(("colour order", number))
            yield Fault(place, told("`{name}` {apart}", name=name, apart=APART), APART_HINT)


def margins_have_a_calendar(book: NameBook) -> Iterator[Fault]:
    """The margin for travelling lies around what stands in calendars of the household."""
    if book.job.travel_margin and not book.job.busy and "busy" not in book.broken:
        place = book.at.key(("travel margin",))
        yield Fault(
            place, "`travel margin` is for the calendars under `busy`, and there is none", "write `busy: ` and a file"
        )


def hours_hold_on_some_day(book: NameBook) -> Iterator[Fault]:
    """Work hours hold on some day from the start of the job on."""
    start = book.job.start[0]
    if {"start", "hours"} & book.broken:
        return
    for number, rule in enumerate(book.job.hours):
        first = max(start, rule.since or start)
        last = rule.until
        if last is None or (rule.since is not None and last < rule.since):
            continue
        days = frozenset[int]().union(*rule.on)
        every = rule.every or 1
        ahead = (first + timedelta(days=more) for more in range(min(7 * every, (last - first).days + 1)))
        if not any(day.weekday() in days and weeks_between(rule.since or day, day) % every == 0 for day in ahead):
            place = book.at.value(("hours", number, "until"))
            said = (
                told("there is no such day from {first} to {last}", first=first, last=last)
                if last >= first
                else told("this is before the start on {start}", start=start)
            )
            yield Fault(place, said, "leave these hours out, or write a later day")


def hours_stand_once(book: NameBook) -> Iterator[Fault]:
    """No hours are written twice. That some lie inside others is no mistake: where rules overlap the larger number of
    people holds, so that a wider rule can be added for a while.
    """
    rules = list(enumerate(book.job.hours))
    for number, rule in rules:
        for other, same in rules[:number]:
            if "hours" not in book.broken and _is_same(rule, same):
                said = told("these hours are those of entry {other} already", other=other + 1)
                yield Fault(book.at.value(("hours", number)), said, _ALTOGETHER)
                break


def _is_same(rule: HoursShape, other: HoursShape) -> bool:
    """Whether two rules give the same hours on the same days, be they said in other words."""
    days = (frozenset[int]().union(*each.on) for each in (rule, other))
    return len(set(days)) == 1 and rule.model_copy(update={"on": other.on}) == other


def _borders_are_sound(book: NameBook) -> bool:
    """Whether every border is read, and lies between two colours of the job: else what follows from them is open."""
    known = {slug(name) for name in book.job.colours or {}}
    pairs = [{slug(each) for each in border.between} for border in book.job.borders or ()]
    return "borders" not in book.broken and all(len(pair) == 2 and pair <= known for pair in pairs)


def _said(part: PartShape, key: str) -> object:
    return getattr(part, {"from": "start", "up to": "top"}.get(key, key))


def _runs_along(part: PartShape) -> bool:
    """Whether a trim is measured along walls: as it says, or because it says nothing else."""
    return part.length is None and (bool(part.along) or (part.along is None and part.around is None))


IDLE_CHECKS = (
    keys_fit_the_surface,
    parts_are_worked_on,
    over_something_done,
    doors_are_counted_once,
    names_stand_once,
    colours_stay_in_a_room,
    tape_is_there_to_pull,
    ordered_colours_touch,
    margins_have_a_calendar,
    hours_hold_on_some_day,
    hours_stand_once,
)
