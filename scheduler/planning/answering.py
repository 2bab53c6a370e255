"""The answer to a lowered question: the best placement found, as close to the plan told before as costs nothing.

It is sought without a thought of that plan. Then that plan as far as it can stay is held against it, colours keep the
order that was told, and each step goes back to where it was, as long as no aim is worse for it.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Set
from dataclasses import dataclass, replace

from scheduler.model.answer import Answer
from scheduler.model.facts import Facts
from scheduler.model.watch import Watch
from scheduler.planning.encode import Lowered
from scheduler.planning.putting_back import put_back
from scheduler.planning.reuse import again
from scheduler.solver.conflicts import Stuck
from scheduler.solver.objective import aim_of, waited
from scheduler.solver.problem import Result
from scheduler.solver.search import DEFAULT_EFFORT, search
from scheduler.solver.stability import may_wait, stay_close

NEAR = 1
"""Effort of the search that begins with the order of the plan handed out before: that order, and little else."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Wish:
    """How a plan is to be sought: effort in activities placed, and the seed of the search."""

    effort: int = DEFAULT_EFFORT
    seed: int = 0

    @property
    def whole(self) -> bool:
        """Whether somebody asked for just that effort: the usual one is spent only where something comes of it."""
        return self.effort != DEFAULT_EFFORT


def answered(
    lowered: Lowered,
    facts: Facts,
    known: Answer | None,
    wish: Wish,
    watch: Watch | None,
    broken: Callable[[Result], Set[Hashable]],
) -> Result | Stuck:
    """The best placement found, drawn back to the one handed out before as far as that costs nothing.

    If that one itself is still sound and no worse, nothing moves at all. `broken` says which rules a plan breaks.
    """
    stands = again(lowered, known, facts) if known is not None else None
    outcome = _sought(lowered, wish, watch, thorough=not facts.recorded)
    if isinstance(outcome, Stuck):
        return outcome
    close = _drawn_back(lowered, outcome, watch)
    if known is not None and facts.before:
        close = _as_told(lowered, close, known, wish, watch)
    close = put_back(lowered.problem, close, broken)
    if stands is None or not facts.before:
        return close
    stands = replace(stands, finish_not_before=close.finish_not_before, placements_tried=close.placements_tried)
    no_worse = aim_of(lowered.problem, stands.placement) <= aim_of(lowered.problem, close.placement)
    return stands if no_worse and not broken(stands) else close


def _sought(lowered: Lowered, wish: Wish, watch: Watch | None, *, thorough: bool) -> Result | Stuck:
    """The best placement of a search that knows nothing of the plan handed out before, or that plan as far as it can
    stay, if it is no worse: to stay close costs neither a promise, nor the finish, nor a day, nor a remedy, nor idle
    hands."""
    problem = lowered.problem
    found = search(replace(problem, stay=None), wish.effort, wish.seed, watch, thorough=thorough, whole=wish.whole)
    if problem.stay is None or isinstance(found, Stuck):
        return found
    near = search(problem, NEAR, wish.seed, thorough=False)
    if isinstance(near, Stuck) or aim_of(problem, near.placement) >= aim_of(problem, found.placement):
        return found
    if waited(problem, near.placement.pieces) > may_wait(problem, found.placement):
        return found
    return replace(found, placement=near.placement)


def _as_told(lowered: Lowered, found: Result, told: Answer, wish: Wish, watch: Watch | None) -> Result:
    """What was found, or what is found with the colours in the order told before, if that costs neither a promise,
    nor the finish, nor a day: somebody has bought for it."""
    options = _options_told(lowered, told)
    if all(was in (None, now) for was, now in zip(options, found.placement.options, strict=True)):
        return found
    held = tuple(
        (one, other) if was is None else ((one, other)[was],) * 2
        for (one, other), was in zip(lowered.problem.choices, options, strict=True)
    )
    asked = replace(lowered, problem=replace(lowered.problem, choices=held))
    other = _sought(asked, wish, watch, thorough=False)
    if isinstance(other, Stuck):
        return found
    placement = _drawn_back(asked, other, watch).placement
    if aim_of(lowered.problem, placement)[:3] > aim_of(lowered.problem, found.placement)[:3]:
        return found
    taken = (now if was is None else was for was, now in zip(options, placement.options, strict=True))
    return replace(found, placement=replace(placement, options=tuple(taken)))


def _options_told(lowered: Lowered, told: Answer) -> list[int | None]:
    """The option that was taken before of each choice; None where it was not open then."""
    names = ([option.name for option in choice.options] for choice in lowered.choices)
    before = (told.options.get(choice.id) for choice in lowered.choices)
    return [known.index(was) if was in known else None for known, was in zip(names, before, strict=True)]


def _drawn_back(lowered: Lowered, found: Result, watch: Watch | None) -> Result:
    """What was found, closer to the plan handed out before; as it is where whoever waits does not wait for that."""
    try:
        return stay_close(lowered.problem, found)
    except KeyboardInterrupt:
        if watch is None:
            raise
        return replace(found, stopped=True)
