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
from enum import Enum
from functools import cached_property

from scheduler.solver.activity_lists import by_latest_starts
from scheduler.solver.decoding import AT_ONCE, Placer
from scheduler.solver.network import LONG_AGO
from scheduler.solver.problem import Lag, Placement, Problem
from scheduler.solver.promises import dues_of, late_minutes
from scheduler.solver.proof.branching import halves
from scheduler.solver.proof.disjunctions import Alternative, Order, lasting
from scheduler.solver.proof.halving import taken_apart
from scheduler.solver.proof.propagation import settle
from scheduler.solver.proof.state import BACK, FORE, Question, Refuted, State

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

    @cached_property
    def placers(self) -> tuple[Placer, Placer]:
        """What places with everything taken apart that pauses, and as a whole."""
        placers = Placer(self.apart.strict), Placer(self.problem)
        for placer in placers:
            placer.mends = MENDS
        return placers

    @property
    def nodes(self) -> int:
        """How many nodes it has looked at."""
        return self.most - self.left

    @property
    def placed(self) -> int:
        """Activities placed so far."""
        return sum(placer.placements for placer in self.__dict__.get("placers", ()))

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
        state = State(Question(self.apart.relaxed, self.apart.pausing))
        try:
            state.begin()
            state.done_by(self.by)
            if self.grace is not None:
                self._due(state, self.grace)
            state.look_closer()
        except Refuted:
            return None
        return state

    def _due(self, state: State, grace: int) -> None:
        """What is promised is broken by no more than the grace: of what is taken apart its last part is. Raises
        Refuted."""
        dues = dues_of(self.problem, self.problem.promises)
        state.due_by({self.apart.parts[i][-1]: due + grace for i, due in dues.items()})

    def _keeps(self, found: Placement) -> bool:
        """Whether a placement is one that is looked for."""
        if found.finish > self.by:
            return False
        return self.grace is None or sum(late_minutes(self.problem, found)) <= self.grace

    def _search(self, state: State, around: frozenset[Alternative]) -> Placement | None:
        """A placement that a node holds; None if there is none, or the effort is spent.

        `around` are the pairs of which it is decided that one pauses while the other runs.
        """
        if self.left <= 0:
            self.spent = True
            return None
        self.left -= 1
        if self._closed(state):
            return None
        branches = self._ordering(state)
        if branches is None:
            found = self._placed(state)
            if found is not None:
                return found
            branches = self._dividing(state, around)
        if branches is None:
            self.spent = True  # nothing is left to decide, and still nobody knows
            return None
        for branch, pauses in branches:
            narrowed = state.copy()
            try:
                branch(narrowed)
            except Refuted:
                continue
            found = self._search(narrowed, around | pauses)
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

    def _dividing(
        self, state: State, around: frozenset[Alternative]
    ) -> list[tuple[Branch, frozenset[Alternative]]] | None:
        """What is decided once all orders are: a forbidden set, then who pauses around whom, then when."""
        found = _forbidden(state)
        if found is not None:
            return [(branch, frozenset()) for branch in _parted(state, *found)]
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
        return None

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
