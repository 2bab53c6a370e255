"""How good a placement is: the aims of the planner, in order."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence, Set
from dataclasses import replace
from typing import NamedTuple

from scheduler.model.basics import Span
from scheduler.model.spans import union
from scheduler.solver.problem import Hold, Placement, Problem
from scheduler.solver.promises import late_minutes


class Aim(NamedTuple):
    """How good a placement is, less is better: minutes by which promises are broken, finish, days used, hours for
    which places are held until another activity gives them back, minutes of remedies, activities moved, sum of
    starts."""

    late: int
    finish: int
    days: int = 0
    held: int = 0
    mended: int = 0
    moved: int = 0
    starts: int = 0


def aim_of(problem: Problem, placement: Placement) -> Aim:
    """How good a placement is."""
    late = sum(late_minutes(problem, placement)) if problem.promises else 0
    days = 0
    if problem.has_days:
        days = len(days_used(problem, placement))
    moved = 0
    if problem.stay is not None:
        moved = sum(
            1
            for stay, spans in zip(problem.stay, placement.pieces, strict=True)
            if stay is not None and tuple(spans) != tuple(stay)
        )
    starts = sum(spans[0].start for spans in placement.pieces if spans)
    return Aim(
        late, placement.finish, days, hours_held(problem, placement), mended(problem, placement), moved, starts
    )


def mended(problem: Problem, placement: Placement) -> int:
    """The minutes of all remedies that windows which were missed call for."""
    activities = zip(problem.activities, placement.pieces, strict=True)
    return sum(activity.minutes for activity, spans in activities if activity.optional and spans)


def waited(problem: Problem, pieces: Iterable[Sequence[Span] | None]) -> int:
    """The minutes of work hours in which nobody works, between the first and the last piece of each day."""
    busy = union(span for spans in pieces for span in spans or ())
    minutes, at = 0, 0
    last: tuple[int, int] | None = None
    """The day of the last piece, and the open minutes of that day before its end."""
    opened: dict[int, int] = {}
    for slot in problem.slots:
        while at < len(busy) and busy[at].end <= slot.start:
            at += 1
        j = at
        while j < len(busy) and busy[j].start < slot.end:
            begin, end = max(busy[j].start, slot.start), min(busy[j].end, slot.end)
            before = opened.get(slot.day, 0)
            if last is not None and last[0] == slot.day:
                minutes += before + begin - slot.start - last[1]
            last = slot.day, before + end - slot.start
            j += 1
        opened[slot.day] = opened.get(slot.day, 0) + slot.end - slot.start
    return minutes


def hours_held(problem: Problem, placement: Placement) -> int:
    """The hours, each begun one whole, for which places are held until another activity gives them back."""
    return sum(-(-hold.places * length // 60) for hold, length in open_holds(problem, placement))


def open_holds(problem: Problem, placement: Placement) -> Iterator[tuple[Hold, int]]:
    """Each hold that another activity gives back, and the minutes from its start to that."""
    for hold in problem.holds:
        if hold.giver is None or hold.at_work:
            continue
        taker, giver = placement.pieces[hold.taker], placement.pieces[hold.giver]
        if taker and giver:
            yield hold, max(0, (giver[0].start if hold.at_start else giver[-1].end) - taker[0].start)


def days_used(problem: Problem, placement: Placement) -> dict[int, int]:
    """Minutes of work by day."""
    minutes: dict[int, int] = {}
    slots = problem.slots
    spans = sorted(span for spans in placement.pieces for span in spans)
    at = 0
    for start, end in spans:
        while at < len(slots) and slots[at].end <= start:
            at += 1
        j = at
        while j < len(slots) and slots[j].start < end:
            inside = min(end, slots[j].end) - max(start, slots[j].start)
            minutes[slots[j].day] = minutes.get(slots[j].day, 0) + inside
            j += 1
    return minutes


def only_on(problem: Problem, days: Set[int]) -> Problem:
    """The problem with no hours but those of the given days."""
    return replace(problem, slots=tuple(slot for slot in problem.slots if slot.day in days))
