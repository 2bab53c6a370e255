"""Draws of an uncertain problem: each with its own minutes, waits and arrivals, all in the order of one plan.

The policy is fixed: whatever a draw brings, activities are taken in the order in which the plan begins them, each at
its earliest place, and the plan's choices stand. What the plan holds back on purpose (to keep a window, or to save a
day) is not begun before its planned time either, so a draw without surprises is the plan itself. People plan again
when something goes wrong, so this is cautious.
No word of the trade is known here, and no clock but the random numbers that were handed in.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TypeAlias

from scheduler.model.basics import Span
from scheduler.model.clock import Derived, DryClock
from scheduler.solver.causes import LogNormal, half_shared
from scheduler.solver.conflicts import Stuck
from scheduler.solver.decoding import Placer
from scheduler.solver.network import Readiness, next_fit
from scheduler.solver.pert import Numbers, Pert
from scheduler.solver.problem import Activity, Placement, Problem, Slot
from scheduler.solver.promises import late_minutes
from scheduler.solver.search import search
from scheduler.wallclock import NEVER

RESCUE = 2_000
"""Activities placed in a search of its own where a draw cannot be run in the order of the plan."""

BEYOND = 60 * 24 * 60
"""Minutes after the planned finish for which slots are looked at first; few draws need more."""


@dataclass(frozen=True, slots=True)
class Scaled(Derived):
    """A clock on which everything takes `factor` times as long as on the one whose knots it has."""

    factor: float = 1.0

    def ready(self, end: int, amount: float) -> int:
        """As the other clock, for `factor` times the amount."""
        return DryClock.ready(self, end, amount * self.factor)

    def written_out(self) -> DryClock:
        """A plain clock that says the same, for whoever reads its progress."""
        return Derived(self.knots, tuple(done / self.factor for done in self.progress))


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """The circumstances of a draw: what each clock shows, and when each activity finds itself fit."""

    clocks: tuple[DryClock, ...]
    fits: tuple[tuple[Span, ...] | None, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Arrival:
    """Something that comes on one of these days: the minute from which it is there, the earliest day first.

    `day` is a position in that row, drawn and rounded; by half it hangs on `cause`, if that is named.
    """

    there: tuple[int, ...]
    day: Pert
    cause: str = ""

    def at(self, share: float) -> int:
        """The minute from which it is there."""
        return self.there[round(self.day.at(share))]


Drawn: TypeAlias = Pert | LogNormal
"""What has a random number of its own."""

AS_IT_IS = Pert(1, 1, 1)
"""The factor of a wait of which nothing is in doubt."""


@dataclass(frozen=True, kw_only=True)
class Uncertain:
    """A problem without choices, and what of it is not known for sure. Every name has random numbers of its own.

    `minutes` are the minutes of activities with the name under which they are drawn; `factors`, by clock number, how
    many times longer a wait takes; `arrivals` what is waited for by name, and `needs` who waits for it. `setting` is
    asked with a number in 0..1 for each of the names `circumstances`, and `shared` with one for each of `causes`: it
    knows the log factor of each cause that minutes and factors hang on.
    """

    problem: Problem
    planned: Placement
    minutes: Mapping[int, tuple[str, Drawn]] = field(default_factory=dict)
    factors: tuple[tuple[str, Drawn], ...] = ()
    arrivals: Mapping[str, Arrival] = field(default_factory=dict)
    needs: Mapping[int, tuple[str, ...]] = field(default_factory=dict)
    circumstances: tuple[str, ...] = ()
    setting: Callable[[tuple[float, ...]], Setting] | None = None
    causes: tuple[str, ...] = ()
    shared: Callable[[tuple[float, ...]], Mapping[str, float]] | None = None

    @property
    def names(self) -> tuple[str, ...]:
        """The names of all that is not sure."""
        names = [name for name, pert in self.minutes.values() if not pert.sure]
        names += [name for name, pert in self.factors if not pert.sure]
        names += [name for name, arrival in self.arrivals.items() if not arrival.day.sure]
        names += [arrival.cause for arrival in self.arrivals.values() if arrival.cause and not arrival.day.sure]
        return tuple(dict.fromkeys([*names, *self.causes, *self.circumstances]))


@dataclass(frozen=True, slots=True, kw_only=True)
class Draw:
    """What one draw came to.

    `finish` is None if it could not be completed, `late` by how many minutes each promise is broken then; `called`
    are the optional activities it called for, `unfit` those that, begun as planned, would not have been fit, `long`
    those that fill the longest stretch of slots there is and would have gone on."""

    finish: int | None
    late: tuple[int, ...]
    called: frozenset[int]
    unfit: frozenset[int]
    long: frozenset[int] = frozenset()


class Draws:
    """Draws of one uncertain problem, each a problem of its own."""

    def __init__(self, uncertain: Uncertain, seed: int) -> None:
        self.uncertain = uncertain
        self.numbers = Numbers(seed)
        self.rank = in_order(uncertain.planned)
        until = uncertain.planned.finish + BEYOND
        self._near = tuple(slot for slot in uncertain.problem.slots if slot.start < until)
        self._optional = [i for i, activity in enumerate(uncertain.problem.activities) if activity.optional]
        self._known: dict[int, tuple[Setting, tuple[Activity, ...]]] = {}
        self._ahead = {i for i, activity in enumerate(uncertain.problem.activities) if not activity.fixed}
        self._longest = {i: self._longest_stretch(i) for i in uncertain.minutes}
        self._limited = [(i, n) for i, n in self._longest.items() if n < uncertain.minutes[i][1].high]
        self._drawn: tuple[int, Mapping[str, float]] = (-1, {})
        self._worked: tuple[int, Mapping[int, int]] = (-1, {})
        self._held = self._held_back()

    def outcome(self, draw: int) -> Draw:
        """Draw number 0, 1, 2, ... run in the order of the plan."""
        setting = self._setting(draw)
        problem = self._problem(draw, setting, self._near)
        found = Placer(problem).place(self.rank, options=(), not_before=self._held)
        if isinstance(found, Stuck):
            problem = self._problem(draw, setting, self.uncertain.problem.slots)
            found = Placer(problem).place(self.rank, options=(), not_before=self._held)
        if isinstance(found, Stuck):
            rescued = search(self.replanned(draw), RESCUE)
            found = rescued if isinstance(rescued, Stuck) else rescued.placement
        return Draw(
            finish=None if isinstance(found, Stuck) else found.finish,
            late=() if isinstance(found, Stuck) else late_minutes(problem, found),
            called=frozenset(() if isinstance(found, Stuck) else (i for i in self._optional if found.pieces[i])),
            unfit=frozenset(self._unfit(problem)),
            long=frozenset(i for i, longest in self._limited if self._minutes(draw)[i] > longest),
        )

    def replanned(self, draw: int) -> Problem:
        """The problem of a draw as somebody would plan it who knew all that comes."""
        problem = self._problem(draw, self._setting(draw), self.uncertain.problem.slots)
        plain = tuple(clock.written_out() if isinstance(clock, Scaled) else clock for clock in problem.clocks)
        return replace(problem, clocks=plain)

    def _held_back(self) -> dict[int, int]:
        """The planned starts of what could begin sooner in this order, were nothing in doubt."""
        planned = self.uncertain.planned.pieces
        free = Placer(self.uncertain.problem).place(self.rank, options=())
        if isinstance(free, Stuck):
            return {}
        return {
            i: planned[i][0].start
            for i, spans in enumerate(free.pieces)
            if i in self._ahead and spans and planned[i] and spans[0].start < planned[i][0].start
        }

    def _longest_stretch(self, i: int) -> int:
        """The most minutes that an activity can run on end; no end to it for one that may pause."""
        activity = self.uncertain.problem.activities[i]
        if activity.smallest is not None:
            return NEVER
        longest, begin, until = activity.minutes, 0, -NEVER
        for slot in self.uncertain.problem.slots:
            if any(wanted > there for wanted, there in zip(activity.demand, slot.capacity, strict=True)):
                continue
            begin = begin if slot.start == until else slot.start
            until = slot.end
            longest = max(longest, until - begin)
        return longest

    def _minutes(self, draw: int) -> Mapping[int, int]:
        """The minutes drawn for activities, however long the slots are."""
        if self._worked[0] != draw:
            found = {
                i: max(1, round(self._value(name, drawn, draw)))
                for i, (name, drawn) in self.uncertain.minutes.items()
            }
            self._worked = draw, found
        return self._worked[1]

    def _value(self, name: str, drawn: Drawn, draw: int) -> float:
        share = self.numbers.of(name, draw)
        return drawn.at(share) if isinstance(drawn, Pert) else drawn.at(share, self._factors(draw)[drawn.cause])

    def _factors(self, draw: int) -> Mapping[str, float]:
        """The log factors of all causes in a draw."""
        if self._drawn[0] != draw:
            shared, causes = self.uncertain.shared, self.uncertain.causes
            found = {} if shared is None else shared(tuple(self.numbers.of(name, draw) for name in causes))
            self._drawn = draw, found
        return self._drawn[1]

    def _there(self, name: str, arrival: Arrival, draw: int) -> int:
        share = self.numbers.of(name, draw)
        return arrival.at(half_shared(share, self.numbers.of(arrival.cause, draw)) if arrival.cause else share)

    def _setting(self, draw: int) -> Setting | None:
        uncertain = self.uncertain
        if uncertain.setting is None:
            return None
        return uncertain.setting(tuple(self.numbers.of(name, draw) for name in uncertain.circumstances))

    def _problem(self, draw: int, setting: Setting | None, slots: tuple[Slot, ...]) -> Problem:
        uncertain = self.uncertain
        activities = list(self._base(setting))
        for i, drawn in self._minutes(draw).items():
            minutes = min(drawn, self._longest[i])
            if minutes != activities[i].minutes:
                activities[i] = replace(activities[i], minutes=minutes)
        there = {name: self._there(name, arrival, draw) for name, arrival in uncertain.arrivals.items()}
        for i, names in uncertain.needs.items():
            release = max([activities[i].release, *(there[name] for name in names)])
            activities[i] = replace(activities[i], release=release)
        clocks = uncertain.problem.clocks if setting is None else setting.clocks
        if uncertain.factors:
            clocks = tuple(
                clock if slow == AS_IT_IS else Scaled(clock.knots, clock.progress, self._value(name, slow, draw))
                for clock, (name, slow) in zip(clocks, uncertain.factors, strict=True)
            )
        return replace(uncertain.problem, activities=tuple(activities), clocks=clocks, slots=slots)

    def _base(self, setting: Setting | None) -> tuple[Activity, ...]:
        """The activities under these circumstances, made once for each of them."""
        activities = self.uncertain.problem.activities
        if setting is None:
            return activities
        key = id(setting)
        if key not in self._known:
            self._known[key] = (
                setting,
                tuple(
                    activity if activity.fit == fit else replace(activity, fit=fit)
                    for activity, fit in zip(activities, setting.fits, strict=True)
                ),
            )
        return self._known[key][1]

    def _unfit(self, problem: Problem) -> list[int]:
        """Activities that would meet an unfit moment if they were begun and ended as planned."""
        ready = Readiness(problem.clocks)
        found = []
        for i, activity in enumerate(problem.activities):
            pieces = self.uncertain.planned.pieces[i]
            if activity.fit is None or i not in self._ahead or not pieces:
                continue
            hold = ready.of(activity.hold)[pieces[-1].end]
            if next_fit(activity.fit, pieces[0].start, hold) is not None:
                found.append(i)
        return found


def in_order(placement: Placement) -> tuple[float, ...]:
    """The rank that serves activities in the order in which a placement begins them."""
    far = float(placement.finish + 1)
    return tuple(float(spans[0].start) if spans else far for spans in placement.pieces)


def settled(problem: Problem, options: Sequence[int]) -> Problem:
    """The problem with its choices answered: their waits and minutes are part of it."""
    chosen = [pair[taken] for pair, taken in zip(problem.choices, options, strict=True)]
    extra: dict[int, int] = {}
    for option in chosen:
        for i, minutes in option.extra:
            extra[i] = extra.get(i, 0) + minutes
    return replace(
        problem,
        choices=(),
        waits=(*problem.waits, *(wait for option in chosen for wait in option.waits)),
        activities=tuple(
            replace(activity, minutes=activity.minutes + extra[i]) if i in extra else activity
            for i, activity in enumerate(problem.activities)
        ),
        stay=None,
    )
