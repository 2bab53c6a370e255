"""The search: schedules made from orders that get better, and looks at what no schedule can reach.

Orders are crossed with each other, and taken from looks at earlier finishes: a look takes such a finish for granted
and draws conclusions, and where these do not contradict themselves, they say how late everything may start. To serve
in that order often leads to the finish, or to fill the hours stretch by stretch so that nothing comes later. So what
bounds the search also guides it, where hours come in stretches; without breaks crossing alone does better on what is
large.

Effort is counted in activities placed, never in seconds, so that the same question gets the same answer on every
machine. Aims, in order: promises, earliest finish, fewest days, least moved against the plan handed out before,
earliest starts. While a promise is broken, it is looked in turn at what breaks fewer minutes and at what ends sooner.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable, Sequence
from dataclasses import replace
from random import Random

from scheduler.model.watch import SoFar, Watch
from scheduler.solver.activity_lists import by_latest_starts, in_pieces, served
from scheduler.solver.beam.search import Filling
from scheduler.solver.conflicts import Stuck
from scheduler.solver.deadlock import blocked
from scheduler.solver.decoding import AT_ONCE, Placer
from scheduler.solver.exact import Exact, Verdict
from scheduler.solver.network import LONG_AGO
from scheduler.solver.population import Pools
from scheduler.solver.problem import Placement, Problem, Result
from scheduler.solver.promises import late_minutes
from scheduler.solver.proof.bound import Prover, fewer
from scheduler.solver.proof.branching import Refuter
from scheduler.solver.proof.state import FORE, State
from scheduler.solver.secondary import in_windows, spare, take_later, windowed
from scheduler.wallclock import NEVER

DEFAULT_EFFORT = 2_000_000
"""Activities placed before a search that has not met its bound gives up."""

FIRST_LOOK = 10_000
"""Activities placed before it is looked at closely for the first time whether the finish found can be beaten. The
last time is after all of the effort."""

IN_VAIN = 20_000
"""Activities placed before a search gives up that has found no placement, where there is no proof of that either."""

FEW_STATES = 20
"""How many nodes the short exact search looks at where no proof is wanted."""

FEW = 16
"""Of no more open activities than this an exact search looks for anything earlier, before the rest of the effort."""

FEW_NODES, MOST_NODES = 100, 1_500
"""On how many nodes that exact search draws conclusions at most: at a glance, and where glances tell nothing."""

EXACTLY = 0.5
"""How much of the effort that is left one such search takes at most."""

SOON = 1_000
"""The same where only the finish is asked for, and much of it is known from a plan that is alike: a look tells more
then than orders by chance."""

GLANCE = 5_000
"""Effort of a look at the first finish of all where nothing but that is asked for: a proof ends the search then."""

ROUND = 10_000
"""Activities placed between two looks."""

PROBED = (1.0, 0.5, 1.0, 0.0)
"""Which finishes are looked at in turn: how far from the best, on the way to the bound. Near the bound a look says
most about the order; the third of each turn is the end of a whole day."""

STATES = 30
"""How many states such a look settles at most. The hours are filled after those in which all choices are decided."""

SERVED = 3
"""How many of them, as a rule, say in what order to serve; next to the best finish and to the bound all of them."""

FIRST = 0.5
"""In how many cases it is the first of them. In the rest more is decided, by chance: they say more of fewer
placements."""

STATE = 20
"""What settling a state costs for every activity, in placements of it."""

PASS = 1
"""What passing along all chains once costs for every activity, in placements of it."""

SPARED = 0.05
"""The share of the effort that is left for days, remedies and times in use."""

VAIN = 1_500
"""Activities placed in vain for each that is open before a search ends that need not spend all of its effort, if that
is more than what was spent before: what thousands of orders of it do not find seldom is there."""

LOOK = 0.125
"""The share of the effort that one look takes at most: what it does not refute, a schedule may yet beat."""

FILLS = 4
"""How often the hours are filled after a look."""

MOST_FILLED = 600
"""With more activities than this they are not: of a house of 2,000 steps crossing alone made more of the effort. Each
takes longer to place, and the usual effort shrinks by as much as there are more.
"""

WAY = 0.1
"""What a way to fill a stretch costs for every activity, in placements of it: all that is left is looked at then."""

STRAY = 2 * 24 * 60
"""How far an order near to that of a state strays at most, in minutes."""


class Search:
    """One search over one problem."""

    def __init__(
        self,
        problem: Problem,
        effort: int,
        seed: int = 0,
        watch: Watch | None = None,
        schedules: int | None = None,
        needed: int | None = None,
        goal: int | None = None,
        *,
        thorough: bool = True,
        whole: bool = True,
        promised: bool = False,
        closely: bool = True,
        like: Sequence[Placement] = (),
    ) -> None:
        self.thorough = thorough
        self.closely = closely
        self.promised = promised
        self.whole = whole
        self.like = like
        self.needed = needed
        self.goal = goal
        self.problem = problem
        size = max(len(problem.activities), 1)
        self.open = max(sum(bool(activity.minutes) for activity in problem.activities), 1)
        self.gained: tuple[object, int] = None, 0
        if not whole:
            effort = max(min(effort, effort * MOST_FILLED // size), 1)
        self.effort = effort
        self.schedules = schedules
        self.random = Random(seed)
        self.watch = watch
        self.prover = Prover(problem)
        self.probes = 0
        self.settled = self.elsewhere = 0
        self.refuter = Refuter(0)
        self.bound: int | None = None
        self.graced: int | None = None
        self.late: int | None = None
        self.looked: tuple[int, int, int] | None = None
        self.hopeless = False
        self.refuted = False
        self.granted: list[State] = []
        turns = (effort // size if schedules is None else schedules) // size
        self.pools = Pools(problem, self.random, turns, self._used, self._done, self.prover.question)
        in_time = windowed(problem) if problem.promises else None
        self.in_time = None if in_time is None else Placer(in_time)
        self.filling = Filling(self.pools.forward, self._spent)

    def run(self) -> Result | Stuck:
        """The best placement within the effort, or where every schedule got stuck. An interrupt ends it with the best
        found so far where somebody watches."""
        stopped = False
        try:
            self._seek()
        except KeyboardInterrupt:
            if self.watch is None or self.pools.best is None:
                raise
            stopped = True
        finally:
            if self.watch is not None:
                self.watch.end()
        pools = self.pools
        if pools.best is None:
            return replace(pools.stuck or Stuck(0, "room"), proven=self.refuted)
        finish = pools.best.placement.finish
        return Result(
            placement=pools.best.placement,
            finish_not_before=min(self._bound(), finish),
            schedules=pools.made,
            placements_tried=self.spent,
            stopped=stopped,
            late_at_least=self._late_at_least(),
        )

    def _seek(self) -> None:
        """Spend the effort."""
        pools = self.pools
        if self.watch is not None:
            self.watch.begin()
        pools.begin(self.like)
        if pools.best is None:
            self._look_for_any()
        if self.needed is not None:
            self._look_closely(min(GLANCE, self.effort))
            self._ask_the_chains()
        self._break_less()
        first = FIRST_LOOK // 5 if self.open <= FEW else FIRST_LOOK
        self._until(min(first if self.needed is None else SOON, self.effort))
        self._look_at_days()
        self._look_exactly()
        self._look_closely(self.effort)
        while not self._done():
            self._break_less()
            if self.filling.has_stretches and len(self.problem.activities) <= MOST_FILLED:
                self._probe()
                self._fill()
            self._until(min(self.spent + ROUND, self.effort))
        self._look_closely(self.effort)
        if self.needed is None and not self.promised:
            spare(pools, max(self.effort - self.spent, 1))

    def _look_for_any(self) -> None:
        """Where the first orders lead to no placement: whether there is one at all, as far as a short exact search
        tells. Where it does not either, less is spent on looking on: what hundreds of orders do not find seldom is.
        """
        self.hopeless = self.refuted = self.prover.has_no_room()
        if self.hopeless:
            return
        deadlock = blocked(self.problem) if self.problem.holds else None
        if deadlock is not None:
            self.hopeless = self.refuted = True
            self.pools.stuck = Stuck(deadlock.waiting[0][0], "taken", deadlock=deadlock) if deadlock.waiting else None
            return
        found = self._exactly(Exact(self.problem) if self.thorough else Exact(self.problem, FEW_STATES))
        if isinstance(found, Placement):
            self._take(found)
        elif found is Verdict.REFUTED:
            self.hopeless = self.refuted = True
        else:
            self.effort = min(self.effort, self.spent + (IN_VAIN if self.thorough else IN_VAIN // 10))

    def _look_at_days(self) -> None:
        """Whether all can be done by the end of an earlier day than that of the best finish: day by day from the
        bound on, until one is not refuted. Of whole days that takes few states, and says most about the order."""
        if self.goal is not None or not self.filling.has_stretches or not self.prover.looks_close:
            return
        while (best := self.pools.best) is not None and not self._done():
            self.prover.grace = best.aim.late
            finish = self._end_of_day(self._bound(), self._aimed())
            if finish >= self._aimed():
                return
            if not self._refutes(finish, Refuter(STATES, self._hearing(finish, SERVED))):
                self._fill()
                return
            self._refuted(finish)

    def _ask_the_chains(self) -> None:
        """What chains and workload know of the finish may be much more than what is known to be needed."""
        if self.pools.best is not None and self.goal is None and not self._met():
            self.bound = max(self._bound(), self.prover.at_least(self.pools.best.aim.finish))

    def _look_exactly(self) -> None:
        """Of few activities: search exactly for anything earlier, until it is certain that there is nothing."""
        if self.open > FEW or self.schedules is not None or self.needed is not None or self.pools.best is None:
            return
        beaten = None
        while not self._done():
            least, best = self._late_at_least(), self.pools.best.aim
            low, high = (least, best.late - 1) if best.late > least else (self._bound(), self._aimed())
            # What beat the best by a minute would take as many looks as there are minutes.
            middle = (low + high) // 2
            glances = dict.fromkeys((middle, high, low) if beaten not in {None, best} else (high, middle, low))
            beaten = best
            looks = [(each, FEW_NODES) for each in glances if low <= each <= high] + [(high, MOST_NODES)]
            if not any(self._tells(aim, nodes, late=best.late > least) for aim, nodes in looks):
                return

    def _tells(self, aim: int, nodes: int, *, late: bool) -> bool:
        """Whether an exact search over so many nodes finds what is no later than an aim, or that nothing is: of the
        minutes by which promises are broken (`late`), or of the finish. Little that may be broken is told of soonest.
        """
        best, size = self.pools.best, len(self.problem.activities)
        if best is None or self._done():
            return False
        by, grace = (self.prover.last, aim) if late else (aim, best.aim.late)
        nodes = min(int((self.effort - self.spent) * EXACTLY / (STATE * size)), nodes)
        found = self._exactly(Exact(self.problem, max(nodes, 1), by=by, grace=grace))
        if isinstance(found, Placement):
            self._take(found)
        elif found is Verdict.REFUTED and late:
            self.late = aim + 1
        elif found is Verdict.REFUTED:
            self._refuted(aim)
        return found is not Verdict.UNKNOWN

    def _take(self, found: Placement) -> None:
        """Keep what the exact search found: any placement of what it looked for, in which much may lie later than it
        must. So it is served once more in its order, no earlier only where something is taken that is promised back;
        and while a promise is broken, that is taken later as far as it goes.
        """
        pools, problem = self.pools, self.problem
        pools.take(found, [float(spans[0].start) if spans else 0.0 for spans in found.pieces])
        takers = {problem.holds[number].taker for promise in problem.promises for number in promise.holds}
        held = {i: found.pieces[i][0].start for i in takers if found.pieces[i] and not problem.activities[i].fixed}
        pools.fore(served(problem, found.pieces), found.options, not_before=held)
        take_later(pools, min(pools.placed + ROUND, self.effort))

    def _exactly(self, exact: Exact) -> Placement | Verdict:
        """What a short exact search says, counted like all else: also what contradicts itself at first sight has been
        looked at, so that every look brings the end of the effort closer."""
        found = exact.run()
        self.elsewhere += exact.placed + max(exact.nodes, 1) * STATE * len(self.problem.activities)
        return found

    def _until(self, spent: int) -> None:
        """Search on until so much effort is spent, or the bound is met."""
        while not self._done() and self.spent < spent:
            self.pools.more()

    def _look_closely(self, effort: int) -> None:
        """Whether the finish found can be beaten at all, as closely as the effort allows; and if so, its bound."""
        size = len(self.problem.activities)
        states = min(self.prover.states(effort), int(effort * LOOK / (STATE * size)))
        refuter = self._begin_look(Refuter(states))
        while self.pools.best is not None and not self._met():
            finish, self.prover.grace = self._aimed(), self.pools.best.aim.late
            if (finish, states, self.prover.grace) == self.looked:
                break
            self.looked = finish, states, self.prover.grace
            refuter.hear = self._hearing(finish) if self.filling.has_stretches and not self._spent() else None
            if self.prover.refutes(finish, refuter):
                self._refuted(finish)
        if self.pools.best is not None and self.needed is None and self.closely and not self._met():
            finish, low, self.prover.grace = self.pools.best.aim.finish, self._bound(), self.pools.best.aim.late
            if self.prover.grace != self.graced:  # less is broken than was when the chains were asked
                low, self.graced = max(low, self.prover.at_least(finish)), self.prover.grace
            self.bound = self.prover.closer(low, finish, refuter, fewer(states))

    def _begin_look(self, refuter: Refuter) -> Refuter:
        """A look begins: what it settles is effort spent."""
        self.settled += self.refuter.settled
        self.refuter = refuter
        return refuter

    def _refutes(self, finish: int, refuter: Refuter) -> bool:
        """Whether a look at a finish refutes it."""
        return self.prover.refutes(finish, self._begin_look(refuter))

    def _probe(self) -> None:
        """Look at one finish that is earlier than the best, and serve in the orders that this leads to.

        From the bound on up, in steps that double, it is one that is not refuted. Of what is large only the chains
        are asked. Where only fewer minutes late are still sought, there is none.
        """
        if self.pools.best is None or self._aimed() < self._bound():
            self.granted = []
            return
        turn = self.probes % len(PROBED)
        share, whole_days = PROBED[turn], self.goal is None and turn == 2
        self.probes += 1
        finish, self.prover.grace = self._aimed(), self.pools.best.aim.late
        if whole_days:
            finish = self._end_of_day(self._bound(), finish)
        elif self.goal is None:
            finish -= int((finish - self._bound()) * share)
        if not self.prover.looks_close:
            state = self.prover.granted(finish)
            self.granted = [] if state is None else [state]
            return
        most, step = STATES if share in (0.0, 1.0) else SERVED, 1
        while self._refutes(finish, Refuter(STATES, self._hearing(finish, most), self.random)):
            self._refuted(finish)
            self.granted = []
            if share < 1.0 or self._done() or finish >= self._aimed():
                return
            finish = self._end_of_day(finish, self._aimed()) if whole_days else min(finish + step, self._aimed())
            step *= 2

    def _end_of_day(self, minute: int, most: int) -> int:
        """When the hours of the day end that has hours at a minute or next; `most` if that is earlier."""
        slots = self.problem.slots
        at = bisect_right(slots, minute, key=lambda slot: slot.end)
        while at + 1 < len(slots) and slots[at + 1].day == slots[at].day:
            at += 1
        return min(slots[at].end, most) if at < len(slots) else most

    def _break_less(self) -> None:
        """While a promise is broken: look at placements that break fewer minutes, and serve in the orders that this
        leads to; and take what is out of use for too long later.
        """
        best = self.pools.best
        if best is None or best.aim.late <= self._late_at_least() or self.goal is not None:
            return
        least = self._late_at_least()
        grace = least + int((best.aim.late - 1 - least) * PROBED[self.probes % len(PROBED)])
        self.probes += 1
        self.prover.grace = grace
        if self.problem.promises and self.prover.looks_close:
            hear = self._hearing(self.prover.last, STATES, grace)
            if self._refutes(self.prover.last, Refuter(STATES, hear, self.random)):
                self.late = grace + 1
        self.prover.grace = best.aim.late
        take_later(self.pools, min(self.spent + ROUND, self.effort))
        if self.in_time is not None:
            in_windows(self.pools, self.in_time, min(self.spent + ROUND, self.effort))

    def _late_at_least(self) -> int:
        """No placement breaks its promises by fewer minutes than this: of each promise alone at first."""
        best = self.pools.best
        if best is None or not best.aim.late:
            return 0
        if self.late is None:
            self.late = self.prover.late_at_least(late_minutes(self.problem, best.placement))
        return min(self.late, best.aim.late)

    def _fill(self) -> None:
        """Fill the hours for the finish looked at last, each time after one of the states that this led to."""
        for _ in range(FILLS if self.granted else 0):
            best = self.pools.best
            if best is None or self._done():
                return
            state = self.granted[0] if self.random.random() < FIRST else self.random.choice(self.granted)
            filled = self.filling.by_chance(state, best.placement.finish, self.random)
            if filled is not None:
                self.pools.take(filled, by_latest_starts(state))

    def _aimed(self) -> int:
        """The finish that is looked for: the goal, or any that is earlier than the best."""
        if self.goal is not None:
            return self.goal
        return self.pools.best.aim.finish - 1 if self.pools.best is not None else 0

    def _refuted(self, finish: int) -> None:
        """Take down that nothing is done by a finish."""
        self.bound = max(self._bound(), finish + 1)
        self.hopeless = self.goal is not None and finish >= self.goal

    def _hearing(self, finish: int, most: int = NEVER, grace: int | None = None) -> Callable[[State], bool]:
        """What serves in the orders of the states in a look at a finish, of so many of them, and says whether to look
        on: until that is met, or with a `grace` until no more is broken than that. All states in which every choice
        is decided are kept, or the last one if there is none: after these the hours are filled next."""
        self.granted = []
        heard = 0

        def hear(state: State) -> bool:
            nonlocal heard
            heard += 1
            if self.granted and self.granted[-1].choices:
                self.granted.pop()
            if not self.granted or not state.choices:
                self.granted.append(state)
            if heard <= most:
                self._serve(state)
            best = self.pools.best
            if best is None or self._done():
                return False
            return best.aim.finish > finish if grace is None else best.aim.late > grace

        return hear

    def _serve(self, state: State) -> None:
        """Schedules in the order of the latest starts that a state allows: as it is, near to that, and with nothing
        before its head.
        """
        late, heads = by_latest_starts(state), state.start[FORE]
        held = {i: head for i, head in enumerate(heads) if head > LONG_AGO}
        stray = self.random.random() * STRAY
        self.pools.fore(late, pull=AT_ONCE)
        self.pools.fore(in_pieces(self.problem, state), pull=AT_ONCE, not_before=held)
        self.pools.fore([at + self.random.uniform(-stray, stray) for at in late], pull=AT_ONCE)

    @property
    def spent(self) -> int:
        """The effort so far: activities placed, and states settled and stretches filled at their cost."""
        each = (self.settled + self.refuter.settled) * STATE + self.filling.ways * WAY + self.prover.passes * PASS
        return self.pools.placed + self.elsewhere + int(each * len(self.problem.activities))

    def _used(self) -> float:
        """The share of the effort that is spent."""
        return self.pools.made / self.schedules if self.schedules else self.spent / self.effort

    def _done(self) -> bool:
        if self.watch is not None:
            best = self.pools.best
            finish = best.aim.finish if best is not None else None
            self.watch.hear(SoFar(min(1.0, self.spent / self.effort), finish, self.bound))
        return self._spent() or self._met() or (not self.whole and self._is_vain())

    def _is_vain(self) -> bool:
        """Whether nothing better has come for so long that no more is to be hoped for."""
        best, placed = self.pools.best, self.pools.placed
        if best is None:
            return False
        if best.aim[:3] != self.gained[0]:
            self.gained = best.aim[:3], placed
        return placed - self.gained[1] > max(VAIN * self.open, self.gained[1])

    def _spent(self) -> bool:
        """Whether the effort is spent, but for what is left to the other aims."""
        return self.spent >= self.effort * (1 - SPARED) or (
            self.schedules is not None and self.pools.made >= self.schedules
        )

    def _met(self) -> bool:
        """Whether nothing better is to be found, or nothing better is asked for."""
        best = self.pools.best
        if best is None or self.hopeless:
            return self.hopeless
        if best.aim.late > self._late_at_least() and self.goal is None:
            return False
        return self.promised or best.aim.finish <= max(self._bound(), self.goal or 0)

    def _bound(self) -> int:
        """No placement finishes before this: from chains and workload at first, once there is a finish to beat."""
        if self.bound is None:
            if self.pools.best is None:
                return 0
            finish, self.prover.grace = self.pools.best.aim.finish, self.pools.best.aim.late
            self.graced = self.prover.grace
            self.bound = min(self.prover.at_least(finish) if self.needed is None else self.needed, finish)
        return self.bound


def search(
    problem: Problem,
    effort: int,
    seed: int = 0,
    watch: Watch | None = None,
    schedules: int | None = None,
    needed: int | None = None,
    goal: int | None = None,
    thorough: bool = True,
    whole: bool = True,
    promised: bool = False,
    closely: bool = True,
    like: Sequence[Placement] = (),
) -> Result | Stuck:
    """Plan one problem with at most about `effort` activities placed. `watch` hears how far it is, and may stop it.

    `schedules` bounds the effort in whole schedules too, as published comparisons count it. With `needed`, before
    which no placement is known to finish, only the finish is asked for, and nothing is spent on the other aims; with
    a `goal` as well only whether one finishes by then. Unless it is to be `thorough`, little is spent where the first
    orders lead to no placement: the caller has something to give up. Unless the effort is to be spent as a `whole`,
    the search ends as well where nothing better has come for long. With `promised` it is only asked how little
    promises are broken, and without any whether there is a placement. Unless it is to look `closely`, the bound of a
    finish that may be beaten stays as far off as it is. Placements of problems `like` this one, with
    the same activities and choices, say in what orders to begin.
    """
    return Search(
        problem,
        effort,
        seed,
        watch,
        schedules,
        needed,
        goal,
        thorough=thorough,
        whole=whole,
        promised=promised,
        closely=closely,
        like=like,
    ).run()
