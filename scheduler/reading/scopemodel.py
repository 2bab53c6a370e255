"""What was measured and is wanted, without faults -> the model's `Scope`."""

from __future__ import annotations

from collections.abc import Iterator

from scheduler.errors import Place
from scheduler.model.names import slug
from scheduler.model.scope import Call, Change, Measured, Opening, Part, RoomWall, Said, Scope
from scheduler.reading.positions import Positions
from scheduler.reading.shape import JobShape, RoomShape
from scheduler.reading.shapebase import carried
from scheduler.reading.shapescope import PartShape

NEEDS = "needs"
"""The option that every method has: what on order must be there."""
_BY_NAME = ("walls", "ceiling", "floor", "trim", "doors")
_FOUR = ("north wall", "east wall", "south wall", "west wall")


def scope_of(shape: JobShape, at: Positions, changes: tuple[Change, ...]) -> Scope | None:
    """The scope of a job; None if it has none."""
    if not shape.scope:
        return None
    rooms = rooms_of(shape)
    only = only_room(rooms)
    parts = {name: _part(name, part, rooms, only, at) for name, part in parts_of(shape).items()}
    return Scope(
        rooms=tuple(_measured(name, room, at) for name, room in rooms.items()),
        parts=tuple(parts.values()),
        changes=changes,
        dropped=tuple((slug(name), at.value(("drop", number))) for number, name in enumerate(shape.drop or ())),
        no_border=tuple(
            (slug(border.between[0]), slug(border.between[1]))
            for border in shape.borders or ()
            if border.tape_off.high == 0
        ),
        pace={slug(name): factor for name, factor in (shape.pace or {}).items()},
        order=tuple((slug(name), how) for name, how in (shape.order_of_work or {}).items()),
        first_time=tuple(
            (slug(name), at.value(("first time", number))) for number, name in enumerate(shape.first_time or ())
        ),
        places=dict(_places(shape, at)),
    )


def _places(shape: JobShape, at: Positions) -> Iterator[tuple[tuple[str, ...], Place]]:
    """Where the entries stand whose use shows only once all is measured: by the path of their ids."""
    for section, entries in (("scope", shape.scope), ("colours", shape.colours), ("changes", shape.changes)):
        for name in entries or {}:
            yield (section, slug(name)), at.key((section, name))
            for key in at.keys((section, name)):
                yield (section, slug(name), key), at.key((section, name, key))
    lists = [("scope", name, "of", part.of) for name, part in (shape.scope or {}).items()]
    lists += [("scope", name, "over", part.over) for name, part in (shape.scope or {}).items()]
    lists += [("colours", name, "on", colour.on) for name, colour in (shape.colours or {}).items()]
    for section, name, key, said in lists:
        for number, each in enumerate(said or ()):
            yield (section, slug(name), key, slug(each)), at.value((section, name, key, number))
    for name in shape.pace or {}:
        yield ("pace", slug(name)), at.key(("pace", name)) if at.has(("pace", name)) else at.value(("pace",))
    for name in shape.things or {}:
        yield ("shared things", slug(name)), at.key(("shared things", name))
    for name in shape.order_of_work or {}:
        yield ("order of work", slug(name)), at.key(("order of work", name))
    for number, name in enumerate(shape.colour_order or ()):
        yield ("colour order", slug(name)), at.value(("colour order", number))
    for name, part in (shape.scope or {}).items():
        for key in part.measured or {}:
            yield (
                ("scope", slug(name), "measured", " ".join(key.lower().split())),
                at.key(("scope", name, "measured", key)),
            )


def parts_of(shape: JobShape) -> dict[str, PartShape]:
    """The parts of the scope, and surfaces that are only named: `walls` and the like need no entry of their own."""
    parts = dict(shape.scope or {})
    there = {slug(name) for name in parts}
    if parts and sum(is_measured(room) for room in shape.rooms.values()) == 1:
        named = [name for part in parts.values() for name in (*(part.of or ()), *(part.over or ()))]
        named += [name for colour in (shape.colours or {}).values() for name in colour.on or ()]
        parts |= {slug(name): PartShape() for name in named if slug(name) in set(_BY_NAME) - there}
    return parts


def is_measured(room: RoomShape) -> bool:
    """Whether a room says how large it is."""
    return room.length is not None and room.width is not None and room.height is not None


def rooms_of(shape: JobShape) -> dict[str, RoomShape]:
    """The rooms in which parts may be: measured ones, and such as say no measure and need none, since all that is
    done in them is counted or measured itself (fronts, a joint, a stair)."""
    sole = next(iter(shape.rooms)) if len(shape.rooms) == 1 else ""
    there: dict[str, list[bool]] = {}
    for name, part in (shape.scope or {}).items():
        where = part.room or next((room for room in shape.rooms if slug(room) == slug(name)), sole)
        there.setdefault(slug(where), []).append(_says_its_size(name, part, shape.rooms))
    return {
        name: room
        for name, room in shape.rooms.items()
        if is_measured(room) or (not _is_begun(room) and all(there.get(slug(name), (False,))))
    }


