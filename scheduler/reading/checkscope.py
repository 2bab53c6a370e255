"""Checks of what was measured and is wanted: what is named is there, and fits into the room."""

from __future__ import annotations

from collections.abc import Iterator

from scheduler.errors import Fault
from scheduler.model.names import meant, slug
from scheduler.reading.book import NameBook
from scheduler.reading.scopemodel import (
    NEEDS,
    is_measured,
    kind_of_part,
    only_room,
    parts_of,
    room_of_part,
    rooms_of,
    walls_of,
)
from scheduler.told import either, listing, told

EPS = 1e-6
"""Metres: sizes that differ by less are the same."""
_MEASURES = ("length", "width", "height")


def rooms_are_measured_whole(book: NameBook) -> Iterator[Fault]:
    """A room that is measured has length, width and height; walls and openings are those of a measured one."""
    if "rooms" in book.broken:
        return  # what could not be read is not missing
    for name, room in book.job.rooms.items():
        missing = [
            key for key in _MEASURES if getattr(room, key) is None and not book.is_doubtful("rooms", name, key)
        ]
        if missing and (len(missing) < len(_MEASURES) or room.walls or room.openings):
            yield Fault(
                book.at.key(("rooms", name)),
                told("{names} of this room is missing", names=listing(f"`{key}`" for key in missing)),
                told("write `{missing}: 12 ft`", missing=missing[0]),
            )


def openings_fit(book: NameBook) -> Iterator[Fault]:
    """An opening is in a wall of its room, and the openings of a wall are no larger than it."""
    for name, room in book.job.rooms.items():
        if not is_measured(room):
            continue
        walls = {slug(wall): (wall, length) for wall, length in walls_of(room).items()}
        left = {key: length for key, (_, length) in walls.items()}
        for key, opening in (room.openings or {}).items():
            path = ("rooms", name, "openings", key)
            wall = slug(opening.on)
            if wall not in walls:
                hint = meant(opening.on, [said for said, _ in walls.values()])
                yield Fault(book.at.value((*path, "on")), told("no wall here is called `{on}`", on=opening.on), hint)
                continue
            left[wall] -= opening.width
            if left[wall] < -EPS:
                said = told("this is wider than what is left of the {walls}", walls=walls[wall][0])
                yield Fault(book.at.value((*path, "width")), said, "check the widths of wall and openings")
            if (opening.sill or 0.0) + opening.height > (room.height or 0.0) + EPS:
                said = "this reaches higher than the room"
                yield Fault(book.at.value((*path, "height")), said, "check height and sill")


def sawing_is_in_a_room(book: NameBook) -> Iterator[Fault]:
    """Boards are sawn in a room of the job."""
    for name, room in book.job.rooms.items():
        if room.saw_in is not None:
            yield from book.unknown(room.saw_in, ("rooms", name, "saw in"), "room", "rooms")


def parts_are_in_a_room(book: NameBook) -> Iterator[Fault]:
    """A part is in a measured room, unless nothing about it has to be measured."""
    rooms = rooms_of(book.job)
    for name, part in (book.job.scope or {}).items():
        path = ("scope", name)
        if part.room is not None and slug(part.room) not in {slug(room) for room in rooms}:
            known = [room for room in book.job.rooms if slug(room) == slug(part.room)]
            if known and _is_told(book, known[0]):
                continue
            if known:
                said = told("the room `{room}` is not measured", room=part.room)
                yield Fault(book.at.value((*path, "room")), said, "give it `length`, `width` and `height`")
            else:
                yield from book.unknown(part.room, (*path, "room"), "room", "rooms")
        elif not room_of_part(name, part, rooms, only_room(rooms)) and not book.is_doubtful(*path, "room"):
            if _is_unread(book, "rooms") or any(
                _is_told(book, name) for name in (*book.job.rooms, *book.names["rooms"].values())
            ):
                continue  # it may be the room whose measures have a fault of their own
            if not rooms:
                hint = "write `length`, `width` and `height` under the room"
                yield Fault(book.at.key(path), "no room is measured, and this is part of one", hint)
            else:
                some = either(f"`room: {room}`" for room in list(rooms)[:2])
                yield Fault(
                    book.at.key(path),
                    "`room` is missing, and more than one is measured",
                    told("write {some}", some=some),
                )


