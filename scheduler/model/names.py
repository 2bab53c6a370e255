"""Ids out of the names that people give (`Glue backer` and `glue backer` are one step), and what was meant by a
name that nobody knows."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from difflib import get_close_matches
from functools import lru_cache
from heapq import nlargest

_ALPHABETS = ("LATIN", "GREEK", "CYRILLIC")
# Small letters of Cyrillic and Greek that are drawn like a Latin one, themselves or as capitals (from memory).
_ALIKE = str.maketrans("авеікмнорсѕтухјһԁԛԝαβεικμνορτυχ", "abeikmhopcstyxjhdqwabeikmvoptyx")
_FEW = 8
"""So many names are told where none is meant for sure."""
_COMPARED = 20
"""Names, the likest by their ids, that a wrong one is compared with letter by letter."""
_KEPT = 1 << 14
"""Names whose ids are remembered: each is asked for again and again while a job is read."""


APART = "touches no other colour of the order, so nothing is settled by it"
APART_HINT = "leave it out of the order, or say where it touches one under `borders`"
"""Of a colour in an order that counts only where two colours touch."""


@lru_cache(_KEPT)
def slug(name: str) -> str:
    """The id of a name: lower case, letters and digits of any script without their accents, one hyphen between.

    Empty if the name has no letter and no digit.
    """
    parts = unicodedata.normalize("NFKD", unicodedata.normalize("NFKC", name).casefold())
    kept = "".join(sign for sign in parts if not unicodedata.combining(sign))
    return re.sub(r"[\W_]+", "-", kept).strip("-")


def tape_of(colour: str) -> str:
    """The id of the task that tapes off for a colour."""
    return f"{colour}-tape"


def coat_of(colour: str, coat: int) -> str:
    """The id of the task that rolls a coat, counted from 1."""
    return f"{colour}-coat-{coat}"


def pull_of(colour: str) -> str:
    """The id of the task that pulls the tape of a colour."""
    return f"{colour}-pull"


def stranger(name: str) -> str | None:
    """The first letter that only looks at home in its word, as `CYRILLIC SMALL LETTER A`, or None.

    A word of Latin, Greek or Cyrillic letters that holds one of another of these alphabets can't be found by who
    types it again.
    """
    for word in re.findall(r"[^\W\d_]+", name):
        home = ""
        for sign in word:
            alphabet = next((each for each in _ALPHABETS if unicodedata.name(sign, "").startswith(each)), "")
            if alphabet and home and alphabet != home:
                return unicodedata.name(sign)
            home = home or alphabet
    return None


def look_alike(name: str, known: Iterable[str]) -> tuple[str, str] | None:
    """The known name that looks just like another one, and the first letter of another alphabet in that one."""
    wrong = slug(name)
    latin = wrong.translate(_ALIKE)
    odd = next((sign for sign, plain in zip(wrong, latin, strict=True) if sign != plain), None)
    found = next((each for each in known if odd is not None and slug(each) == latin), None)
    return None if found is None or odd is None else (found, unicodedata.name(odd))


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name that is most like a wrong one, if any is much like it."""
    wrong = slug(name)[:80]
    by_slug = {slug(each): each for each in likest(wrong, known, _COMPARED)}
    near = get_close_matches(wrong, by_slug, n=1, cutoff=0.6)
    return by_slug[near[0]] if near else None


def likest(name: str, known: Iterable[str], most: int) -> list[str]:
    """So many of the known names at most: those that share most pairs of letters with a wrong one, the likest first.

    Comparing well is slow: of many names only these are compared.
    """
    pairs = _pairs(slug(name)[:80])
    return nlargest(most, sorted(known), key=lambda each: len(pairs & _pairs(each.casefold())))


@lru_cache(_KEPT)
def _pairs(word: str) -> frozenset[str]:
    return frozenset(word[at : at + 2] for at in range(len(word)))


def meant(name: str, known: Iterable[str]) -> str:
    """What would be right instead of an unknown name: the nearest known one, or what there is to choose from."""
    names = sorted(set(known))
    alike = look_alike(name, names)
    if alike is not None:
        return f"did you mean `{alike[0]}`? Yours is written with a {alike[1]}"
    near = nearest(name, names)
    if near is not None:
        return f"did you mean `{near}`?"
    if not names:
        return "there is none to name"
    some = ", ".join(f"`{each}`" for each in names[:_FEW])
    return f"known are {some}" + (" and others" if len(names) > _FEW else "")