def only_room(rooms: dict[str, RoomShape]) -> str:
    """The room of a part that names none: the one that is measured, or the one that there is; "" if it is open."""
    measured = [name for name, room in rooms.items() if is_measured(room)] or list(rooms)
    return measured[0] if len(measured) == 1 else ""


def _is_begun(room: RoomShape) -> bool:
    return any((room.length, room.width, room.height, room.walls, room.openings))


def _says_its_size(name: str, part: PartShape, rooms: dict[str, RoomShape]) -> bool:
    """Whether nothing of a part has to be measured in its room."""
    lies = (part.on, part.start, part.top, part.width, part.around, part.along, part.of)
    said = part.count is not None or part.area is not None or part.length is not None
    return said and not any(lies) and kind_of_part(name, part, rooms) in ("other", "doors", "trim")


def walls_of(room: RoomShape) -> dict[str, float]:
    """The walls of a room by the names in the file, in their order around it."""
    if room.walls:
        return dict(room.walls)
    length, width = room.length or 0.0, room.width or 0.0
    return dict(zip(_FOUR, (length, width, length, width), strict=True))


def kind_of_part(name: str, part: PartShape, rooms: dict[str, RoomShape]) -> str:
    """What kind of surface a part is: as it says, as its name says, or as its keys say."""
    if part.surface is not None:
        return part.surface
    if slug(name) in _BY_NAME:
        return slug(name)
    bounds = (part.on, part.top, part.start, part.width)
    kinds = (
        ("room", slug(name) in {slug(room) for room in rooms}),
        ("other", part.of is not None),
        ("trim", part.around is not None or part.along is not None),
        ("panel", any(bound is not None for bound in bounds)),
    )
    return next((kind for kind, holds in kinds if holds), "other")


def room_of_part(name: str, part: PartShape, rooms: dict[str, RoomShape], only: str) -> str:
    """The name of the room in which a part is; empty if nothing says so."""
    named = part.room or next((room for room in rooms if slug(room) == slug(name)), "") or only
    return next((room for room in rooms if slug(room) == slug(named)), "")


def _measured(name: str, room: RoomShape, at: Positions) -> Measured:
    return Measured(
        room=slug(name),
        length=room.length or 0.0,
        width=room.width or 0.0,
        height=room.height or 0.0,
        walls=tuple(
            RoomWall(id=slug(wall), title=" ".join(wall.split()), length=length)
            for wall, length in walls_of(room).items()
        ),
        openings=tuple(
            carried(
                Opening,
                opening,
                id=slug(key),
                title=" ".join(key.split()),
                wall=slug(opening.on),
                sill=opening.sill or 0.0,
                place=at.key(("rooms", name, "openings", key)),
            )
            for key, opening in (room.openings or {}).items()
        ),
        saw_room=slug(room.saw_in) if room.saw_in else None,
        place=at.key(("rooms", name)),
    )


def _part(name: str, part: PartShape, rooms: dict[str, RoomShape], only: str, at: Positions) -> Part:
    kind = kind_of_part(name, part, rooms)
    room = room_of_part(name, part, rooms, only)
    around = part.around
    along: tuple[str, ...] = tuple(part.along or ())
    openings = rooms[room].openings or {} if room else {}
    if around is None and kind == "trim" and part.along is None and part.length is None:
        around, along = list(openings), ("floor",)
    elif around is None and kind == "doors":
        around = [key for key, opening in openings.items() if not opening.sill]
    return carried(
        Part,
        part,
        id=slug(name),
        title=part.title or " ".join(name.split()),
        room=slug(room),
        kind=kind,
        on=tuple(slug(wall) for wall in part.on or ()),
        around=tuple(slug(opening) for opening in around or ()),
        along=along,
        of=tuple(slug(other) for other in part.of or ()),
        over=tuple(slug(other) for other in part.over or ()),
        calls=_calls(name, part, at),
        given=tuple((" ".join(key.lower().split()), value) for key, value in (part.measured or {}).items()),
        place=at.key(("scope", name)),
    )


def _calls(name: str, part: PartShape, at: Positions) -> tuple[Call, ...]:
    path = ("scope", name, "do") if at.has(("scope", name, "do")) else ("scope", name)
    return tuple(
        Call(
            method=slug(method),
            options=tuple(
                Said(
                    name=key,
                    text=words[0],
                    named=at.key((*path, number, method, key)),
                    place=at.value((*path, number, method, key)),
                )
                for key, words in options.items()
                if words and slug(key) != NEEDS
            ),
            needs=tuple(slug(word) for key, words in options.items() if slug(key) == NEEDS for word in words),
            place=at.value((*path, number)),
        )
        for number, entry in enumerate(part.do or ())
        for method, options in entry.items()
    )
