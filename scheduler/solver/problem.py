"""The question that the planner answers, in whole minutes and without a word of the trade.

A `Problem` is activities, waits between them, capacities that change over time, things that are taken at one event
and given back at another, spans that keep activities apart, and choices. A published benchmark instance fits in it as
well as a room to be painted. A `Placement` is an answer: where every activity goes. What happened on the way to it is
a `Result`.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import NamedTuple

from scheduler.model.basics import Span
from scheduler.model.clock import DryClock


@dataclass(frozen=True, slots=True)
class Lag:
    """How long after an end something is ready: `amount` minutes, or reference minutes on clock number `clock`, and
    then `then` minutes by the clock on the wall. `also` are further (amount, clock) that must have passed as well."""

    amount: float = 0
    clock: int | None = None
    then: int = 0
    also: tuple[tuple[float, int], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Activity:
    """Something to be placed.

    `minutes` of work; `smallest` is the shortest piece it may be cut into (None: one piece). `demand` is what it
    takes of each resource while a piece of it runs. It starts no earlier than `release`, and inside one of the
    spans `fit`, which must also hold (or end at) the moment at which `hold` has passed after its end.

    `fixed` pieces are facts: they take no capacity and break no rule. `minutes` comes on top of them, after them,
    and no earlier than release and waits allow; `fit`, a wait's `until` and a wish for cleanness ask for the start,
    which is a fact then. With pieces and no more minutes it is done.

    With `booked` the pieces are an appointment: nobody's capacity either, but what it waits for must be ready by its
    start.

    Without minutes and without pieces it is a mere moment, the first that its release and waits allow, and no
    other rule applies to it. An `optional` activity is placed only where a wait calls for it; a wait that touches
    one not placed does not apply. One that has begun was called for: its rest is placed, before what called for it.
    """

    minutes: int
    smallest: int | None
    demand: tuple[int, ...]
    release: int
    fit: tuple[Span, ...] | None = None
    hold: Lag = Lag()
    fixed: tuple[Span, ...] = ()
    optional: bool = False
    booked: bool = False

    @property
    def called_for(self) -> bool:
        """Whether it is placed in any case."""
        return not self.optional or bool(self.fixed and self.minutes)


@dataclass(frozen=True, slots=True, kw_only=True)
class Wait:
    """`after` starts no earlier than `lag` after the end of `before`.

    If it starts later than `until` after that end, the activity `remedy` must run whole in between; without a
    remedy it must not.
    """

    before: int
    after: int
    lag: Lag = Lag()
    until: Lag | None = None
    remedy: int | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """One answer to a choice, taken when `leader` comes first: its waits, and minutes added to activities."""

    leader: int
    waits: tuple[Wait, ...]
    extra: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Barrier:
    """From the start of `by` until `until` after its end, no piece of another activity in `bars` runs."""

    by: int
    until: Lag
    bars: frozenset[int]


@dataclass(frozen=True, slots=True, kw_only=True)
class Soil:
    """Between a piece of one that `soils` and the later start of another that `wants_clean`, one that `cleans` runs
    whole.

    One that both soils and cleans leaves its own soil clean at its own end. A piece that begins at that start or
    later does no harm.
    """

    soils: frozenset[int]
    cleans: frozenset[int]
    wants_clean: frozenset[int]


class Closure(NamedTuple):
    """A span in which so many places of a thing are closed."""

    start: int
    end: int
    places: int


@dataclass(frozen=True, slots=True)
class Thing:
    """Something that is taken and given back, day and night: so many places, some of which are closed at times."""

    places: int
    closed: tuple[Closure, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Hold:
    """`taker` takes `places` of thing number `thing` from its start on, in its pauses too, until they are given back.

    That is `lag` after the event that gives them back: the end of `giver`, or with `at_start` its start, and without
    a giver the end or the start of the taker itself; but never before the end of the taker, nor before the minute
    `until`. The event of another one is no earlier than the end of the taker: nobody gives back what has not been
    taken. With `at_work` it is taken only while a piece of the taker runs, and nothing else is said.
    """

    thing: int
    places: int
    taker: int
    giver: int | None = None
    at_start: bool = False
    lag: Lag = Lag()
    until: int | None = None
    at_work: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Promise:
    """Something to be kept if any placement keeps it, and else broken by as few minutes as can be.

    Of work: each of `ends`, an activity and a lag, is reached by the minute `by`. Of a thing: what is taken by
    `holds` is taken for `at_most` so many minutes, in its longest stretch, or with `in_all` in all its stretches
    together."""

    ends: tuple[tuple[int, Lag], ...] = ()
    by: int = 0
    holds: tuple[int, ...] = ()
    at_most: int = 0
    in_all: bool = False


@dataclass(frozen=True, slots=True)
class Slot:
    """A span in which each resource has a constant capacity. `day` numbers the day it belongs to."""

    start: int
    end: int
    capacity: tuple[int, ...]
    day: int = 0


@dataclass(frozen=True, kw_only=True)
class Problem:
    """The whole question. Slots are ascending and disjoint; outside of them nothing runs.

    `stay` says where activities were placed in the answer that was handed out before (None: there was none).
    """

    activities: tuple[Activity, ...]
    waits: tuple[Wait, ...]
    slots: tuple[Slot, ...]
    clocks: tuple[DryClock, ...] = ()
    choices: tuple[tuple[Option, Option], ...] = ()
    barriers: tuple[Barrier, ...] = ()
    soils: tuple[Soil, ...] = ()
    things: tuple[Thing, ...] = ()
    holds: tuple[Hold, ...] = ()
    promises: tuple[Promise, ...] = ()
    stay: tuple[tuple[Span, ...] | None, ...] | None = None

    @cached_property
    def pausing(self) -> tuple[int, ...]:
        """The activities that are long enough to be cut in two."""
        return tuple(
            i for i, a in enumerate(self.activities) if a.smallest is not None and a.minutes >= 2 * a.smallest
        )

    @cached_property
    def visits(self) -> frozenset[int]:
        """The numbers of the appointments."""
        return frozenset(i for i, activity in enumerate(self.activities) if activity.booked)

    @cached_property
    def has_days(self) -> bool:
        """Whether it matters on how many days the slots are used."""
        return len({slot.day for slot in self.slots}) > 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Placement:
    """Where every activity goes: its pieces in order (empty for an optional one that is not called for).

    `options` is the index of the option taken in each choice. `visits` are the numbers of the appointments: they are
    nobody's work here, and the finish is not theirs.
    """

    pieces: tuple[tuple[Span, ...], ...]
    options: tuple[int, ...]
    visits: frozenset[int] = frozenset()

    @property
    def finish(self) -> int:
        """End of the last piece of all; 0 if there is none."""
        return max((s[-1].end for i, s in enumerate(self.pieces) if s and i not in self.visits), default=0)


@dataclass(frozen=True, slots=True, kw_only=True)
class Result:
    """The best placement found, the bound on its finish, and the effort in schedules and in activities placed.

    No placement breaks its promises by fewer minutes than `late_at_least` all together, and none that breaks them by
    no more than this one finishes before `finish_not_before`. `stopped`: the search was interrupted before its effort
    was spent.
    """

    placement: Placement
    finish_not_before: int
    schedules: int
    placements_tried: int
    stopped: bool = False
    late_at_least: int = 0
