"""Appointments: what must be ready before somebody else's work, and what waits for it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from scheduler.expanding.draft import Draft, Target
from scheduler.expanding.follows import follow
from scheduler.model.after import After
from scheduler.model.graph import Link, Visit
from scheduler.model.names import meant
from scheduler.told import told


def name_visits(draft: Draft) -> None:
    """Put in what the name of an appointment stands for: steps may follow it."""
    for visit in draft.job.appointments:
        if visit.id in draft.tasks:
            said = told("`{id}` is the name of an appointment and of a step", id=visit.id)
            draft.fault(visit.place, said, "rename the appointment")
        else:
            draft.targets[visit.id] = Target(name=visit.id, last=visit.id)


def follow_with_visits(draft: Draft) -> None:
    """Link each appointment to all that it comes after, and to it all that it comes before; each mistake becomes a
    fault where it stands."""
    for visit in draft.job.appointments:
        if visit.id in draft.tasks:
            continue
        follow(draft, visit.id, [each for after in visit.after for each in _each_of(draft, after)])
        for name, place in visit.before:
            meant_by = {name} if name in draft.targets else {name, *_lying_on(draft, name)}
            tasks = sorted(task for task, owner in draft.owners.items() if meant_by & {task, owner})
            if not tasks and not draft.doubts.may_be(name):
                known = [target for target in draft.targets if target != visit.id]
                draft.fault(
                    place or visit.place, told("no step or colour is called `{name}`", name=name), meant(name, known)
                )
            for task in tasks:
                if draft.tasks[task].remedy_of is None:
                    draft.links.add(Link(before=visit.id, after=task, place=place))


def _each_of(draft: Draft, after: After) -> Iterator[After]:
    """What an appointment comes after; one that names a part comes after all that is done to it, each film of it at
    the stage that is asked, as far as it has one. Where none is asked it can be handled: somebody works beside it."""
    names = () if after.step in draft.targets else _lying_on(draft, after.step)
    stage = after.stage if after.stage is not None or after.at_end or after.wait else "handle"
    for name in names:
        material = draft.targets[name].material
        has_it = material is not None and stage is not None and material.stage(stage) is not None
        yield replace(after, step=name, stage=stage if has_it else None)
    if not names:
        yield after


def _lying_on(draft: Draft, part: str) -> tuple[str, ...]:
    """The steps and colours of a part of the scope, by its name."""
    steps = (step.id for step in draft.job.steps if step.part == part)
    colours = (colour.id for colour in draft.job.colours if part in colour.on)
    return tuple(name for name in (*steps, *colours) if name in draft.targets)


def is_of_visit(draft: Draft, link: Link) -> bool:
    """Whether a link begins or ends at an appointment."""
    return bool({link.before, link.after} - draft.tasks.keys())


def visits_of(draft: Draft) -> tuple[Visit, ...]:
    """The appointments with their links, in the order of time."""
    links = sorted(
        (link for link in draft.links if is_of_visit(draft, link)),
        key=lambda link: (link.before, link.after, link.stage or "", link.wait),
    )
    found = (
        Visit(
            id=visit.id,
            title=visit.title,
            start=visit.start,
            end=visit.end,
            rooms=visit.rooms,
            after=tuple(link for link in links if link.after == visit.id),
            then=tuple(link for link in links if link.before == visit.id),
            needs=visit.needs,
            place=visit.place,
        )
        for visit in draft.job.appointments
    )
    return tuple(sorted(found, key=lambda visit: (visit.start, visit.id)))
