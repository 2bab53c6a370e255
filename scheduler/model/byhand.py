"""A session that a person moved in their calendar: when it was, when it is to be, and what was to be done in it."""

from __future__ import annotations

from dataclasses import dataclass

from scheduler.model.basics import Span


@dataclass(frozen=True, slots=True, kw_only=True)
class HandMove:
    """`uid` names the session. Nobody works in the span `was` any more; in the span `now` so many `people` do.

    `steps` are done whole in `now`; `loose` are steps of the session for which a rule forbids that: they begin no
    earlier than it does, wherever the plan as a whole has the best place for them.
    """

    uid: str
    was: Span
    now: Span
    people: int
    steps: tuple[str, ...] = ()
    loose: tuple[str, ...] = ()
