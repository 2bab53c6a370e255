"""A short exact search: a placement, or the proof that there is none, or neither within the effort.

Branch and bound with propagation at each node (M. Sobel and R. Marsten's scheme goes by many names; see W. Herroelen,
B. De Reyck and E. Demeulemeester, "Resource-constrained project scheduling: a survey of recent developments",
Computers & Operations Research 25, 1998, section 3). What is looked for is any placement done by a minute, which is
the end of the hours unless somebody asks for less. At each node all conclusions are drawn (`refuting.settle`). If
they contradict themselves the node is closed. Else everything is placed no earlier than the node says; if that is no
placement either, one thing is decided in each way that it can be: an open choice, which of two that exclude each
other comes first, a window kept or missed, a set of activities that cannot all run at once (a minimal forbidden set:
G. Igelmund and F. J. Radermacher, "Preselective strategies for the optimization of stochastic project networks",
Networks 13, 1983), and last the first or second half of somebody's starts.

Over which placements it is complete
------------------------------------
Over all placements of the `Problem` in whole minutes: at every node the branches together hold every placement that
the node holds, so when all nodes are closed there is none, whatever the activities are like ("refuted" is always a
proof). The argument for each kind of branch stands at its function. That the search also *ends*, with a placement or
with a proof, is certain only where every activity runs in one piece, since then the least starts of a node without
open pairs and without forbidden sets are a placement themselves: they are a fixed point of all waits, windows, hours
and orders, so serving everybody in the order of these starts, none before its own, puts each exactly there. Of what
pauses a node knows only the least start and the least end, which is a relaxation; a placement around it is looked for
and may be missed, and then the effort is spent and the answer is neither (`None`).
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from enum import Enum
from functools import cached_property

from scheduler.solver.activity_lists import by_latest_starts
from scheduler.solver.decoding import AT_ONCE, Placer
from scheduler.solver.network import LONG_AGO, Readiness
from scheduler.solver.problem import Lag, Placement, Problem, Wait
from scheduler.solver.promises import late_minutes
from scheduler.solver.proof.branching import halved, halves
from scheduler.solver.proof.disjunctions import Alternative, Order, lasting
from scheduler.solver.proof.halving import taken_apart
from scheduler.solver.proof.propagation import settle
from scheduler.solver.proof.state import BACK, FORE, ProofInstance, Refuted, State
from scheduler.solver.proof.taking import Clash, apart, clash, keep_promises, longest_out

STATES = 400
"""On how many nodes conclusions are drawn at most."""

SIZE = 60
"""With more activities than this only the first node is looked at: closer looks grow with their square."""

MENDS = 6
"""How often one schedule of a node is begun anew at most: the node has learned already what mends teach."""

Branch = Callable[[State], None]


class Verdict(Enum):
    """What the search says where it found no placement."""

    REFUTED = "refuted"
    UNKNOWN = "unknown"


class Exact:
    """One search over one problem, for a placement that is done by a minute (None: by the end of the hours), and
    that breaks its promises by `grace` minutes at most (None: by as many as it likes)."""

    def __init__(
        self, problem: Problem, states: int = STATES, by: int | None = None, grace: int | None = None
    ) -> None:
        self.problem = problem
        self.grace = grace if problem.promises else None
        self.by = max((slot.end for slot in problem.slots), default=0) if by is None else by
        self.apart = taken_apart(problem)
        size = sum(bool(activity.minutes) for activity in self.apart.relaxed.activities)
        self.left = self.most = states if size <= SIZE else 1
        self.spent = False
        self.ground = self._begun()
        self.remedied: dict[frozenset[Wait], Placement | Verdict] = {}

    @cached_property
    def placers(self) -> tuple[Placer, Placer]:
        """What places with everything taken apart that pauses, and as a whole."""
        placers = Placer(self.apart.strict), Placer(self.problem)
        for placer in placers:
            placer.mends = MENDS
        return placers

    @cached_property
    def in_turns(self) -> Placer:
        """What places with everything taken apart that pauses, its middle cut as one likes."""
        placer = Placer(self.apart.relaxed)
        placer.mends = MENDS
        return placer

    @property
    def nodes(self) -> int:
        """How many nodes it has looked at."""
        return self.most - self.left

    @property
    def placed(self) -> int:
        """Activities placed so far."""
        built = self.__dict__  # they are made when they are first asked
        placers = [*built.get("placers", ()), *(built[name] for name in ("in_turns",) if name in built)]
        return sum(placer.placements for placer in placers)

    @property
    def contradicts(self) -> bool:
        """Whether what comes before what, and the hours, refute it already."""
        return self.ground is None

    def run(self) -> Placement | Verdict:
        """A placement, or whether it is certain that there is none."""
        if self.ground is None:
            return Verdict.REFUTED
        found = self._search(self.ground, frozenset())
        if found is not None:
            return found
        return Verdict.UNKNOWN if self.spent else Verdict.REFUTED

    def _begun(self) -> State | None:
        """The first node; None if it contradicts itself."""
        state = State(ProofInstance(self.apart.relaxed, self.apart.pausing))
        try:
            state.begin()
            state.done_by(self.by)
            state.grace = self.grace
            keep_promises(state)
            state.flow()
            state.look_closer()
        except Refuted:
            return None
        return state

    def _keeps(self, found: Placement) -> bool:
        """Whether a placement is one that is looked for."""
        if found.finish > self.by:
            return False
        return self.grace is None or sum(late_minutes(self.problem, found)) <= self.grace

    def _search(self, state: State, decided: frozenset[Alternative]) -> Placement | None:
        """A placement that a node holds; None if there is none, or the effort is spent.

        `decided` are the pairs of which it is known that one pauses while the other runs.
        """
        if self.left <= 0:
            self.spent = True
            return None
        self.left -= 1
        if self._closed(state):
            return None
        branches = self._ordering(state) or self._parting(state)
        if branches is None:
            found = self._placed(state) or self._remedied(state.missed)
            if isinstance(found, Placement):
                return found
            branches = [] if found is Verdict.REFUTED else self._dividing(state, decided)
        if branches is None:
            self.spent = True  # nothing is left to decide, and still nobody knows
            return None
        for branch, more in branches:
            narrowed = state.copy()
            try:
                branch(narrowed)
            except Refuted:
                continue
            found = self._search(narrowed, decided | more)
            if found is not None or self.spent:
                return found
        return None

    def _closed(self, state: State) -> bool:
        """Whether all conclusions of a node contradict themselves, or leave somebody no room once its orders are
        decided.
        """
        try:
            settle(state)
        except Refuted:
            return True
        return self._ordering(state) is None and self._has_no_room(state)

    def _ordering(self, state: State) -> list[tuple[Branch, frozenset[Alternative]]] | None:
        """Two orders of which one holds in every placement: of an open choice, of two that exclude each other, or of
        a window that is kept or missed. None if all are decided.
        """
        paired = [pair for pair in state.pairs if pair.around is None]
        for alternatives in (state.choices, paired, state.windows):
            if alternatives:
                one = (
                    min(alternatives, key=lambda each: _room(state, each))
                    if alternatives is paired
                    else alternatives[0]
                )
                return [(_holding(one, one.either), frozenset()), (_holding(one, one.other), frozenset())]
        return None

    def _parting(self, state: State) -> list[tuple[Branch, frozenset[Alternative]]] | None:
        """What is decided once all orders are, if not all can be where they start first: what can't run, or be held,
        at once, and who takes later what is promised back soon."""
        found = _forbidden(state)
        if found is not None:
            return [(branch, frozenset()) for branch in _parted(state, *found)]
        clashing = clash(state)
        if clashing is not None:
            return [(branch, frozenset()) for branch in _freed(state, clashing)]
        taker = longest_out(state)
        return None if taker is None else [(branch, frozenset()) for branch in halved(state, taker)]

    def _dividing(
        self, state: State, around: frozenset[Alternative]
    ) -> list[tuple[Branch, frozenset[Alternative]]] | None:
        """What is decided last: who pauses around whom, then when."""
        for pair in state.pairs:
            if pair.around is not None and pair not in around:
                return [
                    (_holding(pair, pair.either), frozenset()),
                    (_holding(pair, pair.other), frozenset()),
                    (_straddling(pair), frozenset([pair])),
                ]
        two = halves(state) or _ends_halved(state)
        return None if two is None else [(branch, frozenset()) for branch in two]

    def _placed(self, state: State) -> Placement | None:
        """Everybody served with nothing before its least start and end that the state knows, in a few orders: first
        with what pauses taken apart, then as a whole.
        """
        options = self._options(state)
        starts, ends, late = state.start[FORE], state.end[FORE], by_latest_starts(state)
        placer = self.placers[0]
        held = {i: at for i, at in enumerate(starts) if at > LONG_AGO}
        for rank, pull in (([float(at) for at in starts], 0.0), (late, 0.0), (late, AT_ONCE)):
            outcome = placer.place(rank, options=options, not_before=held, pull=pull)
            found = self.apart.together(outcome) if isinstance(outcome, Placement) else None
            if found is not None and self._keeps(found):
                return found
        parts = self.apart.parts
        held = {i: starts[own[0]] for i, own in enumerate(parts) if starts[own[0]] > LONG_AGO}
        until = {i: ends[own[-1]] for i, own in enumerate(parts) if ends[own[-1]] > LONG_AGO}
        firsts = [float(starts[parts[i][0]]) for i in self.problem.pausing]
        for rank in ([float(starts[own[0]]) for own in parts], [float(starts[own[-1]]) for own in parts]):
            outcome = self.placers[1].place([*rank, *firsts], options=options, not_before=held, not_ended=until)
            if isinstance(outcome, Placement) and self._keeps(outcome):
                return outcome
        return self._in_turns(state, options, late)

    def _in_turns(self, state: State, options: tuple[int, ...] | None, rank: Sequence[float]) -> Placement | None:
        """What pauses goes on as late as the node allows, one of all that pause at a time, and the others around it:
        so two take turns beside what else runs, which no order of starts alone leads to."""
        least = {i: at for i, at in enumerate(state.start[FORE]) if at > LONG_AGO}
        for parts in self.apart.parts:
            late = {i: -state.end[BACK][i] for i in parts[1:]}
            if not late or any(at < least.get(i, at) for i, at in late.items()):
                continue
            outcome = self.in_turns.place(rank, options=options, not_before={**least, **late})
            found = self.apart.together(outcome) if isinstance(outcome, Placement) else None
            if found is not None and self._keeps(found):
                return found
        return None

    def _remedied(self, missed: frozenset[Wait]) -> Placement | Verdict | None:
        """What is known of all placements in which these windows are missed: of their remedies, which are there then,
        a node knows nothing. Each set of windows is looked into once.
        """
        if not missed:
            return None
        if missed not in self.remedied:
            problem = _with_remedies(self.problem, self._windows(missed))
            inner = None if problem is None else Exact(problem, max(self.left, 1), self.by, self.grace)
            found = Verdict.UNKNOWN if inner is None else inner.run()
            self.left -= 0 if inner is None else inner.nodes
            kept = isinstance(found, Placement) and self._misses(found, missed)
            self.remedied[missed] = Verdict.UNKNOWN if isinstance(found, Placement) and not kept else found
        return self.remedied[missed]

    def _windows(self, missed: frozenset[Wait]) -> list[Wait]:
        """These waits with the numbers of the problem as a whole."""
        pairs = zip(self.problem.waits, self.apart.relaxed.waits, strict=False)
        return [wait for wait, moved in pairs if moved in missed]

    def _misses(self, found: Placement, missed: frozenset[Wait]) -> bool:
        """Whether a placement misses all of these windows: else a remedy stands there that nobody calls for."""
        ready = Readiness(self.problem.clocks)
        return all(
            wait.until is not None
            and found.pieces[wait.after][0].start > ready(wait.until, found.pieces[wait.before][-1].end)
            for wait in self._windows(missed)
        )

    def _has_no_room(self, state: State) -> bool:
        """Whether somebody who pauses can't be done in time around all that runs at a moment that is decided.

        All other rules are left out, and so is everybody else who pauses: what has no place then has none at all.
        """
        laid, parts = self.placers[1], self.apart.parts
        decided = [
            (i, state.start[FORE][i])
            for i in state.question.counted
            if state.question.whole[i] and state.start[FORE][i] == -state.end[BACK][i]
        ]
        demand = self.placers[0].demand
        for i, own in enumerate(parts):
            if len(own) == 1:
                continue
            line = laid.empty.copy()
            for j, start in decided:
                if j not in own:
                    line.take(start, start + state.minutes[j], demand[j])
            activity = self.problem.activities[i]
            pieces = line.pieces(state.start[FORE][i], activity.minutes, activity.smallest, laid.demand[i])
            if pieces is None or pieces[-1].end > -state.start[BACK][own[-1]]:
                return True
        return False

    def _options(self, state: State) -> tuple[int, ...] | None:
        """The options that are decided: where each leader's order is known."""
        relaxed, before, taken = self.apart.relaxed, state.before[FORE], []
        for a, b in relaxed.choices:
            held = [all(before[j] >> i & 1 for i, j, _ in lasting(relaxed, each.waits)) for each in (a, b)]
            ahead = state.start[FORE][b.leader] < state.start[FORE][a.leader]
            taken.append(int(ahead) if held[0] == held[1] else int(held[1]))
        return tuple(taken)


