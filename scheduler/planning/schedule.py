"""One schedule while it is being made: every activity in turn at its earliest place that breaks no rule.

The rank says who is served first among those whose turn has come; everything else follows from the rules. The
same code places forwards, and backwards on the mirrored problem.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from dataclasses import replace
from heapq import heapify, heappop, heappush

from scheduler.model.basics import Span
from scheduler.planning.laidout import LaidOut
from scheduler.planning.network import LONG_AGO, first_reaching, next_fit
from scheduler.planning.problem import Placement, Wait
from scheduler.planning.soiling import Dirt, Soiling
from scheduler.planning.stairs import Stairs
from scheduler.planning.stuck import Mends, Stuck
from scheduler.planning.timeline import block, joined, split
from scheduler.wallclock import NEVER


class Schedule:
    """The state of one schedule while it is being made."""

    def __init__(self, laid: LaidOut, options: tuple[int, ...], mends: Mends, floor: int) -> None:
        self.laid = laid
        self.problem = laid.problem
        self.options = options
        self.network = laid.network(options)
        self.held = mends.held
        self.first = laid.begun + sorted(mends.first)
        self.urgent = mends.urgent
        size = len(self.problem.activities)
        self.at_least = [max(release, floor) for release in laid.releases]
        self.line = laid.empty.copy()
        self.pieces: list[tuple[Span, ...] | None] = [None] * size
        self.ends = [LONG_AGO] * size
        groups = range(laid.groups)
        self.closed: list[list[tuple[int, int]]] = [[] for _ in groups]
        self.barred = [Stairs() for _ in groups]  # by the starts of their pieces, the ends
        self.soils = Soiling(len(self.problem.soils))
        self.kept: dict[int, Span] = {}  # room for a smallest first piece
        self.stuck: Stuck | None = None
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
        self.ahead = {i: at for i, at in later if at < self.rank[i]}
        self.turn: list[tuple[float, float, int]] = [
            (LONG_AGO, self.ahead.get(i, self.rank[i]), i)
            for i, need in enumerate(self.needs)
            if not need and activities[i].called_for
        ]
        heapify(self.turn)
        self.put_off: dict[int, Dirt] = {}
        self.cleanings = self.soils.cleanings

    def go_on(self, until: int = NEVER, by: int = NEVER) -> Stuck | None:
        """Place what comes next, up to what would start at `until` or later if the pull looks at starts; None if
        nothing went wrong.
        """
        while (i := self.upcoming(until)) is not None:
            stuck = self.serve(i)
            if stuck is not None:
                return stuck
            if self.ends[i] > by and self.pieces[i]:
                return Stuck(i, "late")
        return None

    def upcoming(self, until: int = NEVER) -> int | None:
        """Whose turn it is, who then has to be served; None if nobody is left who starts before `until`."""
        turn, pull, ahead = self.turn, self.pull, self.ahead
        last = pull * self.laid.open.before(until) if pull and until < NEVER else float("inf")
        while turn:
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
        """Place one whose turn it is; what would be dirty waits until somebody has cleaned."""
        if self._put(i):
            self._call_followers(i)
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
            at, minutes = self.earliest(i), self.network.minutes[i]
            if minutes and at < until:
                found = self._find(i, at, minutes)
                at = LONG_AGO if found is None else found[0].start
            if at < until:
                able.append((at, own, i))
        return sorted(able)

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
        if self.put_off and self.soils.cleanings > self.cleanings:  # only that can help what was put off
            self.cleanings = self.soils.cleanings
            for j in [j for j, dirt in self.put_off.items() if self.soils.cleaned_by(dirt.soil, dirt.end) < NEVER]:
                del self.put_off[j]
                heappush(turn, (LONG_AGO, self.rank[j], j))

    def outcome(self) -> Placement | Stuck:
        """The placement, once nobody's turn is left, or what was never placed."""
        if self.put_off and self.stuck is not None:
            return replace(self.stuck, first=self._would_be_clean(self.stuck.activity, self.soils.dirty.start))
        activities = self.problem.activities
        left = next((i for i, need in enumerate(self.needs) if need and activities[i].called_for), None)
        if left is not None:
            return Stuck(left, "circle")
        return Placement(pieces=tuple(spans or () for spans in self.pieces), options=self.options)

    def copy(self) -> Schedule:
        """A schedule of its own that has come as far."""
        other = copy(self)
        other.at_least, other.pieces, other.ends = self.at_least[:], self.pieces[:], self.ends[:]
        other.line, other.soils = self.line.copy(), self.soils.copy()
        other.closed = [spans[:] for spans in self.closed]
        other.barred = [stairs.copy() for stairs in self.barred]
        other.kept, other.ahead, other.put_off = self.kept.copy(), self.ahead.copy(), self.put_off.copy()
        other.turn, other.needs = self.turn[:], self.needs[:]
        return other

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

    def _put(self, i: int) -> bool:
        """Place one activity, and the remedies it calls for, at the earliest moment that is allowed."""
        activity, minutes = self.problem.activities[i], self.network.minutes[i]
        fixed = activity.fixed
        ends = self.ends
        at = self.earliest(i)
        if not minutes:
            ends[i] = fixed[-1].end if fixed else at
            self.pieces[i] = fixed
            return True
        found = self._find(i, at, minutes)
        if found is None:
            return False
        missed = None if fixed or not self.network.limited[i] else self._missed(i, found[0].start)
        if missed is None:
            self._note(i, fixed, found)
            return True
        remedy = missed.remedy
        if remedy is None or self.pieces[remedy] is not None:
            self.stuck = Stuck(i, "window", self._would_keep(missed, found[0].start))
            return False
        self.at_least[remedy] = max(self.at_least[remedy], ends[missed.before])
        if not self._put(remedy):
            return False
        self.at_least[i] = max(self.at_least[i], ends[remedy])
        return self._put(i)

    def _keep(self, i: int) -> None:
        """Keep room for the smallest piece that one which pauses can begin with, before its own turn."""
        activity = self.problem.activities[i]
        if self.pieces[i] is not None or activity.smallest is None:
            return
        found = self._find(i, self.earliest(i), activity.smallest)
        if found is None:
            return
        self.kept[i] = found[0]
        self.line.take(*found[0], self.laid.demand[i])
        if self.laid.barred[i]:
            self.barred[self.laid.barred[i]].note(*found[0])
        for number in self.laid.soiling[i]:
            self.soils.soil(i, number, (*activity.fixed, *found), cleans=False, whole=False)

    def earliest(self, i: int) -> int:
        """When release, waits and what is done of it allow it to start."""
        at, ends = self.at_least[i], self.ends
        for before, lag in self.network.lags[i]:
            when = ends[before] + lag
            if when > at:  # noqa: PLR1730 - twice as fast as max(), millions of times
                at = when
        for before, ready in self.network.clocked[i]:
            when = ready[ends[before]]
            if when > at:  # noqa: PLR1730
                at = when
        return at

    def _weighed(self, i: int, rank: float, pull: float, *, keep: bool) -> float:
        """Its rank with the earliest start as things stand; long ago if it can't be placed at all."""
        at, minutes = self.earliest(i), self.network.minutes[i]
        if keep:
            minutes = self.problem.activities[i].smallest or minutes
        if minutes:
            found = self._find(i, at, minutes)
            if found is None:
                return LONG_AGO
            at = found[0].start
            kept = self.kept.get(i)
            if kept is not None:  # that piece has its room: the question is when the rest goes on
                at = next((max(begin, kept.end) for begin, end in found if end > kept.end), at)
        return rank + pull * self.laid.open.before(at)

    def _find(self, i: int, at: int, minutes: int) -> tuple[Span, ...] | None:
        """The earliest pieces from `at` on that no rule forbids."""
        laid, activity = self.laid, self.problem.activities[i]
        smallest, demand, closed = activity.smallest, laid.demand[i], self.closed[laid.barred[i]]
        kept = self.kept.get(i)
        while at < NEVER:
            laid.placements += 1
            if (smallest is None or minutes <= smallest) and not closed:
                start = self.line.whole(at, minutes, demand)
                if start is None:
                    break
                found: tuple[Span, ...] = (Span(start, start + minutes),)
            else:
                if kept is not None and smallest is not None and at <= kept.start:
                    pieces = split(joined(kept, self.line.runs(kept.end, demand, closed)), minutes, smallest)
                else:
                    pieces = self.line.pieces(at, minutes, smallest, demand, closed)
                if pieces is None:
                    break
                found = tuple(pieces)
            if not laid.rules[i]:
                return found
            later = self._objection(i, found)
            if later is None:
                return found
            if later <= at:
                self.stuck = Stuck(i, "clean")
                return None
            at = later
        self.stuck = Stuck(i, "fit" if activity.fit is not None else "room")
        return None

    def _objection(self, i: int, found: tuple[Span, ...]) -> int | None:
        """None if these pieces are allowed, else the minute from which to look again (none later: not yet)."""
        laid, activity = self.laid, self.problem.activities[i]
        start, end = found[0].start, found[-1].end
        if activity.fit is not None and not activity.fixed:
            later = next_fit(activity.fit, start, laid.ready.of(activity.hold)[end])
            if later is not None:
                return later
        for ready, groups in laid.closing[i]:
            until = ready[end]
            later = max((self.barred[group].before(until) for group in groups), default=start)
            if later > start:
                return later
        if not activity.fixed:
            for number in laid.wanting[i]:
                later = self.soils.clean_from(number, start)
                if later != start:
                    return later
        for number in laid.soiling[i]:
            later = self.soils.would_soil(number, found, cleans=number in laid.cleaning[i])
            if later > start:
                return later
        return None

    def _would_be_clean(self, i: int, start: int) -> tuple[tuple[int, int], ...]:
        """For dirt that nothing cleans: what must come in which order for the cleaner to come in between.

        The one that wants it clean goes first, unless it follows the dirt; then the dirt goes before its cleaner.
        """
        ahead = self.network.ahead_of([i])
        pairs = []
        for number in self.laid.wanting[i]:
            soil = self.problem.soils[number]
            for j in sorted(soil.soils - {i}):
                spans = self.pieces[j]
                if not spans or spans[0].start >= start or self.problem.activities[j].fixed:
                    continue
                if j not in ahead:
                    pairs.append((i, j))
                else:
                    pairs += [(j, cleaner) for cleaner in sorted(soil.cleans - {i, j})]
        return tuple(pairs)

    def _missed(self, i: int, start: int) -> Wait | None:
        """A wait whose window is over at `start`, and whose remedy, if any, has not run in between."""
        for wait, until in self.network.limited[i]:
            end = self.ends[wait.before]
            if end <= LONG_AGO or start <= until[end]:
                continue
            remedy = None if wait.remedy is None else self.pieces[wait.remedy]
            if not remedy or remedy[0].start < end or remedy[-1].end > start:
                return wait
        return None

    def _would_keep(self, wait: Wait, start: int) -> tuple[int, int] | None:
        """`wait.before`, and the minute before which it must not begin if its window is to reach `start`."""
        rest = (self.pieces[wait.before] or ())[len(self.problem.activities[wait.before].fixed) :]
        if wait.until is None or not rest:
            return None
        end = self.ends[wait.before]
        return wait.before, rest[0].start + first_reaching(self.laid.ready.of(wait.until), end, start) - end

    def _take(self, i: int, found: tuple[Span, ...]) -> None:
        """Take the capacity of these pieces but what was kept of it; none begins before that and runs into it."""
        demand, kept = self.laid.demand[i], self.kept.get(i)
        for start, end in found:
            begin = kept.end if kept is not None and start < kept.end and end > kept.start else start
            if begin < end:
                self.line.take(begin, end, demand)

    def _note(self, i: int, fixed: tuple[Span, ...], found: tuple[Span, ...]) -> None:
        """Write the pieces down: the capacity they take, what they close, soil and clean."""
        laid = self.laid
        self._take(i, found)
        pieces = fixed + found
        start, end = pieces[0].start, pieces[-1].end
        self.pieces[i] = pieces
        self.ends[i] = end
        if not laid.touching[i]:
            return
        for ready, groups in laid.closing[i]:
            until = ready[end]
            for group in groups:
                block(self.closed[group], start, until)
        if laid.barred[i]:
            for piece in pieces:
                self.barred[laid.barred[i]].note(*piece)
        whole = bool(found) or not self.network.minutes[i]
        for number in laid.soiling[i]:
            self.soils.soil(i, number, pieces, cleans=number in laid.cleaning[i], whole=whole)
        if not fixed:
            for number in laid.wanting[i]:
                self.soils.want(number, start)
        if whole:
            for number in laid.cleaning[i]:
                self.soils.clean(number, start, end)
