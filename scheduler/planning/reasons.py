"""Why no earlier: for every step the one thing that held it.

Read off the finished placement: what a step waited for, what the hours allowed, and who was in the way in between.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from itertools import accumulate

from scheduler.model.basics import Span
from scheduler.model.graph import Task
from scheduler.model.hours import Window, touching
from scheduler.model.message import Message, message
from scheduler.model.plan import Ready
from scheduler.planning.encode import NOISE, PEOPLE, Lowered
from scheduler.solver.network import Readiness, next_fit
from scheduler.solver.problem import Activity, Barrier, Placement, Problem
from scheduler.solver.profile import Timeline, packing_of
from scheduler.wallclock import NEVER


@dataclass(frozen=True, slots=True)
class HeldBy:
    """What held a step, and the step behind it if it was one."""

    why: Message
    step: str | None
    air: Span | None = None
    """If it was the air: from the moment at which the hours would have let it begin, until when the air had to be
    fit for it then."""
    root: Message | None = None
    """What held the whole day, where others went first on the same day: `step` is then the step behind that."""

    @property
    def whole(self) -> Message:
        """`why`, with what held the whole day as its `root` if that was something else."""
        return self.why if self.root is None else message(self.why.kind, **dict(self.why.values), root=self.root)


class Why:
    """Answers for one placement."""

    def __init__(
        self,
        lowered: Lowered,
        placement: Placement,
        windows: Sequence[Window],
        waits: Mapping[str, tuple[Ready, ...]],
        arrivals: Mapping[str, int],
    ) -> None:
        self.lowered = lowered
        self.problem = lowered.problem
        self.placement = placement
        self.windows = windows
        self.waits = waits
        self.arrivals = arrivals
        self.ready = Readiness(self.problem.clocks)
        self.packing = packing_of(self.problem)
        self.line = Timeline.of(self.problem.slots, self.packing)
        self.at_work = AtWork(self.problem, placement, free=(NOISE, *lowered.leave))
        self.barriers: list[list[Barrier]] = [[] for _ in lowered.names]
        for barrier in self.problem.barriers:
            for i in barrier.bars | {barrier.by}:
                self.barriers[i].append(barrier)
        self.known: dict[int, HeldBy] = {}
        self.number = {name: i for i, name in enumerate(lowered.names)}

    def holding(self, i: int) -> HeldBy:
        """What held activity i from starting earlier."""
        if i not in self.known:
            self.known[i] = self._holding(i)
        return self.known[i]

    def _holding(self, i: int) -> HeldBy:
        activity, task = self.problem.activities[i], self.lowered.tasks[i]
        start = self.placement.pieces[i][0].start
        if activity.fixed or task.id in self.lowered.pinned:
            return HeldBy(message("held.fact") if activity.fixed else message("held.moved"), None)
        earliest, reason = self._could_begin(activity, task)
        if earliest >= start:
            return reason
        alone = self._alone(i, earliest)
        if alone is not None and alone >= start:
            return self._hours(i, activity, Span(earliest, start), reason)
        possible = earliest if alone is None else alone
        way = (
            self._in_the_way(i, possible, start)
            or self._held_less(i)
            or HeldBy(message("held.by choice", possible=possible), reason.step)
        )
        if alone is not None and self._day(alone) == self._day(start):
            root = reason if alone == earliest else self._hours(i, activity, Span(earliest, alone), reason)
            return replace(way, step=root.step, root=root.why)
        return way

    def _day(self, minute: int) -> date | None:
        window = self._window(minute)
        return None if window is None else window.day

    def _window(self, minute: int) -> Window | None:
        """The work hours that hold a minute."""
        return next(iter(touching(self.windows, Span(minute, minute + 1))), None)

    def _could_begin(self, activity: Activity, task: Task) -> tuple[int, HeldBy]:
        """The first minute at which nothing that came before stood in the way, and what stood there last."""
        earliest, reason = activity.release, HeldBy(message("held.first"), None)
        for item in task.needs:
            there = self.arrivals[item]
            if there >= earliest:
                earliest, reason = there, HeldBy(message("held.delivery", item=item, expected=there), None)
        for wait in self.waits[task.id]:
            if wait.ready < earliest:
                continue
            end = self.placement.pieces[self.number[wait.step]][-1].end
            earliest = wait.ready
            if wait.ready == end:
                why = message("held.follows", step=wait.step, ended=end)
            elif wait.stage == "end":
                why = message("held.wait", until=wait.ready, step=wait.step, ended=end)
            else:
                why = message("held.stage", until=wait.ready, step=wait.step, stage=wait.stage, ended=end)
            reason = HeldBy(why, wait.step)
        return earliest, reason

    def _alone(self, i: int, after: int) -> int | None:
        """When it would begin with no other step on site."""
        activity = self.problem.activities[i]
        minutes = sum(span.minutes for span in self.placement.pieces[i])
        while True:
            found = self.line.pieces(after, minutes, activity.smallest, self.packing.pack(activity.demand))
            if found is None:
                return None
            if activity.fit is None:
                return found[0].start
            later = next_fit(activity.fit, found[0].start, self.ready(activity.hold, found[-1].end))
            if later is None:
                return found[0].start
            if later >= NEVER:
                return None
            after = later

    def _hours(self, i: int, activity: Activity, idle: Span, reason: HeldBy) -> HeldBy:
        """The hours and the air kept it from beginning within `idle`: only at its end do they allow it."""
        start = idle.end
        opening = self._window(start) is not None
        after = reason.why if reason.step or reason.why.kind == "held.delivery" else None
        unfit = self._unfit(i, activity, idle)
        if unfit is not None:
            return HeldBy(message("held.air", until=start, because=after), reason.step, unfit)
        if not opening:
            return HeldBy(after or message("held.nothing"), reason.step)
        wanted = []
        if activity.demand[PEOPLE] > 1:
            wanted.append(message("wanted.people", people=activity.demand[PEOPLE]))
        if activity.demand[NOISE] and any(not slot.capacity[NOISE] for slot in self.problem.slots):
            wanted.append(message("wanted.noise"))
        if any(activity.demand[leave] for leave in self.lowered.leave):
            wanted.append(message("wanted.room", room=self.lowered.tasks[i].room))
        if activity.smallest is None:
            wanted.append(message("wanted.one piece"))
        kind = "held.hours that" if wanted else "held.hours"
        return HeldBy(message(kind, wanted=tuple(wanted) or None, because=after), reason.step)

    def _unfit(self, i: int, activity: Activity, idle: Span) -> Span | None:
        """If the hours alone would have let it begin sooner: the span for which the air had to be fit then."""
        after, start = idle
        minutes = sum(span.minutes for span in self.placement.pieces[i])
        found = self.line.pieces(after, minutes, activity.smallest, self.packing.pack(activity.demand))
        if activity.fit is None or not found or found[0].start >= start:
            return None
        until = self.ready(activity.hold, found[-1].end)
        return Span(found[0].start, until if until < NEVER else start)

    def _in_the_way(self, i: int, after: int, start: int) -> HeldBy | None:
        """The step that kept this one from beginning between `after` and `start`."""
        return (
            self._film_in_the_way(i, start)
            or self._thing_in_the_way(i, after, start)
            or self._hands_in_the_way(i, after, start)
        )

    def _thing_in_the_way(self, i: int, after: int, start: int) -> HeldBy | None:
        """Who kept what this one takes until some time between `after` and `start`, and gave it back last."""
        problem, best = self.problem, (after, 0, "")
        wanted = {hold.thing for hold in problem.holds if hold.taker == i}
        for hold in problem.holds:
            j = hold.taker
            if hold.thing not in wanted or j == i or hold.at_work or not self.placement.pieces[j]:
                continue
            giver = self.placement.pieces[j if hold.giver is None else hold.giver]
            if giver and self.placement.pieces[j][0].start < start:
                event = giver[0].start if hold.at_start else giver[-1].end
                back = max(self.ready(hold.lag, event), self.placement.pieces[j][-1].end)
                if back <= start and self._is_short(i, hold.thing, back):
                    best = max(best, (back, j, self.lowered.kept[hold.thing].title))
        back, j, thing = best
        if not thing:
            return None
        name = self.lowered.names[j]
        return HeldBy(message("held.taken", thing=thing, step=name, until=back), name)

    def _is_short(self, i: int, thing: int, moment: int) -> bool:
        """Whether just before a moment others have so many places of a thing that an activity finds none."""
        taken = 0
        for hold in self.problem.holds:
            spans = self.placement.pieces[hold.taker]
            if hold.thing != thing or not spans or (hold.at_work and hold.taker != i):
                continue
            giver = self.placement.pieces[hold.taker if hold.giver is None else hold.giver]
            event = (giver[0].start if hold.at_start else giver[-1].end) if giver else NEVER
            back = max(self.ready(hold.lag, event) if giver else NEVER, spans[-1].end)
            if hold.taker == i or spans[0].start < moment <= back:
                taken += hold.places
        return taken > self.problem.things[thing].places

    def _held_less(self, i: int) -> HeldBy | None:
        """What it takes, and keeps until another step, it takes no earlier than it need be kept."""
        for hold in self.problem.holds:
            if hold.taker == i and hold.giver is not None and not hold.at_work:
                thing, giver = self.lowered.kept[hold.thing].title, self.lowered.names[hold.giver]
                return HeldBy(message("held.no longer", thing=thing, step=giver), None)
        return None

    def _film_in_the_way(self, i: int, start: int) -> HeldBy | None:
        for barrier in self.barriers[i]:
            spans = self.placement.pieces[barrier.by]
            if i in barrier.bars and spans and self.ready(barrier.until, spans[-1].end) == start:
                return self._behind(barrier, start)
            if barrier.by == i:
                for j in sorted(barrier.bars):
                    if any(piece.end == start for piece in self.placement.pieces[j]):
                        name = self.lowered.names[j]
                        return HeldBy(message("held.keeps room", step=name, until=start), name)
        for soil in self.problem.soils:
            if i in soil.wants_clean:
                for j in sorted(soil.cleans):
                    spans = self.placement.pieces[j]
                    if spans and spans[-1].end == start:
                        name = self.lowered.names[j]
                        return HeldBy(message("held.wiped", until=start, step=name), name)
        return None

    def _behind(self, barrier: Barrier, start: int) -> HeldBy:
        name = self.lowered.names[barrier.by]
        return HeldBy(message("held.left alone", step=name, until=start), name)

    def _hands_in_the_way(self, i: int, after: int, start: int) -> HeldBy | None:
        """Of the steps that kept hands, or a shared thing, busy in between, the one that ended last."""
        j = self.at_work.last_before(i, after, start)
        if j is None:
            return None
        name, demand = self.lowered.names[j], self.problem.activities[i].demand
        shared = [
            r for r, (a, b) in enumerate(zip(demand, self.problem.activities[j].demand, strict=True)) if a and b
        ]
        return HeldBy(message("held.hands" if PEOPLE in shared else "held.thing", step=name), name)


class AtWork:
    """Who is at work when: all pieces of a placement by their start, and what each activity takes of the resources
    that are not `free` to all."""

    def __init__(self, problem: Problem, placement: Placement, free: Collection[int] = ()) -> None:
        self._takes = [
            sum(1 << r for r, amount in enumerate(activity.demand) if amount and r not in free)
            for activity in problem.activities
        ]
        self._pieces = sorted((*piece, j) for j, spans in enumerate(placement.pieces) for piece in spans)
        self._starts = [start for start, _, _ in self._pieces]
        self._reach = list(accumulate((end for _, end, _ in self._pieces), max))  # the last end of all up to here

    def last_before(self, i: int, after: int, moment: int) -> int | None:
        """Of those that take something i takes, and are at work between two moments, the one that ends last.

        What ends at the second moment or later counts alike; of several it is the one with the lowest number.
        """
        best: tuple[int, int] | None = None
        for at in range(bisect_left(self._starts, moment) - 1, -1, -1):
            reach = min(self._reach[at], moment)
            if reach <= after or (best is not None and reach < best[0]):
                break
            _, end, j = self._pieces[at]
            if end > after and j != i and self._takes[i] & self._takes[j]:
                ranked = min(end, moment), -j
                best = ranked if best is None else max(best, ranked)
        return None if best is None else -best[1]
