"""One schedule: every activity in turn at its earliest place that breaks no rule.

The rank says who is served first among those whose turn has come; everything else follows from the rules. The
same code places forwards, and backwards on the mirrored problem.
"""

from __future__ import annotations

from bisect import insort
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from heapq import heapify, heappop, heappush

from scheduler.model.basics import Span
from scheduler.planning.network import Network, Readiness, next_fit
from scheduler.planning.problem import Placement, Problem, Wait
from scheduler.planning.timeline import Packing, Timeline
from scheduler.wallclock import NEVER

MENDS = 40
"""How often one schedule is begun anew because something must run later to keep a window that has no remedy."""


@dataclass(frozen=True, slots=True)
class Stuck:
    """A schedule that could not be completed: at which activity, and which rule stood in the way.

    `rule` is "room" (no free span long enough), "fit", "clean", "window" or "circle". For a missed window without
    a remedy, `later` names the activity that would have to end later and the minute at which it may end at the
    earliest.
    """

    activity: int
    rule: str
    later: tuple[int, int] | None = None


class Placer:
    """Places schedules of one problem. Keeps count of the schedules and of the activities placed."""

    def __init__(self, problem: Problem) -> None:
        self.problem = problem
        self.ready = Readiness(problem.clocks)
        self.schedules = 0
        self.placements = 0
        activities = problem.activities
        largest = [
            max([*(slot.capacity[r] for slot in problem.slots), *(a.demand[r] for a in activities), 1])
            for r in range(len(activities[0].demand) if activities else 0)
        ]
        packing = Packing.of(largest)
        self.demand = [packing.pack(activity.demand) for activity in activities]
        self._empty = Timeline.of(problem.slots, packing)
        self._networks: dict[tuple[int, ...], Network] = {}
        self._plain = not (problem.barriers or problem.soils)
        self._closing = {i: [b for b in problem.barriers if b.by == i] for i in range(len(activities))}
        self._soils = {i: [s for s in problem.soils if i in s.soils] for i in range(len(activities))}
        self._wants = {i: [s for s in problem.soils if i in s.wants_clean] for i in range(len(activities))}

    def network(self, options: tuple[int, ...]) -> Network:
        """The waits in force under these options."""
        known = self._networks.get(options)
        if known is None:
            known = self._networks[options] = Network(self.problem, options)
        return known

    def settle(self, rank: Sequence[float]) -> tuple[int, ...]:
        """The options that this order takes: in each choice the one whose leader comes first."""
        if not self.problem.choices:
            return ()
        static = self.network_without_choices.ordered(rank)
        position = {i: place for place, i in enumerate(static)}
        return tuple(
            0 if position.get(a.leader, NEVER) <= position.get(b.leader, NEVER) else 1
            for a, b in self.problem.choices
        )

    @property
    def network_without_choices(self) -> Network:
        """The waits that hold whatever is chosen."""
        known = self._networks.get((-1,))
        if known is None:
            bare = Problem(activities=self.problem.activities, waits=self.problem.waits, slots=())
            known = self._networks[(-1,)] = Network(bare, ())
        return known

    def place(
        self,
        rank: Sequence[float],
        *,
        options: tuple[int, ...] | None = None,
        not_before: Mapping[int, int] | None = None,
        floor: int = -NEVER,
    ) -> Placement | Stuck:
        """One schedule in the order of `rank`, lowest first; nothing before `floor` nor its own `not_before`."""
        taken = self.settle(rank) if options is None else options
        held = dict(not_before or {})
        outcome: Placement | Stuck = Stuck(0, "window")
        for _ in range(MENDS):
            outcome = _Run(self, taken, held, floor).through(rank)
            if isinstance(outcome, Placement) or outcome.later is None:
                return outcome
            late, at = outcome.later
            if held.get(late, -NEVER) >= at:
                return outcome
            held[late] = at
        return outcome


