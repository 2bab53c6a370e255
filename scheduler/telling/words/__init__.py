"""Messages -> sentences. All that is said in one language stands in one file, a pattern for each kind of message.

In a pattern `{name}` is the value of that name as it stands; `{name:how}` says how it is put into words: as a moment,
a length, the title of a step. Any other `how` is a table of the language: `{stage:reached}` takes the words under
`reached.touch`.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from string import Formatter
from typing import Protocol, TypeAlias

from scheduler.model.basics import Span
from scheduler.model.job import Job
from scheduler.model.message import Message, Value
from scheduler.telling.dates import face_of
from scheduler.telling.wording import Clockface, fitting, length_words, thing_words
from scheduler.telling.words import de, en
from scheduler.wallclock import DAY, NEVER

PATTERNS: Mapping[str, Mapping[str, str]] = {
    "en": {**en.PATTERNS, **en.TERMINAL, **en.AIR, **en.DRY, **en.FORESIGHT, **en.COMMANDS, **en.REFUSED},
    "de": {**de.PATTERNS, **de.TERMINAL, **de.AIR, **de.DRY, **de.FORESIGHT, **de.COMMANDS, **de.REFUSED},
}
"""By language, those that `model.tradewords` names. A language is here whole or not at all."""

Tellable: TypeAlias = Value | date | Span | tuple[Span, ...]
"""What a pattern can be filled in with: the values of messages, and of events of the diary."""


_NUMBER = re.compile(r"\d+(?:[.,]\d+)+")
"""A number with a mark in it, as all measures are put into words at first: `2.5`, `1,250.75`."""


class Named(Protocol):
    """What knows how steps and items are called, and the clock on the wall of the job."""

    @property
    def face(self) -> Clockface:
        """The clock on the wall of the job."""

    def title(self, step: str, /) -> str:
        """The title of a step, by id."""

    def item_title(self, item: str, /) -> str:
        """The title of an item on order, by id."""


@dataclass(frozen=True, slots=True)
class Clocked:
    """The clock on the wall of a job of which there is no plan; steps and items are called by their ids."""

    face: Clockface

    def title(self, step: str, /) -> str:
        """The id itself."""
        return step

    def item_title(self, item: str, /) -> str:
        """The id itself."""
        return item


class Words:
    """Puts messages into the words of one language; those about steps, items and moments with the names of a plan."""

    def __init__(self, names: Named | None = None, lang: str = "en") -> None:
        self._names = names
        self.patterns = PATTERNS[lang]
        self._marks = str.maketrans(",.", self.patterns["marks of numbers"])
        self._how: Mapping[str, Callable[[Tellable], str]] = {
            "": str,
            "message": self._inside,
            "also": lambda value: f" {said}" if (said := self._inside(value)) else "",
            "all": lambda value: self.patterns["and"].join(self._inside(each) for each in _parts(value)),
            "listed": self._listed,
            "list": lambda value: "; ".join(self._inside(each) for each in _parts(value)),
            "either": lambda value: self.patterns["or"].join(self._inside(each) for each in _parts(value)),
            "step": self._step,
            "steps": lambda value: ", ".join(map(self._step, _parts(value))),
            "listed steps": lambda value: self.listing(map(self._step, _parts(value))),
            "listed figures": lambda value: self.listing(self.figures(str(each)) for each in _parts(value)),
            "stages": lambda value: self.listing(self.of("stage", str(each)) for each in _parts(value)),
            "title": lambda value: self.quoted(str(value)),
            "number": lambda value: self.patterns.get(f"number.{value}", str(value)),
            "item": lambda value: self.quoted(self.names.item_title(str(value))),
            "moment": lambda value: self._moment(_whole(value)),
            "dated": lambda value: self.names.face.moment(_whole(value), year=True),
            "day": lambda value: self.names.face.date_of(self._day(value)),
            "day and year": lambda value: self.names.face.date_of(self._day(value), year=True),
            "hours": self._hours,
            "kind of work": lambda value: self.kind_of_work(str(value)),
            "figure": lambda value: self.figures(str(value)),
            "length": lambda value: self.length(_whole(value)),
            "work": lambda value: self.length(_whole(value), days=False),
        }

    def say(self, message: Message) -> str:
        """The sentence of a message; its kind in brackets where there are no words for it.

        That is so only for what a file holds that another version of this program kept, or that was tampered with.
        """
        try:
            return self._said(message)
        except (KeyError, TypeError):
            return f"({message.kind})"

    def _said(self, message: Message) -> str:
        return self.filled(message.kind, dict(message.values))

    def filled(self, kind: str, values: Mapping[str, Tellable]) -> str:
        """The pattern of a kind with its values in words; of one that is not there nothing is said. Raises KeyError
        without such a pattern, TypeError for a value that can't be put so."""
        said = []
        for text, name, how in _parsed(self.patterns[kind]):
            said.append(text)
            if name and name in values:
                said.append(self._worded(values[name], how))
        return "".join(said)

    @property
    def names(self) -> Named:
        """What knows the titles and the clock. Raises TypeError without a plan."""
        if self._names is None:
            raise TypeError("a message about a plan")
        return self._names

    def quoted(self, title: str) -> str:
        """A title inside a sentence."""
        return self.patterns["quoted"].replace("{title}", title)

    def _step(self, value: Tellable) -> str:
        return self.quoted(self.names.title(str(value)))

    def of(self, table: str, name: str) -> str:
        """What a table of the language has for a name, such as `allowed` for a stage. Raises KeyError."""
        return self.patterns[f"{table}.{name}"]

    def tell(self, name: str, **values: object) -> str:
        """What stands under a name, with the values filled in as they are."""
        return self.patterns[name].format(**values)

    def counted(self, what: str, number: int) -> str:
        """So many of something that the language counts: `1 day`, `3 days`."""
        return self.of("count" if number == 1 else "counts", what).format(count=number)

    def listing(self, parts: Iterable[str]) -> str:
        """`a`, `a and b`, `a, b and c`."""
        *most, last = [*parts] or [""]
        return f"{', '.join(most)}{self.patterns['and']}{last}" if most else last

    def fitting(self, titles: Sequence[str], room: int, first: Sequence[str] | None = None) -> str:
        """As many titles as fit into `room` columns, and how many more there are (see `wording.fitting`)."""
        return fitting(titles, room, first, self.patterns["and more"])

    def figures(self, text: str) -> str:
        """A text with its numbers as this language writes them: `2.5 L` has a comma in German."""
        return _NUMBER.sub(lambda found: found[0].translate(self._marks), text)

    def thing(self, name: str) -> str:
        """A shared thing by its id, as people call it: `step-ladder` is a step ladder."""
        try:
            return self.of("thing", name)
        except KeyError:
            return thing_words(name)

    def kind_of_work(self, name: str) -> str:
        """A kind of work as people call it; one of a person's own profiles as it is written there."""
        return self.patterns.get(f"pace.{name}", name)

    def length(self, minutes: int, days: bool = True) -> str:
        """A length of time: `40 min`, `3 h 5 min`, `2 days 4 h`; work is better told in hours alone."""
        return length_words(
            minutes, days, lambda count: self.patterns["one day" if count == 1 else "days"].format(days=count)
        )

    def people(self, count: int) -> str:
        """How many are at it: `one person`, `two people`, `9 people`."""
        number = self.patterns.get(f"number.{count}", str(count))
        return self.patterns.get(f"people.{count}") or self.patterns["people"].format(count=number)

    def gap(self, one: int, other: int) -> str:
        """How far two moments lie apart: `5 h 10 min`, `13 days`, `2 weeks` (see `Clockface.apart`)."""
        minutes, days = self.names.face.gap(one, other)
        if days is None:
            return self.length(minutes)
        if days < 14 or days % 7:
            return self.length(days * DAY)
        weeks = days // 7
        return self.patterns["apart.week" if weeks == 1 else "apart.weeks"].format(weeks=weeks)

    def _worded(self, value: Tellable, how: str) -> str:
        known = self._how.get(how)
        return known(value) if known is not None else self.of(how, str(value))

    def _inside(self, value: Tellable) -> str:
        return self.say(value) if isinstance(value, Message) else str(value)

    def _listed(self, value: Tellable) -> str:
        """`a`, `a and b`, `a, b and c`."""
        return self.listing(self._inside(each) for each in _parts(value))

    def _day(self, value: Tellable) -> date:
        """A date, the day of a minute, or that on which a span begins."""
        if isinstance(value, date):
            return value
        return self.names.face.day(value.start if isinstance(value, Span) else _whole(value))

    def _hours(self, value: Tellable) -> str:
        """From when to when: within one day, or over more than one. Raises TypeError for what is no span."""
        if not isinstance(value, Span):
            raise TypeError(value)
        face = self.names.face
        if face.day(value.start) == face.day(value.end - 1):
            return f"{face.date(value.start)}, {face.span(*value)}"
        return self.tell("over days", start=face.moment(value.start), end=face.moment(value.end))

    def _moment(self, minute: int) -> str:
        return self.patterns["never"] if minute >= NEVER else self.names.face.moment(minute)


def words_of(job: Job) -> Words:
    """The words in which somebody is told of a job of which there need be no plan."""
    return Words(Clocked(face_of(job.zone, job.clock24, job.language)), job.language)


def _parts(value: Tellable) -> tuple[Tellable, ...]:
    return value if isinstance(value, tuple) else (value,)


def _whole(value: Tellable) -> int:
    if not isinstance(value, int):
        raise TypeError(value)
    return value


@cache
def _parsed(pattern: str) -> tuple[tuple[str, str, str], ...]:
    """The parts of a pattern: text, and the name and the manner of what follows it ("" at the end)."""
    return tuple((text, name or "", how or "") for text, name, how, _ in Formatter().parse(pattern))
