"""That no plan is possible, as a record: which step, which rule, what would help, and what cannot hold together."""

from __future__ import annotations

from dataclasses import dataclass

from scheduler.errors import Place
from scheduler.model.message import Message


@dataclass(frozen=True, slots=True)
class Asked:
    """Something that a job file asks for, and where: the file as a whole for what stands nowhere by itself."""

    place: Place
    said: Message


@dataclass(frozen=True, slots=True)
class Refusal:
    """`step` is the title of the step that has no place, "" where it is several entries together.

    `sets` are entries of the job file that cannot hold together: one set, or several that are each too much.
    `cautions` is what to beware of in doing what `remedy` says.
    """

    step: str
    rule: Message
    remedy: Message
    sets: tuple[tuple[Asked, ...], ...] = ()
    cautions: tuple[str, ...] = ()
