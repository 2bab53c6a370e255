"""Each step of the job file becomes one task."""

from __future__ import annotations

from scheduler.errors import Place
from scheduler.expanding.draft import Draft, Target, once
from scheduler.model.doubts import UNKNOWN
from scheduler.model.graph import Task
from scheduler.model.job import Step
from scheduler.model.material import Material
from scheduler.model.names import meant
from scheduler.told import told


def add_step(draft: Draft, step: Step) -> None:
    """Put in the task of a step, and what its name stands for."""
    lay = step.lays
    material = find_material(draft, lay.material, lay.place or step.place) if lay else None
    task = Task(
        id=step.id,
        title=step.title,
        room=step.room,
        work=step.work,
        people=step.people,
        hands=step.hands,
        smallest_piece=step.smallest_piece,
        dusty=step.dusty,
        noisy=step.noisy,
        wet=step.wet or (material is not None and material.exposed),
        wipes=step.wipes,
        film=draft.laid(lay, material, step.room) if lay and material else None,
        takes=step.takes,
        keeps=step.keeps,
        needs=step.needs,
        cautions=once((*step.cautions, *(material.cautions if material else ()))),
        uses=step.uses,
        kind=draft.kind_of(material, step.doing or step.phase, step.dusty, step.noisy, step.wipes),
        by_hand=not step.doing,
        place=step.place,
    )
    draft.add(task, step.id, (*step.dangers, *(material.dangers if material else ())), step.disturbs)
    if material and material.room_closed_until:
        draft.closed[step.id] = material.room_closed_until
    draft.targets[step.id] = Target(
        name=step.id,
        last=step.id,
        film=step.id if material else None,
        material=material,
        unknown=lay is not None and material is None,
    )


def find_material(draft: Draft, name: str, place: Place | None) -> Material | None:
    """The material of that name; a fault that names the nearest one if there is none, and no fault says so yet."""
    material = draft.trade.material(name)
    if material is None and name not in draft.doubts.materials | {UNKNOWN}:
        known = draft.trade.known or [known.id for known in draft.trade.materials]
        draft.fault(
            place,
            told("no material is called `{name}`", name=name),
            meant(name, known, "tackfree dry lists them all"),
        )
    return material
