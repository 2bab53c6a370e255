"""Which entries of the job file cannot hold together: a minimal infeasible subset, found by a deletion filter.

A deletion filter (J. W. Chinneck and E. W. Dravnieks, "Locating minimal infeasible constraint sets in linear
programs", ORSA Journal on Computing 3, 1991) leaves entries out one at a time: where what is left still cannot be
done, the entry was not needed; where a plan is found, it belongs to the set. Halves, quarters and so on are left out
first (A. Zeller and R. Hildebrandt, "Simplifying and isolating failure-inducing input", IEEE Transactions on Software
Engineering 28, 2002), so that most of a large job goes at once. Every "cannot be done" here is a proof, and every
"can be done" a placement that was found.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import cache

from scheduler.solver.decoding import Placer
from scheduler.solver.exact import Exact, Verdict
from scheduler.solver.problem import Activity, Lag, Option, Placement, Problem, Slot, Wait
from scheduler.solver.proof.bound import latest_starts
from scheduler.wallclock import DAY, NEVER

KINDS = (
    "away",
    "lost",
    "until",
    "thing",
    "keep",
    "room",
    "noise",
    "people",
    "dusty",
    "wet",
    "item",
    "air",
    "follow",
    "work",
    "piece",
    "limit",
)
"""What restricts, in the order in which it is left out on trial: of two sets that cannot hold, the one is named that
is made of the later."""

HOURS = ("away", "lost", "until")
"""Those that take hours away instead of asking something of a step."""

MOST_SETS = 3
"""How many sets are named at most, where leaving an entry of the first one out is not enough."""

NEAR = 10 * 7 * DAY
"""The set is looked for in the hours of so many minutes at first, and then it is proven of all hours."""

STATES = 40
"""On how many nodes conclusions are drawn at most of each of these problems."""

TRIES = 150
"""On how many problems conclusions are drawn at most, of the first hours and of all hours each."""


@dataclass(frozen=True, slots=True)
class Restriction:
    """Something in the job file that restricts: of KINDS.

    `activity` is the step that it is about, and `other` the step it follows, the number of the resource or thing, or
    of the entry under `hours` or `away` (whichever the kind asks for). `begin` is from when the steps of `freed` may
    begin without it, for an item that is on order.
    """

    kind: str
    activity: int = -1
    other: int = -1
    name: str = ""
    freed: tuple[tuple[int, int], ...] = ()


@dataclass(frozen=True, slots=True)
class Conflict:
    """Entries that cannot hold together, in their order; `certain` whether leaving out any of them was seen to help.

    `enough`: whether leaving out one of them, whichever, makes a plan of the whole job.
    """

    entries: tuple[Restriction, ...]
    certain: bool
    enough: bool


def conflicts(
    problem: Problem,
    entries: Sequence[Restriction],
    stuck: int,
    slots: Callable[[frozenset[Restriction]], tuple[Slot, ...]],
) -> tuple[Conflict, ...]:
    """What cannot hold together in a problem that has no placement, one set after the other; none if that could not
    be shown of the problem as a whole.

    `stuck` is the activity that a schedule stopped at; `slots` says what hours there are without some of the entries
    that take hours away.
    """
    known = cache(slots)
    trial, near = _Trial(problem, known), _Trial(problem, known, NEAR)
    found: list[Conflict] = []
    left = [entry for entry in entries if entry.kind in HOURS or without(problem, entry) != problem]
    out: frozenset[Restriction] = frozenset()
    while len(found) < MOST_SETS:
        core = _smallest(near, left, out, stuck)
        if core is None or not trial.refuted(out | (frozenset(left) - frozenset(core[0])), None):
            core = _smallest(trial, left, out, stuck)
        if core is None:
            break
        kept, certain = core
        enough = not out and all(_found(near, trial, frozenset({entry})) for entry in kept)
        found.append(Conflict(tuple(kept), certain, enough))
        if enough or not kept:
            break
        out |= frozenset(kept)
        left = [entry for entry in left if entry not in out]
    return tuple(found)


def _found(near: _Trial, trial: _Trial, out: frozenset[Restriction]) -> bool:
    """Whether a placement without those entries was found, in the first hours or in all."""
    return any(isinstance(each.ask(out), Placement) for each in (near, trial))


def _smallest(
    trial: _Trial, entries: Sequence[Restriction], out: frozenset[Restriction], stuck: int
) -> tuple[list[Restriction], bool] | None:
    """Entries that cannot hold together, of which none can be left out; and whether that was seen of each. None if
    it is not certain that all of them cannot.
    """
    members = next((each for each in _near(trial.problem, stuck) if trial.refuted(out, each)), None)
    if members is None and not trial.refuted(out, None):
        return None
    inside = [e for e in entries if e.kind in HOURS or e.kind == "item" or members is None or e.activity in members]
    dropped = out | (frozenset(entries) - frozenset(inside))
    active, seen = sorted(inside, key=lambda entry: KINDS.index(entry.kind)), dict[Restriction, bool]()
    size = max(len(active) // 2, 1)
    while True:
        at = 0
        while at < len(active):
            chunk = frozenset(active[at : at + size])
            answer = trial.ask(dropped | chunk, members)
            if answer is Verdict.REFUTED:
                dropped |= chunk
                del active[at : at + size]
            else:
                if size == 1:
                    seen[active[at]] = isinstance(answer, Placement)
                at += size
        if size == 1:
            break
        size //= 2
    for entry in [entry for entry, sure in seen.items() if not sure]:  # with all that went since, it may be known
        answer = trial.ask(dropped | {entry}, members)
        if answer is Verdict.REFUTED:
            dropped |= {entry}
            del seen[entry]
        else:
            seen[entry] = isinstance(answer, Placement)
    return [entry for entry in entries if entry in seen], all(seen.values())


class _Trial:
    """Asks whether a problem can be done without some of its entries, and keeps the answers."""

    def __init__(
        self, problem: Problem, slots: Callable[[frozenset[Restriction]], tuple[Slot, ...]], reach: int = NEVER
    ) -> None:
        begin = min((activity.release for activity in problem.activities), default=0)
        self.last = min(begin + reach, NEVER)
        self.problem = problem
        self.slots = slots
        self.tries = 0
        self.known: dict[tuple[frozenset[Restriction], frozenset[int] | None], Placement | Verdict] = {}

    def refuted(self, out: frozenset[Restriction], members: frozenset[int] | None) -> bool:
        """Whether it is certain that these activities cannot be done without those entries."""
        return self.ask(out, members) is Verdict.REFUTED

    def ask(self, out: frozenset[Restriction], members: frozenset[int] | None = None) -> Placement | Verdict:
        """A placement of these activities (of all of them) without those entries, or what is known of it."""
        key = out, members
        if key not in self.known:
            if self.tries >= TRIES:
                return Verdict.UNKNOWN
            self.tries += 1
            taken = frozenset(entry for entry in out if entry.kind in HOURS)
            hours = self.slots(taken) if taken else self.problem.slots
            near = tuple(slot for slot in hours if slot.end <= self.last)
            problem = replace(self.problem, slots=near)
            for entry in out - taken:
                problem = without(problem, entry)
            self.known[key] = decided(problem if members is None else _only(problem, members))
        return self.known[key]


def decided(problem: Problem) -> Placement | Verdict:
    """A placement of a problem, a refutation, or neither: the order of the latest starts first, then all."""
    exact = Exact(problem, STATES)
    if exact.contradicts:
        return Verdict.REFUTED
    last = max((slot.end for slot in problem.slots), default=0)
    outcome = Placer(problem).place(latest_starts(problem, last))
    return outcome if isinstance(outcome, Placement) else exact.run()


def _near(problem: Problem, stuck: int) -> Iterator[frozenset[int]]:
    """Ever more of the activities around one: those tied to it by longest waits, and what all of these follow."""
    tied = {(wait.before, wait.after) for wait in problem.waits if wait.until is not None}
    follow = {(wait.before, wait.after) for wait in problem.waits}
    alone = frozenset({stuck})
    yield alone
    near = _reached(alone, tied | {(after, before) for before, after in tied})
    if near != alone:
        yield near
    wide = _reached(near, tied | {(after, before) for before, after in follow})
    if wide != near:
        yield wide


def _reached(members: frozenset[int], steps: Iterable[tuple[int, int]]) -> frozenset[int]:
    """The members and all that steps lead to from there."""
    found, ways = set(members), list(steps)
    while more := {there for here, there in ways if here in found} - found:
        found |= more
    return frozenset(found)


def _only(problem: Problem, members: frozenset[int]) -> Problem:
    """The problem of some of its activities, with the same numbers: of all placements each leaves one of it behind.

    What would have to be clean is not asked where one who cleans is left out; nor is a choice that others play a part
    in, nor a window whose remedy does.
    """

    def inside(wait: Wait) -> bool:
        return wait.before in members and wait.after in members

    def known(waits: Iterable[Wait]) -> tuple[Wait, ...]:
        return tuple(
            wait if wait.remedy is None or wait.remedy in members else replace(wait, until=None, remedy=None)
            for wait in waits
            if inside(wait)
        )

    def whole(option: Option) -> bool:
        parts = {option.leader, *(i for i, _ in option.extra)}
        return parts <= members and all(inside(wait) for wait in option.waits)

    begin = min((activity.release for activity in problem.activities), default=0)
    gone = Activity(minutes=0, smallest=None, demand=(), release=begin)
    return replace(
        problem,
        activities=tuple(
            each if i in members else replace(gone, demand=each.demand) for i, each in enumerate(problem.activities)
        ),
        waits=known(problem.waits),
        choices=tuple(
            (replace(a, waits=known(a.waits)), replace(b, waits=known(b.waits)))
            for a, b in problem.choices
            if whole(a) and whole(b)
        ),
        barriers=tuple(replace(each, bars=each.bars & members) for each in problem.barriers if each.by in members),
        soils=tuple(
            replace(each, soils=each.soils & members, wants_clean=each.wants_clean & members)
            for each in problem.soils
            if each.cleans <= members
        ),
        holds=tuple(
            hold
            if hold.giver is None or hold.giver in members
            else replace(hold, giver=None, at_start=False, lag=Lag())
            for hold in problem.holds
            if hold.taker in members
        ),
        stay=None,
    )


def without(problem: Problem, entry: Restriction) -> Problem:
    """The problem as if that entry did not stand in the file."""
    return LEFT_OUT[entry.kind](problem, entry)


def _no_limit(problem: Problem, entry: Restriction) -> Problem:
    pair = entry.other, entry.activity
    return _waits(problem, lambda w: replace(w, until=None, remedy=None) if (w.before, w.after) == pair else w)


def _no_follow(problem: Problem, entry: Restriction) -> Problem:
    pair = entry.other, entry.activity
    return _waits(problem, lambda w: None if (w.before, w.after) == pair else w)


def _in_pieces(problem: Problem, entry: Restriction) -> Problem:
    """It may pause whenever one likes."""
    activity = problem.activities[entry.activity]
    return _activity(problem, entry.activity, replace(activity, smallest=1 if activity.minutes > 1 else None))


def _left_out(problem: Problem, entry: Restriction) -> Problem:
    """The step is not done at all. To take less is no less to ask: what follows may then come too soon."""
    return _only(problem, frozenset(range(len(problem.activities))) - {entry.activity})


def _less(problem: Problem, entry: Restriction) -> Problem:
    """It takes nothing of a resource, and of people no more than one."""
    activity = problem.activities[entry.activity]
    least = min(activity.demand[entry.other], 0 if entry.other else 1)
    demand = tuple(least if number == entry.other else amount for number, amount in enumerate(activity.demand))
    return _activity(problem, entry.activity, replace(activity, demand=demand))


def _nothing_kept(problem: Problem, entry: Restriction) -> Problem:
    """It takes nothing of a thing."""
    return replace(
        problem, holds=tuple(h for h in problem.holds if (h.taker, h.thing) != (entry.activity, entry.other))
    )


def _any_air(problem: Problem, entry: Restriction) -> Problem:
    return _activity(problem, entry.activity, replace(problem.activities[entry.activity], fit=None, hold=Lag()))


def _there(problem: Problem, entry: Restriction) -> Problem:
    """What is on order is there already."""
    for i, begin in entry.freed:
        problem = _activity(problem, i, replace(problem.activities[i], release=begin))
    return problem


def _no_dust(problem: Problem, entry: Restriction) -> Problem:
    """It makes no dust. That keeps it out of no room that a film has closed to everybody."""
    soils = tuple(replace(each, soils=each.soils - {entry.activity}) for each in problem.soils)
    dusty = frozenset().union(*(each.soils for each in problem.soils))
    barriers = tuple(
        replace(each, bars=each.bars - {entry.activity}) if each.bars <= dusty else each for each in problem.barriers
    )
    return replace(problem, soils=soils, barriers=barriers)


def _dry(problem: Problem, entry: Restriction) -> Problem:
    """It is not wet: it keeps nobody out and asks for no clean room."""
    soils = tuple(replace(each, wants_clean=each.wants_clean - {entry.activity}) for each in problem.soils)
    return replace(problem, soils=soils, barriers=tuple(b for b in problem.barriers if b.by != entry.activity))


LEFT_OUT: dict[str, Callable[[Problem, Restriction], Problem]] = {
    "limit": _no_limit,
    "follow": _no_follow,
    "piece": _in_pieces,
    "work": _left_out,
    "people": _less,
    "noise": _less,
    "room": _less,
    "thing": _less,
    "keep": _nothing_kept,
    "air": _any_air,
    "item": _there,
    "dusty": _no_dust,
    "wet": _dry,
}


def _activity(problem: Problem, i: int, activity: Activity) -> Problem:
    activities = problem.activities
    return replace(problem, activities=(*activities[:i], activity, *activities[i + 1 :]))


def _waits(problem: Problem, change: Callable[[Wait], Wait | None]) -> Problem:
    return replace(problem, waits=tuple(new for wait in problem.waits if (new := change(wait)) is not None))
