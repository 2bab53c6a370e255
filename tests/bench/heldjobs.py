"""Random small jobs of a household, with all that is taken and given back: films on a rack, rooms emptied into a
store, a thing that others have at times, work for one or two, somebody's appointment, promises.

Sizes and times are common practice, no source. A job with the same number is always the same.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise
from random import Random

from scheduler.model.basics import Span
from scheduler.model.clock import DryClock
from scheduler.solver.problem import Activity, Barrier, Closure, Hold, Lag, Problem, Promise, Slot, Soil, Thing, Wait
from scheduler.wallclock import DAY
from tests.bench.heldoracle import Modes

WEEKS = 4
RATES = ((70, 100, 60), (30, 80, 45))
"""Of two clocks: how fast films dry in the morning, by day and at night, in whole percents of the reference."""


@dataclass(frozen=True)
class Held:
    """A job, each activity in its first mode, and the modes of those that have several."""

    problem: Problem
    modes: Modes

    def manned(self, chosen: dict[int, int]) -> Problem:
        """The problem with each of these activities in the mode of that number."""
        activities = list(self.problem.activities)
        for i, number in chosen.items():
            people, minutes = self.modes[i][number]
            demand = (people, *activities[i].demand[1:])
            activities[i] = replace(activities[i], minutes=minutes, demand=demand)
        return replace(self.problem, activities=tuple(activities))

    def least_asked(self, part: Mapping[int, Sequence[int]]) -> Problem:
        """The problem with the fewest people and the fewest minutes, at once, of the modes that each may still have.
        What may pause, gives something back or opens a window may pause anywhere, so that it can end as late as in
        any of them."""
        problem, activities = self.problem, list(self.problem.activities)
        late = {hold.giver for hold in problem.holds} | {wait.before for wait in problem.waits if wait.until}
        for i, numbers in part.items():
            people, minutes = (min(self.modes[i][number][k] for number in numbers) for k in (0, 1))
            smallest = activities[i].smallest
            if len(numbers) > 1:
                smallest = None if smallest is None and i not in late else 1
            demand = (people, *activities[i].demand[1:])
            activities[i] = replace(activities[i], minutes=minutes, smallest=smallest, demand=demand)
        return replace(problem, activities=tuple(activities))


def held_job(seed: int) -> Held:
    """The job of that number: 7 to 13 activities."""
    return _Draft(Random(f"held {seed}")).job()


class _Draft:
    def __init__(self, random: Random) -> None:
        self.random = random
        self.size = random.randint(7, 13)
        self.people = random.choice((1, 1, 2))
        self.activities = [self._activity() for _ in range(self.size)]
        self.waits = [wait for i in range(1, self.size) for wait in self._waits(i)]
        self.things: list[Thing] = []
        self.holds: list[Hold] = []
        self.promises: list[Promise] = []
        self.barriers: list[Barrier] = []
        self.soils: list[Soil] = []
        self.modes: dict[int, tuple[tuple[int, int], ...]] = {}
        self.visit: Span | None = None

    def job(self) -> Held:
        """What was drawn so far, with three to five kinds of things that are taken."""
        parts = [self._rack, self._store, self._lent, self._films]
        for part in self.random.sample(parts, self.random.randint(1, 3)):
            part()
        if self.random.random() < 0.6:
            self._hands()
        rooms = self._appointment() if self.random.random() < 0.5 else frozenset[int]()
        if self.random.random() < 0.6:
            self._promised()
        inside = tuple(int(i in rooms) for i in range(len(self.activities)))
        activities = tuple(
            replace(activity, demand=(*activity.demand, inside[i])) for i, activity in enumerate(self.activities)
        )
        problem = Problem(
            activities=activities,
            waits=tuple(self.waits),
            slots=tuple(self._slots()),
            clocks=tuple(_clock(rates) for rates in RATES),
            barriers=tuple(self.barriers),
            soils=tuple(self.soils),
            things=tuple(self.things),
            holds=tuple(self.holds),
            promises=tuple(self.promises),
        )
        return Held(problem, self.modes)

    def _activity(self) -> Activity:
        minutes = 5 * self.random.randint(6, 36)
        smallest = self.random.choice((30, 45)) if minutes >= 90 and self.random.random() < 0.5 else None
        release = DAY * self.random.randint(1, 5) + 9 * 60 if self.random.random() < 0.12 else 0
        return Activity(minutes=minutes, smallest=smallest, demand=(1,), release=release)

    def _waits(self, i: int) -> list[Wait]:
        if self.random.random() > 0.75:
            return []
        lag = self._lag(1, 18) if self.random.random() < 0.6 else Lag()
        return [Wait(before=self.random.randint(max(0, i - 3), i - 1), after=i, lag=lag)]

    def _lag(self, low: int, high: int) -> Lag:
        clock = self.random.choice((None, 0, 1))
        return Lag(60 * self.random.randint(low, high), clock)

    def _few(self, least: int, most: int) -> list[int]:
        return sorted(self.random.sample(range(self.size), min(self.size, self.random.randint(least, most))))

    def _thing(self, places: int, closed: tuple[Closure, ...] = ()) -> int:
        self.things.append(Thing(places, closed))
        return len(self.things) - 1

    def _rack(self) -> None:
        """Films stand on a rack until they can be handled."""
        places = self.random.randint(2, 6)
        rack = self._thing(places)
        for i in self._few(3, 6):
            self.holds.append(Hold(thing=rack, places=self.random.randint(1, places), taker=i, lag=self._lag(2, 16)))

    def _store(self) -> None:
        """What one clears away a later one brings back."""
        places = self.random.randint(1, 3)
        store = self._thing(places)
        for i in self._few(2, 4):
            if i + 1 < self.size:
                giver = self.random.randint(i + 1, min(i + 4, self.size - 1))
                lag = self._lag(1, 6) if self.random.random() < 0.2 else Lag()
                places_taken = self.random.randint(1, places)
                at_start = self.random.random() < 0.3
                self.holds.append(
                    Hold(thing=store, places=places_taken, taker=i, giver=giver, at_start=at_start, lag=lag)
                )

    def _lent(self) -> None:
        """A machine that somebody else has for some days: taken from start to end, at work, or for a time."""
        first = self.random.randint(0, 4)
        away = Closure(first * DAY + 12 * 60, (first + self.random.randint(1, 4)) * DAY, 1)
        machine = self._thing(1, (away,))
        for i in self._few(2, 4):
            kind = self.random.choice(("work", "end", "time"))
            lag = Lag(60 * self.random.randint(2, 8)) if kind == "time" else Lag()
            self.holds.append(
                Hold(thing=machine, places=1, taker=i, at_work=kind == "work", at_start=kind == "time", lag=lag)
            )

    def _films(self) -> None:
        """Some lay a film, over which no dust flies; who is wet wants it clean."""
        drawn = self._few(4, 6)
        wet, dusty = drawn[::2], drawn[1::2]
        for i in wet:
            self.activities[i] = replace(self.activities[i], smallest=None)
            self.barriers.append(Barrier(by=i, until=self._lag(1, 3), bars=frozenset(dusty)))
        self.activities.append(Activity(minutes=25, smallest=None, demand=(1,), release=0))
        cleans = frozenset({len(self.activities) - 1})
        self.soils.append(Soil(soils=frozenset(dusty), cleans=cleans, wants_clean=frozenset(wet)))

    def _hands(self) -> None:
        """Some go quicker with two, on days on which two are there."""
        self.people = 2
        for i in self._few(2, 4):
            minutes = self.activities[i].minutes
            both = 5 * round(minutes * self.random.choice((0.45, 0.55, 0.7)) / 5)
            self.modes[i] = ((1, minutes), (2, max(10, both)))

    def _appointment(self) -> frozenset[int]:
        """Somebody comes one day, to a room: what is ready by then, and what waits for it. The tasks of that room."""
        day, long = self.random.randint(6, 12), self.random.choice((4, 8))
        self.visit = Span(day * DAY + 8 * 60, day * DAY + (8 + long) * 60)
        self.activities.append(
            Activity(minutes=0, smallest=None, demand=(0,), release=0, fixed=(self.visit,), booked=True)
        )
        here, middle = len(self.activities) - 1, self.size // 2
        self.waits.append(Wait(before=self.random.randrange(middle), after=here, lag=self._lag(1, 12)))
        lag = self._lag(2, 8) if self.random.random() < 0.5 else Lag()
        self.waits.append(Wait(before=here, after=self.random.randrange(middle, self.size), lag=lag))
        return frozenset(i for i in range(self.size) if self.random.random() < 0.5)

    def _promised(self) -> None:
        """Some are done by a day, a thing is out of use no longer than so."""
        for _ in range(self.random.randint(1, 2)):
            day = self.random.randint(1, 8)
            ends = tuple((i, self._lag(1, 10) if self.random.random() < 0.5 else Lag()) for i in self._few(1, 2))
            self.promises.append(Promise(ends=ends, by=day * DAY + 20 * 60))
        kept = [n for n, hold in enumerate(self.holds) if not hold.at_work]
        if kept and self.random.random() < 0.6:
            self.promises.append(Promise(holds=(self.random.choice(kept),), at_most=60 * self.random.randint(6, 40)))

    def _slots(self) -> list[Slot]:
        """Weekends by day and two evenings a week; of two people one is there in the evening. Day 0 is a Saturday."""
        evenings = self.random.sample((2, 3, 4, 5), 2)
        found: list[Slot] = []
        for week in range(WEEKS):
            for day, start, end, people in (
                (0, 9 * 60, 16 * 60, self.people),
                (1, 9 * 60, 14 * 60, 1),
                *((day, 18 * 60, 21 * 60, 1) for day in sorted(evenings)),
            ):
                whole = Span((7 * week + day) * DAY + start, (7 * week + day) * DAY + end)
                found += self._around_the_visit(whole, people)
        return found

    def _around_the_visit(self, whole: Span, people: int) -> list[Slot]:
        """The hours of a day, with no leave to work in the room while somebody is there by appointment."""
        visit, day = self.visit, whole.start // DAY
        if visit is None or visit.end <= whole.start or whole.end <= visit.start:
            return [Slot(whole.start, whole.end, (people, self.size), day)]
        edges = sorted({whole.start, whole.end, *(each for each in visit if whole.start < each < whole.end)})
        return [
            Slot(a, b, (people, 0 if visit.start <= a < visit.end else self.size), day) for a, b in pairwise(edges)
        ]


def _clock(rates: tuple[int, int, int]) -> DryClock:
    """Progress in reference minutes over half a year, at these rates from midnight, 9:00 and 19:00 on."""
    knots, progress = [0], [0.0]
    for day in range(26 * 7):
        for rate, until in zip(rates, (9 * 60, 19 * 60, DAY), strict=True):
            progress.append(progress[-1] + rate * (day * DAY + until - knots[-1]) / 100)
            knots.append(day * DAY + until)
    return DryClock(tuple(knots), tuple(progress))
