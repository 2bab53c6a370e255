"""The questions in their order: their words, what Enter stands for, and how the answer is read."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace

from scheduler.model.names import slug, stranger
from scheduler.reading.starters.answers import BATHROOM, FLOOR, KINDS, PANEL, REPAINT, WALLS, Answers
from scheduler.reading.starters.rooms import PARTS, WITH_FLOOR, read_holes, read_parts, read_size, usual_band
from scheduler.reading.starters.stuff import (
    LONGEST_NAME,
    MATERIALS,
    coloured,
    families,
    plain_name,
    read_colours,
    read_kind,
    read_material,
    read_order,
)
from scheduler.reading.starters.when import DAYS, clock, first_day, read_hours, read_people, read_quiet, read_start
from scheduler.reading.times import parse_zone
from scheduler.units import UnclearQuantityError

LONGEST = 200
"""Signs of an answer."""

_ROOMS = {PANEL: "study", REPAINT: "spare room", FLOOR: "living room", BATHROOM: "bathroom"}
_TAKEN = {"walls", "wall", "ceiling", "floor", "trim", "doors", "door", "window", "panelling", "wall-above"}
_TAKEN |= {"splashback", "joint", "base", *(slug(wall) for wall in WALLS)}
_TAKEN |= {"repaint", *(slug(kind) for kind in KINDS)}  # a folder for the work: the room is called otherwise
_COLOURS = {"panelling": "deep green", "wall above": "off white", "walls": "warm white", "ceiling": "white"}


@dataclass(frozen=True, slots=True)
class Question:
    """One question, put after the answers so far.

    `asks` are its words, `listed` is what may be chosen from, `usual` is what Enter stands for; `reads` adds the
    answer to those before it, or raises UnclearQuantityError.
    """

    asks: Callable[[Answers], str]
    usual: Callable[[Answers], str]
    reads: Callable[[str, Answers], Answers]
    listed: Callable[[Answers], tuple[str, ...]] = lambda _: ()


def answered(question: Question, text: str, so_far: Answers) -> Answers:
    """The answers with this one; nothing but blanks stands for the usual one. Raises UnclearQuantityError."""
    return question.reads(text.strip() or question.usual(so_far), so_far)


def usual_answers(kind: str, begin: Answers) -> Answers:
    """What comes of Enter to all questions but the first."""
    so_far = replace(begin, kind=kind)
    for question in QUESTIONS[1:]:
        so_far = answered(question, "", so_far)
    return named(so_far)


def named(answers: Answers) -> Answers:
    """The answers with a name for the room: its own, if a file can hold it, else one that goes with the work."""
    name = " ".join(answers.room.replace("-", " ").replace("_", " ").split())
    plain = name[:1].isalpha() and all(sign.isalnum() or sign == " " for sign in name) and not stranger(name)
    good = plain and len(name) <= LONGEST_NAME and slug(name) not in _TAKEN and slug(name) not in _spoken(answers)
    return replace(answers, room=name if good else _ROOMS[answers.kind])


def _read_room(text: str, so_far: Answers) -> Answers:
    """The name of the room, one that nothing else has."""
    wanted = replace(so_far, room=plain_name(text, "name"))
    if slug(named(wanted).room) != slug(wanted.room):
        hint = f"write another, such as `{named(wanted).room}`"
        raise UnclearQuantityError(f"`{wanted.room}` is no name for a room here", hint)
    return wanted


def _spoken(answers: Answers) -> set[str]:
    """The names that something else has already."""
    return {slug(name) for name, _ in (*answers.colours, *answers.order)} | {
        slug(hole.name) for hole in answers.holes
    }


def _size(so_far: Answers) -> str:
    if so_far.kind == BATHROOM:
        return "8 ft x 6 ft x 8 ft" if so_far.us else "2.4 m x 1.8 m x 2.5 m"
    return "13 ft x 11 ft x 8 ft" if so_far.us else "4 m x 3.4 m x 2.5 m"


def _holes_asked(so_far: Answers) -> str:
    size = "90 cm x 120 cm" if so_far.metric else "3 ft x 4 ft"
    return f"Which doors and windows? Such as `1 door, 2 windows {size} on east wall`; or none."


def _parts_asked(so_far: Answers) -> str:
    foot, top = usual_band(so_far)
    band = "Which walls, and how high? North and south are as long as the room, east and west as wide."
    return {
        PANEL: f"{band} Such as `north and east up to {so_far.long(top)}`; `ceiling` for all the way.",
        BATHROOM: f"{band} Such as `north and east from {so_far.long(foot)} up to ceiling`.",
        REPAINT: "What is painted: walls, ceiling, trim?",
        FLOOR: "What goes with it: furniture to carry out and in, a shoe moulding along the walls? Or none.",
    }[so_far.kind]


def _parts(so_far: Answers) -> str:
    if so_far.kind in (PANEL, BATHROOM):
        low, high = (so_far.long(level) for level in usual_band(so_far))
        return f"north up to {high}" if so_far.kind == PANEL else f"north from {low} up to {high}"
    return ", ".join(WITH_FLOOR if so_far.kind == FLOOR else PARTS)


def _material_asked(so_far: Answers) -> str:
    return {
        PANEL: "Which paint on the panelling?",
        REPAINT: "Which primer, for what is there now?",
        FLOOR: "Which finish?",
        BATHROOM: "What holds the tile, and which grout?",
    }[so_far.kind]


def _materials(so_far: Answers) -> tuple[str, ...]:
    return tuple(f"{each.name} ({each.said})" for each in MATERIALS[so_far.kind])


def _colours_asked(so_far: Answers) -> str:
    parts = ", ".join(coloured(so_far))
    if so_far.kind == FLOOR:
        return "How many coats?"
    if so_far.kind == BATHROOM:
        return "Which colour around the tile? Or none."
    return f"Which colours, with commas: {parts}?" if "," in parts else f"Which colour: {parts}?"


def _colours(so_far: Answers) -> str:
    if so_far.kind == FLOOR:
        return "2" if families(so_far)[0].startswith("penetrating-oil") else "3"
    if so_far.kind == BATHROOM:
        return "pale blue"
    return ", ".join(_COLOURS.get(part, "satin white") for part in coloured(so_far))


def _people(so_far: Answers) -> str:
    """A helper on the first day of the weekend that is worked on."""
    days = sorted({day for stretch in so_far.hours for day in stretch.days if day >= 5})
    return f"1, 2 on {DAYS[days[0]]}" if days else "1"


def _order_asked(so_far: Answers) -> str:
    thing = {PANEL: "boards", REPAINT: "paint", FLOOR: "sander", BATHROOM: "tiles"}[so_far.kind]
    return f"Is anything on order, and when does it come? Such as `{thing} in 2 weeks`, with commas; or nothing."


QUESTIONS = (
    Question(
        asks=lambda _: "What is to be done?",
        usual=lambda _: str(KINDS.index(REPAINT) + 1),
        reads=read_kind,
        listed=lambda _: (
            "panel wall: boards and battens over a backer sheet, primed and painted",
            "repaint a room: walls, ceiling, trim",
            "floor: an old board floor, sanded and varnished or oiled",
            "bathroom wall: tile, grout, sealant, paint around it",
        ),
    ),
    Question(
        asks=lambda _: "How large is the room? Length x width x height, with units.", usual=_size, reads=read_size
    ),
    Question(
        asks=_holes_asked,
        usual=lambda so_far: "1 door" if so_far.kind == BATHROOM else "1 door, 1 window",
        reads=read_holes,
    ),
    Question(asks=_parts_asked, usual=_parts, reads=read_parts),
    Question(
        asks=_material_asked,
        usual=lambda so_far: "2" if so_far.kind == REPAINT else "1",
        reads=read_material,
        listed=_materials,
    ),
    Question(asks=_colours_asked, usual=_colours, reads=read_colours),
    Question(
        asks=lambda _: "When can somebody work? Days and hours, with commas.",
        usual=lambda _: "Saturday 9:00 to 17:00, Sunday 10:00 to 16:00, Tuesday and Thursday 18:30 to 21:00",
        reads=read_hours,
    ),
    Question(
        asks=lambda _: "How many people? Such as `1`, or `1, 2 on Saturday` if there is a helper.",
        usual=_people,
        reads=read_people,
    ),
    Question(asks=_order_asked, usual=lambda _: "nothing", reads=read_order),
    Question(
        asks=lambda _: "From which day on?", usual=lambda so_far: first_day(so_far).isoformat(), reads=read_start
    ),
    Question(
        asks=lambda _: "When is it to be quiet, without saw, nailer and sander? Or none.",
        usual=lambda so_far: "none" if so_far.quiet is None else " to ".join(map(clock, so_far.quiet)),
        reads=read_quiet,
    ),
    Question(
        asks=lambda _: "In which time zone is the house? Continent/City.",
        usual=lambda so_far: so_far.zone,
        reads=lambda text, so_far: replace(so_far, zone=parse_zone(text)),
    ),
    Question(asks=lambda _: "What is the room called?", usual=lambda so_far: named(so_far).room, reads=_read_room),
)
"""Thirteen questions; each may look at the answers to those before it."""

HOURS = QUESTIONS[6:8]
"""Those about hours and hands: asked again if the work does not fit into them."""
