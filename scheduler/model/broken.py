"""Rules of the trade that are broken: by a plan (the verifier says so), or by what has happened already."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from scheduler.model.message import Message


@dataclass(frozen=True, slots=True)
class Broken:
    """A rule that a plan breaks. `step` is the id of the step, or "" where the plan as a whole is meant.

    `rule` is the name of the check ("work hours"); `said` is what is wrong, to be put into words.
    """

    rule: str
    step: str
    said: Message


PastRule: TypeAlias = Literal[
    "out of order",
    "wait not kept",
    "stage not reached",
    "missed window",
    "dust over wet film",
    "wet over dust",
    "closed room",
    "outside air limits",
    "item not there yet",
]
"""The rules that work which has happened may have broken."""


@dataclass(frozen=True, slots=True, kw_only=True)
class PastBreak:
    """A rule that the record shows broken: a fact, which no plan can change.

    `step` is the step that was begun against the rule, at `began`; `other` the step (or the item on order) that it
    should have waited for. `since` is when that one ended; None if it is not over by the record. `right` is the
    moment that the rule names: from when it would have been right, or (for a missed window) until when; None if
    nobody knows it. `stage` is the stage of the other film that was waited for. `dry` is from when on work may go on
    over both films; None without a film, or if that is never.
    """

    rule: PastRule
    step: str
    other: str
    began: int
    since: int | None = None
    right: int | None = None
    stage: str | None = None
    dry: int | None = None
