"""Each colour becomes its cycle: tape, coat, wait, coat, pull; each border a choice of who comes first."""

from __future__ import annotations

from itertools import pairwise

from scheduler.expanding.draft import Draft, Target, once
from scheduler.expanding.follows import follow, need_stage, within_window
from scheduler.expanding.steps import find_material
from scheduler.model.basics import Estimate
from scheduler.model.graph import Link, Task
from scheduler.model.job import Colour, Job, Lay
from scheduler.model.material import Material
from scheduler.model.message import message
from scheduler.model.names import coat_of, pull_of, tape_of
from scheduler.told import told

PULL_SHARE = 3
"""Pulling a tape takes a third of the time that sticking it on took (common practice, no source)."""

COAT = "{colour}: coat {coat} of {coats}"
TAPE_OFF, PULL = "{colour}: tape off", "{colour}: pull the tape"
"""What the tasks of a colour are called."""

TAPE_PIECE = 30
"""Taping may be left and taken up again in pieces of half an hour, like any step that lays no film."""


def share_for_pulling(tape: Estimate) -> Estimate:
    """The time to pull what took `tape` minutes to stick on, each value rounded up."""
    return Estimate(*(-(-minutes // PULL_SHARE) for minutes in (tape.low, tape.likely, tape.high)))


def bordered(job: Job) -> frozenset[str]:
    """The colours that touch another one and are taped off there."""
    return frozenset(name for border in job.borders if border.taped for name in (border.first, border.second))


def is_taped(job: Job, colour: Colour) -> bool:
    """Whether anything is taped off for the colour: what it touches, or another colour."""
    return colour.tape.high > 0 or colour.id in bordered(job)


def cycle_ids(job: Job, colour: Colour) -> tuple[str, ...]:
    """The ids of all tasks of the cycle, in order."""
    coats = tuple(coat_of(colour.id, coat) for coat in range(1, colour.coats + 1))
    return (tape_of(colour.id), *coats, pull_of(colour.id)) if is_taped(job, colour) else coats


def add_colour(draft: Draft, colour: Colour) -> None:
    """Put in the tasks of a colour and the links between them."""
    material = find_material(draft, colour.material, colour.place)
    taped = is_taped(draft.job, colour)
    for coat in range(1, colour.coats + 1):
        dangers = (*colour.dangers, *(material.dangers if material else ()))
        draft.add(_coat(draft, colour, coat, material), colour.id, dangers)
    if material and material.room_closed_until:
        draft.closed |= {coat_of(colour.id, coat): material.room_closed_until for coat in range(1, colour.coats + 1)}
    if taped:
        _add_taping(draft, colour)
    last = coat_of(colour.id, colour.coats)
    draft.targets[colour.id] = Target(
        name=colour.id,
        last=pull_of(colour.id) if taped else last,
        film=last,
        material=material,
        unknown=material is None,
    )
    for name in cycle_ids(draft.job, colour):
        is_coat = name not in (tape_of(colour.id), pull_of(colour.id))
        draft.targets[name] = Target(
            name=name,
            last=name,
            film=name if is_coat else None,
            material=material if is_coat else None,
            unknown=is_coat and material is None,
        )
    if material:
        _link_cycle(draft, colour, material, taped)


def follow_with_colour(draft: Draft, colour: Colour) -> None:
    """What a colour follows holds for its first coat and for its tape."""
    also = (tape_of(colour.id),) if is_taped(draft.job, colour) else ()
    follow(draft, coat_of(colour.id, 1), colour.after, also)


def _coat(draft: Draft, colour: Colour, coat: int, material: Material | None) -> Task:
    lay = Lay(material=colour.material, coat=coat, thickness=colour.thickness, surfaces=colour.surfaces)
    return Task(
        id=coat_of(colour.id, coat),
        title=draft.trade.words(COAT).format(colour=colour.said, coat=coat, coats=colour.coats),
        room=colour.room,
        work=colour.coat,
        people=colour.people,
        smallest_piece=colour.piece,
        wet=material is not None and material.exposed,
        film=draft.laid(lay, material, colour.room) if material else None,
        takes=colour.takes,
        keeps=colour.keeps,
        needs=colour.needs,
        cautions=once((*colour.cautions, *(material.cautions if material else ()))),
        uses=colour.uses,
        colour=colour.id,
        kind=draft.kind_of(material, "paint"),
        by_hand=not colour.by_rates,
        place=colour.place,
    )


def _add_taping(draft: Draft, colour: Colour) -> None:
    own_pull = colour.pull if colour.pull.high > 0 else share_for_pulling(colour.tape)
    for name, doing, work, piece, uses in (
        (tape_of(colour.id), TAPE_OFF, colour.tape, TAPE_PIECE, colour.tape_uses),
        (pull_of(colour.id), PULL, own_pull, None, ()),
    ):
        task = Task(
            id=name,
            title=draft.trade.words(doing).format(colour=colour.said),
            room=colour.room,
            work=work,
            people=1,
            smallest_piece=piece,
            takes=colour.takes,
            cautions=colour.cautions,
            uses=uses,
            kind=draft.kind_of(None, "protect"),
            by_hand=colour.tape_said or not colour.on,
            place=colour.place,
        )
        draft.add(task, colour.id, colour.dangers)


def _link_cycle(draft: Draft, colour: Colour, material: Material, taped: bool) -> None:
    coats = [coat_of(colour.id, coat) for coat in range(1, colour.coats + 1)]
    if len(coats) > 1:
        need_stage(
            draft,
            material,
            "recoat",
            told("`{colour}` has {coats} coats", colour=colour.id, coats=len(coats)),
            colour.place,
        )
    for before, after in pairwise(coats):
        draft.links.add(within_window(draft, Link(before=before, after=after, stage="recoat"), material))
    if taped:
        need_stage(
            draft, material, "touch", told("the tape of `{colour}` is pulled then", colour=colour.id), colour.place
        )
        _link_tape(draft, colour, coats)
    if colour.id in bordered(draft.job):
        need_stage(
            draft, material, "tape", told("`{colour}` is taped over along a border", colour=colour.id), colour.place
        )


def _link_tape(draft: Draft, colour: Colour, coats: list[str]) -> None:
    """The tape sticks no longer than it comes off cleanly; past its time the edge is scored first."""
    tape, pull, last = tape_of(colour.id), pull_of(colour.id), coats[-1]
    stuck = draft.trade.tape
    reason = message("added.tape", pull=draft.tasks[pull].title)
    remedy = draft.add_remedy(stuck.remedy, last, pull, reason)
    overdue = None
    if stuck.overdue is not None:
        late = message("added.tape for long", tape=draft.tasks[tape].title)
        overdue = draft.add_remedy(stuck.overdue, tape, pull, late)
    kinds = {part.kind for part in draft.job.scope.parts if part.id in colour.on} if draft.job.scope else set[str]()
    wet = not kinds.isdisjoint(stuck.pulled_wet)
    stage, longest = (None, stuck.wet_by) if wet else ("touch", stuck.pull_by)
    windows = (
        Link(before=tape, after=pull, within=stuck.clean_for, remedy=overdue, strict=True),
        Link(before=last, after=pull, stage=stage, within=longest, remedy=remedy),
    )
    draft.links.add(Link(before=tape, after=coats[0]))
    if colour.tape.high > 0:
        draft.links |= set(windows)
    else:
        draft.links.add(Link(before=last, after=pull, stage=stage))
        draft.border_windows[colour.id] = windows
