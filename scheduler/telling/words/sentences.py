"""Sentences that stand in English in the code, in other languages: of faults, of questions, of the help."""

from __future__ import annotations

from collections.abc import Mapping
from importlib import import_module

from scheduler.model.tradewords import ENGLISH


def sentences_in(lang: str, about: str = "faults") -> Mapping[str, str]:
    """The sentences of a language by their English templates (see `scheduler.told`); none in English itself.

    `about` is of what they are: of `faults`, of the questions and the job file of `starter`, of `help`.
    """
    if lang == ENGLISH:
        return {}
    found: Mapping[str, str] = import_module(f"scheduler.telling.words.{about}_{lang}").SENTENCES
    return found
