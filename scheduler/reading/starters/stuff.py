"""Answers about the work: its kind, what it is done with, in which colours, what is on order."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from scheduler.model.names import meant, slug, stranger
from scheduler.reading.saiddays import said_day
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
    WALL_COLOURS,
    WALLPAPER,
    WASH,
    WINDOWS,
    Answers,
    unclear,
)
from scheduler.told import listing, told
from scheduler.units import parse_duration

LONGEST_NAME = 40
"""Letters of a colour or an item."""
MOST_ITEMS = 5
"""Items on order that are asked for."""
MOST_COATS = 5
"""Of one colour; who wants more has mistyped."""


_WHEN = (
    r"in\s+.+|(?:next\s+)?[a-z]+day|today|tomorrow|\S*\d\S*(?:\s+[a-z]+)?(?:\s+\d{4})?|[a-z]+\.?\s+\d+(?:\s+\d{4})?"
)
"""The last words of what is on order: when it comes."""
_EVERYWHERE = "everywhere|everything|all over|all of it|all the same|all"
_CALLED = {
    "wall above": "walls? above(?: it| the panel+ing)?|above(?: it| the panel+ing)?",
    "walls": "walls?",
    "ceiling": "ceilings?",
    "trim": "trim|woodwork|mou?ldings?|skirtings?(?: boards?)?|base ?boards?|casings?|door frames?",
    "panelling": "panel+ing|panels?|boards?",
}
"""What people call the parts that get a colour."""


@dataclass(frozen=True, slots=True)
class Offer:
    """One of several: its name in the list, what is said of it, and the families, or the words of a method's option,
    that it stands for."""

    name: str
    said: str
    families: tuple[str, ...] = ()


_ENAMELS = (
    Offer("waterborne alkyd enamel", "hard; next coat a day later", ("waterborne-alkyd-enamel",)),
    Offer("acrylic latex trim paint", "next coat within hours", ("acrylic-latex-trim-paint",)),
    Offer("solvent-based alkyd enamel", "hardest, slow, strong fumes", ("solvent-alkyd-enamel",)),
)

CONCRETE = "two-part-epoxy-floor-coating"
"""What stands for a floor of concrete that is coated, and not of wood."""

PLASTERED = "plaster"
"""Stands for board whose joints are taped and which is plastered all over, not finished with compound."""

MATERIALS: Mapping[str, tuple[Offer, ...]] = {
    PANEL: _ENAMELS,
    FRONTS: _ENAMELS,
    WINDOWS: _ENAMELS,
    REPAINT: (
        Offer("no primer", "sound paint, much the same colour"),
        Offer("acrylic bonding primer", "glossy paint, or another colour", ("acrylic-bonding-primer",)),
        Offer("stain-blocking primer", "stains, or a strong colour", ("stain-blocking-waterborne-primer",)),
        Offer("mist coat", "thinned emulsion, on new plaster that is dry", ("mist-coat-emulsion",)),
    ),
    FLOOR: (
        Offer("waterborne polyurethane", "three coats, hours apart", ("waterborne-polyurethane-floor",)),
        Offer("oil-modified polyurethane", "a day a coat, strong fumes", ("oil-modified-polyurethane-floor",)),
        Offer("penetrating oil", "two coats, wiped off", ("penetrating-oil-floor",)),
        Offer("epoxy on concrete", "garage or cellar: tested, ground, primed, coated", (CONCRETE,)),
    ),
    BATHROOM: (
        Offer("cement mortar, cement grout", "for any tile", ("cement-thinset", "cement-grout")),
        Offer(
            "ready-mixed adhesive, cement grout", "small tile, dry wall", ("premixed-tile-adhesive", "cement-grout")
        ),
        Offer("cement mortar, epoxy grout", "stains less, harder to spread", ("cement-thinset", "epoxy-grout")),
    ),
    SHOWER: (
        Offer("cement mortar, cement grout", "for any tile", ("cement-thinset", "cement-grout")),
        Offer("cement mortar, epoxy grout", "stains less, harder to spread", ("cement-thinset", "epoxy-grout")),
    ),
    PLANKS: (
        Offer("laminate", "lies in the room for two days", ("laminate",)),
        Offer("rigid vinyl", "the same, by its sheet less", ("rigid vinyl",)),
        Offer("engineered wood", "lies in the room for three days", ("engineered wood",)),
    ),
    WALLPAPER: (
        Offer("plain paper", "wetted and scraped", ("plain",)),
        Offer("strippable vinyl", "its face peels off dry", ("strippable vinyl",)),
        Offer("painted or wood chip", "scored first, several times as slow", ("painted or wood chip",)),
    ),
    JOINT: (
        Offer("silicone", "softened with a remover, which acts for an hour", ("silicone",)),
        Offer("latex caulk", "scraped out", ("latex",)),
    ),
    DRYWALL: (
        Offer("under flat paint", "joints in three coats", ("under flat paint",)),
        Offer("under gloss or side light", "the whole board skimmed as well", ("under gloss or side light",)),
        Offer("skimmed with gypsum plaster", "two coats, trowelled; dry before its mist coat", (PLASTERED,)),
    ),
    STAIR: (
        Offer("every other one first", "the stair stays in use", ("every other one first",)),
        Offer("all in one go", "for another way up, or an empty house", ("all in one go",)),
        Offer("left as they are", "risers, stringers and balusters only", ("left as they are",)),
    ),
}
"""What a kind of work is done with: the first is the usual one, but for a repaint (common practice, no source)."""


def chosen(text: str, names: tuple[str, ...]) -> str:
    """One of the names by its number, in full, or by the beginning of a word that no other has (or ends with)."""
    number = re.fullmatch(r"0*([0-9]{1,2})\.?", text.strip())
    if number is not None and 1 <= int(number[1]) <= len(names):
        return names[int(number[1]) - 1]
    plain = slug(text)
    found = [name for name in names if plain and f"-{plain}" in f"-{slug(name)}"]
    if len(found) > 1:
        found = [name for name in found if slug(name).endswith(plain)]
    if len(found) == 1:
        return found[0]
    raise unclear(
        told("`{text}` is none of these", text=text.strip()),
        told("write a number from 1 to {names}", names=len(names)),
    )


_NOT_BOTH = (
    (FLOOR, PLANKS, "the same floor is sanded or covered"),
    (DRYWALL, WALLPAPER, "the same walls get new board or lose their paper"),
)


def kinds_named(text: str) -> tuple[str, ...]:
    """The kinds of starter job of these names: `panel wall`, `panel-wall`, `repaint, floor`.

    Raises UnclearQuantityError.
    """

    def named(name: str) -> str:
        every = told("known are {names}", names=", ".join(f"`{kind}`" for kind in sorted(KINDS)))
        if slug(name).isdecimal():
            raise unclear(told("no starter job is called `{name}`", name=name), every)
        try:
            return chosen(name, KINDS)
        except ValueError:
            raise unclear(told("no starter job is called `{name}`", name=name), meant(name, KINDS, every)) from None

    return _together(tuple(map(named, _several(text) or [text])))


def _several(text: str) -> list[str]:
    """The entries of a list with commas, `and`, `+` or `&`."""
    return [each for each in re.split(r"\s*[,;+&]\s*|\s+and\s+", text.strip()) if each]


def _together(kinds: Sequence[str]) -> tuple[str, ...]:
    """Kinds of work, each once, that can be done in one room."""
    for one, other, why in _NOT_BOTH:
        if one in kinds and other in kinds:
            raise unclear(
                told("{one} and {other} do not go together: {why}", one=one, other=other, why=why),
                "leave out one of them",
            )
    return tuple(dict.fromkeys(kinds))


def families(so_far: Answers) -> tuple[str, ...]:
    """The families of material that the choice stands for."""
    return next((each.families for each in MATERIALS[so_far.kind] if each.name == so_far.material), ())


def read_kind(text: str, so_far: Answers) -> Answers:
    """The kinds of work, one or several: `1, 3`, `repaint and floor`."""
    kinds = _together([chosen(each, KINDS) for each in _several(text) or [text]])
    return replace(so_far, kind=kinds[0], kinds=kinds)


def read_material(text: str, so_far: Answers) -> Answers:
    """One of the materials of that kind of work."""
    if so_far.kind == REPAINT and slug(text) in ("none", "no", "nothing"):
        return replace(so_far, material=MATERIALS[REPAINT][0].name)
    return replace(so_far, material=chosen(text, tuple(choice.name for choice in MATERIALS[so_far.kind])))


def coloured(so_far: Answers) -> tuple[str, ...]:
    """The parts that get a colour, in the order in which colours are asked for: those that have none yet."""
    coloured = {part for one in so_far.each if one.kind != so_far.kind for _, part in one.colours}
    parts: tuple[str, ...] = ()
    if so_far.kind == PANEL:
        whole = so_far.band[1] is None or any(kind in WALL_COLOURS for kind in so_far.kinds)
        parts = ("panelling",) if whole else ("panelling", "wall above")
    elif so_far.kind in (REPAINT, DRYWALL):
        parts = tuple(part for part in so_far.parts if part != WASH)
    elif so_far.kind in WALL_COLOURS:
        parts = ("walls",)
    return tuple(part for part in parts if part not in coloured)


COATED = (FLOOR, FRONTS, WINDOWS, STAIR)
"""Kinds of work whose coats are counted and whose colour nobody asks for."""
MAYBE_BARE = (BATHROOM, SHOWER, DRYWALL)
"""Those after which the walls may stay as they are."""


def read_colours(text: str, so_far: Answers) -> Answers:
    """A colour for each part, `warm white, white`; for a floor, how many coats."""
    if so_far.kind in COATED:
        if not re.fullmatch(r"[1-9][0-9]{0,2}", text.strip()) or int(text) > MOST_COATS:
            raise unclear(
                told("`{text}` is no number of coats", text=text.strip()),
                told("write a number from 1 to {most_coats}", most_coats=MOST_COATS),
            )
        return replace(so_far, coats=int(text))
    parts = coloured(so_far)
    if so_far.kind in MAYBE_BARE and slug(text) == "none":
        return replace(so_far, colours=())
    given = _by_part(text, parts)
    fewest = 1 if so_far.kind == PANEL else len(parts)
    missing = [part for part in parts if part not in given]
    if len(given) < fewest or (missing and given.keys() != set(parts[: len(given)])):
        hint = told(
            "write one each for {names}, with commas; for all the same: `white everywhere`", names=", ".join(parts)
        )
        raise unclear(told("no colour is named for {names}", names=listing(missing)), hint)
    others = [name for one in so_far.each if one.kind != so_far.kind for name, _ in one.colours]
    same = [slug(name) for name in (*given.values(), *others)]
    repainted = [
        (name if same.count(slug(name)) == 1 else f"{name} {part}", part)
        for part in parts
        if (name := given.get(part)) is not None
    ]
    return replace(so_far, colours=tuple(repainted))


def _by_part(text: str, parts: Sequence[str]) -> dict[str, str]:
    """The colour of each part that an answer names: `white on the ceiling, yellow on the walls`, `walls: yellow`,
    `yellow walls`, `white everywhere`. What names no part goes to those that are left, in their order."""
    given: dict[str, str] = {}
    bare: list[str] = []
    for entry in re.split(r"[,;]|\s+and\s+(?!(?:the\s+)?(?:walls?|ceiling|trim|woodwork|wall above)\b)", text):
        plain = " ".join(entry.split())
        said, rest = _parted(plain, parts)
        name = plain_name(rest, "colour")
        if not said:
            bare.append(name)
        for part in said:
            if part in given:
                raise unclear(told("{part} is there twice", part=part), "name one colour for it")
            given[part] = name
    left = [part for part in parts if part not in given]
    if len(bare) > len(left):
        raise unclear(
            told("{given} named, {parts} wanted", given=len(given) + len(bare), parts=len(parts)),
            told("write one each for {names}", names=", ".join(parts)),
        )
    return {**given, **dict(zip(left, bare, strict=False))}


def _parted(entry: str, parts: Sequence[str]) -> tuple[list[str], str]:
    """The parts that an entry names, and what is left of it: the colour."""
    everywhere = re.sub(rf"\b(?:{_EVERYWHERE})\b", " ", entry, flags=re.IGNORECASE)
    if everywhere != entry:
        return list(parts), _bared(everywhere)
    said = []
    for part in parts:
        without = re.sub(rf"\b(?:{_CALLED.get(part, re.escape(part))})\b", " ", entry, flags=re.IGNORECASE)
        if without != entry:
            said.append(part)
            entry = without
    return said, _bared(entry) if said else entry


def _bared(text: str) -> str:
    """A colour without the small words around it."""
    return " ".join(
        re.sub(r"\b(?:on|for|in|the|a|an|and|is|are|as|paint(?:ed)?)\b|[:=]", " ", text, flags=re.I).split()
    )


def read_order(text: str, so_far: Answers) -> Answers:
    """What is on order and when it comes: `tiles 2027-01-20; primer in 2 weeks`, or `nothing`."""
    if text.strip().lower().rstrip(".") in ("nothing", "none", "no", "nope", "not yet", "nothing yet"):
        return replace(so_far, order=())
    items: dict[str, tuple[str, date]] = {}
    for entry in filter(None, re.split(r"\s*[,;]\s*", text.strip())):
        found = re.fullmatch(rf"(.+?)\s+(?:comes?\s+|on\s+|by\s+)*({_WHEN})", entry, re.IGNORECASE)
        if found is None:
            hint = told("write it such as `tiles {today}` or `tiles in 2 weeks`", today=so_far.today + timedelta(14))
            raise unclear(told("`{entry}` does not say when it comes", entry=entry), hint)
        name = plain_name(found[1], "name")
        items.setdefault(slug(name), (name, _day(found[2], so_far)))
    if len(items) > MOST_ITEMS:
        raise unclear(
            told("these are more than {most_items}", most_items=MOST_ITEMS), "write the others into the file"
        )
    return replace(so_far, order=tuple(items.values()))


def _day(text: str, so_far: Answers) -> date:
    today = so_far.today
    if text.lower().startswith("in "):
        day = today + timedelta(minutes=parse_duration(text[len("in ") :].strip()))
    else:
        day = said_day(text, today, "ahead", us=so_far.us)
    if day < today:
        raise unclear(told("`{text}` has passed", text=text), "leave out what is there already")
    return day


def plain_name(text: str, what: str) -> str:
    """A name of letters, digits and spaces, fit for a file. Raises UnclearQuantityError."""
    name = " ".join(text.split())
    if not slug(name) or not name.isprintable():
        raise unclear(
            told("`{name}` is no {what}", name=name, what=what) if name else told("a {what} is missing", what=what),
            "write a word or two",
        )
    odd = next((sign for sign in name if not (sign.isalnum() or sign in " -'’")), None) or stranger(name)
    if odd is not None or len(name) > LONGEST_NAME:
        long = (
            told("`{name}` is too long", name=name[:LONGEST_NAME])
            if odd is None
            else told("`{name}` holds `{odd}`", name=name, odd=odd)
        )
        raise unclear(
            long,
            told(
                "write a {what} of letters and spaces, up to {longest_name} of them",
                what=what,
                longest_name=LONGEST_NAME,
            ),
        )
    return name
