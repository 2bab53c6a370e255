"""Tiny random problems in which things are taken and given back in every way there is, with all other rules mixed in.

Hours and minutes are small, so that an independent solver answers at once. The same number is always the same
problem.
"""

from __future__ import annotations

from random import Random

from scheduler.model.basics import Span
from scheduler.model.clock import DryClock
from scheduler.solver.problem import Activity, Barrier, Closure, Hold, Lag, Problem, Promise, Slot, Soil, Thing, Wait

CLOCK = DryClock((0, 100, 250, 5000, 200000), (0.0, 100.0, 175.0, 4925.0, 199925.0))
"""At full speed until minute 100, at half until 250, then at full speed again."""


def small_problem(seed: int) -> Problem:
    """The problem of that number: three to five activities that are certain, and what is taken."""
    return _Draft(Random(f"small holds {seed}")).problem()


class _Draft:
    def __init__(self, random: Random) -> None:
        self.random = random
        self.size = random.randint(3, 5)
        self.slots = tuple(self._slots())
        self.activities = [self._activity() for _ in range(self.size)]
        self.waits: list[Wait] = []
        for i in range(1, self.size):
            if random.random() < 0.55:
                self._wait(i)
        self.visit = self._appointment() if random.random() < 0.35 else None
        self.things: list[Thing] = []
        self.holds: list[Hold] = []
        for _ in range(random.randint(1, 2)):
            self._thing()

    def problem(self) -> Problem:
        random = self.random
        if random.random() < 0.15:
            self._fact()
        promises = tuple(self._promise() for _ in range(random.choice((0, 0, 1, 2, 3))))
        barriers, soils = tuple[Barrier, ...](), tuple[Soil, ...]()
        if random.random() < 0.25:
            barriers = (Barrier(by=0, until=self._lag(), bars=frozenset({1, 2})),)
            self.activities[0] = Activity(minutes=20, smallest=None, demand=(1,), release=0)
        if random.random() < 0.2:
            one, cleaner, wet = (frozenset({i}) for i in random.sample(range(self.size), 3))
            soils = (Soil(soils=one, cleans=cleaner, wants_clean=wet),)
        return Problem(
            activities=tuple(self.activities),
            waits=tuple(self.waits),
            slots=self.slots,
            clocks=(CLOCK,),
            barriers=barriers,
            soils=soils,
            things=tuple(self.things),
            holds=tuple(self.holds),
            promises=promises,
        )

    def _slots(self) -> list[Slot]:
        random, at, found = self.random, 0, list[Slot]()
        two = random.random() < 0.3
        while at < 700:
            at += random.choice((0, 20, 40, 90))
            length = random.choice((20, 50, 70, 120))
            people = 2 if two and random.random() < 0.6 else 1
            found.append(Slot(at, at + length, (people,), len(found)))
            at += length + random.choice((10, 30))
        return found

    def _activity(self) -> Activity:
        minutes = self.random.choice((10, 20, 25, 30, 40, 60))
        smallest, release = self.random.choice((None, None, 10, 15, 20)), self.random.choice((0, 0, 0, 50, 130))
        return Activity(minutes=minutes, smallest=smallest, demand=(1,), release=release)

    def _lag(self) -> Lag:
        return Lag(self.random.choice((0, 0, 10, 30, 80)), self.random.choice((None, None, 0)))

    def _wait(self, i: int) -> None:
        """One that has a window at times, which somebody may mend."""
        random, lag, until, remedy = self.random, self._lag(), None, None
        if random.random() < 0.3:
            until = Lag(lag.amount + random.choice((20, 60, 150)), lag.clock)
            if random.random() < 0.6:
                remedy = len(self.activities)
                self.activities.append(Activity(minutes=15, smallest=None, demand=(1,), release=0, optional=True))
        self.waits.append(Wait(before=random.randrange(i), after=i, lag=lag, until=until, remedy=remedy))

    def _appointment(self) -> int:
        random, here = self.random, len(self.activities)
        start = random.choice((150, 220, 300))
        span = Span(start, start + random.choice((30, 100)))
        self.activities.append(Activity(minutes=0, smallest=None, demand=(0,), release=0, fixed=(span,), booked=True))
        if random.random() < 0.7:
            self.waits.append(Wait(before=random.randrange(self.size), after=here, lag=self._lag()))
        if random.random() < 0.7:
            self.waits.append(Wait(before=here, after=random.randrange(self.size), lag=self._lag()))
        return here

    def _thing(self) -> None:
        random, places, closed = self.random, self.random.randint(1, 3), tuple[Closure, ...]()
        if random.random() < 0.4:
            start = random.choice((60, 200, 320))
            closed = (Closure(start, start + random.choice((20, 100)), random.randint(1, places)),)
        self.things.append(Thing(places, closed))
        for i in random.sample(range(self.size), random.randint(1, min(4, self.size))):
            self.holds.append(self._hold(i, random.randint(1, places)))

    def _hold(self, taker: int, places: int) -> Hold:
        random, thing = self.random, len(self.things) - 1
        kind = random.choice(("work", "end", "film", "start", "giver", "giver", "giver starts", "until"))
        if kind == "work":
            return Hold(thing=thing, places=places, taker=taker, at_work=True)
        if kind == "film":
            return Hold(thing=thing, places=places, taker=taker, lag=self._lag())
        if kind == "start":
            return Hold(thing=thing, places=places, taker=taker, at_start=True, lag=Lag(random.choice((20, 60, 100))))
        if kind == "until":
            return Hold(thing=thing, places=places, taker=taker, until=random.choice((100, 200)))
        if kind == "end":
            return Hold(thing=thing, places=places, taker=taker)
        others = [j for j in (*range(self.size), self.visit) if j is not None and j != taker]
        lag = random.choice((Lag(), Lag(), self._lag()))
        giver, at_start = random.choice(others), kind == "giver starts"
        return Hold(thing=thing, places=places, taker=taker, giver=giver, at_start=at_start, lag=lag)

    def _fact(self) -> None:
        """Something is taken since before the beginning."""
        before = Activity(minutes=0, smallest=None, demand=(0,), release=0, fixed=(Span(-50, -49),))
        self.activities.append(before)
        taker, known = len(self.activities) - 1, self.random.random() < 0.5
        giver = None if known else self.random.randrange(self.size)
        self.holds.append(Hold(thing=0, places=1, taker=taker, giver=giver, until=100 if known else None))

    def _promise(self) -> Promise:
        random = self.random
        kept = [number for number, hold in enumerate(self.holds) if not hold.at_work]
        if kept and random.random() < 0.5:
            return Promise(holds=(random.choice(kept),), at_most=random.choice((40, 80, 150)))
        ends = tuple((i, self._lag()) for i in random.sample(range(self.size), random.randint(1, 2)))
        return Promise(ends=ends, by=random.choice((100, 200, 300, 400)))
