"""What may come: how sure the finish is, and what would bring it forward. What `presenting` shows of both."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from typing import TypeAlias

from scheduler.model.beware import Beware
from scheduler.model.plan import Plan
from scheduler.model.tradewords import ENGLISH

Written: TypeAlias = "str | list[Written] | dict[str, Written]"
"""A value as it stands in a job file: every scalar is the text that a person would write."""


@dataclass(frozen=True, slots=True)
class Put:
    """Write a value at a path of the job file, in place of what is there. Keys are those of the file itself."""

    path: tuple[str | int, ...]
    value: Written


@dataclass(frozen=True, slots=True)
class Add:
    """Put one more entry at the end of the list at a path; a single entry, or none, becomes a list."""

    path: tuple[str | int, ...]
    value: Written


@dataclass(frozen=True, slots=True)
class Drop:
    """Take out what stands at a path, and the list or mapping that would be empty without it."""

    path: tuple[str | int, ...]


Edit: TypeAlias = tuple[Put | Add | Drop, ...]
"""What to change in a job file, one after the other."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Sooner:
    """One change, or a pair, with the finish of the job planned anew and the minutes by which that is earlier.

    `kind` is a word for the kind of change. `costs` says what it takes of the person's time or money; `labour` are
    the minutes of theirs that it adds, None where it adds none or nobody can tell. `said` puts the edit of the job
    file into words; `edit` is empty for what is not in the file but in the diary. A pair names its two `changes`.
    `cautions` is what to beware of in making it.
    `keeps` are the minutes by which less is broken of what was promised and agreed; the finish may be later then.
    """

    kind: str
    change: str
    finish: int
    saves: int
    costs: str
    labour: int | None
    edit: Edit
    said: str
    changes: tuple[str, ...] = ()
    cautions: tuple[Beware, ...] = ()
    keeps: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Fit:
    """One change, or a few together, with which the plan made anew ends by the day that was promised: in words, what
    each costs, what to write in the job file (`said` in words, see `Sooner`), and the finish then."""

    changes: tuple[str, ...]
    costs: tuple[str, ...]
    said: str
    edit: Edit
    finish: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Foreseen:
    """All changes that were tried to `plan`. `better` and `pairs` end sooner than that, the soonest first.

    `tried` counts the changes by kind, in the order in which they were tried; of those that are not in `better`,
    `proven` were shown by the bound not to help.
    """

    plan: Plan
    better: tuple[Sooner, ...]
    pairs: tuple[Sooner, ...]
    tried: tuple[tuple[str, int], ...]
    proven: int
    pairs_tried: int


@dataclass(frozen=True, slots=True, kw_only=True)
class Risk:
    """Something that may go wrong at a step, in that share of the draws.

    `kind` is "window" (a window closes, and its remedy is due), "air" (begun as planned, the step would meet air
    outside the limits of its material) or "long" (it has to be done in one piece and no session is long enough).
    """

    kind: str
    step: str
    title: str
    share: float
    said: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Odds:
    """The finish as a distribution over days. Shares are of all draws; `lost` is the share that found no finish.

    `dates` are the days by which it is done in 50, 80 and 95 % of the draws (None: not in so many of them), `between`
    where the 80 % date of other draws would lie 19 times in 20, and `error` half of that in days. `spread` names
    what the spread comes from, with its share. `promises` are the promises and the appointments, each with the share
    of the draws that keeps it. `assumed` says in sentences what was drawn, and how, in the `language` of the job."""

    job: str
    zone: str
    clock24: bool
    as_of: int
    seed: int
    draws: int
    planned: int
    dates: tuple[tuple[int, date | None], ...]
    between: tuple[date, date] | None
    error: float | None
    days: tuple[tuple[date, float], ...]
    lost: float
    spread: tuple[tuple[str, float], ...]
    risks: tuple[Risk, ...]
    done_by: date | None
    in_time: float | None
    assumed: tuple[str, ...]
    promises: tuple[tuple[str, float], ...] = ()
    language: str = ENGLISH