class _Run:
    """The state of one schedule while it is being made."""

    def __init__(self, placer: Placer, options: tuple[int, ...], not_before: Mapping[int, int], floor: int) -> None:
        self.placer = placer
        self.problem = placer.problem
        self.ready = placer.ready
        self.options = options
        self.network = placer.network(options)
        self.not_before = not_before
        self.floor = floor
        size = len(self.problem.activities)
        self.line = placer._empty.copy()
        self.pieces: list[tuple[Span, ...] | None] = [None] * size
        self.ends = [0] * size
        self.closed: list[list[tuple[int, int]]] = [[] for _ in range(size)]
        self.dirt: list[list[Span]] = [[] for _ in self.problem.soils]
        self.cleaned: list[list[tuple[int, int]]] = [[] for _ in self.problem.soils]
        self.stuck: Stuck | None = None
        self.placer.schedules += 1

    def through(self, rank: Sequence[float]) -> Placement | Stuck:
        """Place everything, or say where it stopped."""
        activities, network = self.problem.activities, self.network
        for i, activity in enumerate(activities):
            if activity.fixed:
                self._note(i, activity.fixed, taken=False)
        needs = network.needs[:]
        turn = [(rank[i], i) for i, need in enumerate(needs) if not need and not activities[i].optional]
        heapify(turn)
        put_off: list[int] = []
        left = sum(1 for activity in activities if not activity.optional)
        while turn:
            _, i = heappop(turn)
            if not self._put(i):
                if self.stuck is not None and self.stuck.rule != "clean":
                    return self.stuck
                put_off.append(i)
                continue
            left -= 1
            for j in network.followers[i]:
                needs[j] -= 1
                if not needs[j] and not activities[j].optional:
                    heappush(turn, (rank[j], j))
            for j in put_off:
                heappush(turn, (rank[j], j))
            put_off.clear()
        if left:
            return self.stuck or Stuck(next(i for i, need in enumerate(needs) if need), "circle")
        return Placement(pieces=tuple(spans or () for spans in self.pieces), options=self.options)

    def _put(self, i: int) -> bool:
        """Place one activity, and the remedies it calls for, at the earliest moment that is allowed."""
        activity = self.problem.activities[i]
        minutes = self.network.minutes[i]
        if not minutes:
            self.ends[i] = max(self._earliest(i), activity.fixed[-1].end if activity.fixed else -NEVER)
            self.pieces[i] = activity.fixed
            return True
        at = self._earliest(i)
        while True:
            found = self._find(i, at, minutes)
            if found is None:
                return False
            missed = None if activity.fixed else self._missed(i, found[0].start)
            if missed is None:
                self._note(i, (*activity.fixed, *found), taken=True)
                return True
            if missed.remedy is None:
                self.stuck = Stuck(i, "window", self._would_keep(missed, found[0].start))
                return False
            if not self._put(missed.remedy):
                return False
            at = max(at, self.ends[missed.remedy])

    def _earliest(self, i: int) -> int:
        activity = self.problem.activities[i]
        at = max(activity.release, self.floor, self.not_before.get(i, -NEVER))
        ends, ready = self.ends, self.ready
        for wait in self.network.waits[i]:
            lag = wait.lag
            when = ends[wait.before] + int(lag.amount) if lag.clock is None else ready(lag, ends[wait.before])
            at = max(at, when)
        return at

    def _find(self, i: int, at: int, minutes: int) -> list[Span] | None:
        """The earliest pieces from `at` on that no rule forbids."""
        activity = self.problem.activities[i]
        demand = self.placer.demand[i]
        while at < NEVER:
            self.placer.placements += 1
            found = self.line.pieces(at, minutes, activity.smallest, demand, self.closed[i])
            if found is None:
                break
            if self.placer._plain and activity.fit is None:
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

    def _objection(self, i: int, found: list[Span]) -> int | None:
        """None if these pieces are allowed, else the minute from which to look again (none later: not yet).

        What has begun already is a fact: only what is still to come of it is held against the rules.
        """
        activity = self.problem.activities[i]
        start, end = found[0].start, found[-1].end
        if activity.fit is not None and not activity.fixed:
            later = next_fit(activity.fit, start, self.ready(activity.hold, end))
            if later is not None:
                return later
        for barrier in self.placer._closing[i]:
            until = self.ready(barrier.until, end)
            for j in barrier.bars:
                for piece in self.pieces[j] or ():
                    if piece.start < until and piece.end > start:
                        return max(piece.end, start + 1)
        for number, soil in enumerate(self.problem.soils):
            if i in soil.wants_clean and not activity.fixed:
                later = self._unclean(number, start)
                if later is not None:
                    return later
            if i in soil.soils:
                later = self._would_soil(number, i, found)
                if later is not None:
                    return later
        return None

    def _unclean(self, number: int, start: int) -> int | None:
        """None if it is clean at `start`, else when it will be; long ago if nothing placed so far cleans it."""
        dirty = max((piece.end for piece in self.dirt[number] if piece.start < start), default=None)
        if dirty is None:
            return None
        later = None
        for covers, done in self.cleaned[number]:
            if covers >= dirty:
                if done <= start:
                    return None
                later = done if later is None else min(later, done)
        return -NEVER if later is None else later

    def _would_soil(self, number: int, i: int, found: list[Span]) -> int | None:
        """A piece must not soil what starts clean after it: then look again from that start on."""
        soil = self.problem.soils[number]
        self_cleaning = i in soil.cleans
        for piece in found:
            for j in soil.wants_clean:
                spans = self.pieces[j]
                if not spans or spans[0].start < piece.end or j == i:
                    continue
                begun = spans[0].start
                if self_cleaning and found[-1].end <= begun:
                    continue
                if not any(covers >= piece.end and done <= begun for covers, done in self.cleaned[number]):
                    return max(begun, found[0].start + 1)
        return None

    def _missed(self, i: int, start: int) -> Wait | None:
        """A wait whose window is over at `start` and whose remedy, if any, is not placed yet."""
        for wait in self.network.waits[i]:
            if wait.until is None or start <= self.ready(wait.until, self.ends[wait.before]):
                continue
            if wait.remedy is None or self.pieces[wait.remedy] is None:
                return wait
        return None

    def _would_keep(self, wait: Wait, start: int) -> tuple[int, int] | None:
        """The minute before which `wait.before` must not begin if its window is to reach `start`."""
        if self.problem.activities[wait.before].fixed or wait.until is None:
            return None
        low, high = self.ends[wait.before], start
        while low < high:
            middle = (low + high) // 2
            if self.ready(wait.until, middle) >= start:
                high = middle
            else:
                low = middle + 1
        begun = self.pieces[wait.before]
        shift = high - self.ends[wait.before]
        return (wait.before, begun[0].start + shift) if begun else None

    def _note(self, i: int, pieces: tuple[Span, ...], *, taken: bool) -> None:
        """Write the pieces down: the capacity they take, what they close, soil and clean."""
        fixed = len(self.problem.activities[i].fixed)
        if taken:
            demand = self.placer.demand[i]
            for start, end in pieces[fixed:]:
                self.line.take(start, end, demand)
        self.pieces[i] = pieces
        start, end = pieces[0].start, pieces[-1].end
        self.ends[i] = end
        if self.placer._plain:
            return
        for barrier in self.placer._closing[i]:
            until = self.ready(barrier.until, end)
            for j in barrier.bars:
                insort(self.closed[j], (start, until))
        for number, soil in enumerate(self.problem.soils):
            if i in soil.soils:
                self.dirt[number].extend(pieces[fixed:] if taken else pieces)
            if i in soil.cleans and (taken or not self.problem.activities[i].minutes):
                covers = end if i in soil.soils else start
                self.cleaned[number].append((covers, end))
