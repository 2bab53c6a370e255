"""How many hands each step gets that more hands shorten.

Such a step can be done in several modes (as the field of project scheduling calls them): so many people, so many
minutes. The planner chooses: a local search over the modes, each choice judged by a short search for a plan. That no
choice ends sooner shows from a problem in which each of those steps asks for the fewest people and the fewest minutes
at once, and for no window that a shorter step could miss: what holds of it holds of every choice. Where that does not
show it, the choices are parted, mode by mode (branch and bound), and each part is asked the same.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

from scheduler.model.basics import Estimate
from scheduler.model.facts import Facts
from scheduler.model.graph import Link, Task, TaskGraph
from scheduler.planning.answering import Wish
from scheduler.planning.ground import Ground
from scheduler.solver.conflicts import Stuck
from scheduler.solver.exact import nothing_better
from scheduler.solver.objective import Aim, aim_of
from scheduler.solver.search import search

JUDGED = 20_000
"""Effort of the search that judges a choice of hands."""

TRIES = 30
"""How many choices are judged at most."""

PARTS = 40
"""How many parts of all choices are asked at most whether one of them holds anything better."""

Worth = tuple[int, int, int, int, int]
"""Minutes late, finish, days on site, minutes of people, earliest starts: less is better, the first goes first."""


@dataclass(frozen=True, slots=True)
class Judged:
    """A choice of hands: how good its plan is (None: it has none), and what no plan with these hands does better,
    minutes late and finish (None: there is no plan at all, and that is proven)."""

    aim: Aim | None
    least: tuple[int, int] | None


Part = Mapping[str, Sequence[int]]
"""Which modes each step may still have: all ways to give each of them one of these."""

Modes = Mapping[str, int]
"""Which mode each step has, by its name: here the number of people."""


def manned(graph: TaskGraph, hands: Mapping[str, int]) -> TaskGraph:
    """The graph with so many people at some steps, as far as each may be done by that number."""
    return replace(graph, tasks=tuple(_with(task, hands.get(task.id, task.people)) for task in graph.tasks))


def hands_in(graph: TaskGraph) -> dict[str, int]:
    """How many people are at each step that another number could do."""
    return {task.id: task.people for task in graph.tasks if task.hands}


def choosable(graph: TaskGraph, facts: Facts, most: int) -> tuple[Task, ...]:
    """The steps that have not begun and can be done by more or fewer people, of `most` that there are."""
    return tuple(
        task
        for task in graph.tasks
        if sum(people <= most for people, _ in task.hands) > 1
        and task.id not in facts.done
        and task.id not in facts.begun
    )


def best_manned(ground: Ground, wish: Wish, before: Mapping[str, int]) -> Ground:
    """The same with the hands that make the best plan (those of `before` where no others make a better one), and what
    no choice of hands could do better."""
    most = max((window.people for window in ground.windows), default=1)
    if not choosable(ground.graph, ground.facts, most):
        return ground

    def judge(graph: TaskGraph, closely: bool) -> Judged:
        problem = replace(ground.in_order(graph).problem, stay=None)
        found = search(problem, min(wish.effort, JUDGED), wish.seed, thorough=False, closely=closely)
        if isinstance(found, Stuck):
            return Judged(None, None if found.proven else (0, ground.facts.now))
        return Judged(aim_of(problem, found.placement), (found.late_at_least, found.finish_not_before))

    def refutes(graph: TaskGraph, late: int, finish: int) -> bool:
        return nothing_better(replace(ground.in_order(graph).problem, stay=None), late, finish)

    graph, least = choose(ground.graph, ground.facts, before, most, judge, refutes)
    return replace(ground, graph=graph, any_hands=least)


def choose(
    graph: TaskGraph,
    facts: Facts,
    before: Mapping[str, int],
    most: int,
    judge: Callable[[TaskGraph, bool], Judged],
    refutes: Callable[[TaskGraph, int, int], bool],
) -> tuple[TaskGraph, tuple[int, int]]:
    """The graph with the hands that make the best plan; of equal ones those of `before`, then the fewest minutes of
    people. And what no choice of hands does better: minutes late, finish. Never are more than `most` people there.

    `judge` is told whether to bring what bounds a plan closely to it. `refutes` says of a graph whether no plan of it
    is less late than so many minutes, nor as little late and done before such a minute.
    """
    tables = {task.id: dict(task.hands) for task in choosable(graph, facts, most)}
    ways = {name: [people for people in hands if people <= most] for name, hands in tables.items()}
    chosen, bounds = best_modes(
        ways,
        before,
        lambda modes: judge(manned(graph, modes), False),
        lambda modes: sum(people * tables[name][people].planned for name, people in modes.items()),
        lambda part, late, finish: refutes(least_asked(graph, part), late, finish),
        lambda modes: judge(manned(graph, modes), True).least,
    )
    asked, unknown = least_asked(graph, ways), (0, facts.now)  # what is not known is not before now
    least = judge(asked, True).least
    if least in (None, unknown) and asked.visits:  # they can't be kept: whenever they come, it ends no sooner
        least = judge(replace(asked, visits=()), True).least
    least = least or unknown
    return manned(graph, chosen), (max(least[0], bounds[0]), max(least[1], bounds[1]))


def best_modes(
    ways: Part,
    before: Modes,
    judge: Callable[[Modes], Judged],
    cost: Callable[[Modes], int],
    refutes: Callable[[Part, int, int], bool],
    least: Callable[[Modes], tuple[int, int] | None],
) -> tuple[Modes, tuple[int, int]]:
    """Of all ways to give each step one of its modes, which ascend, the one that is judged best, then the cheapest;
    `before` is kept where none is better. And what no way does better: nothing, 0, where that is not known. `least`
    says of one way what no plan of it does better (None: it has none); only those that nothing refutes are asked."""
    choice = _Choice(ways, judge, cost)
    fewest, most = ({name: modes[at] for name, modes in ways.items()} for at in (0, -1))
    known = all(before.get(name) in modes for name, modes in ways.items())
    for modes in ({name: before[name] for name in ways} if known else most, most, fewest):
        choice.take(modes)
    choice.climb()
    return choice.chosen or fewest, _least(choice, refutes, least)


class _Choice:
    """The ways judged so far, and the best of them."""

    def __init__(self, ways: Part, judge: Callable[[Modes], Judged], cost: Callable[[Modes], int]) -> None:
        self.ways, self.judge, self.cost = ways, judge, cost
        self.found: dict[tuple[int, ...], Judged] = {}
        self.chosen: Modes = {}
        self.best: Worth | None = None

    def take(self, modes: Modes) -> Judged | None:
        """What is judged of a way, which is the best from now on if it is better; None if enough are judged."""
        key = tuple(modes[name] for name in self.ways)
        if key not in self.found:
            if len(self.found) >= TRIES:
                return None
            judged = self.found[key] = self.judge(modes)
            aim = judged.aim
            worth = aim and (aim.late, aim.finish, aim.days, self.cost(modes), aim.starts)
            if worth is not None and (self.best is None or worth < self.best):
                self.best, self.chosen = worth, modes
        return self.found[key]

    def climb(self) -> None:
        """Change one mode of the best after the other, as long as that makes it better."""
        best = None
        while self.best is not None and self.best != best:
            best = self.best
            for name, mode in ((name, mode) for name, modes in self.ways.items() for mode in modes):
                self.take({**self.chosen, name: mode})


def _least(
    choice: _Choice,
    refutes: Callable[[Part, int, int], bool],
    least: Callable[[Modes], tuple[int, int] | None],
) -> tuple[int, int]:
    """What no way does better, minutes late and finish: all ways parted until each part is refuted, or is one way,
    which is judged. Nothing, 0, if there are too many parts."""
    bounds, parts = list[tuple[int, int]](), [choice.ways]
    for _ in range(PARTS):
        if not parts or choice.best is None:
            break
        part, (late, finish, *_) = parts.pop(), choice.best
        if refutes(part, late, finish):
            continue
        open_ones = [name for name, modes in part.items() if len(modes) > 1]
        if open_ones:
            name = open_ones[0]
            ordered = sorted(part[name], key=lambda mode: mode == choice.chosen[name])  # the best one's is next
            parts += ({**part, name: [mode]} for mode in ordered)
            continue
        modes = {name: mode for name, (mode,) in part.items()}
        if choice.take(modes) is None:
            parts.append(part)
            break
        bound = least(modes)
        if bound is not None:
            bounds.append(bound)
    if parts or choice.best is None:
        return 0, 0
    bounds.append(choice.best[:2])
    return min(late for late, _ in bounds), min(finish for _, finish in bounds)


def least_asked(graph: TaskGraph, part: Part) -> TaskGraph:
    """The graph in which each step whose hands are open asks for the fewest people and the fewest minutes at once
    that it may still have. One that gives something back may pause, so that it can end as late as it would."""
    several = {name for name, modes in part.items() if len(modes) > 1}
    givers = {keep.step for task in graph.tasks for keep in task.keeps}

    def least(task: Task) -> Task:
        hands = [each for each in task.hands if each[0] in part.get(task.id, ())]
        if task.id not in several:
            return _with(task, hands[0][0]) if hands else task
        people, work = min(people for people, _ in hands), min((work for _, work in hands), key=_planned)
        pauses = task.smallest_piece is not None or task.id in givers
        return replace(task, people=people, work=work, smallest_piece=1 if pauses else None)

    def free(link: Link) -> Link:
        return replace(link, until=None, within=None, remedy=None) if {link.before, link.after} & several else link

    return replace(graph, tasks=tuple(map(least, graph.tasks)), links=tuple(map(free, graph.links)))


def _planned(work: Estimate) -> int:
    return work.planned


def _with(task: Task, people: int) -> Task:
    work = dict(task.hands).get(people)
    if work is None or people == task.people:
        return task
    piece = None if task.smallest_piece is None else min(task.smallest_piece, work.planned)
    return replace(task, people=people, work=work, smallest_piece=piece)
