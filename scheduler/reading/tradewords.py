"""profiles/words/LANGUAGE.yaml -> the words of the trade in that language."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import Field

from scheduler.errors import wrong_input
from scheduler.model.tradewords import ENGLISH, LANGUAGES, TradeWords
from scheduler.reading.profileparts import Form, form_of, one_of
from scheduler.reading.remembered import remembered
from scheduler.reading.scalars import Text
from scheduler.reading.shipped import shipped_profiles
from scheduler.reading.yamlfile import load_yaml

FOLDER = "words"


class WordsForm(Form):
    """The whole file: what is called the same, and everything else by its English."""

    language: Annotated[str, one_of(LANGUAGES, "language")]
    same: tuple[Text, ...] = ()
    said: dict[Text, Text] = Field(default_factory=dict)


def trade_words(lang: str) -> TradeWords:
    """The words of one language; none in English, in which the profiles are. Raises InputError."""
    if lang == ENGLISH:
        return TradeWords()
    return remembered(f"words-{lang}", TradeWords, lambda: _read(shipped_profiles() / FOLDER / f"{lang}.yaml"))


def _read(path: Path) -> TradeWords:
    data, positions = load_yaml(path, typed=False)
    if not isinstance(data, dict):
        raise wrong_input(positions.value(), "there are no words here", "write `language: …`, `said: …`")
    form = form_of(WordsForm, data, positions)
    return TradeWords(form.language, {**{text: text for text in form.same}, **form.said})
