"""What pauses as two or three activities: its first piece, what is in between, and its last piece.

Of what pauses, propagation knows a least start and a least end; of what runs in one piece it knows all. The first
`smallest` minutes of what pauses run in one piece, and so do the last ones, wherever it goes. Taken as activities of
their own they exclude others as any does, so that who must begin, or end, beside whom is seen.

Two problems come of it, with the same numbers:

- `relaxed`: every placement of the problem is one of it, so what refutes it refutes the problem. What lies in between
  is cut as one likes; what a step closes while it pauses, and whether it cleans as a whole, is left out.
- `strict`: most of its placements are some of the problem. What is in between has no piece below the smallest.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from scheduler.model.basics import Span
from scheduler.solver.network import Readiness, next_fit
from scheduler.solver.problem import Activity, Barrier, Hold, Lag, Option, Placement, Problem, Promise, Soil, Wait
from scheduler.solver.proof.disjunctions import Pausing, gains, smallest_pieces, whole


@dataclass(frozen=True, slots=True)
class Apart:
    """A problem with what pauses taken apart: activity i is `parts[i]`, the first of them first."""

    problem: Problem
    relaxed: Problem
    strict: Problem
    parts: tuple[tuple[int, ...], ...]

    @property
    def pausing(self) -> list[Pausing]:
        """What pauses of the problem, by its parts."""
        smallest, in_one = smallest_pieces(self.problem), whole(self.problem)
        activities = enumerate(self.problem.activities)
        counted = [i for i, activity in activities if activity.minutes and not activity.optional and not in_one[i]]
        return [Pausing(self.parts[i], smallest[i] or 1) for i in counted]

    def together(self, placement: Placement) -> Placement | None:
        """The placement of the problem that one of the strict problem stands for; None if it is none."""
        pieces = tuple(_joined(span for part in parts for span in placement.pieces[part]) for parts in self.parts)
        ready = Readiness(self.problem.clocks)
        cut = {i for i, parts in enumerate(self.parts) if len(parts) > 1}
        for i in cut:
            activity, spans = self.problem.activities[i], pieces[i]
            if any(span.minutes < (activity.smallest or 0) for span in spans):
                return None
            held = ready.of(activity.hold)[spans[-1].end]
            if activity.fit is not None and next_fit(activity.fit, spans[0].start, held) is not None:
                return None
        return Placement(pieces=pieces, options=placement.options, visits=self.problem.visits)


def taken_apart(problem: Problem) -> Apart:
    """The problem with everything taken apart that pauses, is certain to run, has not begun, closes and cleans
    nothing, and is as long whatever is chosen.
    """
    more = gains(problem)
    kept = {barrier.by for barrier in problem.barriers} | {i for soil in problem.soils for i in soil.cleans}
    kept |= {hold.taker for hold in problem.holds if not hold.at_work and (hold.giver is not None or hold.at_start)}
    cut = [
        i
        for i in problem.pausing
        if not more[i] and i not in kept and not problem.activities[i].fixed and not problem.activities[i].optional
    ]
    size = len(problem.activities)
    parts: list[tuple[int, ...]] = [(i,) for i in range(size)]
    loose, tight, waits = list(problem.activities), list(problem.activities), list[Wait]()
    for i in cut:
        activity = problem.activities[i]
        least = activity.smallest or 0
        between = activity.minutes - 2 * least
        first = replace(activity, minutes=least, smallest=None, hold=Lag())
        last = replace(first, hold=activity.hold)
        middle = replace(first, minutes=between, smallest=1, fit=None)
        own = (i, len(loose), len(loose) + 1) if between else (i, len(loose))
        loose[i] = first
        loose += [middle, last] if between else [last]
        tight[i] = first if between >= least else replace(first, minutes=least + between)
        whole = replace(middle, smallest=least) if between >= least else replace(middle, minutes=0, smallest=None)
        tight += [whole, last] if between else [last]
        parts[i] = own
        waits += [Wait(before=own[k], after=own[k + 1]) for k in range(len(own) - 1)]
    named = tuple(tuple(own) for own in parts)

    def asked(activities: list[Activity], promises: tuple[Promise, ...]) -> Problem:
        return replace(
            problem,
            activities=tuple(activities),
            waits=(*(_moved(wait, named) for wait in problem.waits), *waits),
            choices=tuple((_option(a, named), _option(b, named)) for a, b in problem.choices),
            barriers=tuple(_barrier(barrier, named) for barrier in problem.barriers),
            soils=tuple(_soil(soil, named) for soil in problem.soils),
            holds=(*(_hold(hold, named) for hold in problem.holds), *_at_work(problem, named)),
            promises=promises,
            stay=None,
        )

    return Apart(
        problem, asked(loose, tuple(_promise(each, named) for each in problem.promises)), asked(tight, ()), named
    )


Parts = tuple[tuple[int, ...], ...]


def _moved(wait: Wait, parts: Parts) -> Wait:
    return replace(wait, before=parts[wait.before][-1], after=parts[wait.after][0])


def _option(option: Option, parts: Parts) -> Option:
    return replace(option, waits=tuple(_moved(wait, parts) for wait in option.waits))


def _barrier(barrier: Barrier, parts: Parts) -> Barrier:
    return replace(barrier, bars=_all(barrier.bars, parts))


def _soil(soil: Soil, parts: Parts) -> Soil:
    return replace(soil, soils=_all(soil.soils, parts))


def _hold(hold: Hold, parts: Parts) -> Hold:
    taker, giver = parts[hold.taker], parts[hold.taker if hold.giver is None else hold.giver]
    if hold.at_work:
        return hold
    if hold.giver is None and len(taker) == 1:
        return replace(hold, taker=taker[0])
    return replace(hold, taker=taker[0], giver=giver[0] if hold.at_start else giver[-1])


def _at_work(problem: Problem, parts: Parts) -> Iterator[Hold]:
    """What the later parts work with too."""
    for hold in problem.holds:
        if hold.at_work:
            yield from (replace(hold, taker=part) for part in parts[hold.taker][1:])


def _promise(promise: Promise, parts: Parts) -> Promise:
    return replace(promise, ends=tuple((parts[i][-1], lag) for i, lag in promise.ends))


def _all(members: Iterable[int], parts: Parts) -> frozenset[int]:
    return frozenset(part for i in members for part in parts[i])


def _joined(spans: Iterable[Span]) -> tuple[Span, ...]:
    """Pieces in order; two that touch are one."""
    joined: list[Span] = []
    for span in spans:
        if joined and joined[-1].end == span.start:
            joined[-1] = Span(joined[-1].start, span.end)
        else:
            joined.append(span)
    return tuple(joined)
