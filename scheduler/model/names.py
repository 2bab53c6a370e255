"""Ids out of the names that people give (`Glue backer` and `glue backer` are one step), and what was meant by a
name that nobody knows."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from functools import lru_cache
from heapq import nlargest

from scheduler.told import either, told

_ALPHABETS = ("LATIN", "GREEK", "CYRILLIC")
# Small letters of Cyrillic and Greek that are drawn like a Latin one, themselves or as capitals (from memory).
_ALIKE = str.maketrans("авеікмнорсѕтухјһԁԛԝαβεικμνορτυχ", "abeikmhopcstyxjhdqwabeikmvoptyx")
_FEW = 8
"""So many names are told where none is meant for sure."""
_SHORT, _MIDDLING = 5, 10
"""Letters: up to so many one slip is forgiven (two where both begin alike), up to so many two."""
_BEGUN = 2
"""Letters in which two short words begin alike."""
_LONGEST = 80
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
    """The known name that is spelt nearly as a wrong one, if any: a letter or two off, more in a long name."""
    wrong = slug(name)[:_LONGEST]
    found = [(slips(wrong, slug(each)), each) for each in likest(wrong, known, _COMPARED)]
    near = [(off, each) for off, each in found if off <= _allowed(wrong, slug(each))]
    return min(near, key=lambda pair: pair[0])[1] if near else None


def _allowed(one: str, other: str) -> int:
    """How many slips still make a name of that length known: a short word of as many would be any other word."""
    longest = max(len(one), len(other))
    if longest <= _SHORT and one[:_BEGUN] != other[:_BEGUN]:
        return 1
    return 2 if longest <= _MIDDLING else 3


def slips(one: str, other: str) -> int:
    """How many letters are left out, put in, taken for another, or swapped with their neighbour (the distance of
    optimal string alignment: F. J. Damerau, Communications of the ACM 7 (1964), from memory)."""
    before: list[int] = []
    last = list(range(len(other) + 1))
    for at, letter in enumerate(one, start=1):
        row = [at]
        for column, sign in enumerate(other, start=1):
            least = min(last[column] + 1, row[-1] + 1, last[column - 1] + (letter != sign))
            if at > 1 and column > 1 and letter == other[column - 2] and one[at - 2] == sign:
                least = min(least, before[column - 2] + 1)
            row.append(least)
        before, last = last, row
    return last[-1]


def likest(name: str, known: Iterable[str], most: int) -> list[str]:
    """So many of the known names at most: those that share most pairs of letters with a wrong one, the likest first.

    Comparing well is slow: of many names only these are compared.
    """
    pairs = _pairs(slug(name)[:_LONGEST])
    return nlargest(most, sorted(known), key=lambda each: len(pairs & _pairs(each.casefold())))


@lru_cache(_KEPT)
def _pairs(word: str) -> frozenset[str]:
    return frozenset(word[at : at + 2] for at in range(len(word)))


def meant(name: str, known: Iterable[str], see: str = "") -> str:
    """What would be right instead of an unknown name: the one that is spelt nearly so, or that holds all its words;
    else what there is to choose from, of many those of its kind (`primer` in `oil-primer`), or where to `see` all."""
    names = sorted(set(known))
    alike = look_alike(name, names)
    if alike is not None:
        return told("did you mean `{alike}`? Yours is written with a {alike2}", alike=alike[0], alike2=alike[1])
    near = nearest(name, names)
    whole = [near] if near is not None else _with_all_words(name, names)
    if 0 < len(whole) <= _FEW // 2:
        return told("did you mean {names}?", names=either(f"`{each}`" for each in whole))
    if not names:
        return "there is none to name"
    listed = whole or _of_a_kind(name, names)
    if see and not listed and len(names) > _FEW:
        return see
    listed = listed or names
    some = ", ".join(f"`{each}`" for each in listed[:_FEW])
    if len(names) > len(listed[:_FEW]):
        return told("known are {some} and others", some=some)
    return told("known are {some}", some=some)


def _with_all_words(name: str, known: Iterable[str]) -> list[str]:
    """The names that hold every word of a wrong one: it may be a shorter form of theirs."""
    words = _words(name)
    return [each for each in known if words and words <= _words(each)]


def _words(name: str) -> set[str]:
    """The words of a name, one or several of a thing alike; without the smallest, which say nothing."""
    return {word.removesuffix("s") for word in slug(name).split("-") if len(word) > len("of")}


def _of_a_kind(name: str, known: list[str]) -> list[str]:
    """Of many names those that end in the same word, which says what kind of thing it is."""
    kind = slug(name).rpartition("-")[2]
    return [each for each in known if slug(each).rpartition("-")[2] == kind] if len(known) > _FEW else []
