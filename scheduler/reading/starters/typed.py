"""What a person may type to the questions in another language than English, and what stands for it in English.

The readers of answers know English words; an answer in German is turned word by word before it is read, and what
Enter stands for is shown in German words that are turned back into the same. Names that a person gives are left
alone: each question says of what its answers are.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache

from scheduler.model.names import slug
from scheduler.told import Told, quoted, told

TIMES, PARTS = "times", "parts"
"""What an answer is made of: days, hours and numbers of people; parts of a room, and how many there are of what."""

# English, what is shown for it, and what else may be typed. The longer ones go before those that they hold.
_GERMAN: Mapping[str, tuple[tuple[str, str, str], ...]] = {
    TIMES: (
        ("monday", "Montag", "montags"),
        ("tuesday", "Dienstag", "dienstags"),
        ("wednesday", "Mittwoch", "mittwochs"),
        ("thursday", "Donnerstag", "donnerstags"),
        ("friday", "Freitag", "freitags"),
        ("saturday", "Samstag", "samstags, sonnabend, sonnabends"),
        ("sunday", "Sonntag", "sonntags"),
        ("weekdays", "werktags", "unter der woche"),
        ("weekends", "Wochenende", "wochenenden, am wochenende"),
        ("every day", "täglich", "jeden tag"),
        ("evenings", "abends", "abend"),
        ("mornings", "vormittags", "vormittag"),
        ("afternoons", "nachmittags", "nachmittag"),
        ("only this weekend", "nur dieses Wochenende", ""),
        ("every week", "jede Woche", "jedes wochenende"),
        ("no break", "keine Pause", "ohne pause"),
        ("break", "Pause", ""),
        ("no quiet", "keine Ruhe", ""),
        ("quiet", "Ruhe", "ruhezeit, leise"),
        ("zone", "Zeitzone", ""),
        ("in", "in", ""),
        ("weeks", "Wochen", "woche"),
        ("days", "Tagen", "tag, tage"),
        ("today", "heute", ""),
        ("tomorrow", "morgen", ""),
        ("next", "nächsten", "nächste, nächster"),
        ("as soon as possible", "so bald wie möglich", "sofort"),
        ("january", "Januar", "jänner"),
        ("february", "Februar", "feber"),
        ("march", "März", "maerz"),
        ("may", "Mai", ""),
        ("june", "Juni", ""),
        ("july", "Juli", ""),
        ("october", "Oktober", ""),
        ("december", "Dezember", ""),
        ("people", "Leute", "leuten, personen"),
        ("myself", "allein", "alleine, ich"),
        ("two", "zwei", "zu zweit"),
        ("three", "drei", "zu dritt"),
        ("to", "bis", ""),
        ("on", "am", "kommt, kommen"),
        ("and", "und", ""),
        ("none", "keine", "kein, keiner, nie"),
        ("nothing", "nichts", "noch nichts"),
        ("", "Uhr", ""),
    ),
    PARTS: (
        ("north", "Nord", "norden, nordwand"),
        ("east", "Ost", "osten, ostwand"),
        ("south", "Süd", "süden, südwand"),
        ("west", "West", "westen, westwand"),
        ("wall above", "Wand darüber", ""),
        ("walls", "Wände", "wand, wänden"),
        ("ceiling", "Decke", ""),
        ("trim", "Leisten", "leiste, zierleisten, holzwerk"),
        ("panelling", "Täfelung", ""),
        ("wash", "waschen", "abwaschen"),
        ("furniture", "Möbel", ""),
        ("shoe moulding", "Sockelleiste", "sockelleisten, viertelstab"),
        ("old carpet", "alter Teppich", "teppich, teppichboden"),
        ("layers", "Lagen", "schichten"),
        ("layer", "Lage", "schicht"),
        ("fronts", "Fronten", "front"),
        ("holes", "Löcher", "loch, löchern"),
        ("places", "Plätze", "platz"),
        ("stuck", "klemmend", "klemmende, klemmen"),
        ("panes", "Scheiben", "scheibe"),
        ("treads", "Stufen", "stufe"),
        ("balusters", "Stäbe", "stab"),
        ("door", "Tür", "türen"),
        ("window", "Fenster", ""),
        ("everywhere", "überall", ""),
        ("all", "alle", "alles"),
        ("from", "von", "ab"),
        ("up to", "bis", "hoch bis"),
        ("on", "auf", "an, in der, an der, auf der, im"),
        ("one", "ein", "eine, einen"),
        ("two", "zwei", ""),
        ("three", "drei", ""),
        ("and", "und", ""),
        ("none", "keine", "kein, keines, nichts"),
    ),
}
_WORDS: Mapping[str, Mapping[str, tuple[tuple[str, str, str], ...]]] = {"de": _GERMAN}

_CALLED: Mapping[str, Mapping[str, str]] = {
    "de": {
        "deep green": "tannengrün",
        "off white": "cremeweiß",
        "warm white": "warmweiß",
        "white": "weiß",
        "satin white": "seidenweiß",
        "pale blue": "blassblau",
        "study": "Arbeitszimmer",
        "spare room": "Gästezimmer",
        "living room": "Wohnzimmer",
        "bedroom": "Schlafzimmer",
        "bathroom": "Badezimmer",
        "basement": "Keller",
        "kitchen": "Küche",
        "hall": "Flur",
    }
}
"""Names of colours and rooms for whoever gives none of their own."""


def called(name: str, language: str) -> str:
    """What a colour or a room is called in a language where nobody says."""
    return _CALLED.get(language, {}).get(name, name)


def in_english(text: str, language: str, *of: str) -> str:
    """An answer as the readers know it; `of` is what it may be made of. What is no such word stays."""
    for pattern, words in _turning(language, of):
        text = pattern.sub(lambda found, words=words: words[found[0].casefold()], text)  # type: ignore[misc]
    return text


def shown(text: str, language: str, *of: str) -> str:
    """What Enter stands for, in words that are read as the same."""
    for each in of:
        rows = sorted(_WORDS.get(language, {}).get(each, ()), key=lambda row: -len(row[0]))
        if rows:
            said = {row[0]: row[1] for row in rows if row[0]}
            text = _either(said).sub(lambda found, said=said: said[found[0].casefold()], text)  # type: ignore[misc]
    return text


def as_typed(text: str, language: str, *of: str) -> str:
    """A sentence about an answer with what it quotes of it in the words of the person again."""
    if not isinstance(text, Told):
        return text
    said = {
        name: shown(value, language, *of) if isinstance(value, str) and name in quoted(text.template) else value
        for name, value in text.values.items()
    }
    return told(text.template, **said)


def chosen_of(text: str, listed: tuple[str, ...]) -> str:
    """The number of the entry of a list whose name begins with the answer, or the answer as it stands."""
    names = [re.split(r"[:(]", each)[0] for each in listed]
    for end in ("-", ""):
        fits = [at for at, name in enumerate(names, 1) if slug(text) and f"-{slug(text)}{end}" in f"-{slug(name)}-"]
        if len(fits) == 1:
            return str(fits[0])
    return text


@cache
def _turning(language: str, of: tuple[str, ...]) -> tuple[tuple[re.Pattern[str], dict[str, str]], ...]:
    found = []
    for each in of:
        words = {
            word.strip().casefold(): english
            for english, first, others in _WORDS.get(language, {}).get(each, ())
            for word in (first, *others.split(","))
            if word.strip()
        }
        if words:
            found.append((_either(words), words))
    return tuple(found)


def _either(words: Mapping[str, str]) -> re.Pattern[str]:
    """Any of these as whole words, the longest first."""
    some = "|".join(map(re.escape, sorted(words, key=lambda word: -len(word))))
    return re.compile(rf"\b(?:{some})\b", re.IGNORECASE)
