"""Why no earlier: for every step the one thing that held it, and the chain of such things from the end of the job
to its start.

Read off the finished placement: what a step waited for, what the hours allowed, and who was in the way in between.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from scheduler.model.basics import Span
from scheduler.model.graph import Task
from scheduler.model.hours import Window, touching
from scheduler.model.plan import PlannedStep, Ready
from scheduler.planning.atwork import AtWork
from scheduler.planning.encode import NOISE, PEOPLE, Lowered
from scheduler.solver.network import Readiness, next_fit
from scheduler.solver.problem import Activity, Barrier, Placement
from scheduler.solver.profile import Timeline, packing_of
from scheduler.wallclock import NEVER

STAGES_SAID = {
    "end": "was done",
    "touch": "is dry to the touch",
    "dust_free": "is dust-free",
    "handle": "can be handled",
    "sand": "can be sanded",
    "recoat": "can be recoated",
    "paint_over": "can be painted over",
    "tape": "can be taped over",
    "use": "can be used",
    "full": "is cured through",
}


@dataclass(frozen=True, slots=True)
class Holding:
    """What held a step: the sentence, and the step behind it if it was one."""

    said: str
    step: str | None
    air: Span | None = None
    """If it was the air: from the moment at which the hours would have let it begin, until when the air had to be
    fit for it then."""
    root: str = ""
    """What held the whole day, where others went first on the same day: `step` is then the step behind that."""


class Why:
    """Answers for one placement."""

    def __init__(
        self,
        lowered: Lowered,
        placement: Placement,
        windows: Sequence[Window],
        waits: Mapping[str, tuple[Ready, ...]],
        say: Callable[[int], str],
        item_dates: Mapping[str, tuple[str, int]],
    ) -> None:
        self.lowered = lowered
        self.problem = lowered.problem
        self.placement = placement
        self.windows = windows
        self.waits = waits
        self.say = say
        self.items = item_dates
        self.ready = Readiness(self.problem.clocks)
        self.packing = packing_of(self.problem)
        self.line = Timeline.of(self.problem.slots, self.packing)
        self.at_work = AtWork(self.problem, placement, free=(NOISE,))
        self.barriers: list[list[Barrier]] = [[] for _ in lowered.tasks]
        for barrier in self.problem.barriers:
            for i in barrier.bars | {barrier.by}:
                self.barriers[i].append(barrier)
        self.known: dict[int, Holding] = {}
        self.titles = {task.id: task.title for task in lowered.tasks}
        self.number = {task.id: i for i, task in enumerate(lowered.tasks)}

    def holding(self, i: int) -> Holding:
        """What held activity i from starting earlier."""
        if i not in self.known:
            self.known[i] = self._holding(i)
        return self.known[i]

    def _holding(self, i: int) -> Holding:
        activity, task = self.problem.activities[i], self.lowered.tasks[i]
        start = self.placement.pieces[i][0].start
        if activity.fixed or task.id in self.lowered.pinned:
            fact = (
                "It has begun already: that is a fact." if activity.fixed else "You moved its session here by hand."
            )
            return Holding(fact, None)
        earliest, reason = self._could_begin(activity, task)
        if earliest >= start:
            return reason
        alone = self._alone(i, earliest)
        if alone is not None and alone >= start:
            return self._hours(i, activity, Span(earliest, start), reason)
        possible = earliest if alone is None else alone
        way = self._in_the_way(i, possible, start) or Holding(
            f"It could begin {self.say(possible)}; it was put here because that takes fewer days on site"
            " or lets a more urgent step go first.",
            reason.step,
        )
        if alone is not None and self._day(alone) == self._day(start):
            root = reason if alone == earliest else self._hours(i, activity, Span(earliest, alone), reason)
            return replace(way, step=root.step, root=root.said)
        return way

    def _day(self, minute: int) -> date | None:
        window = self._window(minute)
        return None if window is None else window.day

    def _window(self, minute: int) -> Window | None:
        """The work hours that hold a minute."""
        return next(iter(touching(self.windows, Span(minute, minute + 1))), None)

    def chain(self, steps: Sequence[PlannedStep]) -> tuple[str, ...]:
        """From the step that ends the job back to its beginning, a sentence for each link."""
        by_id = {step.id: step for step in steps}
        last = max(steps, key=lambda step: (step.end, step.id), default=None)
        said: list[str] = []
        seen: set[str] = set()
        while last is not None and last.id not in seen:
            seen.add(last.id)
            verb = "began" if last.state != "planned" else "begins"
            held = self.holding(self.number[last.id])
            said.append(f"“{last.title}” {verb} {self.say(last.start)}. {held.said} {held.root}".rstrip())
            last = by_id.get(last.holder or "")
        return tuple(said)

    def _could_begin(self, activity: Activity, task: Task) -> tuple[int, Holding]:
        """The first minute at which nothing that came before stood in the way, and what stood there last."""
        earliest, reason = activity.release, Holding("Nothing holds it: it is among the first.", None)
        for item in task.needs:
            title, there = self.items[item]
            if there >= earliest:
                earliest = there
                reason = Holding(f"It waits for the delivery of “{title}”, expected {self.say(there)}.", None)
        for wait in self.waits[task.id]:
            if wait.ready < earliest:
                continue
            title = self.titles[wait.step]
            end = self.placement.pieces[self.number[wait.step]][-1].end
            earliest = wait.ready
            if wait.ready == end:
                reason = Holding(f"It follows “{title}”, which ends {self.say(end)}.", wait.step)
            elif wait.stage == "end":
                reason = Holding(
                    f"It waits until {self.say(wait.ready)}: so long after “{title}”, which ends {self.say(end)}.",
                    wait.step,
                )
            else:
                reason = Holding(
                    f"It waits until {self.say(wait.ready)}, when “{title}” {STAGES_SAID[wait.stage]}; "
                    f"that was laid by {self.say(end)}.",
                    wait.step,
                )
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

    def _hours(self, i: int, activity: Activity, idle: Span, reason: Holding) -> Holding:
        """The hours and the air kept it from beginning within `idle`: only at its end do they allow it."""
        start = idle.end
        opening = self._window(start) is not None
        after = reason.said if reason.step or "delivery" in reason.said else ""
        unfit = self._unfit(i, activity, idle)
        if unfit is not None:
            said = f"Begun before {self.say(start)}, it would meet air outside the limits of its material. {after}"
            return Holding(said.rstrip(), reason.step, unfit)
        wants = []
        if activity.demand[PEOPLE] > 1:
            wants.append(f"with {activity.demand[PEOPLE]} people")
        if activity.demand[NOISE]:
            wants.append("in which noise is allowed")
        if activity.smallest is None:
            wants.append("long enough for it in one piece")
        kind = " " + " and ".join(wants) if wants else ""
        said = f"No work hours{kind} come sooner. {after}" if opening else after
        return Holding(said.rstrip(), reason.step)

    def _unfit(self, i: int, activity: Activity, idle: Span) -> Span | None:
        """If the hours alone would have let it begin sooner: the span for which the air had to be fit then."""
        after, start = idle
        minutes = sum(span.minutes for span in self.placement.pieces[i])
        found = self.line.pieces(after, minutes, activity.smallest, self.packing.pack(activity.demand))
        if activity.fit is None or not found or found[0].start >= start:
            return None
        until = self.ready(activity.hold, found[-1].end)
        return Span(found[0].start, until if until < NEVER else start)

    def _in_the_way(self, i: int, after: int, start: int) -> Holding | None:
        """The step that kept this one from beginning between `after` and `start`."""
        return self._film_in_the_way(i, start) or self._hands_in_the_way(i, after, start)

    def _film_in_the_way(self, i: int, start: int) -> Holding | None:
        for barrier in self.barriers[i]:
            spans = self.placement.pieces[barrier.by]
            if i in barrier.bars and spans and self.ready(barrier.until, spans[-1].end) == start:
                return self._behind(barrier, start)
            if barrier.by == i:
                for j in sorted(barrier.bars):
                    if any(piece.end == start for piece in self.placement.pieces[j]):
                        title = self.lowered.tasks[j].title
                        return Holding(f"“{title}” keeps the room until {self.say(start)}.", self.lowered.tasks[j].id)
        for soil in self.problem.soils:
            if i in soil.wants_clean:
                for j in sorted(soil.cleans):
                    spans = self.placement.pieces[j]
                    if spans and spans[-1].end == start:
                        task = self.lowered.tasks[j]
                        return Holding(
                            f"The room is wiped free of dust by {self.say(start)} (“{task.title}”).", task.id
                        )
        return None

    def _behind(self, barrier: Barrier, start: int) -> Holding:
        task = self.lowered.tasks[barrier.by]
        return Holding(f"“{task.title}” must be left alone until {self.say(start)}.", task.id)

    def _hands_in_the_way(self, i: int, after: int, start: int) -> Holding | None:
        """Of the steps that kept hands, or a shared thing, busy in between, the one that ended last."""
        j = self.at_work.last_before(i, after, start)
        if j is None:
            return None
        task, demand = self.lowered.tasks[j], self.problem.activities[i].demand
        shared = [
            r for r, (a, b) in enumerate(zip(demand, self.problem.activities[j].demand, strict=True)) if a and b
        ]
        what = "Hands are" if PEOPLE in shared else "What it needs is"
        return Holding(f"{what} busy until then with “{task.title}”, which comes first.", task.id)
