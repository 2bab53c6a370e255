"""The words of the trade in the language of a job: titles of steps, materials, wares, cautions.

They are data as the rest of a profile is. What a profile says in English stands under that English in
`profiles/words/LANGUAGE.yaml`. Ids, and what a person types, are never turned; nor is what a person wrote, but where
a room or a part of it bears a name that the file knows: `walls`, `ceiling`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, fields, is_dataclass, replace
from typing import Any, TypeVar

Any_ = TypeVar("Any_")

ENGLISH = "en"
"""The language in which the profiles are written."""

LANGUAGES = (ENGLISH, "de")
"""Those in which a job can be told as a whole."""

SAID: Mapping[str, tuple[str, ...]] = {
    "Method": ("title", "asks"),
    "Template": ("title", "side"),
    "Material": ("title", "clean_up"),
    "Remedy": ("title",),
    "Caution": ("text", "name", "short", "wear", "masks", "cites", "asks", "to_wear", "to_ask"),
    "Beware": ("text", "plain", "short", "name"),
    "Shelf": ("packs", "small_things", "other_small_things"),
    "Ware": ("title", "pack"),
    **dict.fromkeys(("Room", "Wall", "Part", "Colour", "Thing"), ("title",)),
}
"""By kind of record: which of its fields are texts that somebody reads."""


@dataclass(frozen=True, slots=True)
class TradeWords:
    """The texts of the trade in one language, each by its English."""

    lang: str = ENGLISH
    said: Mapping[str, str] = field(default_factory=dict)

    def __call__(self, english: str) -> str:
        """The text in this language; as it stands where it has none here, as a person's own has not.

        What stands at its end in brackets, as a source does, may be turned apart from the rest.
        """
        found = self.said.get(english)
        if found is not None or not self.said:
            return english if found is None else found
        head, source = parted(english)
        said = self.said.get(head)
        return english if said is None or not source else f"{said} ({self.said.get(source, source)})"

    def over(self, record: Any_) -> Any_:
        """A record of the trade with every text in it, and in the records that it holds, in this language."""
        found: Any_ = _turned(record, self) if self.said else record
        return found


def parted(text: str) -> tuple[str, str]:
    """A text and what stands in brackets at its end: `("wear goggles", "no source")`; "" if nothing does."""
    if not text.endswith(")"):
        return text, ""
    depth = 0
    for place in range(len(text) - 1, -1, -1):
        depth += {")": 1, "(": -1}.get(text[place], 0)
        if not depth:
            return (text[: place - 1], text[place + 1 : -1]) if text[place - 1 : place] == " " else (text, "")
    return text, ""


def texts_of(record: object) -> Iterator[str]:
    """Every text of a record of the trade that somebody reads, and of the records that it holds."""
    if isinstance(record, tuple):
        for each in record:
            yield from texts_of(each)
    elif is_dataclass(record) and not isinstance(record, type):
        said = SAID.get(type(record).__name__, ())
        for each in fields(record):
            value = getattr(record, each.name)
            yield from _plain(value) if each.name in said else texts_of(value)


def _plain(value: object) -> Iterator[str]:
    """The texts of a field: one, or those of pairs of a region and a text, or of a mapping."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, Mapping):
        yield from value.values()
    elif isinstance(value, tuple):
        yield from (text for _, text in value)


def _turned(record: Any, words: TradeWords) -> Any:
    if isinstance(record, tuple):
        return tuple(_turned(each, words) for each in record)
    if not is_dataclass(record) or isinstance(record, type):
        return record
    said = SAID.get(type(record).__name__, ())
    changed = {}
    for each in fields(record):
        value = getattr(record, each.name)
        new = _said(value, words) if each.name in said else _turned(value, words)
        if new != value:
            changed[each.name] = new
    return replace(record, **changed) if changed else record


def _said(value: Any, words: TradeWords) -> Any:
    if isinstance(value, str):
        return words(value)
    if isinstance(value, Mapping):
        return {key: words(text) for key, text in value.items()}
    return tuple((region, words(text)) for region, text in value)
