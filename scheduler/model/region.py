"""Whose rules hold: the regions of a country, the nearest first."""

from __future__ import annotations

_EU = "at be bg cy cz de dk ee es fi fr gr hr hu ie it lt lu lv mt nl pl pt ro se si sk"
EU = frozenset(_EU.split(" "))
"""The members of the European Union by the two letters of ISO 3166-1 (2020 to 2026; from memory)."""

_EEA = frozenset({"is", "li", "no"})
"""Members of the European Economic Area, in which the Union's law on materials and products holds (from memory)."""

_OWN_WORD = {"gb": "uk", "gg": "uk", "im": "uk", "je": "uk"}

ELSEWHERE = "elsewhere"


def is_region(word: str) -> bool:
    """Whether a word of a profile is that of a region: `eu`, `uk`, the two letters of a country, or ELSEWHERE."""
    return word == ELSEWHERE or (len(word) == 2 and word.isascii() and word.isalpha())


def regions_of(country: str | None) -> tuple[str, ...]:
    """The regions whose word counts in a country (ISO 3166-1, two letters), in the order in which they are asked.

    `de` is asked before `eu` and that before `elsewhere`; of an unknown country only `elsewhere` is.
    """
    if country is None:
        return (ELSEWHERE,)
    code = country.lower()
    return (_OWN_WORD.get(code, code), *(["eu"] if code in EU | _EEA else []), ELSEWHERE)
