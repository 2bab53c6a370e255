"""What gives way where nothing can be placed: one rule at a time, the one in the way of the activity that got stuck.

What has happened may leave no placement that keeps every rule: a window is over, a film was laid that never dries,
the hours have run out. Then the rule that stands in the way is given up for that one activity, and the rest is
planned with all others kept. The plan is checked afterwards against every rule of the job, also those given up.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from scheduler.solver.conflicts import Stuck
from scheduler.solver.decoding import Placer
from scheduler.solver.heads import Runs
from scheduler.solver.network import Readiness
from scheduler.solver.problem import Activity, Lag, Option, Problem, Wait
from scheduler.wallclock import NEVER

PIECE = 30
"""The shortest piece, in minutes, that work in one piece is cut into where no stretch of hours holds it whole."""


@dataclass(frozen=True, slots=True)
class Concession:
    """A rule that was given up for an activity.

    `rule` names one of RULES. `other` is the activity on the other side of the rule, or the number of the resource,
    where there is one.
    """

    rule: str
    activity: int
    other: int | None = None

    @property
    def activities(self) -> tuple[int, ...]:
        """The activities that the rule was about."""
        alone = self.other is None or self.rule == "resource"
        return (self.activity,) if alone else (self.activity, self.other or 0)


def untangled(problem: Problem) -> tuple[Concession, ...]:
    """What must give way so that the order does not go round in a circle: facts can close one, a job file can't.

    Of a circle a barrier around something begun gives way first, then what a rest waits for, then a remedy.
    """
    given: list[Concession] = []
    if not any(activity.fixed and activity.minutes for activity in problem.activities):
        return ()
    while (circle := _circle(problem)) is not None:
        given.append(_in_circle(problem, circle))
        problem = given_up(problem, given[-1])
    return tuple(given)


def concession(problem: Problem, stuck: Stuck) -> Concession | None:
    """The rule that is to give way for the activity that got stuck; None if it has nothing left to give up.

    Hours that nobody has can't be given here: the caller looks to that first.
    """
    circle = _circle(problem) if stuck.rule == "circle" else None
    if circle is not None:
        return _in_circle(problem, circle)
    for found in _ways(problem, stuck):
        if given_up(problem, found) != problem:
            return found
    return None


def given_up(problem: Problem, *given: Concession) -> Problem:
    """The problem without these rules."""
    for each in given:
        problem = RULES[each.rule](problem, each.activity, each.other)
    return problem


def _circle(problem: Problem) -> list[tuple[int, int]] | None:
    """The pairs of a circle in the order of the activities, under the options that the order itself takes."""
    import networkx as nx  # slow to load, and of use only where something was begun

    placer = Placer(problem)
    network = placer.network(placer.settle([0.0] * len(problem.activities)))
    graph: nx.DiGraph = nx.DiGraph(placer.begun)
    graph.add_edges_from((i, j) for i, followers in enumerate(network.followers) for j in followers)
    try:
        return [(before, after) for before, after, *_ in nx.find_cycle(graph)]
    except nx.NetworkXNoCycle:
        return None


def _in_circle(problem: Problem, circle: list[tuple[int, int]]) -> Concession:
    activities = problem.activities
    for before, after in circle:
        if any(barrier.by == before and after in barrier.bars for barrier in problem.barriers):
            return Concession("closed", after, before)
    ranked = sorted(circle, key=lambda pair: (not activities[pair[1]].fixed, not activities[pair[0]].optional, pair))
    before, after = ranked[0]
    return Concession("order", after, before)


def _ways(problem: Problem, stuck: Stuck) -> Iterator[Concession]:
    """What could be given up for an activity, the most likely to be in the way first."""
    i = stuck.activity
    activity = problem.activities[i]
    windows = [Concession("window", i, before) for before in _limiting(problem, i)]
    if stuck.rule == "window":
        yield from windows
    if stuck.rule == "clean":
        yield Concession("clean", i)
    if stuck.rule == "taken":
        yield Concession("taken", i)
    if stuck.rule == "closed":
        yield from (Concession("closed", i, by) for by, barred in Placer(problem).begun if barred == i)
    yield from _never(problem, i)
    yield from _too_much(problem, i)
    if _longest(problem, activity) < _least(activity):
        yield Concession("one piece", i)
    if not activity.fixed:  # in what air it was begun is a fact
        yield Concession("air", i)
    yield from windows
    yield Concession("clean", i)
    yield from (Concession("closed", i, barrier.by) for barrier in problem.barriers if i in barrier.bars)
    for barrier in problem.barriers:
        if barrier.by == i:
            yield from (Concession("closed", other, i) for other in sorted(barrier.bars))
    yield Concession("one piece", i)
    # Nothing of its own is left: others that must come at their time shut it out, or it waits for what never comes.
    for barrier in problem.barriers:
        yield from (Concession("closed", other, barrier.by) for other in sorted(barrier.bars))
    yield from (Concession("order", i, wait.before) for wait in _all_waits(problem) if wait.after == i)


def _limiting(problem: Problem, i: int) -> list[int]:
    """What ends the windows of an activity: facts first, and those of which no remedy can still be planned."""
    activities = problem.activities
    limits = {
        (
            wait.remedy is not None and not activities[wait.remedy].fixed,
            not activities[wait.before].fixed,
            wait.before,
        )
        for wait in _all_waits(problem)
        if wait.after == i and wait.until is not None
    }
    return [before for _, _, before in sorted(limits)]


def _never(problem: Problem, i: int) -> Iterator[Concession]:
    """What is waited for and never comes: a stage that a film never reaches in this air, an item without a date."""
    ready = Readiness(problem.clocks)
    last = max((slot.end for slot in problem.slots), default=0)
    for wait in _all_waits(problem):
        spans = problem.activities[wait.before].fixed
        if wait.after == i and ready(wait.lag, spans[-1].end if spans else last) >= NEVER:
            yield Concession("stage", i, wait.before)
    if problem.activities[i].release >= NEVER:
        yield Concession("date", i)


def _too_much(problem: Problem, i: int) -> Iterator[Concession]:
    """More of a resource than there ever is for so long: people, leave to make noise, a shared thing."""
    activity = problem.activities[i]
    slots = [slot for slot in problem.slots if slot.end > activity.release]
    for number, wanted in enumerate(activity.demand):
        if slots and wanted > max(slot.capacity[number] for slot in slots):
            yield Concession("resource", i, number)
    if _longest(problem, activity) >= _least(activity):
        return
    for number in range(len(activity.demand)):
        less = _asking_less(problem, activity, number)
        if _longest(problem, less) >= _least(activity):
            yield Concession("resource", i, number)


def _asking_less(problem: Problem, activity: Activity, number: int) -> Activity:
    """The same with as much of a resource as is always there while anybody is."""
    least = min((slot.capacity[number] for slot in problem.slots), default=0)
    demand = (*activity.demand[:number], min(activity.demand[number], least), *activity.demand[number + 1 :])
    return replace(activity, demand=demand)


def _least(activity: Activity) -> int:
    if activity.smallest is None or activity.minutes < 2 * activity.smallest:
        return activity.minutes
    return activity.smallest


def _longest(problem: Problem, activity: Activity) -> int:
    """The longest stretch of hours that has all an activity takes, in minutes."""
    spans = Runs(problem, activity.demand).spans
    return max((end - max(start, activity.release) for start, end in spans), default=0)


def _all_waits(problem: Problem) -> Iterator[Wait]:
    yield from problem.waits
    for pair in problem.choices:
        for option in pair:
            yield from option.waits


# What each rule comes to when it is given up: the problem, the activity, and the other side of the rule.


def _no_wait(problem: Problem, after: int, before: int | None) -> Problem:
    """It waits no more for the other one: not for its end, not for a stage, nor for it as a remedy."""

    def kept(wait: Wait) -> Wait | None:
        if (wait.before, wait.after) == (before, after):
            return None
        unmended = wait.after == after and wait.remedy == before
        return replace(wait, until=None, remedy=None) if unmended else wait

    return _with_waits(problem, kept)


def _no_stage(problem: Problem, after: int, before: int | None) -> Problem:
    """It waits for the end of the other one, and for no stage of its film."""
    mine = (before, after)
    return _with_waits(problem, lambda w: replace(w, lag=Lag()) if (w.before, w.after) == mine else w)


def _no_window(problem: Problem, after: int, before: int | None) -> Problem:
    """It may come as late as it likes after the other one."""
    mine = (before, after)
    return _with_waits(problem, lambda w: replace(w, until=None, remedy=None) if (w.before, w.after) == mine else w)


def _no_soil(problem: Problem, i: int, _: int | None) -> Problem:
    """It takes the room as it is; what it soils itself, where it wants nothing clean, counts as clean."""
    wanting = any(i in soil.wants_clean for soil in problem.soils)
    soils = (
        replace(soil, wants_clean=soil.wants_clean - {i}) if wanting else replace(soil, soils=soil.soils - {i})
        for soil in problem.soils
    )
    return replace(problem, soils=tuple(soils))


def _no_fit(problem: Problem, i: int, _: int | None) -> Problem:
    """It may run in any air."""
    return _changed(problem, replace(problem.activities[i], fit=None, hold=Lag()), i)


def _no_bar(problem: Problem, i: int, by: int | None) -> Problem:
    """The other one does not keep it out."""
    bars = (replace(each, bars=each.bars - {i}) if each.by == by else each for each in problem.barriers)
    return replace(problem, barriers=tuple(bars))


def _less_of(problem: Problem, i: int, number: int | None) -> Problem:
    """It makes do with as much of a resource as is always there."""
    return problem if number is None else _changed(problem, _asking_less(problem, problem.activities[i], number), i)


def _not_taken(problem: Problem, i: int, _: int | None) -> Problem:
    """It does without what is kept by others, and keeps nothing itself."""
    return replace(problem, holds=tuple(hold for hold in problem.holds if hold.taker != i))


def _cut(problem: Problem, i: int, _: int | None) -> Problem:
    """It may be cut into pieces that the longest stretch of hours can hold."""
    activity, longest = problem.activities[i], _longest(problem, problem.activities[i])
    smallest = max(1, min(PIECE, longest // 2))
    whole = activity.smallest is None or activity.smallest > smallest
    return _changed(problem, replace(activity, smallest=smallest), i) if whole and longest else problem


def _undated(problem: Problem, i: int, _: int | None) -> Problem:
    """It does not wait for what nobody knows the day of."""
    begin = min(activity.release for activity in problem.activities)
    return _changed(problem, replace(problem.activities[i], release=begin), i)


RULES: Mapping[str, Callable[[Problem, int, int | None], Problem]] = {
    "order": _no_wait,
    "stage": _no_stage,
    "window": _no_window,
    "clean": _no_soil,
    "air": _no_fit,
    "closed": _no_bar,
    "resource": _less_of,
    "taken": _not_taken,
    "one piece": _cut,
    "date": _undated,
}
"""Every rule that can be given up, and what that comes to."""


def _changed(problem: Problem, activity: Activity, i: int) -> Problem:
    activities = problem.activities
    return replace(problem, activities=(*activities[:i], activity, *activities[i + 1 :]))


def _with_waits(problem: Problem, change: Callable[[Wait], Wait | None]) -> Problem:
    def changed(waits: Iterable[Wait]) -> tuple[Wait, ...]:
        return tuple(new for wait in waits if (new := change(wait)) is not None)

    def option(each: Option) -> Option:
        return replace(each, waits=changed(each.waits))

    pairs = tuple((option(one), option(other)) for one, other in problem.choices)
    return replace(problem, waits=changed(problem.waits), choices=pairs)
