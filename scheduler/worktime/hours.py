"""From rules on the wall clock to windows in elapsed minutes, one local day after the other."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import pairwise
from typing import NamedTuple
from zoneinfo import ZoneInfo

from scheduler.model.basics import Span
from scheduler.model.hours import Window
from scheduler.model.job import Hours, Job
from scheduler.model.spans import clip, union, without
from scheduler.wallclock import at_local, local_date
from scheduler.worktime.sessions import WorkDay, WorkSpan, number

ONE_DAY = timedelta(days=1)


class Shift(NamedTuple):
    """What one rule of work hours gives on one day."""

    spans: tuple[Span, ...]
    people: int
    quiet: bool
    rooms: tuple[str, ...] = ()


def windows(job: Job, span: Span, zone: ZoneInfo, busy: tuple[Span, ...] = ()) -> tuple[Window, ...]:
    """All work windows of a job inside `span`, in order, none overlapping another.

    Work hours are wall-clock rules, so each local day is turned into elapsed minutes by itself. Where rules
    overlap the larger number of people holds, the rooms of all of them, and quiet if any of them is quiet. Days away,
    breaks and `busy` spans are taken out; a window is cut where the people, the quiet or the rooms change. Where a
    person moved a session by hand, the hours in which it was are gone, and those in which it is now count, on a day
    away as well. Sessions are counted from 1; one that set-up and clear-up would fill is left out.
    """
    taken = union(busy)
    left = union(move.was for move in job.moves)
    stretches: list[WorkDay] = []
    for day in _days(local_date(span.start, zone), local_date(max(span.start, span.end - 1), zone)):
        away = any(away.first <= day <= away.last for away in job.away)
        rules = [] if away else [rule for rule in job.hours if rule.holds_on(day)]
        gone = _during(taken, day, zone), _during(left, day, zone)
        stretches.append(_stretch(job, rules, day, span, zone, *gone))
    return number(stretches, job.set_up, job.clear_up)


def going_on(job: Job) -> Job:
    """The job as if its hours did not end: the rules that hold last of all hold on. Where none ends and days away
    leave no hours all the same, nobody is away."""
    last = max((rule.last or date.max for rule in job.hours), default=date.max)
    if last == date.max:
        return replace(job, away=())
    hours = (replace(rule, last=None) if rule.last == last else rule for rule in job.hours)
    return replace(job, hours=tuple(hours))


def _days(first: date, last: date) -> Iterator[date]:
    while first <= last:
        yield first
        first += ONE_DAY


def _on_the_clock(day: date, start: int, end: int, zone: ZoneInfo) -> Span:
    return Span(at_local(day, start, zone), at_local(day, end, zone))


def _during(taken: Sequence[Span], day: date, zone: ZoneInfo) -> tuple[Span, ...]:
    """Those of the sorted spans that touch the day."""
    start, end = _on_the_clock(day, 0, 24 * 60, zone)
    first = bisect_right(taken, start, key=lambda span: span.end)
    last = bisect_left(taken, end, key=lambda span: span.start)
    return tuple(taken[first:last])


def _stretch(
    job: Job,
    rules: Sequence[Hours],
    day: date,
    bounds: Span,
    zone: ZoneInfo,
    taken: Sequence[Span],
    left: Sequence[Span],
) -> WorkDay:
    """The pieces of one day, cut where people, quiet or rooms change, and the breaks that may part them."""
    breaks = union(_on_the_clock(day, start, end, zone) for rule in rules for start, end in rule.breaks)
    shifts = [_shift(rule, day, bounds, zone, union((*taken, *left))) for rule in rules]
    for move in job.moves:
        moved = clip(clip(move.now, _on_the_clock(day, 0, 24 * 60, zone)), bounds)
        if moved.minutes > 0:
            shifts.append(Shift(without((moved,), taken), move.people, quiet=False))
    # A quiet stretch past midnight belongs to the day on which it begins, so yesterday's is looked at too.
    quiet = union(
        _on_the_clock(day + shift, rule.start, rule.end + (24 * 60 if rule.end <= rule.start else 0), zone)
        for shift in (-ONE_DAY, timedelta())
        for rule in job.quiet
        if (day + shift).weekday() in rule.weekdays
    )
    return WorkDay(day, tuple(_pieces(shifts, quiet)), breaks)


def _shift(rule: Hours, day: date, bounds: Span, zone: ZoneInfo, taken: Sequence[Span]) -> Shift:
    whole = clip(_on_the_clock(day, rule.start, rule.end, zone), bounds)
    breaks = union(_on_the_clock(day, start, end, zone) for start, end in rule.breaks)
    return Shift(without(without((whole,), breaks), taken), rule.people, rule.quiet, rule.rooms)


def _pieces(shifts: Sequence[Shift], quiet: Sequence[Span]) -> Iterator[WorkSpan]:
    """Spans with the same people, quiet and rooms throughout, in order; equal neighbours are one."""
    edges = {edge for shift in shifts for span in shift.spans for edge in span}
    edges |= {edge for span in quiet for edge in span}
    held: WorkSpan | None = None
    for start, end in pairwise(sorted(edges)):
        there = [shift for shift in shifts if _covers(shift.spans, start)]
        if not there:
            continue
        people = max(shift.people for shift in there)
        hushed = any(shift.quiet for shift in there) or _covers(quiet, start)
        rooms = () if any(not shift.rooms for shift in there) else tuple(sorted({r for s in there for r in s.rooms}))
        piece = WorkSpan(Span(start, end), people, hushed, rooms)
        if held and held.span.end == start and held[1:] == piece[1:]:
            held = held._replace(span=Span(held.span.start, end))
            continue
        if held:
            yield held
        held = piece
    if held:
        yield held


def _covers(spans: Sequence[Span], minute: int) -> bool:
    return any(span.start <= minute < span.end for span in spans)
