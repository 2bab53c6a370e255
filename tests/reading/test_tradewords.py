"""What the profiles say has its words in every language in which a job is told."""

from __future__ import annotations

from collections.abc import Iterator
from functools import cache
from string import Formatter

import pytest

from scheduler.buying.shopping import CARTRIDGE
from scheduler.expanding import colours, draft, hindsight
from scheduler.expanding.scope import templates
from scheduler.model.beware import Beware
from scheduler.model.material import Caution
from scheduler.model.method import MethodOption, Template
from scheduler.model.scope import Scope
from scheduler.model.tradewords import ENGLISH, LANGUAGES, TradeWords, parted, texts_of
from scheduler.reading import KINDS, read_job_text, starter_text
from scheduler.reading.methods import read_methods
from scheduler.reading.profiles import read_trade
from scheduler.reading.tradewords import trade_words

OTHERS = [lang for lang in LANGUAGES if lang != ENGLISH]

PUT_TOGETHER = (
    *(colours.COAT, colours.TAPE_OFF, colours.PULL, hindsight.WIPED, *hindsight.MORE.values()),
    *(draft.WEIGHT, draft.WEIGHT_SHORT, draft.WEIGHED, templates.SWEPT, templates.SOME_OF, CARTRIDGE, "bag"),
)
"""What the program makes titles and packs of, beside what stands in profiles/."""


@cache
def said() -> dict[str, str]:
    """Every text of the shipped profiles that somebody reads, with where it stands."""
    found = dict.fromkeys(PUT_TOGETHER, "the program")
    trade, methods = read_trade(None), read_methods(None)
    for name, record in (
        *((f"profiles/methods/{method.id}.yaml", method) for method in methods.loaded.values()),
        *((f"profiles/materials/{material.id}.yaml", material) for material in trade.materials),
        *(("profiles/tape.yaml", trade.tape), ("profiles/wares.yaml", trade.shelf)),
        ("profiles/cautions.yaml", trade.cautions),
    ):
        found |= dict.fromkeys(filter(None, texts_of(record)), name)
    for kind in KINDS:
        job = read_job_text(starter_text(kind), kind)
        scope = job.scope or Scope()
        named = (*job.colours, *scope.parts, *(wall for room in scope.rooms for wall in room.walls))
        own = {room.title for room in job.rooms}
        found |= dict.fromkeys({each.title for each in named} - own, f"tackfree starter --kind {kind}")
    materials = {material.id for material in trade.materials}
    for method in methods.loaded.values():
        wares = (ware for template in method.templates for ware in _wares(template))
        words = (str(option.default) for option in method.options if option.kind == "word")
        for ware in (*wares, *words):
            if ware not in materials:
                found.setdefault(ware, f"profiles/methods/{method.id}.yaml")
    return found


def _wares(template: Template) -> Iterator[str]:
    """What a step uses up and is called by its name on the list of what to buy."""
    return (use.what for use in template.uses if "{" not in use.what)


def fields_of(text: str) -> set[str]:
    return {name for _, name, _, _ in Formatter().parse(text) if name}


def lacks(words: TradeWords, english: str) -> tuple[str, ...]:
    """What of a text has no words in a language: the whole, or one of its two parts."""
    if english in words.said or not english:
        return ()
    head, source = parted(english)
    if not source or head not in words.said:
        return (english,)
    return () if source in words.said else (source,)


@pytest.mark.parametrize("lang", OTHERS)
def test_every_text_of_the_profiles_has_its_words(lang: str) -> None:
    """Whoever adds a step, a material or a caution adds its words in each language: the message names what is lacking
    and where it stands."""
    words = trade_words(lang)
    lacking = {lack: place for text, place in said().items() for lack in lacks(words, text)}
    assert not lacking, "\n" + "\n".join(
        f'add to `said` of profiles/words/{lang}.yaml:  "{text}": "…"   (it stands in {place})'
        for text, place in lacking.items()
    )


@pytest.mark.parametrize("lang", OTHERS)
def test_no_words_are_kept_for_what_nobody_says(lang: str) -> None:
    """A text that was changed in the profiles takes its old words along."""
    parts = {part for text in said() for part in (text, *parted(text))}
    idle = sorted(trade_words(lang).said.keys() - parts)
    assert idle == [], f"take out of profiles/words/{lang}.yaml: {idle}"


@pytest.mark.parametrize("lang", OTHERS)
def test_what_is_filled_in_is_filled_in_in_every_language(lang: str) -> None:
    """`{part}` and `{n}` of a title stand in its words too."""
    for english, ours in trade_words(lang).said.items():
        assert fields_of(english) == fields_of(ours), english


def test_a_source_in_brackets_is_turned_apart_from_its_sentence() -> None:
    """So that what is said with several sources needs its words once; and what is not known stays as it stands."""
    words = TradeWords("de", {"open the window": "Fenster auf", "from memory": "aus dem Gedächtnis"})
    assert words("open the window (from memory)") == "Fenster auf (aus dem Gedächtnis)"
    assert words("my own words (from memory)") == "my own words (from memory)"
    assert lacks(words, "open the window (my own sheet)") == ("my own sheet",)


def test_records_are_turned_as_a_whole_and_names_are_not() -> None:
    """Texts for people are turned, wherever they stand; ids, kinds and what is typed are not."""
    words = TradeWords("de", {"sand": "schleifen", "keep off": "fernbleiben", "dust": "Staub", "P2": "P2-Maske"})
    caution = Caution(text="keep off", kind="sand", source="sand", name="dust", masks=(("eu", "P2"),))
    turned = words.over((caution, MethodOption(name="sand", kind="word", default="sand")))
    assert turned == (
        Caution(text="fernbleiben", kind="sand", source="sand", name="Staub", masks=(("eu", "P2-Maske"),)),
        MethodOption(name="sand", kind="word", default="sand"),
    )
    assert words.over(Beware("keep off", name="dust")) == Beware("fernbleiben", name="Staub")
