"""Until when a step keeps what it takes: from names in the file to stages and tasks."""

from __future__ import annotations

from dataclasses import replace

import networkx as nx

from scheduler.expanding.draft import Draft
from scheduler.expanding.follows import need_stage
from scheduler.model.keep import Keep
from scheduler.model.material import WINDOW_END
from scheduler.model.names import coat_of, meant
from scheduler.told import told


def take_heaters(draft: Draft) -> None:
    """What lays a film in a room that is warmed in turn takes what warms it until the film may be left; or, where no
    such stage is known of it, while it works."""
    in_turn = draft.job.warmed_in_turn
    heaters = {
        room.id: room.warmed.takes for room in draft.job.rooms if room.warmed is not None and room.id in in_turn
    }
    for name, task in draft.tasks.items():
        film, thing = task.film, heaters.get(task.room)
        if film is None or thing is None or thing in dict(task.takes):
            continue
        material = draft.trade.material(film.material)
        stage = material.limits.hold_until if material is not None and material.limits is not None else None
        keeps = (*task.keeps, Keep(thing=thing, count=1, stage=stage)) if stage is not None else task.keeps
        draft.tasks[name] = replace(task, takes=(*task.takes, (thing, 1)), keeps=keeps)


def settle_keeps(draft: Draft) -> None:
    """Put the ids of tasks where the file names steps; each mistake becomes a fault where it stands.

    A stage is one of the step's own film. What a task without a film takes for that (the tape of a colour) it takes
    while it works.
    """
    faulty: set[Keep] = set()
    for name, task in draft.tasks.items():
        kept = []
        for keep in task.keeps:
            found = keep if keep in faulty else _settled(draft, name, keep)
            if found is None:
                faulty.add(keep)
            else:
                kept.append(found)
        draft.tasks[name] = replace(task, keeps=tuple(kept))


def find_never_taken(draft: Draft) -> None:
    """A fault for what is to be out of use for so long at most, and is taken by no step: the promise would be kept by
    saying nothing of it."""
    taken = {thing for task in draft.tasks.values() for thing, _ in task.takes}
    for promise in draft.job.at_most:
        if promise.thing not in taken:
            hint = told(
                "write `takes: {{{thing}: 1 until ...}}` at the step from which nobody can use it",
                thing=promise.thing,
            )
            draft.fault(
                promise.place,
                told("no step takes `{thing}`, so it would never be out of use", thing=promise.thing),
                hint,
            )


def _settled(draft: Draft, name: str, keep: Keep) -> Keep | None:
    if keep.stage is not None:
        return keep if _has_stage(draft, name, keep, keep.stage) else None
    if keep.step is None:
        return keep
    giver = _giver(draft, keep, keep.step)
    if giver is None:
        return None
    place = keep.place or draft.tasks[name].place
    if giver == name:
        draft.fault(
            place,
            told("`{name}` gives back itself what it keeps", name=name),
            "leave `until` out, or name another step",
        )
    elif giver in draft.tasks and not draft.tasks[giver].work.planned:
        draft.fault(
            place, told("`{giver}` has no work of its own, and gives nothing back", giver=giver), "name another step"
        )
    else:
        return replace(keep, step=giver)
    return None


def _has_stage(draft: Draft, name: str, keep: Keep, stage: str) -> bool:
    """Whether the film of a task comes to the stage until which it keeps something."""
    target, place = draft.targets.get(name), keep.place or draft.tasks[name].place
    if target is None or target.unknown:
        return False
    if target.material is None:
        hint = "keep it until another step, or for a time (`1 for 2 h`)"
        draft.fault(place, told("`{name}` lays no film, so it has no stage `{stage}`", name=name, stage=stage), hint)
        return False
    if stage == WINDOW_END:
        draft.fault(
            place, told("at `{stage}` a window closes, nothing is given back", stage=stage), "write another stage"
        )
        return False
    need_stage(draft, target.material, stage, told("`{thing}` is kept until then", thing=keep.thing), place)
    return target.material.stage(stage) is not None


def _giver(draft: Draft, keep: Keep, step: str) -> str | None:
    """The task that gives back; None, and a fault, if the file has none of that name."""
    target = draft.targets.get(step)
    if target is None:
        if not draft.doubts.may_be(step):
            hint = meant(step, [*draft.targets, "handle", "recoat", "use"])
            draft.fault(keep.place, told("no step, colour or stage is called `{step}`", step=step), hint)
        return None
    colours = {colour.id for colour in draft.job.colours}
    return coat_of(step, 1) if keep.at_start and step in colours else target.last


def find_keeps_too_late(draft: Draft, network: nx.DiGraph) -> None:
    """A fault where what is kept would be given back by a step that comes before it is taken."""
    for name, task in draft.tasks.items():
        for keep in task.keeps:
            if keep.step is not None and name in nx.descendants(network, keep.step):
                said = told(
                    "`{name}` comes after `{step}`, which would give `{thing}` back before it is taken",
                    name=name,
                    step=keep.step,
                    thing=keep.thing,
                )
                draft.fault(keep.place or task.place, said, "name a step that comes later")