def parts_name_what_is_there(book: NameBook) -> Iterator[Fault]:
    """Walls, openings and other parts that a part names are those of its room."""
    rooms = rooms_of(book.job)
    scope = parts_of(book.job)
    all_parts = [*scope, *book.names["scope"].values()]
    for name, part in scope.items():
        where = room_of_part(name, part, rooms, only_room(rooms))
        room = rooms.get(where)
        if room is None:
            continue
        openings = list(room.openings or {})
        unread = {key for key in ("walls", "openings") if book.is_doubtful("rooms", where, key)}
        if openings == [] and kind_of_part(name, part, rooms) == "doors" and not (part.area or part.count):
            yield Fault(book.at.key(("scope", name)), "there is no door in this room", "write it under `openings`")
        for key, names, known, what in (
            ("on", () if "walls" in unread else part.on, list(walls_of(room)), "wall here"),
            ("around", () if "openings" in unread else part.around, openings, "opening here"),
            ("of", part.of, [other for other in all_parts if other != name], "other part"),
            ("over", part.over, [other for other in all_parts if other != name], "other part"),
        ):
            for number, said in enumerate(names or ()):
                if slug(said) not in {slug(each) for each in known}:
                    place = book.at.value(("scope", name, key, number))
                    yield Fault(place, told("no {what} is called `{said}`", what=what, said=said), meant(said, known))


def parts_are_not_of_themselves(book: NameBook) -> Iterator[Fault]:
    """What a part puts together are surfaces of the same room, not parts that are put together themselves."""
    scope = {slug(name): (name, part) for name, part in parts_of(book.job).items()}
    rooms = rooms_of(book.job)
    for key, (name, part) in scope.items():
        for number, said in enumerate(part.of or ()):
            found = scope.get(slug(said))
            if found is None or slug(said) == key:
                continue
            place = book.at.value(("scope", name, "of", number))
            if found[1].of is not None or kind_of_part(*found, rooms) == "room":
                yield Fault(place, told("`{said}` is no single surface", said=said), "name the surfaces themselves")
            elif "" in (there := {room_of_part(*each, rooms, only_room(rooms)) for each in (found, (name, part))}):
                continue  # one of them is in no room, and a fault says so
            elif len(there) > 1:
                yield Fault(place, told("`{said}` is in another room", said=said), "put together what is in one room")


def panels_are_high(book: NameBook) -> Iterator[Fault]:
    """A panel ends above where it begins, and no higher than its room."""
    rooms = rooms_of(book.job)
    for name, part in (book.job.scope or {}).items():
        room = rooms.get(room_of_part(name, part, rooms, only_room(rooms)))
        if room is None or (part.top is None and part.start is None):
            continue
        height = room.height or 0.0
        start, top = (_metres(level, height, default) for level, default in ((part.start, 0.0), (part.top, height)))
        key = "up to" if part.top is not None else "from"
        if top > height + EPS or start > height + EPS:
            place = book.at.value(("scope", name, key))
            yield Fault(place, "this is higher than the room", "write a height below the ceiling")
        elif top <= start:
            yield Fault(book.at.value(("scope", name, key)), "this panel has no height", "write a higher `up to`")


