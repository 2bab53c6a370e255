"""What is to be told, as a record: which kind of thing it is, and the steps, things and moments that it is about.

Whatever finds out such a thing (what held a step, which rule is broken, why a remedy was added) hands on a record;
the sentence is made of it at the very end, in the language of whoever reads it, and no code reads that.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TypeAlias


@dataclass(frozen=True, slots=True)
class Message:
    """`kind` names the pattern of its sentence; `values` are what fills it in, by name.

    Steps and items on order stand there by their ids, moments and lengths in minutes, stages by their names. A value
    may be a message itself.
    """

    kind: str
    values: tuple[tuple[str, Value], ...] = ()

    def __getitem__(self, name: str) -> Value:
        """The value of that name. Raises KeyError."""
        return dict(self.values)[name]

    def kinds(self) -> Iterator[str]:
        """Its kind, and those of all messages inside."""
        yield self.kind
        for _, value in self.values:
            for part in value if isinstance(value, tuple) else (value,):
                if isinstance(part, Message):
                    yield from part.kinds()


Value: TypeAlias = str | int | float | Message | tuple[str, ...] | tuple[Message, ...]


def message(kind: str, **values: Value | None) -> Message:
    """A message of that kind; a value that is None is left out, and nothing is said in its place."""
    return Message(kind, tuple((name, value) for name, value in values.items() if value is not None))


AS_WRITTEN = "as written"


def as_written(text: str) -> Message:
    """A sentence that has come to us as it stands: out of a file that an earlier version of this program kept, or put
    into words where a file is read."""
    return message(AS_WRITTEN, text=text)
