"""Which step or item is meant: its id, its title, a part of either or words of it that no other one has. Pure."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from scheduler.errors import Fault, InputError, Place, brief, wrong_input
from scheduler.model.names import likest, look_alike, meant, nearest, slug
from scheduler.told import told

_FEW = 6
"""So many names are all told; of more, the nearest."""
_BY_ID = "name one by its id"
_QUOTED = re.compile(r"\([^()]*\)")
_ALL = {
    "step": "`tackfree plan JOB` shows them all",
    "item on order": "see `on order` in the job file",
    "item on order or appointment": "see `on order` and `appointments` in the job file",
    "thing to buy": "`tackfree buy JOB` lists them",
    "room": "see `rooms` in the job file",
}
"""Where all that there are to choose from can be seen, by kind."""


def named(text: str, titles: Mapping[str, str], kind: str, where: str) -> str:
    """The id that a person means; `titles` are those to choose from, by id; `where` is the name of the argument.

    A whole id goes before a whole title, that before a part of one, that before words of one (“hang boards” of “Hang
    the boards”), and what a title quotes of another in brackets counts last. Raises InputError: for a part that
    several have with their names, for one that nobody has with the nearest.
    """
    wanted = slug(text)
    if wanted in titles:
        return wanted
    whole = [name for name, title in titles.items() if slug(title) == wanted]
    part = [name for name, title in titles.items() if wanted and (wanted in name or wanted in slug(title))]
    own = [name for name in part if wanted in name or wanted in slug(_QUOTED.sub("", titles[name]))]
    found = whole or own or part or _with_words(wanted, titles)
    if len(found) == 1:
        return found[0]
    place = Place(where)
    if not found:
        raise wrong_input(
            place, told("the job has no {kind} “{text}”", kind=kind, text=brief(text)), _instead(text, titles, kind)
        )
    raise InputError(
        [
            Fault(
                place,
                told("“{text}” may be one of {found}", text=brief(text), found=len(found)),
                _BY_ID,
                _choices(found, titles),
            )
        ]
    )


def _with_words(wanted: str, titles: Mapping[str, str]) -> list[str]:
    """Those in whose title, what it quotes left out, all words stand that a person wrote, in any order."""
    words = {*wanted.split("-")} - {""}
    unquoted = ((name, slug(_QUOTED.sub("", title))) for name, title in titles.items())
    return [name for name, title in unquoted if words and words <= {*title.split("-")}]


def _choices(found: Sequence[str], titles: Mapping[str, str]) -> tuple[str, ...]:
    """A line for each, and how many there are besides."""
    shown = tuple(f"`{name}` {titles[name]}" for name in found[:_FEW])
    return (*shown, told("and {more} more", more=len(found) - _FEW)) if len(found) > _FEW else shown


def _instead(text: str, titles: Mapping[str, str], kind: str) -> str:
    """The one that was meant, all if they are few, or else the likest and where to see all."""
    known = [*titles, *titles.values()]
    if nearest(text, known) is not None or look_alike(text, known) is not None:
        return meant(text, known)
    if len(titles) <= _FEW:
        return meant(text, titles)
    some = ", ".join(f"`{name}`" for name in likest(text, titles, 3))
    return told("some are {some}; {all}", some=some, all=_ALL[kind])