def nothing_better(problem: Problem, late: int, finish: int, states: int = STATES) -> bool:
    """Whether it is certain that no placement breaks its promises by fewer minutes than `late`, nor by no more and
    is done before `finish`."""
    looks = [Exact(problem, states, by=finish - 1, grace=late)]
    if late and problem.promises:
        looks.append(Exact(problem, states, grace=late - 1))
    return all(look.run() is Verdict.REFUTED for look in looks)


def _with_remedies(problem: Problem, missed: Sequence[Wait]) -> Problem | None:
    """The problem in which the remedies of these windows are there, and come in between; None if one remedy is for
    several. Every placement that misses the windows is one of it."""
    remedies = [wait.remedy for wait in problem.waits if wait.remedy is not None]
    called = {wait.remedy for wait in missed}
    if any(remedies.count(remedy or 0) > 1 for remedy in called):
        return None
    waits = [
        each
        for wait in problem.waits
        for each in (
            (
                replace(wait, until=None, remedy=None),
                Wait(before=wait.before, after=wait.after, lag=wait.until or Lag()),
                Wait(before=wait.before, after=wait.remedy or 0),
                Wait(before=wait.remedy or 0, after=wait.after),
            )
            if wait.remedy in called
            else (wait,)
        )
    ]
    activities = (
        replace(activity, optional=False) if i in called else activity
        for i, activity in enumerate(problem.activities)
    )
    return replace(problem, activities=tuple(activities), waits=tuple(waits))


