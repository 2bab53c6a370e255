"""An answer of the planner in a form that outlives it: where everything went, by name."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise

from scheduler.model.basics import Span


@dataclass(frozen=True, slots=True, kw_only=True)
class Answer:
    """What was found for one question: the pieces of each task that is in the plan, and the option taken by choice.

    `question` is the mark of the question (see `planning.again`), `as_of` the minute as of which it was asked,
    `finish_not_before` the bound that was proven, `placements_tried` the effort it took. Raises ValueError for a task
    without a piece, or with pieces that are not in order.
    """

    question: str
    as_of: int
    pieces: Mapping[str, tuple[Span, ...]]
    options: Mapping[str, str]
    finish_not_before: int
    placements_tried: int

    def __post_init__(self) -> None:
        for name, spans in self.pieces.items():
            if not spans or any(first.end > then.start for first, then in pairwise(spans)):
                raise ValueError(f"the pieces of {name!r} are none, or not in order")
