"""What makes a wish fit the hours: of a job that ends too late, the changes with which it ends by the day promised.

First single changes, the cheap ones before the dear ones, each planned anew. Where none is enough, all together, and
of those one after the other is left out again, the dearest first, for as long as it still fits: what is left is
enough, and each of it is needed.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from functools import reduce
from zoneinfo import ZoneInfo

from scheduler.model.foresight import Fit
from scheduler.model.job import Job
from scheduler.telling.words import Words
from scheduler.wallclock import DAY, NEVER, at_local
from scheduler.whatif.engine import Trials, Tried
from scheduler.whatif.proposal import Proposal

CHEAP_FIRST = (
    "another order of colours",
    "caulk after the primer",
    "no tape",
    "another material",
    "a coat less",
    "a part sooner",
    "an earlier morning",
    "one more evening",
    "warmer nights",
    "warmer day and night",
    "drier air",
    "a helper",
    "begin sooner",
    "a free day",
    "not away",
)
"""Kinds of change: what costs a thought, then the shop, then an hour, heat, other people, and a day of one's own.
Common practice, no source."""
MOST = 3
"""So many fits are told, and of so many changes one that takes more than one."""


def limit_of(job: Job) -> int:
    """The end of the day by which all of it is promised, a minute; NEVER if none is."""
    return NEVER if job.done_by is None else at_local(job.done_by, DAY, ZoneInfo(job.zone))


def fitting(
    trials: Trials, job: Job, changes: Sequence[Proposal], tell: Callable[[float, int | None], None] | None = None
) -> tuple[Fit, ...]:
    """What makes a job end by the day promised, one fit of a kind, the cheapest first; nothing if a few changes are
    not enough. `tell` hears the share of the changes that have been tried."""
    limit = limit_of(job)
    if trials.made.plan.finish <= limit:
        return ()
    listed = sorted(changes, key=lambda change: _rank(change.kind))
    if not trials.may_end_by(_with(listed, job), limit):
        return ()
    found: list[tuple[tuple[Proposal, ...], Tried]] = []
    for number, change in enumerate(listed):
        if len(found) < MOST and change.kind not in {each.kind for made, _ in found for each in made}:
            tried = _in_time(trials, (change,), job, limit)
            if tried is not None:
                found.append(((change,), tried))
        if tell is not None:
            tell((number + 1) / len(listed) / 2, None)
    if not found:
        needed, tried = _needed(trials, listed, job, limit, tell)
        if tried is not None and len(needed) <= MOST:
            found.append((needed, tried))
    if tell is not None:
        tell(1.0, None)
    words = Words(lang=job.language)
    return tuple(_told(made, tried, words) for made, tried in found)


def _needed(
    trials: Trials, listed: Sequence[Proposal], job: Job, limit: int, tell: Callable[[float, int | None], None] | None
) -> tuple[tuple[Proposal, ...], Tried | None]:
    """Changes that are enough together, and none of which can be left out; what the plan with them comes to. None in
    its place if all together are not enough."""
    best = _in_time(trials, listed, job, limit)
    if best is None:
        return (), None
    left = list(listed)
    kinds = sorted({change.kind for change in listed}, key=_rank, reverse=True)
    groups = [[change for change in listed if change.kind == kind] for kind in kinds]
    for number, group in enumerate([*groups, *([change] for change in reversed(listed))]):
        fewer = [change for change in left if change not in group]
        if len(fewer) < len(left):
            tried = _in_time(trials, fewer, job, limit)
            if tried is not None:
                left, best = fewer, tried
        if tell is not None:
            tell(0.5 + number / (len(groups) + len(listed)) / 2, None)
    return tuple(left), best


def _in_time(trials: Trials, made: Sequence[Proposal], job: Job, limit: int) -> Tried | None:
    """What the plan with these changes comes to; None if it ends after the limit, or breaks something else."""
    changed = _with(made, job)
    if not trials.may_end_by(changed, limit):
        return None
    tried = trials.plan(changed)
    return tried if tried.finish is not None and not tried.late and tried.finish <= limit else None


def _with(made: Sequence[Proposal], job: Job) -> Job:
    return reduce(lambda so_far, change: change.job(so_far), made, job)


def _rank(kind: str) -> tuple[int, str]:
    return CHEAP_FIRST.index(kind) if kind in CHEAP_FIRST else len(CHEAP_FIRST), kind


def _told(made: Sequence[Proposal], tried: Tried, words: Words) -> Fit:
    assert tried.finish is not None
    return Fit(
        changes=tuple(change.words for change in made),
        costs=tuple(change.cost(tried).words for change in made),
        said="; ".join(change.said(words) for change in made),
        edit=tuple(part for change in made for part in change.edit),
        finish=tried.finish,
    )
