"""The questions in their order: their words, what Enter stands for, and how the answer is read."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, replace

from scheduler.model.names import slug, stranger
from scheduler.model.tradewords import ENGLISH
from scheduler.reading.starters.answers import (
    BATHROOM,
    DRYWALL,
    FLOOR,
    FRONTS,
    JOINT,
    KINDS,
    PANEL,
    PLANKS,
    REPAINT,
    SHOWER,
    STAIR,
    WALLPAPER,
    WALLS,
    WET,
    WINDOWS,
    Answers,
)
from scheduler.reading.starters.rooms import (
    COUNTED,
    FURNITURE,
    PARTS,
    SHOE,
    decimal,
    read_holes,
    read_parts,
    read_size,
    usual_band,
    usual_wall,
)
from scheduler.reading.starters.stuff import (
    COATED,
    LONGEST_NAME,
    MATERIALS,
    MAYBE_BARE,
    coloured,
    families,
    plain_name,
    read_colours,
    read_kind,
    read_material,
    read_order,
)
from scheduler.reading.starters.typed import PARTS as PARTS_SAID
from scheduler.reading.starters.typed import TIMES, called, chosen_of, in_english
from scheduler.reading.starters.when import DAYS, clock, first_day, read_hours, read_people, read_quiet, read_start
from scheduler.reading.times import parse_zone
from scheduler.told import row, told
from scheduler.units import UnclearQuantityError

LONGEST = 200
"""Signs of an answer."""

_ROOMS = {
    **{PANEL: "study", REPAINT: "spare room", FLOOR: "living room", PLANKS: "living room", WALLPAPER: "bedroom"},
    **{BATHROOM: "bathroom", SHOWER: "bathroom", JOINT: "bathroom", DRYWALL: "basement", WINDOWS: "spare room"},
    **{FRONTS: "kitchen", STAIR: "hall"},
}
_TAKEN = {"walls", "wall", "ceiling", "floor", "trim", "doors", "door", "window", "panelling", "wall-above"}
_TAKEN |= {
    "splashback",
    "joint",
    "base",
    "surround",
    "fronts",
    "stair",
    "windows",
    "old-joint",
    *(slug(wall) for wall in WALLS),
}
_TAKEN |= {"repaint", *(slug(kind) for kind in KINDS)}  # a folder for the work: the room is called otherwise
_COLOURS = {"panelling": "deep green", "wall above": "off white", "walls": "warm white", "ceiling": "white"}


@dataclass(frozen=True, slots=True)
class Question:
    """One question, put after the answers so far.

    `asks` are its words (none: it is not asked), `listed` is what may be chosen from, `usual` is what Enter stands
    for; `reads` adds the answer to those before it, or raises UnclearQuantityError. `of` is what an answer is made of
    in another language than English: what is none of it is a name.
    """

    asks: Callable[[Answers], str]
    usual: Callable[[Answers], str]
    reads: Callable[[str, Answers], Answers]
    listed: Callable[[Answers], tuple[str, ...]] = lambda _: ()
    of: tuple[str, ...] = ()


def answered(question: Question, text: str, so_far: Answers) -> Answers:
    """The answers with this one; nothing but blanks stands for the usual one. Raises UnclearQuantityError."""
    if not question.asks(so_far):
        return so_far
    return question.reads(understood(question, text, so_far) or question.usual(so_far), so_far)


def understood(question: Question, text: str, so_far: Answers) -> str:
    """What a person typed, as it is read: in English."""
    if so_far.language == ENGLISH:
        return text.strip()
    listed = tuple(map(so_far.say, question.listed(so_far)))
    if listed:
        return ", ".join(chosen_of(each, listed) for each in re.split(r"\s*[,;+&]\s*|\s+und\s+", text.strip()))
    if PARTS_SAID in question.of and question.reads is not read_colours:
        text = decimal(text, so_far)
    return in_english(text, so_far.language, *question.of).strip()


def usual_answers(kinds: str | tuple[str, ...], begin: Answers) -> Answers:
    """What comes of Enter to all questions but the first."""
    kinds = (kinds,) if isinstance(kinds, str) else kinds
    so_far = replace(begin, kind=kinds[0], kinds=kinds)
    for question in questions_of(kinds)[1:]:
        so_far = answered(question, "", so_far)
    return named(so_far)


def questions_of(kinds: tuple[str, ...]) -> tuple[Question, ...]:
    """The questions where so many kinds of work are done: what is done is asked about each, all else once."""
    if len(kinds) < 2:
        return QUESTIONS
    about = [_about(kind, question) for kind in kinds for question in QUESTIONS[_WHAT:_HOURS]]
    return (*QUESTIONS[:_WHAT], *about, *QUESTIONS[_HOURS:])


def _about(kind: str, question: Question) -> Question:
    """A question about one of several kinds of work."""

    def asks(so_far: Answers) -> str:
        said = question.asks(so_far.on(kind))
        return said and told("{kind}: {question}", kind=f"{kind[0].upper()}{kind[1:]}", question=said)

    return Question(
        asks=asks,
        usual=lambda so_far: question.usual(so_far.on(kind)),
        reads=lambda text, so_far: question.reads(text, so_far.on(kind)).on(so_far.kinds[0]),
        listed=lambda so_far: question.listed(so_far.on(kind)),
        of=question.of,
    )


def named(answers: Answers) -> Answers:
    """The answers with a name for the room: its own, if a file can hold it, else one that goes with the work."""
    name = " ".join(answers.room.replace("-", " ").replace("_", " ").split())
    plain = name[:1].isalpha() and all(sign.isalnum() or sign == " " for sign in name) and not stranger(name)
    good = plain and len(name) <= LONGEST_NAME and slug(name) not in _TAKEN and slug(name) not in _spoken(answers)
    return replace(answers, room=name if good else called(_ROOMS[answers.kinds[0]], answers.language))


def _read_room(text: str, so_far: Answers) -> Answers:
    """The name of the room, one that nothing else has."""
    wanted = replace(so_far, room=plain_name(text, "name"))
    if slug(named(wanted).room) != slug(wanted.room):
        hint = told("write another, such as `{room}`", room=named(wanted).room)
        raise UnclearQuantityError(told("`{room}` is no name for a room here", room=wanted.room), hint)
    return wanted


def _spoken(answers: Answers) -> set[str]:
    """The names that something else has already."""
    return {slug(name) for name, _ in (*answers.coloured, *answers.order)} | {
        slug(hole.name) for hole in answers.holes
    }


def _size(so_far: Answers) -> str:
    if all(kind in WET for kind in so_far.kinds):
        return "8 ft x 6 ft x 8 ft" if so_far.us else "2.4 m x 1.8 m x 2.5 m"
    return "13 ft x 11 ft x 8 ft" if so_far.us else "4 m x 3.4 m x 2.5 m"


def _holes_asked(so_far: Answers) -> str:
    size = "90 cm x 120 cm" if so_far.metric else "3 ft x 4 ft"
    return told("Which doors and windows? Such as `1 door, 2 windows {size} on east wall`; or none.", size=size)


def _parts_asked(so_far: Answers) -> str:
    low, high = (so_far.long(level) for level in usual_band(so_far))
    band = "Which walls, and how high? North and south are as long as the room, east and west as wide."
    return {
        PANEL: told("{band} Such as `north and east up to {top}`; `ceiling` for all the way.", band=band, top=high),
        BATHROOM: told("{band} Such as `north and east from {foot} up to ceiling`.", band=band, foot=low),
        SHOWER: told("{band} Such as `east and west from {foot} up to {top}`.", band=band, foot=low, top=high),
        REPAINT: "What is painted: walls, ceiling, trim? Add `wash` to wash it first.",
        FLOOR: "What goes with it: furniture to carry out and in, a shoe moulding along the walls? Or none.",
        PLANKS: "What goes with it: furniture to carry out and in, an old carpet to take up, a shoe moulding?",
        WALLPAPER: "How many layers of paper?",
        FRONTS: "How many fronts (doors, drawers), old holes to fill, places on a drying rack (0: room for all)?",
        JOINT: "How long is the joint, all sides together?",
        DRYWALL: "What gets new board: walls, ceiling?",
        WINDOWS: "How many sashes are stuck (painted shut), and how many panes has a window?",
        STAIR: "How many treads, how many balusters?",
    }[so_far.kind]


def _parts(so_far: Answers) -> str:
    if so_far.kind in COUNTED:
        return ", ".join(f"{n} {what.rstrip('s') if n == 1 else what}" for what, n, _ in COUNTED[so_far.kind])
    if so_far.kind in (PANEL, BATHROOM, SHOWER):
        low, high = (so_far.long(level) for level in usual_band(so_far))
        wall = usual_wall(so_far)
        return f"{wall} up to {high}" if so_far.kind == PANEL else f"{wall} from {low} up to {high}"
    length = "12 ft" if so_far.us else "3.6 m"
    usual = {JOINT: length, FLOOR: f"{FURNITURE}, {SHOE}", PLANKS: f"{FURNITURE}, {SHOE}", DRYWALL: "walls, ceiling"}
    return usual.get(so_far.kind, ", ".join(PARTS))


def _material_asked(so_far: Answers) -> str:
    return {
        PANEL: "Which paint on the panelling?",
        REPAINT: "Which primer, for what is there now?",
        FLOOR: "Which finish?",
        BATHROOM: "What holds the tile, and which grout?",
        SHOWER: "What holds the tile, and which grout?",
        PLANKS: "Which planks?",
        WALLPAPER: "Which paper is it?",
        FRONTS: "Which paint?",
        WINDOWS: "Which paint?",
        JOINT: "What is in the joint now?",
        DRYWALL: "How is the board finished?",
        STAIR: "How are the treads done?",
    }[so_far.kind]


def _materials(so_far: Answers) -> tuple[str, ...]:
    return tuple(told("{name} ({said})", name=each.name, said=each.said) for each in MATERIALS[so_far.kind])


def _colours_asked(so_far: Answers) -> str:
    parts = row(coloured(so_far))
    if so_far.kind in COATED:
        return "How many coats?"
    if not parts:
        return ""
    if so_far.kind in (BATHROOM, SHOWER):
        return "Which colour around the tile? Or none."
    if so_far.kind in MAYBE_BARE:
        return told("Which colours, with commas: {parts}? Or none.", parts=parts)
    if "," in parts:
        return told("Which colours, with commas: {parts}?", parts=parts)
    return told("Which colour: {parts}?", parts=parts)


def _colours(so_far: Answers) -> str:
    if so_far.kind in COATED:
        return "3" if so_far.kind == FLOOR and "polyurethane" in families(so_far)[0] else "2"
    if so_far.kind in (BATHROOM, SHOWER):
        return called("pale blue", so_far.language)
    return ", ".join(called(_COLOURS.get(part, "satin white"), so_far.language) for part in coloured(so_far))


def _people(so_far: Answers) -> str:
    """A helper on the first day of the weekend that is worked on."""
    days = sorted({day for stretch in so_far.hours for day in stretch.days if day >= 5})
    return f"1, 2 on {DAYS[days[0]]}" if days else "1"


def _order_asked(so_far: Answers) -> str:
    things = {
        PANEL: "boards",
        FLOOR: "sander",
        PLANKS: "planks",
        BATHROOM: "tiles",
        SHOWER: "tiles",
        DRYWALL: "board",
    }
    thing = things.get(so_far.kind, "sealant" if so_far.kind == JOINT else "paint")
    return told(
        "Is anything on order, and when does it come? Such as “{thing} in 2 weeks”, with commas; or nothing.",
        thing=so_far.say(thing),
    )


QUESTIONS = (
    Question(
        asks=lambda _: "What is to be done? One of these, or several, such as `2, 5`.",
        usual=lambda _: str(KINDS.index(REPAINT) + 1),
        reads=read_kind,
        listed=lambda _: (
            "panel wall: boards and battens over a backer sheet, primed and painted",
            "repaint a room: walls, ceiling, trim",
            "floor: old boards, sanded and varnished or oiled; or concrete, coated",
            "bathroom wall: tile, grout, sealant, paint around it",
            "floor of planks: laminate, vinyl or engineered wood that clicks together",
            "wallpaper to paint: the paper off, the wall patched, primed, painted",
            "cabinet fronts: doors and drawers of a kitchen, off, painted, on again",
            "shower joint: the old sealant out, new in",
            "shower wall: old tile off, board, membrane, tile, sealant",
            "drywall: board hung, taped, sanded, primed, painted",
            "windows: wooden sashes, washed, mended, primed, painted",
            "stair: treads, risers, balusters, painted while it is in use",
        ),
    ),
    Question(
        asks=lambda _: "How large is the room? Length x width x height, with units.", usual=_size, reads=read_size
    ),
    Question(
        asks=_holes_asked,
        usual=lambda so_far: "1 door" if all(kind in WET for kind in so_far.kinds) else "1 door, 1 window",
        reads=read_holes,
        of=(PARTS_SAID,),
    ),
    Question(asks=_parts_asked, usual=_parts, reads=read_parts, of=(PARTS_SAID,)),
    Question(
        asks=_material_asked,
        usual=lambda so_far: "2" if so_far.kind == REPAINT else "1",
        reads=read_material,
        listed=_materials,
    ),
    Question(asks=_colours_asked, usual=_colours, reads=read_colours, of=(PARTS_SAID,)),
    Question(
        asks=lambda _: "When can somebody work? Days and hours, with commas.",
        usual=lambda _: "Saturday 9:00 to 17:00, Sunday 10:00 to 16:00, Tuesday and Thursday 18:30 to 21:00",
        reads=read_hours,
        of=(TIMES,),
    ),
    Question(
        asks=lambda _: "How many people? Such as `1`, or `1, 2 on Saturday` if there is a helper.",
        usual=_people,
        reads=read_people,
        of=(TIMES,),
    ),
    Question(asks=_order_asked, usual=lambda _: "nothing", reads=read_order, of=(TIMES,)),
    Question(
        asks=lambda _: "From which day on?",
        usual=lambda so_far: first_day(so_far).isoformat(),
        reads=read_start,
        of=(TIMES,),
    ),
    Question(
        asks=lambda _: "When is it to be quiet, without saw, nailer and sander? Or none.",
        usual=lambda so_far: "none" if so_far.quiet is None else " to ".join(map(clock, so_far.quiet)),
        reads=read_quiet,
        of=(TIMES,),
    ),
    Question(
        asks=lambda _: "In which time zone is the house? Continent/City.",
        usual=lambda so_far: so_far.zone,
        reads=lambda text, so_far: replace(so_far, zone=parse_zone(text)),
    ),
    Question(asks=lambda _: "What is the room called?", usual=lambda so_far: named(so_far).room, reads=_read_room),
)
"""Thirteen questions; each may look at the answers to those before it."""

_WHAT, _HOURS = 3, 6
"""Where those about what is done begin, which are asked of each kind of work, and where they end."""
HOURS = QUESTIONS[_HOURS : _HOURS + 2]
"""Those about hours and hands: asked again if the work does not fit into them."""
