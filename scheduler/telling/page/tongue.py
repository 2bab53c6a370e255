"""The words of the page in the household's language. English is the key; what has no translation stays English."""

from __future__ import annotations

import json
from collections.abc import Mapping
from functools import cache
from pathlib import Path

from scheduler.telling.dates import LocalFace
from scheduler.telling.words import PATTERNS


@cache
def phrases() -> Mapping[str, Mapping[str, str]]:
    """Every phrase of the page by its English, with its translations by language."""
    found: Mapping[str, Mapping[str, str]] = json.loads(
        Path(__file__).with_name("phrases.json").read_text(encoding="utf-8")
    )
    return found


NAMES = {"en": "English", "de": "German"}
"""The languages of jobs."""


class Tongue:
    """One language: called with an English phrase it gives the phrase; its `face` words dates."""

    def __init__(self, face: LocalFace):
        self.face = face
        self.lang = face.lang

    def __call__(self, phrase: str, **values: object) -> str:
        """The phrase, with {names} filled in."""
        found = phrases().get(phrase, {}).get(self.lang, phrase)
        return found.format(**values) if values else found

    def part(self, job: str) -> str:
        """What a page has to say of itself that is not in the language of its job; "" if there is nothing."""
        if job == self.lang:
            return ""
        said = self(
            "Steps, materials and cautions are in {language}, the language of the job.", language=self(NAMES[job])
        )
        return f"{said} {self('`language: {lang}` in the job file has them in this one.', lang=self.lang)}"

    def stage(self, stage: str) -> str:
        """A stage in plain words."""
        return self(PATTERNS["en"][f"means.{stage}"])
