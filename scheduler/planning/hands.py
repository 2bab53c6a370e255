"""How many hands each step gets that more hands shorten.

Such a step can be done in several modes (as the field of project scheduling calls them): so many people, so many
minutes. The planner chooses: a local search over the modes, each choice judged by a short search for a plan. That no
choice ends sooner shows from a problem in which each of those steps asks for the fewest people and the fewest minutes
at once, and for no window that a shorter step could miss: what holds of it holds of every choice.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product
from math import prod

from scheduler.model.basics import Estimate
from scheduler.model.facts import Facts
from scheduler.model.graph import Link, Task, TaskGraph
from scheduler.solver.objective import Aim

TRIES = 30
"""How many choices are judged at most."""

FEW = 24
"""Where there are no more choices than this, each is judged, and what none of them does better is proven."""

Worth = tuple[int, int, int, int, int]
"""Minutes late, finish, days on site, minutes of people, earliest starts: less is better, the first goes first."""


@dataclass(frozen=True, slots=True)
class Judged:
    """A choice of hands: how good its plan is (None: it has none), and what no plan with these hands does better,
    minutes late and finish (None: there is no plan at all, and that is proven)."""

    aim: Aim | None
    least: tuple[int, int] | None


Modes = Mapping[str, int]
"""Which mode each step has, by its name: here the number of people."""


def manned(graph: TaskGraph, hands: Mapping[str, int]) -> TaskGraph:
    """The graph with so many people at some steps, as far as each may be done by that number."""
    return replace(graph, tasks=tuple(_with(task, hands.get(task.id, task.people)) for task in graph.tasks))


def hands_in(graph: TaskGraph) -> dict[str, int]:
    """How many people are at each step that another number could do."""
    return {task.id: task.people for task in graph.tasks if task.hands}


def choosable(graph: TaskGraph, facts: Facts) -> tuple[Task, ...]:
    """The steps that have not begun and can be done by more or fewer people."""
    return tuple(
        task for task in graph.tasks if task.hands and task.id not in facts.done and task.id not in facts.begun
    )


def choose(
    graph: TaskGraph, facts: Facts, before: Mapping[str, int], most: int, judge: Callable[[TaskGraph], Judged]
) -> tuple[TaskGraph, tuple[int, int]]:
    """The graph with the hands that make the best plan; of equal ones those of `before`, then the fewest minutes of
    people. And what no choice of hands does better: minutes late, finish. Never are more than `most` people there."""
    tables = {task.id: dict(task.hands) for task in choosable(graph, facts)}
    ways = {name: [people for people in hands if people <= most] or [min(hands)] for name, hands in tables.items()}
    chosen, bounds = best_modes(
        ways,
        before,
        lambda modes: judge(manned(graph, modes)),
        lambda modes: sum(people * tables[name][people].planned for name, people in modes.items()),
    )
    least = judge(least_asked(graph, facts)).least or (0, 0)
    return manned(graph, chosen), (max(least[0], bounds[0]), max(least[1], bounds[1]))


def best_modes(
    ways: Mapping[str, Sequence[int]], before: Modes, judge: Callable[[Modes], Judged], cost: Callable[[Modes], int]
) -> tuple[Modes, tuple[int, int]]:
    """Of all ways to give each step one of its modes, which ascend, the one that is judged best, then the cheapest;
    `before` is kept where none is better. And what no way does better, where all could be judged: else nothing, 0."""
    found: dict[tuple[int, ...], tuple[Judged, Worth | None]] = {}

    def worth(modes: Modes) -> Worth | None:
        key = tuple(modes[name] for name in ways)
        if key not in found and len(found) < TRIES:
            judged = judge(modes)
            aim = judged.aim
            found[key] = judged, aim and (aim.late, aim.finish, aim.days, cost(modes), aim.starts)
        return found[key][1] if key in found else None

    fewest, most = ({name: modes[at] for name, modes in ways.items()} for at in (0, -1))
    begins: list[Modes] = [most, fewest]
    if all(before.get(name) in modes for name, modes in ways.items()):
        begins.insert(0, {name: before[name] for name in ways})
    few = prod(len(modes) for modes in ways.values()) <= FEW
    if few:
        begins += [dict(zip(ways, each, strict=True)) for each in product(*ways.values())]
    best: Worth | None = None
    chosen: Modes = fewest
    for each in begins:
        value = worth(each)
        if value is not None and (best is None or value < best):
            best, chosen = value, each
    going = best is not None and not few
    while going:
        going = False
        for name, mode in ((name, mode) for name, modes in ways.items() for mode in modes):
            other = {**chosen, name: mode}
            value = worth(other)
            if value is not None and best is not None and value < best:
                best, chosen, going = value, other, True
    bounds = [judged.least for judged, _ in found.values() if few and judged.least is not None] or [(0, 0)]
    return chosen, (min(late for late, _ in bounds), min(finish for _, finish in bounds))


def least_asked(graph: TaskGraph, facts: Facts) -> TaskGraph:
    """The graph in which each step whose hands are open asks for the fewest people and the fewest minutes at once."""
    names = {task.id for task in choosable(graph, facts)}

    def least(task: Task) -> Task:
        if task.id not in names:
            return task
        people, work = min(people for people, _ in task.hands), min((w for _, w in task.hands), key=_planned)
        return replace(task, people=people, work=work, smallest_piece=None if task.smallest_piece is None else 1)

    def free(link: Link) -> Link:
        return replace(link, until=None, within=None, remedy=None) if {link.before, link.after} & names else link

    return replace(graph, tasks=tuple(map(least, graph.tasks)), links=tuple(map(free, graph.links)))


def _planned(work: Estimate) -> int:
    return work.planned


def _with(task: Task, people: int) -> Task:
    work = dict(task.hands).get(people)
    if work is None or people == task.people:
        return task
    piece = None if task.smallest_piece is None else min(task.smallest_piece, work.planned)
    return replace(task, people=people, work=work, smallest_piece=piece)
