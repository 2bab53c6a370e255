"""Where one activity goes in a schedule that is being made: at the earliest place that breaks no rule.

What was placed so far takes capacity, closes off others, soils and cleans. Everything here asks that, or adds to it.
"""

from __future__ import annotations

from collections.abc import Sequence
from copy import copy
from typing import Self

from scheduler.model.basics import Span
from scheduler.solver.changeovers import Soiling
from scheduler.solver.conflicts import Stuck
from scheduler.solver.holds import HoldState
from scheduler.solver.instance import LaidOut
from scheduler.solver.network import LONG_AGO, first_reaching, next_fit
from scheduler.solver.problem import Wait
from scheduler.solver.profile import block, joined, split, split_at_once
from scheduler.solver.running import Stairs
from scheduler.wallclock import NEVER


class Places:
    """What has its place so far."""

    def __init__(self, laid: LaidOut, options: tuple[int, ...], floor: int) -> None:
        self.laid = laid
        self.problem = laid.problem
        self.options = options
        self.network = laid.network(options)
        size = len(self.problem.activities)
        self.at_least = [max(release, floor) for release in laid.releases]
        self.not_ended: dict[int, int] = {}  # who must not be at an end before that minute
        self.line = laid.empty.copy()
        self.pieces: list[tuple[Span, ...] | None] = [None] * size
        self.ends = [LONG_AGO] * size
        groups = range(laid.groups)
        self.closed: list[list[tuple[int, int]]] = [[] for _ in groups]
        self.barred = [Stairs() for _ in groups]  # by the starts of their pieces, the ends
        self.soils = Soiling(len(self.problem.soils))
        self.kept: dict[int, Span] = {}  # room for a smallest first piece
        self.begun: dict[int, tuple[Span, ...]] = {}  # pieces placed of what is still to be served
        self.left: Sequence[int] = self.network.minutes  # minutes not in such pieces
        self.stuck: Stuck | None = None
        self.refused: Stuck | None = None  # what a thing or an appointment had against the last place looked at
        self.taken = HoldState(laid.holding, self.network) if laid.holding.holds else None

    def copy(self) -> Self:
        """The same of its own."""
        other = copy(self)
        other.at_least, other.pieces, other.ends = self.at_least[:], self.pieces[:], self.ends[:]
        other.line, other.soils = self.line.copy(), self.soils.copy()
        other.closed = [spans[:] for spans in self.closed]
        other.barred = [stairs.copy() for stairs in self.barred]
        other.kept, other.begun = self.kept.copy(), self.begun.copy()
        if self.taken is not None:
            other.taken, other.not_ended = self.taken.copy(), self.not_ended.copy()
        return other

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

    def _put(self, i: int) -> bool:
        """Place one activity, and the remedies it calls for, at the earliest moment that is allowed."""
        activity, minutes = self.problem.activities[i], self.left[i]
        fixed = activity.fixed
        ends = self.ends
        at = self.earliest(i)
        if not minutes:
            ends[i] = fixed[-1].end if fixed else max(at, self.not_ended.get(i, at))
            self.pieces[i] = fixed
            return True
        found = self._find(i, at, minutes)
        if found is None:
            return False
        missed = None if fixed or not self.network.limited[i] else self._missed(i, found[0].start)
        if (
            missed is not None and missed.remedy is None and len(found) > 1
        ):  # to end first it may begin later than it can
            sooner = self._find(i, at, minutes, at_once=True)
            if sooner is not None and self._missed(i, sooner[0].start) is None:
                found, missed = sooner, None
        if missed is None:
            self._note(i, fixed, found)
            return True
        return self._remedied(i, missed, found[0].start) and self._put(i)

    def _remedied(self, i: int, missed: Wait, start: int) -> bool:
        """Place the remedy of a window that is over at `start`, and let what called for it come after it."""
        remedy = missed.remedy
        if remedy is None or self.pieces[remedy] is not None:
            self.stuck = Stuck(i, "window", self._would_keep(missed, start))
            return False
        if (by := self._under_way(remedy)) is not None:
            self.stuck = Stuck(remedy, "closed", first=((by, i),))
            return False
        self.at_least[remedy] = max(self.at_least[remedy], self.ends[missed.before])
        if not self._put(remedy):
            return False
        self.at_least[i] = max(self.at_least[i], self.ends[remedy])
        return True

    def _under_way(self, i: int) -> int | None:
        """Something begun that bars this one and whose rest has no place yet: when it opens again is not known."""
        for by, barred in self.laid.begun:
            if barred == i and self.pieces[by] == self.problem.activities[by].fixed:
                return by
        return None

    def may_begin(self, i: int) -> bool:
        """Whether a piece of one could be placed before the rest: it soils, and nothing else depends on its start or
        its end, so that the moments at which others clean and want it clean are all that matters.
        """
        laid, activity = self.laid, self.problem.activities[i]
        smallest = activity.smallest
        if laid.held[i] or laid.due[i]:
            return False
        if smallest is None or self.left[i] < 2 * smallest or activity.fit is not None or activity.fixed:
            return False
        return bool(laid.soiling[i] and not laid.wanting[i] and not laid.closing[i])

    def begin_piece(self, i: int, minutes: int, until: int) -> bool:
        """Place a piece of one whose turn it is, whose rest is served later; False if it can't be done by `until`."""
        at = self.earliest(i)
        found = self._find(i, at, minutes, in_one=True) if at < until else None
        if found is None or found[-1].end > until:
            return False
        if i not in self.begun and self._missed(i, found[0].start) is not None:
            return False
        self._hold(i, Span(found[-1].end - minutes, found[-1].end), found)
        self.begun[i] = found
        self.at_least[i] = found[-1].end
        self.left = [*self.left[:i], self.left[i] - minutes, *self.left[i + 1 :]]
        return True

    def _keep(self, i: int) -> None:
        """Keep room for the smallest piece that one which pauses can begin with, before its own turn."""
        activity = self.problem.activities[i]
        if self.pieces[i] is not None or activity.smallest is None or self.laid.held[i]:
            return
        found = self._find(i, self.earliest(i), activity.smallest)
        if found is None:
            return
        self.kept[i] = found[0]
        self._hold(i, found[0], (*activity.fixed, *found))

    def _hold(self, i: int, piece: Span, pieces: tuple[Span, ...]) -> None:
        """Take the room of a piece of one that is still to be served, and write down the soil of all its pieces."""
        self.line.take(*piece, self.laid.demand[i])
        if self.laid.barred[i]:
            self.barred[self.laid.barred[i]].note(*piece)
        for number in self.laid.soiling[i]:
            self.soils.soil(i, number, pieces, cleans=False, whole=False)

    def goes_on(self, i: int, found: tuple[Span, ...]) -> int:
        """When the first of these pieces begins, or goes on, that has no room yet."""
        held = self.begun[i][-1] if i in self.begun else self.kept.get(i)
        if held is None:
            return found[0].start
        return next((max(begin, held.end) for begin, end in found if end > held.end), found[0].start)

    def _find(
        self, i: int, at: int, minutes: int, *, in_one: bool = False, at_once: bool = False
    ) -> tuple[Span, ...] | None:
        """The earliest pieces from `at` on that no rule forbids, after those placed already: those that end first, or
        `at_once` those that begin first.
        """
        laid, activity = self.laid, self.problem.activities[i]
        self.refused = None
        smallest, demand = None if in_one else activity.smallest, laid.demand[i]
        closed = self._shut(i) if laid.held[i] else self.closed[laid.barred[i]]
        kept, begun = self.kept.get(i), self.begun.get(i)
        at, not_ended = self._held_back(i, at, minutes)
        while at < NEVER:
            laid.placements += 1
            if (smallest is None or minutes <= smallest) and not closed:
                start = self.line.whole(at, minutes, demand)
                if start is None:
                    break
                found: tuple[Span, ...] = (Span(start, start + minutes),)
            else:
                if smallest is not None and (at_once or (kept is not None and at <= kept.start)):
                    runs = self.line.runs(at if kept is None else kept.end, demand, closed)
                    cut = split_at_once if at_once else split
                    pieces = cut(runs if kept is None else joined(kept, runs), minutes, smallest, not_ended)
                else:
                    pieces = self.line.pieces(at, minutes, smallest, demand, closed, not_ended)
                if pieces is None:
                    break
                found = tuple(pieces)
            if begun is not None:
                found = _after(begun, found)
            if not laid.rules[i]:
                return found
            later = self._objection(i, found)
            if later is None:
                return found
            if later <= at:
                self.stuck = Stuck(i, "clean")
                return None
            at = later
        self.stuck = self.refused or Stuck(i, "fit" if activity.fit is not None else "room")
        return None

    def _shut(self, i: int) -> Sequence[tuple[int, int]]:
        """Spans that are closed to one that takes something."""
        closed = self.closed[self.laid.barred[i]]
        taken, works = self.taken, self.laid.holding.works[i]
        if not works or taken is None:
            return closed
        shut = taken.shut(i, closed)
        if shut and shut[-1][1] >= NEVER:  # until somebody gives something back
            self.refused = Stuck(i, "taken")
        return shut

    def _held_back(self, i: int, at: int, minutes: int) -> tuple[int, int | None]:
        """From when it may start if its end is held back, and where it may pause the minute before which all of it
        must not have ended.
        """
        until = self.not_ended.get(i)
        if until is None or minutes < self.left[i]:
            return at, None
        smallest = self.problem.activities[i].smallest
        return (max(at, until - minutes), None) if smallest is None or minutes < 2 * smallest else (at, until)

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
        if laid.held[i] or laid.due[i]:
            later = self._refused(i, activity.fixed[0].start if activity.fixed else start, end)
            if later is not None:
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

    def _refused(self, i: int, start: int, end: int) -> int | None:
        """None if what it takes is there and is given back in time, else the minute from which to look again."""
        for ready, moment in self.laid.due[i]:
            if ready[end] > moment:
                self.refused = Stuck(i, "due")
                return NEVER
        kept = self.taken.objection(i, start, end, self.pieces) if self.taken is not None else None
        if kept is None:
            return None
        if kept.until >= NEVER:
            self.refused = Stuck(i, "taken", held=kept.held)
        return kept.until

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
        """`wait.before`, and the minute before which it must not end if its window is to reach `start`.

        The end, not the start: one that pauses may have begun days before, and need do no more than end later.
        """
        before = wait.before
        if wait.until is None or (self.problem.activities[before].fixed and not self.network.minutes[before]):
            return None
        return before, first_reaching(self.laid.ready.of(wait.until), self.ends[before], start)

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

    def _take(self, i: int, found: tuple[Span, ...]) -> None:
        """Take the capacity of these pieces but what was kept or taken of it; none begins before what was kept and
        runs into it.
        """
        demand, kept = self.laid.demand[i], self.kept.get(i)
        taken = self.begun[i][-1].end if i in self.begun else LONG_AGO
        for start, end in found:
            begin = kept.end if kept is not None and start < kept.end and end > kept.start else max(start, taken)
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
        if self.taken is not None and laid.held[i]:
            self._take_things(self.taken, i, end, whole=whole)
        for number in laid.soiling[i]:
            self.soils.soil(i, number, pieces, cleans=number in laid.cleaning[i], whole=whole)
        if not fixed:
            for number in laid.wanting[i]:
                self.soils.want(number, start)
        if whole:
            for number in laid.cleaning[i]:
                self.soils.clean(number, start, end)

    def _take_things(self, taken: HoldState, i: int, end: int, *, whole: bool) -> None:
        """Write down what it takes and gives back; who gives back what it takes does not before its end."""
        taken.note(i, self.pieces[i] or (), self.pieces, whole=whole)
        for number in self.laid.holding.opens[i] if whole else ():
            hold = self.problem.holds[number]
            giver = hold.taker if hold.giver is None else hold.giver
            if hold.at_start:
                self.at_least[giver] = max(self.at_least[giver], end)
            else:
                self.not_ended[giver] = max(self.not_ended.get(giver, end), end)


def _after(begun: tuple[Span, ...], found: tuple[Span, ...]) -> tuple[Span, ...]:
    """Pieces and those that come after them; two that touch are one."""
    if found[0].start > begun[-1].end:
        return begun + found
    return (*begun[:-1], Span(begun[-1].start, found[0].end), *found[1:])
