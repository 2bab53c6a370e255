"""Whether what is left can still be done in some order, as far as it is a matter of who takes what: no time in it.

Activities that hold one thing and wait for another can block each other for good. Before somebody takes a thing for
longer, an order is looked for in which everybody left gets what they need (the banker's test: E. W. Dijkstra; for how
hard it is in general, E. M. Gold, "Deadlock prediction: easy and difficult cases", SIAM J. Computing 7, 1978).
What is not shown to be safe within a few tries counts as unsafe: that only narrows the choice.

`Claims` looks at whole activities, which is quick and safe. Whether there is any order at all is asked of starts and
ends apart (`blocked`), since one that pauses may give back with its start and take with its end what another one
needs in between.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace

from scheduler.model.basics import Span
from scheduler.solver.conflicts import Deadlock
from scheduler.solver.holds import Holding
from scheduler.solver.network import Network, Readiness
from scheduler.solver.problem import Problem

TRIES = 300
"""How many states one test looks at."""

MOST = 200
"""With more activities than this of whom something is asked only those are looked at who come before the one that
gives back."""

EVENTS = 20_000
"""How many states are looked at before it is left open whether any order exists."""


class Claims:
    """Who needs what, and who must come before whom, under one set of options."""

    def __init__(self, holding: Holding, network: Network) -> None:
        self.holding = holding
        self._network = network
        self._known: dict[int, frozenset[int]] = {}
        holds, things = holding.holds, holding.problem.things
        wanted = [0] * len(things)
        longest = [0] * len(things)
        for number, hold in enumerate(holds):
            if holding.is_open(number):
                wanted[hold.thing] += hold.places
            else:
                longest[hold.thing] = max(longest[hold.thing], hold.places)
        scarce = {t for t, thing in enumerate(things) if wanted[t] and wanted[t] + longest[t] > thing.places}
        self.needs: dict[int, list[tuple[int, int]]] = {}
        self.takes: dict[int, list[tuple[int, int]]] = {}
        self.at_start: dict[int, list[tuple[int, int, int]]] = {}
        self.at_end: dict[int, list[tuple[int, int, int]]] = {}
        self.giver: dict[int, list[int]] = {}
        for number, hold in enumerate(holds):
            if hold.thing not in scarce:
                continue
            self.needs.setdefault(hold.taker, []).append((hold.thing, hold.places))
            if holding.is_open(number) and hold.giver is not None:
                self.takes.setdefault(hold.taker, []).append((hold.thing, hold.places))
                gives = self.at_start if hold.at_start else self.at_end
                gives.setdefault(hold.giver, []).append((hold.thing, hold.places, hold.taker))
                self.giver.setdefault(hold.taker, []).append(hold.giver)
        members = set(self.needs) | set(self.at_start) | set(self.at_end)
        calls = holding.problem.activities
        self.members = {i for i in members if calls[i].called_for and not (calls[i].fixed and not calls[i].minutes)}

    def ahead(self, i: int) -> frozenset[int]:
        """Those of whom something is asked here and who come before one."""
        known = self._known.get(i)
        if known is None:
            known = self._known[i] = frozenset((self._network.ahead_of([i]) - {i}) & self.members)
        return known

    def safe(self, i: int, pieces: Sequence[tuple[Span, ...] | None], taken: Sequence[int]) -> bool:
        """Whether all that is left can be done in some order once this one has taken what it takes; `taken` are the
        places of each thing that others have for nobody knows how long.
        """
        if i not in self.takes:
            return True
        free = tuple(thing.places - n for thing, n in zip(self.holding.problem.things, taken, strict=True))
        close = {j for giver in self.giver[i] for j in {giver, *self.ahead(giver)} if pieces[j] is None}
        after = self._step(i, frozenset(close), free)
        if after is None:
            return False
        near, now = after
        if all(giver in near for j in near for giver in self.giver.get(j, ())) and self._runs(near, now, [TRIES]):
            return True  # whoever was safe before is safe after all of these are done
        if len(self.members) > MOST:
            return False
        left = frozenset(j for j in self.members if pieces[j] is None and j != i)
        return self._runs(left, now, [TRIES])

    def _step(
        self, i: int, left: frozenset[int], free: tuple[int, ...]
    ) -> tuple[frozenset[int], tuple[int, ...]] | None:
        """Who is left and what is free once one has run; None if it cannot."""
        have = list(free)
        self._give(self.at_start.get(i, ()), left, have)
        want = dict.fromkeys((thing for thing, _ in self.needs.get(i, ())), 0)
        for thing, places in self.needs.get(i, ()):
            want[thing] += places
        if any(have[thing] < places for thing, places in want.items()):
            return None
        for thing, places in self.takes.get(i, ()):
            have[thing] -= places
        self._give(self.at_end.get(i, ()), left - {i}, have)
        return left - {i}, tuple(have)

    def _give(self, given: Sequence[tuple[int, int, int]], left: frozenset[int], have: list[int]) -> None:
        for thing, places, taker in given:
            if taker not in left:
                have[thing] += places

    def _runs(self, left: frozenset[int], free: tuple[int, ...], tries: list[int]) -> bool:
        """Whether all of these can run one by one."""
        seen: set[frozenset[int]] = set()
        stack = [(left, free)]
        while stack and tries[0] > 0:
            tries[0] -= 1
            now, free = stack.pop()
            now, free = self._greedy(now, free)
            if not now:
                return True
            if now in seen:
                continue
            seen.add(now)
            for j in sorted(now):
                if j in self.takes and not (self.ahead(j) & now):
                    after = self._step(j, now, free)
                    if after is not None:
                        stack.append(after)
        return False

    def _greedy(self, left: frozenset[int], free: tuple[int, ...]) -> tuple[frozenset[int], tuple[int, ...]]:
        """Let everybody run who takes nothing for longer: that never hurts the others."""
        going = True
        while going:
            going = False
            for j in sorted(left):
                if j not in self.takes and not (self.ahead(j) & left):
                    after = self._step(j, left, free)
                    if after is not None:
                        left, free = after
                        going = True
        return left, free


def blocked(problem: Problem) -> Deadlock | None:
    """The furthest that any order of starts and ends gets, if none gets to the end of all; None if one does, or if
    that is left open.

    Holds that are given back by the taker itself, or by a fact, end by themselves and block nobody. A wait of one for
    another puts the start of the one after the end of the other; what may be chosen is left out.
    """
    ready = Readiness(problem.clocks)
    # Who gives back is placed after who takes, but may start before that: only waits are kept here.
    claims = Claims(Holding(problem, ready), Network(replace(problem, holds=()), (), ready))
    members = sorted(claims.members)
    if not members:
        return None
    number = {i: k for k, i in enumerate(members)}
    start = (1 << 2 * len(members)) - 1  # two bits each: the start and the end are still to come
    ahead = [sum(2 << 2 * number[j] for j in claims.ahead(i)) for i in members]
    best: tuple[int, tuple[int, ...]] | None = None
    seen: set[int] = {start}
    stack = [(start, tuple(thing.places for thing in problem.things))]
    while stack:
        if len(seen) > EVENTS:
            return None
        left, free = stack.pop()
        if not left:
            return None
        if best is None or left.bit_count() < best[0].bit_count():
            best = left, free
        events = list(_events(claims, members, number, ahead, left, free))
        if not events and _may_swap(claims, members, number, ahead, left):
            return None
        for bit, after in events:
            if left & ~bit not in seen:
                seen.add(left & ~bit)
                stack.append((left & ~bit, after))
    assert best is not None
    return _named(claims, members, number, ahead, *best)


def _events(
    claims: Claims,
    members: list[int],
    number: dict[int, int],
    ahead: list[int],
    left: int,
    free: tuple[int, ...],
) -> Iterator[tuple[int, tuple[int, ...]]]:
    """The starts and ends that may come next, with what is free after them."""
    for k, i in enumerate(members):
        starts, ends = 1 << 2 * k, 2 << 2 * k
        if left & starts:
            if left & ahead[k] or not all(_ended(number, left, j) for _, _, j in claims.at_start.get(i, ())):
                continue
            have = list(free)
            for thing, places, _ in claims.at_start.get(i, ()):
                have[thing] += places
            for thing, places in claims.needs.get(i, ()):
                have[thing] -= places
            if min(have, default=0) >= 0:
                yield starts, tuple(have)
        elif left & ends and all(_ended(number, left, j) for _, _, j in claims.at_end.get(i, ())):
            have = list(free)
            for thing, places, _ in claims.at_end.get(i, ()):
                have[thing] += places
            for thing, places in claims.needs.get(i, ()):  # what ends by itself
                have[thing] += places
            for thing, places in claims.takes.get(i, ()):
                have[thing] -= places
            yield ends, tuple(have)


def _may_swap(claims: Claims, members: list[int], number: dict[int, int], ahead: list[int], left: int) -> bool:
    """Whether somebody whose start gives back could start but for what is taken: two of them might change places in
    the same minute, which no order of events says.
    """
    return any(
        left & 1 << 2 * number[i]
        and not left & ahead[number[i]]
        and all(_ended(number, left, j) for _, _, j in gives)
        for i, gives in claims.at_start.items()
        if i in number
    )


def _ended(number: dict[int, int], left: int, i: int) -> bool:
    return i not in number or not left & (2 << 2 * number[i])


def _named(
    claims: Claims, members: list[int], number: dict[int, int], ahead: list[int], left: int, free: tuple[int, ...]
) -> Deadlock:
    holds = claims.holding.holds
    taken = tuple(
        n
        for n, hold in enumerate(holds)
        if claims.holding.is_open(n)
        and hold.taker in number
        and not left & (1 << 2 * number[hold.taker])
        and hold.giver in number
        and left & (1 if hold.at_start else 2) << 2 * number[hold.giver]
    )
    waiting = tuple(
        (i, thing)
        for k, i in enumerate(members)
        if left & (1 << 2 * k) and not left & ahead[k]
        for thing, places in claims.needs.get(i, ())
        if free[thing] < places
    )
    return Deadlock(taken, waiting)
