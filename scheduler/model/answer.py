"""An answer of the planner in a form that outlives it: where everything went, by name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from itertools import pairwise

from scheduler.model.basics import Span


@dataclass(frozen=True, slots=True, kw_only=True)
class GivenUp:
    """A rule that had to give way for a step: `other` is the step on its other side, `resource` the number of the
    resource that it was about ("" and -1: none)."""

    rule: str
    step: str
    other: str = ""
    resource: int = -1


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What was found for one question: the pieces of each task that is in the plan, and the option taken by choice.

    `question` is the mark of the question (see `planning.again`), `as_of` the minute as of which it was asked,
    `finish_not_before` the bound that was proven, `placements_tried` the effort it took, `given` the rules
    that had to give way, `past_hours` the end of the last hours where they are taken to go on after that (0: they are
    not), `comes` when it has appointments that could not be kept, `hands` how many people it has at steps that
    others could do with more or fewer, `late_at_least` by how many minutes promises are
    broken in any case, `there` when somebody is reckoned to be in rooms that are warmed while somebody is (None: the
    job has none, or nobody knows). Raises ValueError for a task
    without a piece, or with pieces that are not in order.
    """

    question: str
    as_of: int
    pieces: Mapping[str, tuple[Span, ...]]
    options: Mapping[str, str]
    finish_not_before: int
    placements_tried: int
    given: tuple[GivenUp, ...] = ()
    past_hours: int = 0
    comes: Mapping[str, int] = field(default_factory=dict)
    hands: Mapping[str, int] = field(default_factory=dict)
    late_at_least: int = 0
    there: Mapping[str, tuple[Span, ...]] | None = None

    def __post_init__(self) -> None:
        for name, spans in self.pieces.items():
            if not spans or any(first.end > then.start for first, then in pairwise(spans)):
                raise ValueError(f"the pieces of {name!r} are none, or not in order")
