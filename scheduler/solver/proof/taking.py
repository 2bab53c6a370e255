"""What is taken is there: of every thing the places that are certain to be taken leave room for all that needs some.

From the latest start of who takes until the earliest moment at which it can be given back a thing is taken in any
case, which the field calls a compulsory part (A. Lahrichi, "Scheduling: the notions of hump, compulsory parts and
their use in cumulative problems", C. R. Acad. Sci. Paris 294, 1982, from memory). Who takes some beside that starts
later, or has given it back before. A promise that is not broken by more than a grace is the other way round: what is
taken for a time at most is taken late, or given back early.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import pairwise
from typing import NamedTuple

from scheduler.solver.problem import Hold, Problem, Promise
from scheduler.solver.proof.disjunctions import Order, given_back
from scheduler.solver.proof.state import BACK, FORE, Refuted, State
from scheduler.wallclock import NEVER

Level = tuple[int, int, int]
"""A span, and how many places are taken or closed in it."""


class Clash(NamedTuple):
    """Holds that take too much of a thing if all start as early as they can, and the last minute of that: too much by
    themselves, or with what is closed then."""

    holds: tuple[Hold, ...]
    moment: int
    closed: bool


def given_after(state: State) -> None:
    """Nobody gives back what has not been taken: that is no earlier than the end of who took. Raises Refuted."""
    activities = state.question.problem.activities
    for hold in (hold for holds in state.question.holds for hold in holds):
        taker, giver = hold.taker, hold.giver
        if giver is None or hold.at_work or activities[giver].optional:
            continue
        if (given := activities[giver].fixed) and activities[giver].booked and activities[taker].minutes:
            state.raise_start(BACK, taker, -(given[0].start if hold.at_start else given[-1].end))
        if given:
            continue
        event, ended = (state.raise_start if hold.at_start else state.raise_end), state.end[FORE][taker]
        event(FORE, giver, ended)
        if activities[taker].minutes:
            latest = state.end[BACK][giver] if hold.at_start else state.start[BACK][giver]
            state.raise_start(BACK, taker, latest)


def places_left(state: State) -> None:
    """Nobody takes where too few places are left. Raises Refuted if somebody must."""
    question = state.question
    for number, holds in enumerate(question.holds):
        thing = question.problem.things[number]
        if not holds or (len(holds) == 1 and not thing.closed):
            continue
        parts = [
            (latest_start(state, hold), back, hold.places)
            for hold in holds
            if (back := given_back_at(state, hold)) > latest_start(state, hold)
        ]
        levels = _levels([*thing.closed, *parts])
        if any(level > thing.places for *_, level in levels):
            raise Refuted
        for hold in holds:
            _beside(state, hold, levels, thing.places - hold.places)


def _beside(state: State, hold: Hold, levels: Sequence[Level], most: int) -> None:
    """One takes after a span in which too little is left, or has given back before it. Raises Refuted."""
    taker = state.question.problem.activities[hold.taker]
    own = latest_start(state, hold), given_back_at(state, hold)
    for begin, until, level in levels:
        if level - (hold.places if own[0] <= begin and until <= own[1] else 0) <= most:
            continue
        if given_back_at(state, hold) > begin and earliest_start(state, hold) < until:
            if taker.fixed:
                raise Refuted
            state.raise_start(FORE, hold.taker, until)
    for begin, until, level in reversed(levels):
        if level - (hold.places if own[0] <= begin and until <= own[1] else 0) <= most:
            continue
        if latest_start(state, hold) < until and begin < NEVER:
            be_back(state, hold, begin)


def earliest_start(state: State, hold: Hold) -> int:
    """When something is taken at the earliest."""
    fixed = state.question.problem.activities[hold.taker].fixed
    return fixed[0].start if fixed else state.start[FORE][hold.taker]


def latest_start(state: State, hold: Hold) -> int:
    """When something has been taken in any case."""
    fixed = state.question.problem.activities[hold.taker].fixed
    return fixed[0].start if fixed else -state.end[BACK][hold.taker]


def given_back_at(state: State, hold: Hold) -> int:
    """When something that was taken can be given back at the earliest."""
    problem, taker = state.question.problem, hold.taker
    back = max(state.end[FORE][taker], hold.until or state.end[FORE][taker])
    if hold.at_work:
        return back
    giver = taker if hold.giver is None else hold.giver
    if problem.activities[giver].optional:
        return back
    event = state.end[FORE][giver]
    if hold.at_start:
        fixed = problem.activities[giver].fixed
        event = fixed[0].start if fixed else state.start[FORE][giver]
    return max(back, state.question.directions[FORE].passed(hold.lag)[event])


def be_back(state: State, hold: Hold, by: int) -> None:
    """Take for granted that something is given back by a minute. Raises Refuted."""
    activities, (fore, back) = state.question.problem.activities, state.question.directions
    if hold.until is not None and hold.until > by:
        raise Refuted
    if activities[hold.taker].minutes:
        state.raise_start(BACK, hold.taker, -by)
    elif state.end[FORE][hold.taker] > by:
        raise Refuted
    if hold.at_work:
        return
    giver = hold.taker if hold.giver is None else hold.giver
    activity = activities[giver]
    if activity.optional:
        return
    if activity.fixed and (hold.at_start or not activity.minutes):
        if fore.passed(hold.lag)[activity.fixed[0].start if hold.at_start else activity.fixed[-1].end] > by:
            raise Refuted
    elif hold.at_start:
        state.raise_end(BACK, giver, back.passed(hold.lag)[-by])
    else:
        state.raise_start(BACK, giver, back.passed(hold.lag)[-by])


def _levels(spans: Sequence[Level]) -> list[Level]:
    """How many places are taken or closed where, ascending."""
    change: dict[int, int] = {}
    for begin, until, places in spans:
        change[begin] = change.get(begin, 0) + places
        change[until] = change.get(until, 0) - places
    found, level = list[Level](), 0
    for begin, until in pairwise(sorted(change)):
        level += change[begin]
        if level:
            found.append((begin, until, level))
    return found


def clash(state: State) -> Clash | None:
    """Holds that take too much of a thing if everything starts and ends as early as it can, as few as do so."""
    question = state.question
    for number, holds in enumerate(question.holds):
        thing = question.problem.things[number]
        spans = [(earliest_start(state, hold), given_back_at(state, hold), hold) for hold in holds]
        for begin, until, level in _levels([*((a, b, hold.places) for a, b, hold in spans if a < b), *thing.closed]):
            if level <= thing.places:
                continue
            there = [(hold.places, b, hold) for a, b, hold in spans if a <= begin < b]
            there.sort(key=lambda each: (-each[0], each[1], each[2].taker))
            closed = level - sum(places for places, *_ in there)
            for shut in sorted({0, closed}):
                taken, members = shut, []
                for places, back, hold in there:
                    taken += places
                    members.append((hold, back))
                    if taken > thing.places:
                        last = min([back for _, back in members] + ([until] if shut else []))
                        return Clash(tuple(hold for hold, _ in members), last - 1, bool(shut))
    return None


def apart(problem: Problem, found: Clash) -> Iterator[Order]:
    """Orders of which one holds in every placement for holds that take too much by themselves: one is over before
    another one is taken. If no two of them were apart, all would be taken at one moment."""
    for one in found.holds:
        for other in found.holds:
            if one.taker != other.taker and not problem.activities[other.taker].fixed:
                yield given_back(problem, one, other.taker)


# -- promises --------------------------------------------------------------------------------------------------------


def keep_promises(state: State) -> None:
    """All together promises are broken by no more than the grace, so each by no more than what the others leave of
    it. Raises Refuted."""
    grace, promises = state.grace, state.promises
    if grace is None:
        return
    least = [_late_at_least(state, promise) for promise in promises]
    spare = grace - sum(least)
    if spare < 0:
        raise Refuted
    for promise, late in zip(promises, least, strict=True):
        _keep(state, promise, late + spare)


def _late_at_least(state: State, promise: Promise) -> int:
    """By how many minutes one is broken in any case."""
    fore, activities = state.question.directions[FORE], state.question.problem.activities
    ends = [(i, lag) for i, lag in promise.ends if not activities[i].optional]
    late = [fore.passed(lag)[state.end[FORE][i]] - promise.by for i, lag in ends]
    late += [given_back_at(state, h) - latest_start(state, h) - promise.at_most for h in _kept(state, promise)]
    return max([0, *late])


def _keep(state: State, promise: Promise, late: int) -> None:
    """One is broken by no more minutes than that. Raises Refuted."""
    question = state.question
    activities, back = question.problem.activities, question.directions[BACK]
    for i, lag in promise.ends:
        if activities[i].minutes and not activities[i].optional:
            state.raise_start(BACK, i, back.passed(lag)[-(promise.by + late)])
    most = promise.at_most + late
    for hold in _kept(state, promise):
        if not activities[hold.taker].fixed:
            state.raise_start(FORE, hold.taker, given_back_at(state, hold) - most)
        be_back(state, hold, latest_start(state, hold) + most)


def _kept(state: State, promise: Promise) -> Iterator[Hold]:
    """What a promise says is taken for no longer than so, of that which is certain to be taken in one go."""
    problem = state.question.problem
    for number in promise.holds:
        hold = problem.holds[number]
        if not hold.at_work and not problem.activities[hold.taker].optional:
            yield hold


def longest_out(state: State) -> int | None:
    """Who takes what is promised back soon and could still take it later, where all that starts as early as it can
    breaks more than the grace; None if nothing does."""
    grace = state.grace
    if grace is None:
        return None
    late, loose = 0, list[tuple[int, int]]()
    for promise in state.promises:
        outs = [(given_back_at(state, h) - earliest_start(state, h), h) for h in _kept(state, promise)]
        late += max([_late_at_least(state, promise), *(out - promise.at_most for out, _ in outs)])
        loose += [
            (latest_start(state, hold) - earliest_start(state, hold), hold.taker)
            for out, hold in outs
            if out > promise.at_most
        ]
    if late <= grace or not loose:
        return None
    room, taker = max(loose)
    return taker if room > 0 else None