def _holding(alternative: Alternative, order: Order) -> Branch:
    """Hold to one of the two orders. They are exhaustive: that is what makes them an alternative."""

    def decide(state: State) -> None:
        state.choices = [other for other in state.choices if other is not alternative]
        state.pairs = [other for other in state.pairs if other is not alternative]
        state.windows = [other for other in state.windows if other is not alternative]
        state.decide(order)

    return decide


def _straddling(pair: Alternative) -> Branch:
    """The one that may pause does so around the other: it starts before that one does, and ends after its end.

    With the two orders this is exhaustive: a piece before, and a piece after, and else all are on one side.
    """
    order = pair.either if pair.either.arcs[0][1] == pair.around else pair.other
    inner, outer, _ = order.arcs[0]

    def decide(state: State) -> None:
        state.raise_end(FORE, outer, state.end[FORE][inner] + 1)
        state.raise_end(BACK, outer, state.end[BACK][inner] + 1)

    return decide


def _forbidden(state: State) -> tuple[int, tuple[int, ...], int] | None:
    """A resource, activities in one piece whose least starts take more of it than there is at one moment, as few as
    do so, and that moment; None if there are none.
    """
    question = state.question
    slots = question.problem.slots
    for resource, used in enumerate(question.using):
        wholes = [
            (state.start[FORE][i], state.start[FORE][i] + state.minutes[i], demand, i)
            for i, demand in used
            if question.whole[i]
        ]
        for begin, *_ in sorted(wholes):
            there = [(demand, i, end) for start, end, demand, i in wholes if start <= begin < end]
            if len(there) < 2:
                continue
            until = min(end for *_, end in there)
            edges = [slot for slot in slots if slot.start < until and slot.end > begin]
            for slot in edges:
                here = sorted(there, reverse=True)
                total, least = 0, []
                for demand, i, _ in here:
                    total += demand
                    least.append(i)
                    if total > slot.capacity[resource]:
                        return resource, tuple(least), max(begin, slot.start)
    return None


