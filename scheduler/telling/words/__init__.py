"""Messages -> sentences. All that is said in one language stands in one file, a pattern for each kind of message.

In a pattern `{name}` is the value of that name as it stands; `{name:how}` says how it is put into words: as a moment,
a length, the title of a step. Any other `how` is a table of the language: `{stage:reached}` takes the words under
`reached.touch`.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from functools import cache
from string import Formatter
from typing import Protocol

from scheduler.model.message import Message, Value
from scheduler.telling.wording import Clockface, length_words
from scheduler.telling.words import en
from scheduler.wallclock import NEVER

PATTERNS: Mapping[str, Mapping[str, str]] = {"en": en.PATTERNS}
"""By language."""


class Named(Protocol):
    """What knows how steps and items are called, and the clock on the wall of the job."""

    face: Clockface

    def title(self, step: str, /) -> str:
        """The title of a step, by id."""

    def item_title(self, item: str, /) -> str:
        """The title of an item on order, by id."""


class Words:
    """Puts messages about one plan into the words of one language."""

    def __init__(self, names: Named, lang: str = "en") -> None:
        self.names = names
        self.patterns = PATTERNS[lang]
        self._how: Mapping[str, Callable[[Value], str]] = {
            "": str,
            "message": self._inside,
            "also": lambda value: f" {said}" if (said := self._inside(value)) else "",
            "all": self._all,
            "step": lambda value: f"“{self.names.title(str(value))}”",
            "steps": lambda value: ", ".join(f"“{self.names.title(str(each))}”" for each in _parts(value)),
            "item": lambda value: f"“{self.names.item_title(str(value))}”",
            "moment": lambda value: self._moment(_whole(value)),
            "day": lambda value: self.names.face.date(_whole(value)),
            "length": lambda value: length_words(_whole(value)),
        }

    def say(self, message: Message) -> str:
        """The sentence of a message. Raises KeyError for one that has no words."""
        values = dict(message.values)
        said = []
        for text, name, how in _parsed(self.patterns[message.kind]):
            said.append(text)
            if name and name in values:
                said.append(self._worded(values[name], how))
        return "".join(said)

    def _worded(self, value: Value, how: str) -> str:
        known = self._how.get(how)
        return known(value) if known is not None else self.patterns[f"{how}.{value}"]

    def _inside(self, value: Value) -> str:
        return self.say(value) if isinstance(value, Message) else str(value)

    def _all(self, value: Value) -> str:
        """Several parts of a sentence, each but the first after the word for `and`."""
        return self.patterns["and"].join(self._inside(each) for each in _parts(value))

    def _moment(self, minute: int) -> str:
        return self.patterns["never"] if minute >= NEVER else self.names.face.moment(minute)


def _parts(value: Value) -> tuple[Value, ...]:
    return value if isinstance(value, tuple) else (value,)


def _whole(value: Value) -> int:
    if not isinstance(value, int):
        raise TypeError(value)
    return value


@cache
def _parsed(pattern: str) -> tuple[tuple[str, str, str], ...]:
    """The parts of a pattern: text, and the name and the manner of what follows it ("" at the end)."""
    return tuple((text, name or "", how or "") for text, name, how, _ in Formatter().parse(pattern))
