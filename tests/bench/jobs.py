"""Random problems like ours, all invented: rooms finished on weekends and evenings, with films that dry meanwhile.

A job has 20 to 120 steps in one to four rooms, one or two people, and about six weeks of hours: Saturdays from
8:30, Sundays from 10:00, some evenings, a weekend away now and then. In every room there are chains of steps with
waits of 1 to 48 hours, some of them on a dry clock that is slower at night; wet steps bar the dusty ones of their
room until they are dust free; after dust comes a wipe before anything wet. One to three parts come late, some
coats have a recoat window with a remedy, and up to four colours border each other. Rates are in whole hundredths,
so that an integer model of the same problem is exact.
"""

from __future__ import annotations

from itertools import combinations, pairwise
from random import Random

from scheduler.model.clock import DryClock
from scheduler.solver.problem import Activity, Barrier, Lag, Option, Problem, Slot, Soil, Wait

HOUR = 60
DAY = 24 * HOUR
PERSON, LADDER, NOISE = range(3)


def job(seed: int) -> Problem:
    """The job with this number; minute 0 is midnight before a Saturday."""
    return _Job(Random(seed)).problem


class _Job:
    def __init__(self, random: Random) -> None:
        self.random = random
        self.size = random.randint(20, 120)
        self.people = random.choice((1, 1, 2))
        self.activities: list[Activity] = []
        self.waits: list[Wait] = []
        self.choices: list[tuple[Option, Option]] = []
        self.barriers: list[Barrier] = []
        self.soils: list[Soil] = []
        self.weeks = 6 + self.size // 6
        self.clocks = tuple(self._clock(amount) for amount in (0.4, 0.8))
        rooms = random.randint(1, min(4, self.size // 10))
        late = random.randint(1, 3)
        for room in range(rooms):
            self._room(self.size * (room + 1) // rooms, [self._release() for _ in range(late if not room else 0)])
        self.problem = Problem(
            activities=tuple(self.activities),
            waits=tuple(self.waits),
            slots=tuple(self._slots()),
            clocks=self.clocks,
            choices=tuple(self.choices),
            barriers=tuple(self.barriers),
            soils=tuple(self.soils),
        )

    def _clock(self, night: float) -> DryClock:
        """Full speed from 8:00 to 20:00, the given rate at night; ten days of colder air somewhere."""
        cold = self.random.randint(0, 20)
        knots, progress = [0], [0.0]
        for half in range(2 * 7 * self.weeks + 60):
            rate = 1.0 if half % 2 else night
            if cold <= half // 2 < cold + 10:
                rate -= 0.2
            knots.append(8 * HOUR - 12 * HOUR + (half + 1) * 12 * HOUR)
            progress.append(progress[-1] + round(rate * (knots[-1] - knots[-2]), 6))
        return DryClock(tuple(knots), tuple(progress))

    def _slots(self) -> list[Slot]:
        """Saturdays, Sundays and two evenings; the last hour of a Saturday and every evening after 20:00 is quiet."""
        random, slots = self.random, []
        evenings = random.sample((3, 4, 5, 6), 2)  # days after Saturday: Tuesday to Friday
        away = random.randint(1, 8)
        alone = 1
        for week in range(self.weeks):
            for weekday, start, quiet, end, people in (
                (0, 510, 1020, 1080, self.people),
                (1, 600, 900, 900, alone),
                *((evening, 1110, 1200, 1260, alone) for evening in sorted(evenings)),
            ):
                if week == away and weekday < 2:
                    continue
                day = 7 * week + weekday
                at = day * DAY
                slots.append(Slot(at + start, at + quiet, (people, 1, people), day))
                if quiet < end:
                    slots.append(Slot(at + quiet, at + end, (people, 1, 0), day))
        return slots

    def _release(self) -> int:
        return self.random.randint(5, 30) * DAY + 9 * HOUR

    def _step(self, low: int, high: int, *, noisy: bool = False, may_pause: bool = True, release: int = 0) -> int:
        """One more step; durations in steps of 5 minutes."""
        random = self.random
        minutes = 5 * random.randint(low // 5, high // 5)
        demand = (
            2 if self.people == 2 and random.random() < 0.1 else 1,
            int(random.random() < 0.15),
            int(noisy),
        )
        smallest = 30 if may_pause and minutes > 60 else None
        longest = 120 if noisy or demand[PERSON] == 1 else 450
        if smallest is None:
            minutes = min(minutes, longest)
        self.activities.append(Activity(minutes=minutes, smallest=smallest, demand=demand, release=release))
        return len(self.activities) - 1

    def _lag(self, low: int, high: int) -> Lag:
        """A wait in hours, on a clock more often than not."""
        hours = self.random.randint(low, high)
        return Lag(hours * HOUR, self.random.choice((None, 0, 1)))

    def _room(self, until: int, releases: list[int]) -> None:
        """Steps of one room up to number `until`: dusty work, wipes, wet coats in chains, colours at the end."""
        random = self.random
        first = len(self.activities)
        dusty: list[int] = []
        wipes: list[int] = []
        wet: list[int] = []
        colours = random.randint(0, 4)
        chains: list[int] = []
        while len(self.activities) < until - 3 * colours:
            release = releases.pop() if releases and random.random() < 0.3 else 0
            before = random.choice(chains[-4:]) if chains and random.random() < 0.75 else None
            if random.random() < 0.3:
                last = self._dust(before, release, dusty, wipes)
            else:
                last = self._coats(before, release, wet, until)
            chains.append(last)
        ends = self._colours(colours, chains, wet)
        for release in releases:
            part = self._step(30, 90, release=release)
            self.waits.append(Wait(before=random.choice(chains or [first]), after=part))
        last = self._step(20, 60)
        self.waits += [Wait(before=end, after=last, lag=self._lag(1, 24)) for end in ends or chains[-1:]]
        for i in wet:
            if dusty:
                self.barriers.append(Barrier(by=i, until=self._lag(1, 3), bars=frozenset(dusty)))
        if dusty:
            self.soils.append(Soil(soils=frozenset(dusty), cleans=frozenset(wipes), wants_clean=frozenset(wet)))

    def _dust(self, before: int | None, release: int, dusty: list[int], wipes: list[int]) -> int:
        """Something dusty, noisy as a rule, and the wipe after it."""
        sand = self._step(20, 150, noisy=self.random.random() < 0.7, release=release)
        wipe = self._step(10, 30)
        dusty.append(sand)
        wipes.append(wipe)
        if before is not None:
            self.waits.append(Wait(before=before, after=sand, lag=self._lag(1, 24)))
        self.waits.append(Wait(before=sand, after=wipe))
        return wipe

    def _coats(self, before: int | None, release: int, wet: list[int], until: int) -> int:
        """One to three coats; some have a recoat window, with a scuff sand as the remedy."""
        random = self.random
        coats = [self._step(20, 120, may_pause=False, release=release) for _ in range(random.randint(1, 3))]
        wet += coats
        if before is not None:
            self.waits.append(Wait(before=before, after=coats[0], lag=self._lag(1, 24)))
        for a, b in pairwise(coats):
            until_lag, remedy = None, None
            if random.random() < 0.25:
                until_lag = Lag(random.randint(40, 120) * HOUR)
                remedy = len(self.activities)
                self.activities.append(
                    Activity(minutes=30, smallest=None, demand=(1, 0, 0), release=0, optional=True)
                )
                self.waits.append(Wait(before=a, after=remedy, lag=Lag(24 * HOUR)))
            self.waits.append(Wait(before=a, after=b, lag=self._lag(2, 24), until=until_lag, remedy=remedy))
        return coats[-1]

    def _colours(self, count: int, chains: list[int], wet: list[int]) -> list[int]:
        """Colours of two coats; of two that touch, the second is taped (10 minutes more) when the first is dry."""
        random = self.random
        pairs = []
        for _ in range(count):
            first, second = (self._step(30, 100, may_pause=False) for _ in range(2))
            wet += [first, second]
            self.waits.append(Wait(before=first, after=second, lag=self._lag(4, 8)))
            if chains:
                self.waits.append(Wait(before=random.choice(chains[-3:]), after=first, lag=self._lag(4, 24)))
            pairs.append((first, second))
        for a, b in combinations(pairs, 2):
            if random.random() < 0.6:
                self.choices.append(
                    (
                        Option(
                            leader=a[0],
                            waits=(Wait(before=a[1], after=b[0], lag=self._lag(12, 48)),),
                            extra=((b[0], 10),),
                        ),
                        Option(
                            leader=b[0],
                            waits=(Wait(before=b[1], after=a[0], lag=self._lag(12, 48)),),
                            extra=((a[0], 10),),
                        ),
                    )
                )
        return [second for _, second in pairs]