def _parted(state: State, resource: int, members: Sequence[int], moment: int) -> Iterator[Branch]:
    """A forbidden set parted in every way there is: one of them ends before another starts; or all run at once at
    some time, and then one of them starts later than the moment at which their least starts clash.

    The second is so because all of them run at that moment if each starts at its least start, and each start before
    the moment leaves it running there: who starts later ends later. So if none starts after the moment, all that
    overlap each other do so at the moment, where there is too little.
    """
    for i in members:
        for j in members:
            if i != j:
                yield lambda narrowed, i=i, j=j: narrowed.decide(Order(((i, j, Lag()),)))  # type: ignore[misc]
    capacity = max(slot.capacity[resource] for slot in state.question.problem.slots)
    activities = state.question.problem.activities
    if sum(activities[i].demand[resource] for i in members) <= capacity:  # at another time there may be enough
        for i in members:
            yield lambda narrowed, i=i: narrowed.raise_start(FORE, i, moment + 1)  # type: ignore[misc]


def _freed(state: State, found: Clash) -> Iterator[Branch]:
    """Holds that take too much parted in every way there is: with what is closed one of them is taken after the
    moment at which all least ones clash, as else all would be taken then; by themselves one is over before another.
    """
    if not found.closed:
        for order in apart(state.question.problem, found):
            yield lambda narrowed, order=order: narrowed.decide(order)  # type: ignore[misc]
        return
    for hold in found.holds:
        if not state.question.problem.activities[hold.taker].fixed:
            yield lambda narrowed, i=hold.taker: narrowed.raise_start(FORE, i, found.moment + 1)  # type: ignore[misc]


def _ends_halved(state: State) -> tuple[Branch, Branch] | None:
    """The first or the second half of all ends of that which pauses and has the fewest: it ends by the middle, or
    later.
    """
    least, latest = state.end[FORE], state.start[BACK]
    open_ones = [
        (-latest[i] - least[i], i)
        for i in state.question.counted
        if not state.question.whole[i] and -latest[i] > least[i]
    ]
    if not open_ones:
        return None
    free, i = min(open_ones)
    middle = least[i] + free // 2
    return (lambda narrowed: narrowed.raise_start(BACK, i, -middle)), (
        lambda narrowed: narrowed.raise_end(FORE, i, middle + 1)
    )


def _room(state: State, pair: Alternative) -> int:
    """How far the one that has the less time of a pair could still move, in minutes."""
    i, j, _ = pair.either.arcs[0]
    return min(-state.start[BACK][k] - state.end[FORE][k] for k in (i, j))
