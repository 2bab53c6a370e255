"""Whether everything can be done by a finish: draw conclusions until something contradicts itself.

Every rule here draws only what holds in every placement that is done by the finish and keeps the orders decided, so a
contradiction refutes them all.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from scheduler.solver.energy import Supply, last_after, lateness, rest
from scheduler.solver.proof.changeovers import cleaned
from scheduler.solver.proof.disjunctions import Alternative
from scheduler.solver.proof.state import BACK, FORE, Refuted, State, Worked
from scheduler.solver.proof.stretches import within_stretches
from scheduler.solver.proof.taking import given_after, keep_promises, places_left

ROUNDS = 50
"""How often all rules are gone through. Each time something rises; a state that keeps rising is left as it is."""


def settle(state: State) -> None:
    """Draw all conclusions, the cheap ones first. Raises Refuted."""
    for _ in range(ROUNDS):
        state.flow()
        keep_promises(state)
        workload(state)
        _after_all_before(state)
        if not state.queue:
            _around_the_certain(state)
        if not state.queue:
            _after_the_others(state)
        if not state.queue:
            given_after(state)
            places_left(state)
        if not state.queue:
            within_stretches(state)
        if not state.queue:
            _decide_forced(state)
            _between_the_certain(state)
            cleaned(state)
        if not state.queue:
            return


def _wanting(state: State, side: int, resource: int) -> list[tuple[int, int, int]]:
    """Head, deadline and amount of all work of a resource, in resource minutes of that direction."""
    start, other, minutes = state.start[side], state.start[1 - side], state.minutes
    before = state.question.supplies[side][resource].before
    return [
        (before(start[i]), before(-other[i]), minutes[i] * demand) for i, demand in state.question.using[resource]
    ]


def _more(state: State, resource: int) -> Iterator[tuple[int, int, int]]:
    """The same for the least work that each open choice adds, wherever it does."""
    start, latest = state.start[FORE], state.start[BACK]
    activities, before = state.question.problem.activities, state.question.supplies[FORE][resource].before
    for choice in state.choices:
        added = [*choice.either.extra, *choice.other.extra]
        amount = min(
            sum(minutes * activities[i].demand[resource] for i, minutes in order.extra if not activities[i].optional)
            for order in (choice.either, choice.other)
        )
        if amount:
            yield before(min(start[i] for i, _ in added)), before(max(-latest[i] for i, _ in added)), amount


def workload(state: State) -> None:
    """All work of a resource fits between its heads and deadlines. Raises Refuted if not."""
    for r in range(len(state.question.using)):
        if lateness([*_wanting(state, FORE, r), *_more(state, r)], enough=0) > 0:
            raise Refuted


def _after_all_before(state: State) -> None:
    """Nothing starts before all the work that is known to come before it can be done. Raises Refuted."""
    question = state.question
    for side in (FORE, BACK):
        start, masks = state.start[side], state.before[side]
        for r, used in enumerate(question.using):
            supply = question.supplies[side][r]
            heads = [(supply.before(start[i]), state.minutes[i] * demand) for i, demand in used]
            last = state.worked.get((side, r))
            moved = mine = 0
            for number, (i, _) in enumerate(used):
                mine |= 1 << i
                if last is None or heads[number] != last.heads[number]:
                    moved |= 1 << i
            known = sorted(((*head, 1 << i) for head, (i, _) in zip(heads, used, strict=True)), reverse=True)
            found = dict[int, tuple[int, int]]()
            for j in question.counted:
                mask = masks[j] & mine
                if not mask:
                    continue
                if last is not None and not mask & moved and last.done.get(j, (0, 0))[0] == mask:
                    found[j] = last.done[j]
                    continue
                done = work = 0
                for head, amount, bit in known:
                    if mask & bit:
                        work += amount
                        done = max(done, head + work)
                found[j] = mask, done
            state.worked[side, r] = Worked(heads, found)
            for j, (_, done) in found.items():
                if done > supply.before(start[j]):
                    state.raise_start(side, j, _moment(supply, done))


def _between_the_certain(state: State) -> None:
    """What may go around others has room for all its minutes between them. Raises Refuted if not.

    From the latest start of another until it is ready after its earliest end no piece runs, wherever that one goes.
    """
    fore, closed = state.question.directions[FORE], dict[int, list[tuple[int, int]]]()
    for pair in state.pairs:
        if pair.around is not None:
            order = pair.either if pair.either.arcs[0][1] == pair.around else pair.other
            inner, _, ready = order.arcs[0]
            begin, until = -state.end[BACK][inner], fore.passed(ready)[state.end[FORE][inner]]
            if begin < until:
                closed.setdefault(pair.around, []).append((begin, until))
    for outer, spans in closed.items():
        given = fore.runs[outer].before
        at, latest = state.start[FORE][outer], -state.start[BACK][outer]
        room = given(latest) - given(at)
        for begin, until in sorted(spans):
            if min(until, latest) > max(begin, at):
                room -= given(min(until, latest)) - given(max(begin, at))
                at = until
        if room < state.minutes[outer]:
            raise Refuted


def _after_the_others(state: State) -> None:
    """What can only be the last of some work of a resource ends, or even starts, after it. Raises Refuted."""
    question = state.question
    for side in (FORE, BACK):
        for r, used in enumerate(question.using):
            if len(used) < 2:
                continue
            supply = question.supplies[side][r]
            for k, amount in last_after(_wanting(state, side, r)):
                i = used[k][0]
                at = _moment(supply, amount)
                if question.whole[i] and i in question.alone[r]:
                    state.raise_start(side, i, at)
                else:
                    state.raise_end(side, i, at)


def _around_the_certain(state: State) -> None:
    """What runs in one piece finds room beside all that is certain to run: from its latest start to its earliest
    end a piece runs wherever it goes. Raises Refuted if there is no such room.
    """
    for r, used in enumerate(state.question.using):
        if len(used) == len(state.question.alone[r]):  # pairs say all of it
            continue
        parts = []
        for i, demand in used:
            begin, until = -state.end[BACK][i], state.end[FORE][i]
            if begin < until and state.question.whole[i]:
                parts.append((begin, until, demand))
        if not parts:
            continue
        left = rest(state.question.problem.slots, r, parts)
        for side, segments in ((FORE, left), (BACK, [(-b, -a, free) for a, b, free in reversed(left)])):
            _beside(state, side, [(i, demand) for i, demand in used if state.question.whole[i]], segments)


def _beside(state: State, side: int, used: list[tuple[int, int]], segments: list[tuple[int, int, int]]) -> None:
    """Raise starts until nothing lies where too little is left. A part of its own leaves room for itself."""
    start, end, latest = state.start[side], state.end[side], state.end[1 - side]
    for i, demand in used:
        own, until_own = -latest[i], end[i]
        minutes = state.minutes[i]
        for begin, until, free in segments:
            if begin >= start[i] + minutes:
                break
            if until > start[i] and free + (demand if own <= begin and until <= until_own else 0) < demand:
                state.raise_start(side, i, until)


def _decide_forced(state: State) -> None:
    """Decide every alternative of which one order cannot hold. Raises Refuted if neither can."""
    changed, state.changed = state.changed, 0
    state.choices = _open(state, state.choices, changed)
    state.pairs = _open(state, state.pairs, changed)
    state.windows = _open(state, state.windows, changed)


def _open(state: State, alternatives: list[Alternative], changed: int) -> list[Alternative]:
    left = []
    for alternative in alternatives:
        if not alternative.members & changed:
            left.append(alternative)
        elif alternative.around is not None and _goes_around(state, alternative.around, alternative):
            for order in (alternative.either, alternative.other):
                (i, j, _), *_ = order.arcs
                if state.before[FORE][j] >> i & 1:
                    state.decide(order)
                    break
            else:
                left.append(alternative)
        elif not state.possible(alternative.either):
            state.decide(alternative.other)
        elif not state.possible(alternative.other):
            state.decide(alternative.either)
        elif alternative.around is None:
            left.append(alternative)
        else:
            left.append(replace(alternative, around=None))
    return left


def _goes_around(state: State, outer: int, pair: Alternative) -> bool:
    """Whether there is room for the shortest piece before the other one, for another after it, and for all on both
    sides together, and someone to clean in between if need be.
    """
    first, then = (pair.other, pair.either) if pair.other.arcs[0][0] == outer else (pair.either, pair.other)
    (_, inner, clean), (_, _, ready) = first.arcs[0], then.arcs[0]
    smallest = state.question.problem.activities[outer].smallest or 0
    fore = state.question.directions[FORE]
    given = fore.runs[outer].before
    before = given(-state.end[BACK][inner] - int(clean.amount)) - given(state.start[FORE][outer])
    after = given(-state.start[BACK][outer]) - given(fore.passed(ready)[state.end[FORE][inner]])
    if before < smallest or after < smallest or before + after < state.minutes[outer]:
        return False
    return pair.cleaners is None or any(_cleans(state, i, outer, inner) for i in pair.cleaners)


def _cleans(state: State, i: int, outer: int, inner: int) -> bool:
    """Whether it may run whole after a piece of the outer one and before the inner one."""
    if state.question.problem.activities[i].optional:
        return True
    if state.before[FORE][i] & (1 << outer | 1 << inner):
        return False
    begun = state.start[FORE][outer] + (state.question.problem.activities[outer].smallest or 0)
    return state.end[FORE][i] <= -state.end[BACK][inner] and begun <= -state.end[BACK][i]


def _moment(supply: Supply, amount: int) -> int:
    """The first minute before which that much is given. Raises Refuted if it never is."""
    at = supply.when(amount)
    if at is None:
        raise Refuted
    return at
