"""What can go wrong. Each kind carries values, knows its exit code, and reads as one line a fault.

TackfreeError
├── InputError      exit 2: what was handed in is wrong; every fault at its file, line and column
├── UnwrittenError  exit 2: a file could not be written; which one, why, and what holds all the same
├── NoPlanError     exit 1: no plan is possible (model.refusal): which step, which rule, what would make it possible
└── PublishError    exit 1: the plan is made, and a calendar server did not take all of it
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace

from scheduler.told import in_words, told

# What no keyboard types, or what shows nothing and can make a line look like another one: control characters, line
# ends that editors don't count, half characters, non-characters; marks that turn the direction of what follows
# (Unicode Standard Annex 9, section 2), spaces of no width, and the tags of plane 14.
_UNTYPED = re.compile(
    "[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff\ud800-\udfff"
    "\u200b\u202a-\u202e\u2060-\u206f\ufff9-\ufffb\U000e0000-\U000e007f]"
)


def untyped_character(text: str) -> tuple[int, str] | None:
    """Offset and name of the first character that no person typed, or None."""
    found = _UNTYPED.search(text)
    if found is None:
        return None
    code = ord(found.group())
    name = "NUL" if code == 0 else unicodedata.name(found.group(), "a control character")
    return found.start(), told("{name} (U+{code})", name=name, code=f"{code:04X}")


def printable(text: str) -> str:
    """The text in one line, with the number of each character that shows nothing instead of it: `<U+202E>`."""
    return text if text.isprintable() else "".join(sign if sign.isprintable() else _shown(sign) for sign in text)


def brief(text: str, most: int = 60) -> str:
    """A text for the middle of a sentence: in one line, its end left out if it is long."""
    plain = " ".join(text.split())
    return plain if len(plain) <= most else f"{plain[: most - 1]}…"


def _shown(sign: str) -> str:
    return " " if sign.isspace() else f"<U+{ord(sign):04X}>"


@dataclass(frozen=True, slots=True)
class Place:
    """A spot in a file that a person wrote. Lines and columns count from 1; 0 means the whole file."""

    file: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        file = printable(self.file)
        return f"{file}:{self.line}:{self.column}" if self.line else file


@dataclass(frozen=True, slots=True)
class Fault:
    """One mistake: where it stands, what is wrong, what would be right.

    `choices` are what may be meant, each told in a line of its own.
    """

    place: Place
    message: str
    hint: str = ""
    choices: tuple[str, ...] = ()

    def __str__(self) -> str:
        return self.said({})

    def said(self, known: Mapping[str, str]) -> str:
        """The fault in lines, in the language whose sentences are handed in by their English ones (see `told`)."""
        message, hint, *choices = (in_words(each, known) for each in (self.message, self.hint, *self.choices))
        first = f"{self.place}: {printable(f'{message}; {hint}' if hint else message)}"
        return "\n  ".join((f"{first}:" if choices else first, *map(printable, choices)))

    def where_named(self, place: Place, name: str) -> Fault:
        """This fault as it stands, but one of a file as a whole at the place where a person wrote the file's name."""
        message = told("`{name}`: {message}", name=name, message=self.message)
        return self if self.place.line else replace(self, place=place, message=message)


class TackfreeError(Exception):
    """Whatever this package raises on purpose. It can be handed from one process to another as it stands."""

    exit_code = 1

    def said(self, known: Mapping[str, str]) -> str:
        """What went wrong, in the language whose sentences are handed in by their English ones (see `told`)."""
        return in_words(self.args[0], known) if self.args and isinstance(self.args[0], str) else str(self)

    def __reduce__(self) -> tuple[object, ...]:
        return _as_it_stood, (type(self), self.args, self.__dict__)


def _as_it_stood(kind: type[TackfreeError], args: tuple[object, ...], fields: dict[str, object]) -> TackfreeError:
    error = kind.__new__(kind, *args)
    error.__dict__.update(fields)
    return error


class InputError(TackfreeError):
    """What was handed in is wrong. Carries every fault that was found once, in the order of the file."""

    exit_code = 2

    def __init__(self, faults: Iterable[Fault]) -> None:
        self.faults: tuple[Fault, ...] = tuple(
            sorted(dict.fromkeys(faults), key=lambda fault: (fault.place.file, fault.place.line, fault.place.column))
        )
        super().__init__("\n".join(str(fault) for fault in self.faults))

    def said(self, known: Mapping[str, str]) -> str:
        """Every fault, in lines."""
        return "\n".join(fault.said(known) for fault in self.faults)


def wrong_input(where: Place | str, message: str, hint: str) -> InputError:
    """The error of one mistake alone. `where` as a text: a whole file, or an option or argument of a command."""
    return InputError([Fault(Place(where) if isinstance(where, str) else where, message, hint)])


class UnwrittenError(TackfreeError):
    """A file could not be written: which, why, what holds all the same, and what would help."""

    exit_code = 2

    def __init__(self, error: OSError, holds: str, remedy: str) -> None:
        file, why = printable(str(error.filename)), error.strerror or str(error)
        super().__init__(told("{file}: {why}; {holds}; {remedy}", file=file, why=why, holds=holds, remedy=remedy))


class PublishError(TackfreeError):
    """A calendar server did not take everything. The plan is made and kept; the same command does the rest."""

    exit_code = 1