def what_methods_need_is_on_order(book: NameBook) -> Iterator[Fault]:
    """What a method needs is on order; any other option has one value."""
    for name, part in (book.job.scope or {}).items():
        for number, entry in enumerate(part.do or ()):
            for method, options in entry.items():
                for key, words in options.items():
                    path = (
                        "scope",
                        name,
                        *(("do",) if book.at.has(("scope", name, "do")) else ()),
                        number,
                        method,
                        key,
                    )
                    if slug(key) == NEEDS:
                        for word in words:
                            yield from book.unknown(word, path, "item on order", "on order")
                    elif len(words) != 1:
                        yield Fault(book.at.value(path), "a list stands here", "write one value")


def colours_lie_on_parts(book: NameBook) -> Iterator[Fault]:
    """A colour lies on parts of the scope, or says how long a coat takes; a part carries one colour."""
    worn: dict[str, str] = {}
    parts = {slug(name) for name in parts_of(book.job)}
    for name, colour in (book.job.colours or {}).items():
        unread = any(book.is_doubtful("colours", name, key) for key in ("on", "one coat"))
        if colour.on is None and colour.one_coat is None and not unread:
            hint = "write how long a coat takes, or `on: walls` and measure the room"
            yield Fault(book.at.key(("colours", name)), "`one coat` is missing", hint)
        for number, part in enumerate(colour.on or ()):
            place = ("colours", name, "on", number)
            if slug(part) not in parts and slug(part) not in book.names["scope"] and not _is_unread(book, "scope"):
                hint = meant(part, [*book.names["scope"].values()])
                yield Fault(book.at.value(place), told("no part of the scope is called `{part}`", part=part), hint)
            if worn.setdefault(slug(part), name) != name:
                said = told("`{part}` carries `{worn}` already", part=part, worn=worn[slug(part)])
                yield Fault(book.at.value(place), said, "give each part one colour")


def placed_steps_have_part_and_phase(book: NameBook) -> Iterator[Fault]:
    """A step that takes its place in the order of the trade says on which part and in which phase."""
    for name, step in (book.job.steps or {}).items():
        if step.part is not None:
            yield from book.unknown(step.part, ("steps", name, "part"), "part of the scope", "scope")
        if (step.part is None) != (step.phase is None):
            there, missing = ("part", "phase") if step.phase is None else ("phase", "part")
            place = book.at.value(("steps", name, there))
            yield Fault(
                place,
                told("`{there}` goes with `{missing}`", there=there, missing=missing),
                told("write `{missing}` as well, or leave both out", missing=missing),
            )


def changes_need_a_scope(book: NameBook) -> Iterator[Fault]:
    """Only what a scope brings can be changed or dropped, and has labour by the methods' rates."""
    for key, said in (
        ("changes", book.job.changes),
        ("drop", book.job.drop),
        ("order of work", book.job.order_of_work),
        ("first time", book.job.first_time),
        ("pace", book.job.pace),
    ):
        if said and not book.job.scope and "scope" not in book.broken:
            yield Fault(book.at.key((key,)), "there is no `scope` in this job", "change the steps themselves")


def _is_told(book: NameBook, name: str) -> bool:
    """Whether the measures of a room have a fault already: some are missing, or could not be read."""
    room = next((room for key, room in book.job.rooms.items() if key == name), None)
    begun = room is not None and not is_measured(room) and any(getattr(room, key) is not None for key in _MEASURES)
    return begun or any(book.is_doubtful("rooms", name, key) for key in _MEASURES)


def _is_unread(book: NameBook, section: str) -> bool:
    """Whether a section as a whole could not be read."""
    return section in book.broken and not book.names[section]


def _metres(level: object, height: float, default: float) -> float:
    metres, share = getattr(level, "metres", None), getattr(level, "share", None)
    return metres if metres is not None else share * height if share is not None else default


SCOPE_CHECKS = (
    rooms_are_measured_whole,
    openings_fit,
    sawing_is_in_a_room,
    parts_are_in_a_room,
    parts_name_what_is_there,
    parts_are_not_of_themselves,
    panels_are_high,
    what_methods_need_is_on_order,
    colours_lie_on_parts,
    placed_steps_have_part_and_phase,
    changes_need_a_scope,
)
