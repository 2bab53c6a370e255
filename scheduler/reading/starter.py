"""Starter jobs to edit: the usual one of each kind of work. Nothing is written here."""

from __future__ import annotations

from dataclasses import replace
from datetime import date

from scheduler.errors import wrong_input
from scheduler.reading.starters.answers import KINDS, Answers
from scheduler.reading.starters.jobtext import job_text
from scheduler.reading.starters.questions import usual_answers
from scheduler.reading.starters.stuff import kinds_named
from scheduler.units import UnclearQuantityError

__all__ = ["KINDS", "starter_text", "usual"]

_DAY = date(2027, 1, 9)
"""A Saturday, where no day is asked for."""


def usual(kind: str, begin: Answers) -> Answers:
    """The usual answers for that kind of work: any spelling of one of KINDS, the beginning of one, or several with
    commas.

    Raises InputError for an unknown kind.
    """
    try:
        return usual_answers(kinds_named(kind), begin)
    except UnclearQuantityError as error:
        raise wrong_input("starter", error.message, error.hint) from None


def starter_text(kind: str, start: date | None = None) -> str:
    """The usual job of that kind, commented, in feet, beginning on `start`. Raises InputError for an unknown kind."""
    begin = Answers(zone="America/Denver", us=True, today=start or _DAY)
    return job_text(replace(usual(kind, begin), start=start or _DAY))
