"""Ids out of the names that people give (`Glue backer` and `glue backer` are one step), and what was meant by a
name that nobody knows."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable
from difflib import get_close_matches
from heapq import nlargest

_ALPHABETS = ("LATIN", "GREEK", "CYRILLIC")
_FEW = 8
_COMPARED = 20


def slug(name: str) -> str:
    """The id of a name: lower case, letters and digits of any script without their accents, one hyphen between.

    Empty if the name has no letter and no digit.
    """
    parts = unicodedata.normalize("NFKD", unicodedata.normalize("NFKC", name).casefold())
    kept = "".join(sign for sign in parts if not unicodedata.combining(sign))
    return re.sub(r"[\W_]+", "-", kept).strip("-")


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


def nearest(name: str, known: Iterable[str]) -> str | None:
    """The known name that is most like a wrong one, if any is much like it."""
    wrong = slug(name)[:80]
    pairs = _pairs(wrong)
    # Comparing well is slow; of many names only those that share most pairs of letters are compared.
    likely = nlargest(_COMPARED, sorted(known), key=lambda each: len(pairs & _pairs(each.casefold())))
    by_slug = {slug(each): each for each in likely}
    near = get_close_matches(wrong, by_slug, n=1, cutoff=0.6)
    return by_slug[near[0]] if near else None


def _pairs(word: str) -> set[str]:
    return {word[at : at + 2] for at in range(len(word))}


def meant(name: str, known: Iterable[str]) -> str:
    """What would be right instead of an unknown name: the nearest known one, or what there is to choose from."""
    names = sorted(set(known))
    near = nearest(name, names)
    if near is not None:
        return f"did you mean `{near}`?"
    if not names:
        return "there is none to name"
    some = ", ".join(f"`{each}`" for each in names[:_FEW])
    return f"known are {some}" + (" and others" if len(names) > _FEW else "")
