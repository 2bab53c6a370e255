"""What is taken, from the start of one activity until an event gives it back: a thing with so many places.

The field calls these take-give resources (Z. Hanzálek and P. Šůcha, "Time symmetry of resource constrained project
scheduling with general temporal constraints and take-give resources", Annals of Operations Research, doi
10.1007/s10479-016-2184-6). While nobody has placed the one who gives back, its hold is *open*: it is reserved to the
end of time and shrinks once the event is known, so nothing that stands ever becomes wrong. Closures count against an
open hold only until the earliest moment at which it can be given back; from then on they are a deadline for the one
who gives back, and where that comes too late, the taker is held back until the closure is over.

`Holding` is what a problem says once, `HoldState` is the state of one schedule.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from typing import NamedTuple, Self

from scheduler.model.basics import Span
from scheduler.model.spans import union
from scheduler.solver.heads import Runs
from scheduler.solver.network import LONG_AGO, Network, Readiness
from scheduler.solver.problem import Hold, Problem
from scheduler.wallclock import NEVER


class Steps:
    """A number that changes at moments: how many places are taken, from long ago to the end of time."""

    __slots__ = ("_moments", "_values")

    def __init__(self) -> None:
        self._moments = [LONG_AGO]
        self._values = [0]

    def copy(self) -> Steps:
        """Steps of their own that say the same."""
        other = Steps()
        other._moments, other._values = self._moments[:], self._values[:]
        return other

    def add(self, start: int, end: int, amount: int) -> None:
        """Add an amount in [start, end)."""
        if end <= start or not amount:
            return
        first, last = self._edge(start), self._edge(end) if end < NEVER else len(self._moments)
        for k in range(first, last):
            self._values[k] += amount
        for k in (last, first):  # where nothing changes any more is no step
            if 0 < k < len(self._moments) and self._values[k] == self._values[k - 1]:
                del self._moments[k], self._values[k]

    def _edge(self, moment: int) -> int:
        at = bisect_left(self._moments, moment)
        if at == len(self._moments) or self._moments[at] != moment:
            self._moments.insert(at, moment)
            self._values.insert(at, self._values[at - 1])
        return at

    def above(self, most: int, start: int, end: int) -> tuple[int, int] | None:
        """The last stretch in [start, end) in which there is more than that, with its own ends; None: there is
        none."""
        moments, values = self._moments, self._values
        for k in range(bisect_left(moments, end) - 1, max(bisect_right(moments, start) - 2, -1), -1):
            if values[k] > most:
                return moments[k], moments[k + 1] if k + 1 < len(moments) else NEVER
        return None

    def all_above(self, most: int) -> Iterator[tuple[int, int]]:
        """All such stretches."""
        for k, value in enumerate(self._values):
            if value > most:
                yield self._moments[k], self._moments[k + 1] if k + 1 < len(self._moments) else NEVER

    def first_above(self, most: int, start: int, end: int) -> tuple[int, int] | None:
        """The first such stretch."""
        moments, values = self._moments, self._values
        for k in range(max(bisect_right(moments, start) - 1, 0), bisect_left(moments, end)):
            if values[k] > most:
                return moments[k], moments[k + 1] if k + 1 < len(moments) else NEVER
        return None


class HoldConflict(NamedTuple):
    """Pieces that a hold does not allow: the minute from which to look again (NEVER: not before something is given
    back), and if the one who gives back comes too late for a closure, who must not start before which minute instead.
    """

    until: int
    held: tuple[int, int] | None = None


class Holding:
    """The holds of one problem by who takes and by who gives back."""

    def __init__(self, problem: Problem, ready: Readiness) -> None:
        self.problem = problem
        self.holds = problem.holds
        size = range(len(problem.activities))
        self.takes: list[list[int]] = [[] for _ in size]
        self.gives: list[list[int]] = [[] for _ in size]
        self.works: list[list[Hold]] = [[] for _ in size]
        for number, hold in enumerate(problem.holds):
            if hold.at_work:
                self.works[hold.taker].append(hold)
                continue
            self.takes[hold.taker].append(number)
            if hold.giver is not None and not self.settled(hold):
                self.gives[hold.giver].append(number)
        self.opens = [[number for number in taken if self.is_open(number)] for taken in self.takes]
        self._lags = [ready.of(hold.lag) for hold in problem.holds]
        self.closures = [Steps() for _ in problem.things]
        for thing, steps in zip(problem.things, self.closures, strict=True):
            for closure in thing.closed:
                steps.add(closure.start, closure.end, closure.places)
        self._open = Runs(problem, [0] * len(problem.activities[0].demand)) if problem.holds else None
        self._ways: dict[tuple[int, int], list[int]] = {}
        self._earliest: dict[tuple[int, int, int], int] = {}

    def settled(self, hold: Hold) -> bool:
        """Whether the event that gives back is a fact, or an appointment."""
        giver = self.problem.activities[hold.taker if hold.giver is None else hold.giver]
        return bool(giver.fixed) and (hold.at_start or not giver.minutes)

    def is_open(self, number: int) -> bool:
        """Whether it is not known when a hold ends as soon as the taker has its place."""
        hold = self.holds[number]
        return hold.giver is not None and not self.settled(hold)

    def until(self, number: int, end: int, event: int) -> int:
        """When it is given back if the taker ends at `end`, and the one who gives back has its event at `event`."""
        hold = self.holds[number]
        back = self._lags[number][event]
        return max(end, back, LONG_AGO if hold.until is None else hold.until)

    def earliest(self, number: int, end: int, network: Network) -> int:
        """The earliest moment at which an open hold can be given back if the taker ends at `end`: along all that
        comes in between, with nothing else in its way.
        """
        key = id(network), number, end
        known = self._earliest.get(key)
        if known is None:
            known = self._earliest[key] = self._along(number, end, network)
        return known

    def _along(self, number: int, end: int, network: Network) -> int:
        hold, open_hours = self.holds[number], self._open
        giver = hold.giver
        if giver is None or open_hours is None:
            return end
        ends, event = {hold.taker: end}, end
        for i in self._way(hold.taker, giver, network):
            lags = ((before, ends[before] + lag) for before, lag in network.lags[i] if before in ends)
            clocked = ((before, ready[ends[before]]) for before, ready in network.clocked[i] if before in ends)
            at = max((when for _, when in (*lags, *clocked)), default=end)
            minutes = network.minutes[i]
            found = open_hours.first(at, minutes, self.problem.activities[i].smallest) if minutes else (at, at)
            if found is None:
                return NEVER
            ends[i] = found[1]
            if i == giver:
                event = max(event, found[0] if hold.at_start else found[1])
        return self.until(number, end, event)

    def _way(self, taker: int, giver: int, network: Network) -> list[int]:
        """Who comes between the two, in order, and the one who gives back."""
        key = id(network), taker * len(self.takes) + giver
        known = self._ways.get(key)
        if known is None:
            ahead, after = network.ahead_of([giver]), {taker}
            known = []
            for i in network.ordered([0.0] * len(self.takes)):
                if i in ahead and any(before in after for before, _ in (*network.lags[i], *network.clocked[i])):
                    after.add(i)
                    known.append(i)
            self._ways[key] = known
        return known


class HoldState:
    """What is taken in one schedule, so far."""

    __slots__ = ("_full", "_used", "begun", "holding", "network", "open")

    def __init__(self, holding: Holding, network: Network) -> None:
        self.holding = holding
        self.network = network
        self._used = [Steps() for _ in holding.closures]
        self._full = [steps.copy() for steps in holding.closures]  # closures as well
        self.open = [0] * len(holding.closures)  # places of each thing that are taken for nobody knows how long
        self.begun: set[int] = set()  # what is taken by facts, and may still be given back sooner than never

    def copy(self) -> Self:
        """The same of its own."""
        other = type(self)(self.holding, self.network)
        other._used = [steps.copy() for steps in self._used]
        other._full = [steps.copy() for steps in self._full]
        other.begun, other.open = self.begun.copy(), self.open[:]
        return other

    def _add(self, thing: int, start: int, end: int, places: int) -> None:
        self._used[thing].add(start, end, places)
        self._full[thing].add(start, end, places)

    def objection(
        self, i: int, start: int, end: int, pieces: Sequence[tuple[Span, ...] | None]
    ) -> HoldConflict | None:
        """What speaks against one that starts and ends there: what it gives back too late, what it finds taken."""
        holding, changed = self.holding, list[tuple[int, int, int, int]]()
        try:
            for number in holding.gives[i]:
                hold, taker = holding.holds[number], pieces[holding.holds[number].taker]
                if not taker:
                    continue
                event = start if hold.at_start else end
                back = holding.until(number, taker[-1].end, event)
                most = holding.problem.things[hold.thing].places
                if (closed := self._full[hold.thing].first_above(most, taker[0].start, back)) is not None:
                    return HoldConflict(NEVER, (hold.taker, closed[1]))
                changed.append((hold.thing, back, NEVER, -hold.places))
                self._add(*changed[-1])
            if holding.problem.activities[i].fixed:  # since when it is taken is a fact
                return None
            for number in holding.takes[i]:
                hold = holding.holds[number]
                until, sure = self._until(number, start, end, pieces)
                later = self._taken(hold, start, until, sure)
                if later is not None:
                    return HoldConflict(later)
                changed.append((hold.thing, start, until, hold.places))
                self._add(*changed[-1])
            return None
        finally:
            for thing, begin, until, places in reversed(changed):
                self._add(thing, begin, until, -places)

    def shut(self, i: int, closed: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
        """Spans in which no piece of one may run: those `closed`, and where too little is left of what it works
        with."""
        spans = [Span(*span) for span in closed]
        for hold in self.holding.works[i]:
            most = self.holding.problem.things[hold.thing].places - hold.places
            spans += (Span(start, end) for start, end in self._full[hold.thing].all_above(most))
        return list(union(spans))

    def _until(self, number: int, start: int, end: int, pieces: Sequence[tuple[Span, ...] | None]) -> tuple[int, int]:
        """Until when one is reserved that starts and ends there, and until when it is taken in any case."""
        holding, hold = self.holding, self.holding.holds[number]
        if hold.giver is None:
            until = holding.until(number, end, start if hold.at_start else end)
            return until, until
        if holding.is_open(number) and pieces[hold.giver] is None:
            closes = bool(holding.problem.things[hold.thing].closed)
            return NEVER, holding.earliest(number, end, self.network) if closes else NEVER
        giver = pieces[hold.giver] or holding.problem.activities[hold.giver].fixed
        until = holding.until(number, end, giver[0].start if hold.at_start else giver[-1].end) if giver else end
        return until, until

    def _taken(self, hold: Hold, start: int, until: int, sure: int) -> int | None:
        """When the last stretch ends in which too few places are left; None if there are always enough."""
        most = self.holding.problem.things[hold.thing].places - hold.places
        beyond = self._used[hold.thing].above(most, max(start, sure), until) if sure < until else None
        found = beyond or self._full[hold.thing].above(most, start, min(sure, until))
        return None if found is None else found[1]

    def note(self, i: int, spans: Sequence[Span], pieces: Sequence[tuple[Span, ...] | None], *, whole: bool) -> None:
        """Write down what one takes and gives back that has its pieces now; if not the whole of it, it still ends."""
        holding, start, end = self.holding, spans[0].start, spans[-1].end
        for hold in holding.works[i] if whole else ():
            for begin, until in spans:
                self._add(hold.thing, begin, until, hold.places)
        for number in holding.takes[i]:
            hold = holding.holds[number]
            if number in self.begun:
                self._add(hold.thing, start, NEVER, -hold.places)
                self.begun.discard(number)
            until = self._until(number, start, end, pieces)[0]
            if not whole and not (hold.giver is not None and not holding.is_open(number)):
                until = NEVER
                self.begun.add(number)
            self._add(hold.thing, start, until, hold.places)
            if until >= NEVER and whole and holding.is_open(number):
                self.open[hold.thing] += hold.places
        for number in holding.gives[i] if whole else ():
            hold, taker = holding.holds[number], pieces[holding.holds[number].taker]
            if taker:
                back = holding.until(number, taker[-1].end, start if hold.at_start else end)
                self._add(hold.thing, back, NEVER, -hold.places)
                self.open[hold.thing] -= hold.places
