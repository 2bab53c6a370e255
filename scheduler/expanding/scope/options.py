"""What a job says of a method -> words and numbers; what can't be read is a fault where it stands."""

from __future__ import annotations

import re
from collections.abc import Container, Iterable
from dataclasses import dataclass, field
from functools import partial

from scheduler.errors import Fault, Place
from scheduler.model.doubts import NO_DOUBTS, Doubts
from scheduler.model.method import Method, MethodOption
from scheduler.model.names import meant, slug
from scheduler.model.scope import Call, Part
from scheduler.told import told
from scheduler.units import UnclearQuantityError, parse_length

MOST = 10_000
"""Of a number that a method asks for."""
MOST_ROUNDS = 10
"""Coats of one product, as of a colour; who wants more has mistyped."""
_BRACED = re.compile(r"\{([a-z ]+)\}")


@dataclass(frozen=True, slots=True)
class Settings:
    """The options of one method on one part: `words` (materials, rooms, wares, …) and `numbers` (metres, counts)."""

    words: dict[str, str]
    numbers: dict[str, float]

    def said(self, text: str) -> str:
        """A text with the words of its options put in for `{option}`."""
        return _BRACED.sub(lambda found: self.words.get(found[1], found[0]), text)

    def holds(self, only: Iterable[tuple[str, tuple[str, ...]]]) -> bool:
        """Whether every condition is met."""
        return all(self.words.get(name) in values for name, values in only)


@dataclass
class Faults:
    """Mistakes so far; each once. Of parts in doubt it is not asked what depends on their measures."""

    found: list[Fault] = field(default_factory=list)
    doubts: Doubts = NO_DOUBTS
    fallback: Place = field(default_factory=lambda: Place("job.yaml"))

    def add(self, place: Place | None, message: str, hint: str) -> None:
        """Take one down."""
        fault = Fault(place or self.fallback, message, hint)
        if fault not in self.found:
            self.found.append(fault)


def settings(part: Part, call: Call, method: Method, faults: Faults) -> Settings:
    """The options of a call: as written there, else as written with another method on the same part, else default."""
    written = {slug(said.name): said for said in call.options}
    elsewhere = {slug(said.name): said for other in part.calls for said in other.options}
    known = {slug(option.name): option.name for option in method.options}
    for key, said in written.items():
        if key not in known:
            hint = meant(said.name, known.values()) if known else "leave it out"
            faults.add(said.named, told("`{title}` has no option `{name}`", title=method.title, name=said.name), hint)
    words: dict[str, str] = {}
    numbers: dict[str, float] = {}
    rounds = {template.cycle for template in method.templates}
    batch = method.batches.size if method.batches is not None else None
    for option in method.options:
        value = _default(option, part, written)
        own = written.get(slug(option.name))
        said_here = own or (elsewhere.get(slug(option.name)) if option.kind in ("length", "choice") else None)
        if said_here is not None:
            try:
                read = (
                    _rounds if option.name in rounds else _batch if option.name == batch else partial(_read, option)
                )
                value = read(said_here.text)
            except UnclearQuantityError as unclear:
                if own is not None:
                    faults.add(own.place, unclear.message, unclear.hint)
        if isinstance(value, str):
            words[option.name] = value
        else:
            numbers[option.name] = value
    return Settings(words, numbers)


def _default(option: MethodOption, part: Part, written: Container[str]) -> str | float:
    """What holds where the job says nothing of an option, with these others written."""
    if option.unless and slug(option.unless) in written:
        return 0.0
    here = {*part.in_room, *(call.method for call in part.calls), *part.circumstances}
    return next((there for where, there in option.where if where in here), option.default)


def _rounds(text: str) -> float:
    plain = text.strip()
    if not re.fullmatch(r"[0-9]{1,3}", plain) or not 1 <= int(plain) <= MOST_ROUNDS:
        raise UnclearQuantityError(
            told("`{plain}` is no number of coats", plain=plain[:20]),
            told("write one from 1 to {most_rounds}", most_rounds=MOST_ROUNDS),
        )
    return float(plain)


def _batch(text: str) -> float:
    plain = text.strip()
    if not re.fullmatch(r"[0-9]{1,4}", plain) or int(plain) == 0:
        raise UnclearQuantityError(
            told("`{plain}` is no number of pieces in a batch", plain=plain[:20]), "write one such as `9`"
        )
    return float(plain)


def _read(option: MethodOption, text: str) -> str | float:
    if option.kind == "length":
        return parse_length(text)
    if option.kind == "number":
        plain = text.strip()
        if not re.fullmatch(r"[0-9]{1,6}(\.[0-9]{1,3})?", plain) or float(plain) > MOST:
            raise UnclearQuantityError(
                told("`{plain}` is no number from 0 to {most}", plain=plain[:20], most=MOST),
                "write one such as `12` or `2.5`",
            )
        return float(plain)
    if option.kind == "choice":
        for choice in option.choices:
            if slug(choice) == slug(text):
                return choice
        raise UnclearQuantityError(
            told("`{text}` is no `{name}`", text=text, name=option.name), meant(text, option.choices)
        )
    return slug(text) if option.kind in ("material", "room") else " ".join(text.split())
