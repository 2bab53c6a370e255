"""From a job and the data of the trade to everything that is to be done. Read this one first."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType

from scheduler.errors import Fault, InputError
from scheduler.expanding.borders import settle_borders
from scheduler.expanding.colours import add_colour, cycle_ids, follow_with_colour
from scheduler.expanding.draft import Draft
from scheduler.expanding.dust import wipe_up_dust
from scheduler.expanding.follows import follow
from scheduler.expanding.keeps import find_keeps_too_late, find_never_taken, settle_keeps, take_heaters
from scheduler.expanding.order import as_network, find_circles, sequence
from scheduler.expanding.steps import add_step, find_material
from scheduler.expanding.visits import follow_with_visits, is_of_visit, name_visits, visits_of
from scheduler.model.doubts import NO_DOUBTS, Doubts
from scheduler.model.graph import Link, TaskGraph
from scheduler.model.job import Job
from scheduler.model.material import Trade
from scheduler.told import told

MOST_STEPS = 5000
"""Years of work for one person; with more of them nobody waits for the plan."""


def expand(job: Job, trade: Trade) -> TaskGraph:
    """The task graph of a job: steps, the cycles of the colours, remedies, and the choices left open.

    The order of the entries in the file plays no part in it. Raises InputError with every fault found:
    names that are taken twice, unknown materials, steps and stages, circles, dust that nothing wipes up.
    """
    found = expand_as_far(job, trade)
    if found.graph is None:
        raise InputError(found.faults)
    return found.graph


@dataclass(frozen=True, slots=True, kw_only=True)
class Expanded:
    """The task graph, or None and all faults."""

    graph: TaskGraph | None
    faults: tuple[Fault, ...] = ()


def expand_as_far(job: Job, trade: Trade, doubts: Doubts = NO_DOUBTS) -> Expanded:
    """The task graph, or every fault that can be found: what is in doubt is not asked about, and makes no second one.

    What is only sure once everything is there (dust that nothing wipes up) is asked of a job without a fault alone.
    """
    draft = Draft(job, trade, doubts=doubts)
    _find_too_many(draft)
    if draft.faults:
        return Expanded(graph=None, faults=tuple(draft.faults))
    clashing = _find_clashes(draft)
    for step in job.steps:
        add_step(draft, step)
    for colour in job.colours:
        add_colour(draft, colour)
    name_visits(draft)
    for name in clashing & set(draft.targets):
        draft.targets[name] = replace(draft.targets[name], unknown=True)  # it may be the one or the other
    for step in job.steps:
        follow(draft, step.id, step.after)
    for colour in job.colours:
        follow_with_colour(draft, colour)
    follow_with_visits(draft)
    _change_tasks_of_colours(draft)
    _find_idle_dry_times(draft)
    settle_keeps(draft)
    take_heaters(draft)
    if not clashing:
        _find_circles_and_dust(draft)
    if draft.faults or doubts != NO_DOUBTS:
        return Expanded(graph=None, faults=tuple(draft.faults))
    return Expanded(graph=_finished(draft))


def _change_tasks_of_colours(draft: Draft) -> None:
    """What the person wants otherwise in a task of a colour: the rest of the changes are made already."""
    colours = {colour.id for colour in draft.job.colours}
    for change in draft.job.changes:
        if draft.owners.get(change.step) in colours:
            draft.tasks[change.step] = replace(draft.tasks[change.step], **change.fields)
            if change.after is not None:
                follow(draft, change.step, change.after)


def _find_idle_dry_times(draft: Draft) -> None:
    """A fault for a dry time of what no step of the room lays."""
    for room in draft.job.rooms:
        laid = {task.film.material for task in draft.tasks.values() if task.film and task.film.room == room.id}
        for said in room.dry_times:
            if said.material not in draft.trade.known:
                find_material(draft, said.material, said.place)
            elif said.material not in laid and draft.doubts == NO_DOUBTS:
                draft.fault(
                    said.place, told("nothing in this room lays `{material}`", material=said.material), "leave it out"
                )


def _find_too_many(draft: Draft) -> None:
    """A fault at the first step that is one too many."""
    if len(draft.job.steps) > MOST_STEPS:
        said = told(
            "from here on there are more than {most_steps} steps, {steps} altogether",
            most_steps=MOST_STEPS,
            steps=len(draft.job.steps),
        )
        draft.fault(draft.job.steps[MOST_STEPS].place, said, "make several jobs of it")


def _find_clashes(draft: Draft) -> set[str]:
    """A fault where a step has a name that stands for a colour or for a task of its cycle; all such names."""
    job = draft.job
    taken: Counter[str] = Counter(step.id for step in job.steps)
    for colour in job.colours:
        for name in sorted({colour.id, *cycle_ids(job, colour)}):
            taken[name] += 1
            if taken[name] > 1:
                what = (
                    "this colour" if name == colour.id else told("a task of the colour `{colour}`", colour=colour.id)
                )
                draft.fault(
                    colour.place,
                    told("`{name}` is the name of a step and of {what}", name=name, what=what),
                    "rename the step",
                )
    return {name for name, times in taken.items() if times > 1}


def _find_circles_and_dust(draft: Draft) -> None:
    """What only shows once all is linked. Of the borders nothing is asked while there is a circle without them, and
    of dust nothing while anything is unknown: what is missing may come in between."""
    network = as_network(draft)
    if not find_circles(draft, network):
        settle_borders(draft)
        network = as_network(draft)
        find_circles(draft, network)  # an order of colours that the person fixed may close one
    if not draft.faults:
        find_keeps_too_late(draft, network)
    if not draft.faults and draft.doubts == NO_DOUBTS:
        find_never_taken(draft)
        wipe_up_dust(draft)


def _finished(draft: Draft) -> TaskGraph:
    closed: Mapping[str, str] = MappingProxyType(dict(sorted(draft.closed.items())))
    return TaskGraph(
        tasks=tuple(draft.tasks[name] for name in sequence(as_network(draft)) if name in draft.tasks),
        links=tuple(sorted((link for link in draft.links if not is_of_visit(draft, link)), key=_by_ends)),
        choices=tuple(sorted(draft.choices, key=lambda choice: choice.id)),
        closed=closed,
        visits=visits_of(draft),
    )


def _by_ends(link: Link) -> tuple[str, str, str, int, str, int]:
    return link.before, link.after, link.stage or "", link.wait, link.until or "", link.within or 0
