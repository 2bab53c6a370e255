"""How late something may be before the end of the job moves, and what each week more costs."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True, kw_only=True)
class Ending:
    """The end of the last step in minutes (None: no plan is possible), and whether no plan can end earlier."""

    finish: int | None
    proven: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Point:
    """If it comes on that day (or work goes on again on that day), the job ends so."""

    comes: date
    ending: Ending


@dataclass(frozen=True, slots=True, kw_only=True)
class Leeway:
    """One item on order, one appointment, or one session (by its number in the plan), that may be late.

    `due` is the day on which it is expected or planned. `free_until` is the last day on which it may come, or on
    which work may go on again, with the end where it is.
    """

    item: str | None = None
    appointment: str | None = None
    session: int | None = None
    title: str
    due: date
    free_until: date
    curve: tuple[Point, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Leeways:
    """All of them, against the end as planned. `replans` counts the plans that were made for the answer."""

    ending: Ending
    found: tuple[Leeway, ...]
    replans: int
