"""Answers about the room: its measures, its doors and windows, and which parts of it are worked on."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from scheduler.model.names import meant, slug
from scheduler.reading.starters.answers import (
    BANDS,
    DRYWALL,
    FLOOR,
    FRONTS,
    JOINT,
    PANEL,
    PLANKS,
    REPAINT,
    SHOWER,
    STAIR,
    WALLPAPER,
    WALLS,
    WASH,
    WINDOWS,
    Answers,
    Hole,
    unclear,
)
from scheduler.reading.starters.when import NUMBERS
from scheduler.told import told
from scheduler.units import INCH, parse_length

NARROWEST, LONGEST, LOWEST, HIGHEST = 0.9, 12.0, 1.9, 8.0
"""Metres of a room that one person or two finish, a stairwell over two floors at most; what is beyond is a slip."""
PARTS = ("walls", "ceiling", "trim")
FURNITURE, SHOE, CARPET = ("furniture", "shoe moulding", "old carpet")
KNOWN_PARTS = {
    REPAINT: (*PARTS, WASH),
    FLOOR: (FURNITURE, SHOE),
    PLANKS: (FURNITURE, CARPET, SHOE),
    DRYWALL: ("walls", "ceiling"),
}
"""What a kind of work is done to, or what goes with it."""
COUNTED = {
    FRONTS: (("fronts", 20, 80), ("holes", 0, 200), ("places", 10, 80)),
    WALLPAPER: (("layers", 1, 6),),
    WINDOWS: (("stuck", 0, 12), ("panes", 2, 24)),
    STAIR: (("treads", 13, 40), ("balusters", 26, 160)),
}
"""What is counted for a kind of work: as many as is usual (common practice, no source), and the most."""
LONGEST_JOINT = 30.0
"""Metres of joints in a bath; what is beyond is a slip of the hand."""
MOST_HOLES = 6
"""Doors and windows that are asked for; a room with more is finished in the file."""

_BY = re.compile(r"\s*(?:×|[x*;]|,(?!\d)|\bby\b)\s*")
_LAST_UNIT = re.compile(r"([a-z]+|[\"'′″’”])\.?$")
_US = re.compile(r"ft|feet|foot|in\b|inch|yd|yard|['\"′″’”]")
_HOLE = re.compile(r"(?:(\d+|a|an|one|two|three|no)\s+)?(door|window)s?\b\s*(.*)")
_NUMBERS = NUMBERS | {"no": 0, "a": 1, "an": 1}
_WALLS_OF = {
    "door": ("south wall", "west wall", "north wall", "east wall"),
    "window": ("east wall", "west wall", "north wall", "south wall"),
}
_USUAL = {
    ("door", False): (float(32 * INCH), float(80 * INCH)),
    ("window", False): (float(36 * INCH), float(48 * INCH)),
    ("door", True): (0.8, 2.0),
    ("window", True): (0.9, 1.2),
}
"""Width and height in feet and in metres, in metres (common practice, no source)."""


def read_size(text: str, so_far: Answers) -> Answers:
    """Length, width and height of the room, `13 ft 2 in x 11 ft x 8 ft`; their units say how the person measures."""
    example = "`13 ft 2 in x 11 ft x 8 ft`" if so_far.us else "`4 m x 3.5 m x 2.5 m`"
    plain = re.sub(r"\b(?:high|tall|long|wide|deep)\b", "", decimal(text.lower(), so_far))
    said = _BY.split(plain.strip())
    if len(said) != 3:
        raise unclear(
            told("`{text}` is not three measures", text=text),
            told("write length x width x height, such as {example}", example=example),
        )
    unit = _LAST_UNIT.search(said[-1])
    if unit is None:
        raise unclear(
            told("`{text}` has no unit at its end", text=text),
            told("write feet or metres, such as {example}", example=example),
        )
    metres = [parse_length(f"{part} {unit[1]}" if re.fullmatch(r"[\d.,]+", part) else part) for part in said]
    metric = not any(_US.search(part) for part in said)
    measured = replace(so_far, metric=metric, length=metres[0], width=metres[1], height=metres[2])
    for size, least, most in zip(metres, (NARROWEST, NARROWEST, LOWEST), (LONGEST, LONGEST, HIGHEST), strict=True):
        if not least <= size <= most:
            bounds = told("{least} to {most}", least=measured.long(least), most=measured.long(most))
            what = "height" if least == LOWEST else "length or width"
            raise unclear(
                told("`{long}` is no {what} of a room here", long=measured.long(size), what=what),
                told("write one from {bounds}", bounds=bounds),
            )
    return measured


def read_holes(text: str, so_far: Answers) -> Answers:
    """Doors and windows: `1 door, 2 windows 3 ft x 4 ft on east wall`, or `none`."""
    room = replace(so_far, holes=())
    if text.strip().lower() in ("none", "no", "nothing"):
        return _with_windows(room)
    for entry in re.split(r"\s*[,;+&](?!\d)\s*|\s+and\s+", decimal(text.strip().lower(), so_far)):
        found = _HOLE.fullmatch(entry)
        if found is None:
            raise unclear(
                told("`{entry}` is no door and no window", entry=entry),
                "write such as `1 door, 2 windows`, or `none`",
            )
        count = _NUMBERS[found[1]] if found[1] in _NUMBERS else int(found[1] or 1)
        if count + len(room.holes) > MOST_HOLES:
            raise unclear(
                told("`{text}` are more than {most_holes}", text=text, most_holes=MOST_HOLES),
                "write fewer here, and the others into the file",
            )
        width, height, wall = _sized(found[2], found[3], room)
        for _ in range(count):
            room = replace(room, holes=(*room.holes, _placed(found[2], width, height, wall, room)))
    return _with_windows(room)


def _with_windows(room: Answers) -> Answers:
    if WINDOWS in room.kinds and not windows_of(room):
        raise unclear("no window is named, and windows are to be painted", "write such as `1 door, 2 windows`")
    return room


def windows_of(so_far: Answers) -> tuple[str, ...]:
    """The names of the windows."""
    return tuple(hole.name for hole in so_far.holes if hole.sill is not None)


def _sized(what: str, rest: str, room: Answers) -> tuple[float, float, str]:
    """Width, height and (if it is said) wall of a door or window; the usual size else."""
    size, _, said = rest.partition("on ") if rest.startswith("on ") or " on " in rest else (rest, "", "")
    wall = read_walls(said)[0] if said.strip() else ""
    if not size.strip():
        return *_USUAL[what, room.metric], wall
    sides = _BY.split(size.strip())
    if len(sides) != 2:
        example = "90 cm x 120 cm" if room.metric else "3 ft x 4 ft"
        raise unclear(
            told("`{size}` is not width and height", size=size.strip()),
            told("write such as `{what} {example}`", what=what, example=example),
        )
    return parse_length(sides[0]), parse_length(sides[1]), wall


def _placed(what: str, width: float, height: float, wall: str, room: Answers) -> Hole:
    """The door or window in the wall that is said, else in the first one that has room left for it."""
    if height > room.height or min(width, height) < 0.2:
        raise unclear(
            told(
                "a {what} {long} x {long2} does not fit the room",
                what=what,
                long=room.long(width),
                long2=room.long(height),
            ),
            "check its height",
        )
    there = {each: sum(hole.wall == each for hole in room.holes) for each in WALLS}
    for each in (wall,) if wall else sorted(_WALLS_OF[what], key=lambda each: there[each]):
        left = room.wall(each) - sum(hole.width for hole in room.holes if hole.wall == each)
        if width <= left:
            number = sum(hole.name.startswith(what) for hole in room.holes) + 1
            sill = None if what == "door" else min(0.9 if room.metric else float(36 * INCH), room.height - height)
            name = what if number == 1 else f"{what} {number}"
            return Hole(name=name, wall=each, width=width, height=height, sill=sill)
    where = told("the {wall}", wall=wall) if wall else "any wall"
    raise unclear(
        told("a {what} {long} wide has no room left in {where}", what=what, long=room.long(width), where=where),
        "check the widths",
    )


def read_walls(text: str) -> tuple[str, ...]:
    """Walls by name: `north`, `north and east wall`, `all`."""
    words = [word for word in re.split(r"[,;\s]+|\band\b|\bwalls?\b|\bthe\b", text.strip().lower()) if word]
    if words and all(word in ("all", "four") for word in words):
        return WALLS
    known = [wall.removesuffix(" wall") for wall in WALLS]
    for word in words:
        if word not in known:
            raise unclear(told("`{word}` is no wall here", word=word), meant(word, known))
    if not words:
        raise unclear("no wall is named", "write one or more of north, east, south, west, or `all`")
    return tuple(wall for wall in WALLS if wall.removesuffix(" wall") in words)


def read_parts(text: str, so_far: Answers) -> Answers:
    """Which walls from where to where, which parts of the room, or how many of what, by the kind of work."""
    if so_far.kind in BANDS:
        return _band(text, so_far)
    if so_far.kind == JOINT:
        return replace(so_far, run=_joint(text))
    if so_far.kind in COUNTED:
        return replace(so_far, counts=_counts(text, so_far.kind))
    known = KNOWN_PARTS[so_far.kind]
    if so_far.kind in (FLOOR, PLANKS) and text.strip().lower() in ("none", "nothing"):
        return replace(so_far, parts=())
    whole = text.strip().lower() in ("all", "everything", "all of it", "the whole room")
    parts = tuple(part for part in known if part != WASH) if whole else _of(known, text)
    if parts == (WASH,):
        raise unclear("nothing to paint is named", "write such as `walls, ceiling, wash`")
    return replace(so_far, parts=parts)


def _joint(text: str) -> float:
    """Metres of a joint."""
    run = parse_length(text.strip())
    if not 0.2 <= run <= LONGEST_JOINT:
        raise unclear(
            told("`{text}` is no length of such a joint", text=text.strip()),
            "add up its sides, such as `12 ft` or `3.6 m`",
        )
    return run


def _counts(text: str, kind: str) -> tuple[tuple[str, int], ...]:
    """`20 fronts, 8 holes`: what is not named is as many as is usual."""
    known = COUNTED[kind]
    counts = {what: usual for what, usual, _ in known}
    for entry in filter(None, re.split(r"\s*[,;+&]\s*|\s+and\s+", text.strip().lower())):
        found = re.fullmatch(r"(\d{1,4}|no|none|a|an|one|two|three)\s*([a-z]*)", entry)
        what = "" if found is None else _counted(found[2], [each for each, _, _ in known])
        if found is None or not what:
            usual = ", ".join(f"{number} {each}" for each, number, _ in known)
            raise unclear(
                told("`{entry}` counts nothing that is asked for", entry=entry),
                told("write such as `{usual}`", usual=usual),
            )
        most = next(most for each, _, most in known if each == what)
        number = int(found[1]) if found[1].isdecimal() else (_NUMBERS | {"none": 0})[found[1]]
        if number > most or (number == 0 and what == known[0][0] and what != "stuck"):
            raise unclear(
                told(
                    "`{number} {what}` is too {part} here", number=number, what=what, part="many" if number else "few"
                ),
                told("write 1 to {most}", most=most),
            )
        counts[what] = number
    return tuple(counts.items())


def _counted(word: str, known: Sequence[str]) -> str:
    """Which of the things counted a word means; a bare number is the first."""
    alike = [each for each in known if word and word.rstrip("s") == each.rstrip("s")]
    return known[0] if not word else alike[0] if alike else ""


def decimal(text: str, so_far: Answers) -> str:
    """`4,20 m` as `4.20 m` where people write it so: anywhere but in the countries that measure in feet."""
    return text if so_far.us else re.sub(r"(?<=\d),(?=\d)", ".", text)


def _of(known: Sequence[str], text: str) -> tuple[str, ...]:
    text = re.sub(r"\b(?:just|only|the)\b", " ", text)
    words = [
        " ".join(word.split()) for word in re.split(r"\s*[,;]\s*|\s+and\s+|\s*&\s*", text.strip().lower()) if word
    ]
    for word in words:
        if slug(word) not in [slug(each) for each in known]:
            raise unclear(told("`{word}` is none of these", word=word), meant(word, known))
    if not words:
        raise unclear("nothing is named", meant("", known))
    return tuple(each for each in known if slug(each) in [slug(word) for word in words])


def _band(text: str, so_far: Answers) -> Answers:
    """`north and east wall from 34 in up to 60 in`; `ceiling` for all the way."""
    found = re.fullmatch(r"(.*?)(?:\bfrom\s+(.+?))?(?:\s*\b(?:up\s+)?to\s+(?:the\s+)?(.+))?", text.strip().lower())
    walls, foot, top = (part or "" for part in found.groups()) if found else (text, "", "")
    named = read_walls(walls)
    usual = usual_band(so_far)
    start = parse_length(foot) if foot else usual[0]
    end = usual[1] if not top else None if top == "ceiling" else parse_length(top)
    if end is not None and end >= so_far.height - 0.05:
        if end > so_far.height:
            raise unclear(
                told("`{top}` is higher than the room", top=top), "write a height below the ceiling, or `ceiling`"
            )
        end = None
    if so_far.kind == PANEL and start > 0:
        raise unclear("panelling begins at the floor", "write only how high it goes, such as `north up to 4 ft`")
    if (so_far.height if end is None else end) - start < 0.2:
        raise unclear(told("`{text}` is too low to be worked on", text=text), "write a higher `up to`")
    for other in so_far.each:
        there = set(other.parts) & set(named) if other.kind in BANDS and other.kind != so_far.kind else ()
        if there and start < (other.band[1] or so_far.height) and other.band[0] < (end or so_far.height):
            raise unclear(
                told("the {min} has a {kind} there already", min=min(there), kind=other.kind),
                "name another wall or another height",
            )
    return replace(so_far, parts=named, band=(start, end))


def usual_band(so_far: Answers) -> tuple[float, float]:
    """From which height up to which a wall is panelled or tiled (common practice, no source), metres."""
    if so_far.kind == SHOWER:
        return (0.0, 2.1) if so_far.metric else (0.0, float(84 * INCH))
    if so_far.kind != PANEL:
        return (0.85, 1.5) if so_far.metric else (float(34 * INCH), float(60 * INCH))
    return (0.0, 1.2) if so_far.metric else (0.0, float(48 * INCH))


def usual_wall(so_far: Answers) -> str:
    """A wall that nothing else goes up: the north one, if it is free; the shorter of the others for a shower."""
    taken = {wall for one in so_far.each if one.kind in BANDS and one.kind != so_far.kind for wall in one.parts}
    order = ("east wall", "west wall", "north wall") if so_far.kind == SHOWER else WALLS
    return next((wall for wall in order if wall not in taken), WALLS[0]).removesuffix(" wall")
