"""Problems in few words, and random small ones."""

from __future__ import annotations

from collections.abc import Iterable
from itertools import combinations
from typing import Any

from hypothesis import strategies as st

from scheduler.model.basics import Span
from scheduler.model.clock import DryClock
from scheduler.solver.problem import Activity, Barrier, Lag, Option, Problem, Slot, Soil, Wait

SLOW_NIGHTS = DryClock(
    tuple(range(0, 2000, 50)), tuple(float(sum(50 if k % 2 else 25 for k in range(n))) for n in range(40))
)
"""A clock that runs at half speed in every other stretch of 50 minutes."""


def work(minutes: int, smallest: int | None = None, *, takes: tuple[int, ...] = (1,), **more: Any) -> Activity:
    """An activity in one piece for one person, from minute 0 on."""
    return Activity(minutes=minutes, smallest=smallest, demand=takes, **{"release": 0, **more})


def wait(before: int, after: int, lag: float = 0, until: float | None = None, remedy: int | None = None) -> Wait:
    """A wait in plain minutes."""
    return Wait(before=before, after=after, lag=Lag(lag), until=None if until is None else Lag(until), remedy=remedy)


def slots(*spans: tuple[int, int], people: int = 1) -> tuple[Slot, ...]:
    """Slots of one resource, each on a day of its own."""
    return tuple(Slot(start, end, (people,), day) for day, (start, end) in enumerate(spans))


def problem(activities: Iterable[Activity], waits: Iterable[Wait] = (), **more: Any) -> Problem:
    """A problem with one slot of 1,000 minutes for one person, unless said otherwise."""
    return Problem(activities=tuple(activities), waits=tuple(waits), **{"slots": slots((0, 1000)), **more})


LAGS = st.builds(Lag, st.integers(0, 40)) | st.builds(Lag, st.integers(0, 40), st.just(0))


@st.composite
def problems(draw: st.DrawFn, most: int = 6, facts: bool = True, days: int = 6) -> Problem:
    """A small problem with some of every rule. The slots are in two kinds of hours, one of them quiet."""
    size = draw(st.integers(1, most))
    people = draw(st.integers(1, 2))
    sets = st.frozensets(st.sampled_from(range(size)), max_size=3)
    begun = draw(st.integers(0, size - 1)) if facts and draw(st.booleans()) else None
    activities = [draw(_activities(people, begun=i == begun)) for i in range(size)]
    waits, remedies = draw(_waits(size))
    return Problem(
        activities=(*activities, *remedies),
        waits=waits,
        slots=draw(_hours(people, days)),
        clocks=(SLOW_NIGHTS,),
        choices=draw(_choices(size)),
        barriers=tuple(
            Barrier(by=draw(st.sampled_from(range(size))), until=draw(LAGS), bars=draw(sets))
            for _ in range(draw(st.integers(0, 2)))
        ),
        soils=tuple(
            Soil(soils=draw(sets), cleans=draw(sets), wants_clean=draw(sets)) for _ in range(draw(st.integers(0, 1)))
        ),
    )


@st.composite
def _hours(draw: st.DrawFn, people: int, days: int) -> tuple[Slot, ...]:
    """A slot a day; of some the end is quiet, or for fewer people."""
    found, at = [], 0
    for day in range(days):
        at += draw(st.integers(0, 30))
        length = draw(st.integers(10, 60))
        first = draw(st.integers(1, length))
        found.append(Slot(at, at + first, (people, 1), day))
        if first < length:
            room = (draw(st.integers(1, people)), draw(st.integers(0, 1)))
            found.append(Slot(at + first, at + length, room, day))
        at += length
    return tuple(found)


@st.composite
def _activities(draw: st.DrawFn, people: int, *, begun: bool) -> Activity:
    minutes = draw(st.integers(0, 30) if draw(st.integers(0, 9)) == 0 else st.integers(3, 30))
    fit = None
    if draw(st.integers(0, 4)) == 0:
        start = draw(st.integers(0, 60))
        middle = draw(st.integers(60, 150))
        fit = (Span(start, middle), Span(middle + draw(st.integers(1, 40)), 600))
    return Activity(
        minutes=minutes,
        smallest=draw(st.none() | st.integers(3, 12)),
        demand=(draw(st.integers(1, people)), int(draw(st.integers(0, 3)) == 0)),
        release=draw(st.just(0) | st.integers(0, 100)),
        fit=fit,
        hold=draw(LAGS) if fit and draw(st.booleans()) else Lag(),
        fixed=(Span(-20, -5),) if begun else (),
    )


@st.composite
def _waits(draw: st.DrawFn, size: int) -> tuple[tuple[Wait, ...], tuple[Activity, ...]]:
    """Waits between activities in their order, and the remedies of those that end; these are numbered from `size`."""
    waits: list[Wait] = []
    remedies: list[Activity] = []
    for before, after in combinations(range(size), 2):
        if draw(st.integers(0, 2)) != 0:
            continue
        until = Lag(draw(st.integers(40, 90))) if draw(st.integers(0, 2)) == 0 else None
        remedy = None
        if until is not None and draw(st.booleans()):
            remedy = size + len(remedies)
            minutes = draw(st.integers(3, 20))
            remedies.append(Activity(minutes=minutes, smallest=None, demand=(1, 0), release=0, optional=True))
        waits.append(Wait(before=before, after=after, lag=draw(LAGS), until=until, remedy=remedy))
    return tuple(waits), tuple(remedies)


@st.composite
def _choices(draw: st.DrawFn, size: int) -> tuple[tuple[Option, Option], ...]:
    """Which of the first and the last comes first, or nothing."""
    if size < 2 or not draw(st.booleans()):
        return ()
    a, b = 0, size - 1
    first = Option(leader=a, waits=(Wait(before=a, after=b, lag=draw(LAGS)),), extra=((b, 5),))
    return ((first, Option(leader=b, waits=(Wait(before=b, after=a, lag=draw(LAGS)),))),)
