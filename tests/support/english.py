"""What of a sentence has no words in another language yet."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping

from scheduler.errors import Fault
from scheduler.telling.words.sentences import sentences_in
from scheduler.told import Told, quoted

QUOTED = re.compile(r"`[^`]*`|“[^”]*”|„[^“]*“|\"[^\"]*\"")
"""What a person wrote, or is to write."""
AS_WRITTEN = {"keys", "names", "name", "surface", "surfaces", "fits", "hole", "days", "zone"}
"""What is filled in that is to be written so, or was, though no quotation marks stand around it."""
_WORD = re.compile(r"[^\W\d_]{2}")
_NAMES = re.compile(r"0x[0-9a-f]{2}|UTF-(?:16|32)|[A-Z -]+(?: \(U\+[0-9A-F]{4,}\))?")
"""A byte, an encoding, a character of Unicode: they are called so everywhere."""


def left_in(faults: Iterable[Fault], lang: str = "de") -> set[str]:
    """Every template, sentence and word in some faults that the language does not know."""
    known = sentences_in(lang)
    return {
        text
        for fault in faults
        for part in (fault.message, fault.hint, *fault.choices)
        for text in left_of(part, known)
    }


def left_of(text: object, known: Mapping[str, str]) -> Iterator[str]:
    """The same of one text."""
    if isinstance(text, Told):
        if text.template not in known and _is_worded(re.sub(r"{\w+}", "", text.template)):
            yield text.template
        for name, value in text.values.items():
            if name not in quoted(text.template) and (isinstance(value, Told) or name not in AS_WRITTEN):
                yield from left_of(value, known)
    elif isinstance(text, str) and text not in known and _is_worded(text) and not _NAMES.fullmatch(text):
        yield text


def _is_worded(text: str) -> bool:
    return _WORD.search(QUOTED.sub("", text)) is not None
