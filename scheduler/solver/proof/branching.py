"""A short exact search that tries to refute a finish: decide what is least free, draw conclusions, decide again.

Choices are settled first, then in which stretch of hours everything runs that has few stretches left, as it is near
the last days, then what comes first of two that exclude each other, then which windows are kept, then starts. If
every branch contradicts itself, no placement is done by the finish. If one does not, or the effort is spent, nothing
is said.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from random import Random

from scheduler.solver.proof.disjunctions import Alternative, Order
from scheduler.solver.proof.propagation import settle
from scheduler.solver.proof.state import BACK, FORE, Refuted, State

Branch = Callable[[State], None]


class Refuter:
    """Refutes finishes of one problem, with so many states settled at most, all in all.

    `hear` is told every state that does not contradict itself. With `random`, which of two branches comes first is
    left to chance.
    """

    def __init__(
        self, states: int, hear: Callable[[State], bool] | None = None, random: Random | None = None
    ) -> None:
        self.left = states
        self.settled = 0
        """How many it has settled so far."""
        self.hear = hear
        self.random = random

    def anew(self, states: int) -> Refuter:
        """The same with so many states to settle from now on, and nobody who hears of them."""
        self.left, self.hear = states, None
        return self

    def refutes(self, state: State) -> bool:
        """Whether nothing that this state stands for is possible; False too if the effort is spent."""
        if self.left <= 0:
            return False
        self.left -= 1
        self.settled += 1
        try:
            settle(state)
        except Refuted:
            return True
        if self.hear is not None and not self.hear(state):
            return False
        branches = _branches(state)
        if branches is None:
            return False
        if self.random is not None and self.random.random() < 0.5:
            branches = branches[1], branches[0]
        for branch in branches:
            narrowed = state.copy()
            try:
                branch(narrowed)
            except Refuted:
                continue
            if not self.refutes(narrowed):
                return False
        return True


def _branches(state: State) -> tuple[Branch, Branch] | None:
    """Two ways to narrow a state of which one holds in every placement; None if there is nothing left to decide."""
    if state.choices:
        return _either(state.choices[0])
    found = _fewest_stretches(state)
    if found is not None:
        i, last = found
        return (lambda narrowed: narrowed.raise_start(FORE, i, last)), (
            lambda narrowed: narrowed.raise_start(BACK, i, -last)
        )
    paired = [pair for pair in state.pairs if pair.around is None]
    if paired:
        return _either(min(paired, key=lambda pair: min(_slack(state, pair.either), _slack(state, pair.other))))
    if state.windows:
        return _either(state.windows[0])
    return halves(state)


def halves(state: State) -> tuple[Branch, Branch] | None:
    """The first or the second half of all starts of that which has the fewest: it starts by the middle, or later."""
    start, latest = state.start[FORE], state.end[BACK]
    open_ones = [(-latest[i] - start[i], i) for i in state.question.counted if -latest[i] > start[i]]
    if not open_ones:
        return None
    return halved(state, min(open_ones)[1])


def halved(state: State, i: int) -> tuple[Branch, Branch]:
    """The first or the second half of all starts of one."""
    earliest, latest = state.start[FORE][i], -state.end[BACK][i]
    middle = earliest + (latest - earliest) // 2
    return (lambda narrowed: narrowed.raise_end(BACK, i, -middle)), (
        lambda narrowed: narrowed.raise_start(FORE, i, middle + 1)
    )


def _either(alternative: Alternative) -> tuple[Branch, Branch]:
    def hold(order: Order) -> Branch:
        def decide(state: State) -> None:
            state.choices = [other for other in state.choices if other is not alternative]
            state.pairs = [other for other in state.pairs if other is not alternative]
            state.windows = [other for other in state.windows if other is not alternative]
            state.decide(order)

        return decide

    return hold(alternative.either), hold(alternative.other)


def _fewest_stretches(state: State) -> tuple[int, int] | None:
    """Of what runs in one piece and may do so in two stretches of hours or more the one with the fewest, the longest
    of those; and when the last of its stretches begins. It starts then or later, or it has ended by then.
    """
    best: tuple[int, int, int, int] | None = None
    for i in state.question.counted:
        if not state.question.whole[i]:
            continue
        begins = list(_stretches(state, i))
        if len(begins) > 1:
            key = len(begins), -state.minutes[i], i, begins[-1]
            if best is None or key < best:
                best = key
    return None if best is None else best[2:]


def _stretches(state: State, i: int) -> Iterator[int]:
    """When each stretch begins in which all of an activity finds room between its head and its latest end."""
    runs = state.question.directions[FORE].runs[i]
    earliest, latest = state.start[FORE][i], -state.start[BACK][i]
    for place in range(runs.index(earliest), len(runs.spans)):
        begin, until = runs.spans[place]
        if begin >= latest:
            return
        if min(until, latest) - max(begin, earliest) >= state.minutes[i]:
            yield begin


def _slack(state: State, order: Order) -> int:
    """By how much the later one of a pair could still be later, in minutes."""
    i, j, lag = order.arcs[0]
    fore = state.question.directions[FORE]
    found = fore.place(j, max(fore.passed(lag)[state.end[FORE][i]], state.start[FORE][j]), state.minutes[j])
    return -1 if found is None else -state.start[BACK][j] - found[1]
