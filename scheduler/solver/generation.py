"""One schedule while it is being made: every activity in turn at its earliest place that breaks no rule.

The rank says who is served first among those whose turn has come; everything else follows from the rules. The
same code places forwards, and backwards on the mirrored problem.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from heapq import heapify, heappop, heappush, nsmallest
from typing import Self

from scheduler.solver.changeovers import Dirt
from scheduler.solver.conflicts import Mends, Stuck
from scheduler.solver.insertion import Places
from scheduler.solver.instance import LaidOut
from scheduler.solver.network import LONG_AGO
from scheduler.solver.problem import Placement
from scheduler.wallclock import NEVER

WOKEN = 4
"""How many of those who wait for a thing have another turn when some of it is given back; all have one once nobody
else is left."""


class Schedule(Places):
    """The state of one schedule while it is being made."""

    def __init__(self, laid: LaidOut, options: tuple[int, ...], mends: Mends, floor: int) -> None:
        super().__init__(laid, options, floor)
        self.held = mends.held
        self.not_ended = mends.not_ended if self.taken is None else mends.not_ended.copy()
        self.first = laid.begun + sorted(mends.first)
        self.urgent = mends.urgent
        self.hurried: frozenset[int] = frozenset()  # whose rank is the end of a window
        self.saved: dict[int, int] = {}  # who cleans and is kept back, and from when it may run
        laid.schedules += 1

    def through(self, rank: Sequence[float], pull: float, by: int) -> Placement | Stuck:
        """Place everything, or say where it stopped."""
        self.begin(rank, pull)
        return self.go_on(by=by) or self.outcome()

    def begin(self, rank: Sequence[float], pull: float) -> None:
        """Set out with what waits for nothing."""
        activities = self.problem.activities
        self.pull = pull
        self.rank, self.needs, self.followers = self._mended(rank)
        later = zip(self.problem.pausing, rank[len(activities) :], strict=False)
        self.ahead = {i: at for i, at in later if at < self.rank[i] and not self.laid.held[i]}
        self.turn: list[tuple[float, float, int]] = [
            (LONG_AGO, self.ahead.get(i, self.rank[i]), i)
            for i, need in enumerate(self.needs)
            if not need and activities[i].called_for
        ]
        heapify(self.turn)
        self.put_off: dict[int, Dirt] = {}
        self.queued: list[int] = []  # who waits until something is given back
        self.went_on = False  # whether anybody was placed since they began to wait
        self.cleanings = self.soils.cleanings

    def go_on(self, until: int = NEVER, by: int = NEVER) -> Stuck | None:
        """Place what comes next, up to what would start at `until` or later if the pull looks at starts; None if
        nothing went wrong.
        """
        while (i := self.upcoming(until)) is not None:
            stuck = self.serve(i)
            if stuck is not None:
                return stuck
            if self.ends[i] > by and self.pieces[i] and i not in self.problem.visits:
                return Stuck(i, "late")
        return None

    def upcoming(self, until: int = NEVER) -> int | None:
        """Whose turn it is, who then has to be served; None if nobody is left who starts before `until`."""
        turn, pull, ahead = self.turn, self.pull, self.ahead
        last = pull * self.laid.open.before(until) if pull and until < NEVER else float("inf")
        while turn or self._ask_again():
            known, own, i = heappop(turn)
            if pull and (when := self._weighed(i, own, pull, keep=i in ahead)) > known:
                heappush(turn, (when, own, i))
                continue
            if known - own >= last:
                heappush(turn, (known, own, i))
                return None
            if i not in ahead:
                return i
            del ahead[i]
            self._keep(i)
            heappush(turn, (LONG_AGO, self.rank[i], i))
        return None

    def serve(self, i: int) -> Stuck | None:
        """Place one whose turn it is; what would be dirty waits until somebody has cleaned, and what takes something
        that is taken, or that others need more urgently to give back what they have, until something is given back.
        """
        if self.taken is not None and self.laid.holding.opens[i] and not self._safe(i):
            self.queued.append(i)
        elif self._put(i):
            self.went_on = True
            self._call_followers(i)
        elif self.stuck is not None and self.stuck.rule == "taken" and self.stuck.held is None:
            self.queued.append(i)
        elif self.stuck is not None and self.stuck.rule != "clean":
            return self.stuck
        else:
            self.put_off[i] = self.soils.dirty
        return None

    def able(self, until: int) -> list[tuple[int, float, int]]:
        """Those whose turn has come and who could start before `until`: when, with which rank, and who, the earliest
        first; and ahead of these those who have no place as things stand, long ago.
        """
        able = []
        for _, own, i in self.turn:
            at, minutes = self.earliest(i), self.left[i]
            if minutes and at < until:
                found = self._find(i, at, minutes)
                at = LONG_AGO if found is None else self.goes_on(i, found)
            if at < until:
                able.append((at, own, i))
        return sorted(able)

    def save(self, i: int, until: int) -> None:
        """Keep one that cleans back until a minute, or until it is let go because somebody wants it."""
        self.saved[i] = self.at_least[i]
        self.at_least[i] = max(self.at_least[i], until)

    def let_go(self, until: int) -> None:
        """For those put off whose rank is no later than `until`, keep one of those back no longer who could clean by
        then, or once the dirt in the way is made: the most urgent, unless somebody else could. It comes after that.
        """
        if not self.saved or not self.put_off:
            return
        for i, dirt in self.put_off.items():
            if self.rank[i] <= until:
                cleans = self.problem.soils[dirt.soil].cleans
                able = {j for *_, j in self.turn if j in cleans and self._if_let_go(j) <= max(until, dirt.end)}
                if able and able <= self.saved.keys():
                    cleaner = min(able, key=lambda cleaner: (self.rank[cleaner], cleaner))
                    done = self.begun[cleaner][-1].end if cleaner in self.begun else LONG_AGO
                    self.at_least[cleaner] = max(self.saved.pop(cleaner), dirt.end, done)

    def _if_let_go(self, i: int) -> int:
        """When one could start if it were not kept back."""
        kept, self.at_least[i] = self.at_least[i], self.saved.get(i, self.at_least[i])
        at, self.at_least[i] = self.earliest(i), kept
        return at

    def call(self, i: int) -> None:
        """It is the turn of this one now, who then has to be served."""
        self.turn = [entry for entry in self.turn if entry[2] != i]
        heapify(self.turn)

    def hurry(self, i: int, rank: float) -> None:
        """From now on serve one no later than its rank would be with that."""
        if self.pieces[i] is not None or rank >= self.rank[i]:
            return
        self.rank = list(self.rank)
        self.rank[i] = rank
        self.hurried |= {i}
        if any(entry[2] == i for entry in self.turn):
            self.call(i)
            heappush(self.turn, (LONG_AGO, self.ahead.get(i, rank), i))

    def _call_followers(self, i: int) -> None:
        """Those who waited only for this one have their turn from now on, and those who waited for it to be clean."""
        activities, turn = self.problem.activities, self.turn
        for j in self.followers[i]:
            self.needs[j] -= 1
            if not self.needs[j] and activities[j].called_for:
                heappush(turn, (LONG_AGO, self.ahead.get(j, self.rank[j]), j))
        if self.queued and self.laid.holding.gives[i]:
            self._ask_first(i)
        if self.put_off and self.soils.cleanings > self.cleanings:  # only that can help what was put off
            self.cleanings = self.soils.cleanings
            for j in [j for j, dirt in self.put_off.items() if self.soils.cleaned_by(dirt.soil, dirt.end) < NEVER]:
                del self.put_off[j]
                heappush(turn, (LONG_AGO, self.rank[j], j))

    def outcome(self) -> Placement | Stuck:
        """The placement, once nobody's turn is left, or what was never placed."""
        if self.queued:
            return Stuck(self.queued[0], "taken", first=self._would_be_free(self.queued[0]))
        if self.put_off and self.stuck is not None:
            pairs = self._would_be_clean(self.stuck.activity, self.soils.dirty.start)
            return replace(self.stuck, first=pairs, held=self._cleaned_too_soon(pairs))
        activities = self.problem.activities
        left = next((i for i, need in enumerate(self.needs) if need and activities[i].called_for), None)
        if left is not None:
            return Stuck(left, "circle")
        pieces = tuple(spans or () for spans in self.pieces)
        return Placement(pieces=pieces, options=self.options, visits=self.problem.visits)

    def _cleaned_too_soon(self, pairs: Iterable[tuple[int, int]]) -> tuple[int, int] | None:
        """Who cleaned before the dirt was made though the dirt was placed first, with when it was: things that are
        kept may put dirt off by days. None if nobody did."""
        for dirt, cleaner in pairs if self.taken is not None else ():
            spans, cleaned = self.pieces[dirt], self.pieces[cleaner]
            if (dirt, cleaner) in self.first and spans and cleaned and cleaned[0].start < spans[-1].end:
                return cleaner, spans[-1].end
        return None

    def copy(self) -> Self:
        """A schedule of its own that has come as far."""
        other = super().copy()
        other.ahead, other.put_off, other.saved = self.ahead.copy(), self.put_off.copy(), self.saved.copy()
        other.turn, other.needs = self.turn[:], self.needs[:]
        other.queued = self.queued[:]
        return other

    def _safe(self, i: int) -> bool:
        """Whether everybody left can still get what they need once this one takes what it takes; of a fact nobody
        asks."""
        return (
            self.taken is None
            or bool(self.problem.activities[i].fixed)
            or self.laid.claims(self.network).safe(i, self.pieces, self.taken.open)
        )

    def _ask_first(self, i: int) -> None:
        """Give another turn to the first of those who wait for what one has given back."""
        holding = self.laid.holding
        given = {holding.holds[number].thing for number in holding.gives[i]}
        waiting = (j for j in self.queued if any(holding.holds[number].thing in given for number in holding.takes[j]))
        for j in nsmallest(WOKEN, waiting, key=lambda j: (self.rank[j], j)):
            self.queued.remove(j)
            heappush(self.turn, (LONG_AGO, self.rank[j], j))

    def _ask_again(self) -> bool:
        """Whether anybody who waits for something to be given back has another turn, as others were placed since."""
        if not self.queued or not self.went_on:
            return False
        for j in self.queued:
            heappush(self.turn, (LONG_AGO, self.rank[j], j))
        self.queued, self.went_on = [], False
        return True

    def _would_be_free(self, i: int) -> tuple[tuple[int, int], ...]:
        """Who would have to be placed before whom for this one to find what it takes: before each who has it now."""
        problem = self.problem
        wanted = {problem.holds[number].thing for number in self.laid.holding.takes[i]}
        return tuple(
            (i, hold.taker)
            for number, hold in enumerate(problem.holds)
            if hold.thing in wanted and hold.taker != i and hold.giver is not None and self.pieces[hold.taker]
            if self.laid.holding.is_open(number) and self.pieces[hold.giver] is None
        )

    def _mended(self, rank: Sequence[float]) -> tuple[Sequence[float], list[int], list[list[int]]]:
        """The rank, what must be placed first, and for whom, with what was learned; and the facts written down."""
        needs, followers = self.network.needs[:], self.network.followers
        for i, minute in self.held.items():
            self.at_least[i] = max(self.at_least[i], minute)
        if self.urgent:
            ahead = max(rank) - min(rank) + 1
            rank = [value - ahead if i in self.urgent else value for i, value in enumerate(rank)]
        if self.first:
            followers = [list(listed) for listed in followers]
            for first, then in self.first:
                followers[first].append(then)
                needs[then] += 1
        for i in self.laid.facts:
            self._note(i, self.problem.activities[i].fixed, ())
        return rank, needs, followers

    def _weighed(self, i: int, rank: float, pull: float, *, keep: bool) -> float:
        """Its rank with the earliest start as things stand; long ago if it can't be placed at all."""
        at, minutes = self.earliest(i), self.left[i]
        if keep:
            minutes = self.problem.activities[i].smallest or minutes
        if minutes:
            found = self._find(i, at, minutes)
            if found is None:
                return LONG_AGO
            at = self.goes_on(i, found)
        return rank + pull * self.laid.open.before(at)
