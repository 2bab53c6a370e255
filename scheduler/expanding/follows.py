"""What a step follows, and at which stage: from names in the file to links between tasks."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from scheduler.errors import Place
from scheduler.expanding.draft import Draft, Target
from scheduler.model.after import After
from scheduler.model.basics import OPEN, OPEN_UNTIL, POT_LIFE
from scheduler.model.graph import Link
from scheduler.model.material import WINDOW_END, Material
from scheduler.model.message import message
from scheduler.model.names import meant
from scheduler.told import told

IN_ONE_GO = 120
"""Minutes. What waits no longer than that is done in one go: nobody wets a wall to wet it again after lunch (common
practice, no source). Its remedy is for who is late all the same, or where no hours are long enough."""


def follow(draft: Draft, task: str, afters: Iterable[After], also: tuple[str, ...] = ()) -> None:
    """Link a task to all that it follows; each mistake becomes a fault where it stands.

    The tasks of `also` wait for the same, but a window is the affair of `task` alone.
    """
    for after in sorted(afters, key=_by_name):
        link = _resolve(draft, after, task)
        if link:
            material = None if after.windowless else draft.targets[after.step].material
            windowed = within_window(draft, replace(link, within=None), material)
            limited = _limited(draft, link, after)
            if windowed.until is not None and link.within is not None:
                draft.links |= {windowed, limited}  # each remedy mends its own window; a limit without one is hard
            else:
                draft.links.add(windowed if link.within is None else limited)
            draft.links |= {replace(link, after=other, within=None) for other in also}


def _limited(draft: Draft, link: Link, after: After) -> Link:
    """The same link with the remedy that a method knows for whoever comes later than `within`."""
    if after.within is None or after.remedy is None:
        return link
    last, late = draft.tasks[link.before].title, draft.tasks[link.after].title
    reason = message("added.too late", after=late, within=after.within, before=last)
    remedy = draft.add_remedy(after.remedy, link.before, link.after, reason)
    return replace(link, remedy=remedy, firm=after.within < IN_ONE_GO)


def within_window(draft: Draft, link: Link, material: Material | None) -> Link:
    """The same link with the recoat window of the material, and the remedy for it.

    A window matters to the next film only: who tapes off or hangs a door on a coat past its window does no
    harm, nor does an appointment.
    """
    if link.after not in draft.tasks:
        return link
    if link.stage == "touch" and material is not None and _is_joined_at_touch(material):
        return replace(link, until=OPEN_UNTIL)
    if link.stage != "recoat" or material is None or draft.tasks[link.after].film is None:
        return link
    if material.stage(WINDOW_END) is None:
        return link
    if material.remedy is None:
        return replace(link, until=WINDOW_END)
    before, after = draft.tasks[link.before].title, draft.tasks[link.after].title
    reason = message("added.recoat window", after=after, before=before)
    remedy = draft.add_remedy(material.remedy, link.before, link.after, reason)
    return replace(link, until=WINDOW_END, remedy=remedy)


def _is_joined_at_touch(material: Material) -> bool:
    """Whether faces are joined once they are dry to the touch, as with contact cement: its open time ends later."""
    touch = material.stage("touch")
    return touch is not None and material.open_time is not None and touch.typical < material.open_time


def need_stage(draft: Draft, material: Material, stage: str, why: str, place: Place | None) -> None:
    """A fault if the material does not have a stage that the cycle of a colour needs."""
    if material.stage(stage) is None:
        draft.fault(
            place,
            told("`{id}` has no stage `{stage}`, and {why}", id=material.id, stage=stage, why=why),
            _has(material),
        )


def _by_name(after: After) -> tuple[str, str, int]:
    return after.step, after.stage or "", after.wait


def _resolve(draft: Draft, after: After, task: str) -> Link | None:
    """The plain link that an entry of `follows` asks for, if what it names is there."""
    place = after.place or draft.place_of(task)
    target = draft.targets.get(after.step)
    if target is None and draft.doubts.may_be(after.step):
        return None
    if target is None:
        hint = meant(after.step, list(draft.targets))
        draft.fault(place, told("no step or colour is called `{step}`", step=after.step), hint)
        return None
    if after.stage in (None, "end"):
        return _written(after, Link(before=target.last, after=task, wait=after.wait, within=after.within))
    unknown = target.unknown or after.step in draft.doubts.entries
    windowed = {OPEN: _while_open, POT_LIFE: _within_pot_life}.get(after.stage or "")
    if windowed is not None:
        return None if unknown else windowed(draft, after, target, task)
    film = None if unknown else _film_with(draft, target, after.stage or "", place)
    if film is None:
        return None
    return _written(after, Link(before=film, after=task, stage=after.stage, wait=after.wait, within=after.within))


def _while_open(draft: Draft, after: After, target: Target, task: str) -> Link | None:
    """The link of a step that joins or wipes a film while it is open; a fault if nothing is known of that."""
    place = after.place or draft.place_of(task)
    if target.film is None or target.material is None or target.material.open_time is None:
        what = (
            told("`{material}` has no open time", material=target.material.id)
            if target.material
            else told("`{name}` lays no film", name=target.name)
        )
        draft.fault(
            place,
            told("{what}, so nothing is open", what=what),
            told("follow its end (`{name}`), or say `within`", name=target.name),
        )
        return None
    return _written(after, Link(before=target.film, after=task, wait=after.wait, until=OPEN_UNTIL))


def _within_pot_life(draft: Draft, after: After, target: Target, task: str) -> Link | None:
    """The link of a step that lays what another has mixed: one batch, in one go, before its pot life is over.

    A fault if nothing is known of that life, or if the step takes longer than that.
    """
    place, laying = after.place or draft.tasks[task].place, draft.tasks[task]
    own = draft.targets.get(task)
    if task in draft.doubts.entries or (own is not None and own.unknown):
        return None
    material = draft.trade.material(laying.film.material) if laying.film else None
    if material is None or material.pot_life is None:
        what = (
            told("`{id}` has no pot life", id=material.id)
            if material
            else told("`{task}` lays nothing, so nothing was mixed for it", task=task)
        )
        draft.fault(place, what, told("follow the end (`{name}`), or say `within`", name=target.name))
        return None
    if laying.work.planned > material.pot_life:
        said = told(
            "a batch of `{id}` is good for {pot_life} min, and this takes {planned}",
            id=material.id,
            pot_life=material.pot_life,
            planned=laying.work.planned,
        )
        draft.fault(place, said, "make several steps of it, each with a batch of its own")
        return None
    draft.tasks[task] = replace(laying, smallest_piece=None)
    return _written(after, Link(before=target.last, after=task, wait=after.wait, until=POT_LIFE))


def _written(after: After, link: Link) -> Link:
    """The link with the places of the file from which it comes."""
    return replace(link, place=after.place, limit_place=after.limit_place)


def _film_with(draft: Draft, target: Target, stage: str, place: Place | None) -> str | None:
    """The task whose film comes to that stage; a fault if there is no such film or it never does."""
    material = target.material
    if material is None:
        hint = told("follow its end (`{name}`) or a time after it (`{name}: 2 h`)", name=target.name)
        draft.fault(
            place, told("`{name}` lays no film, so it has no stage `{stage}`", name=target.name, stage=stage), hint
        )
    elif stage == WINDOW_END:
        draft.fault(place, told("at `{stage}` a window closes, nothing begins", stage=stage), "follow at `recoat`")
    elif material.stage(stage) is None:
        draft.fault(
            place,
            told("`{id}` ({name}) has no stage `{stage}`", id=material.id, name=target.name, stage=stage),
            _has(material),
        )
    else:
        return target.film
    return None


def _has(material: Material) -> str:
    names = [stage.stage.replace("_", " ") for stage in material.stages if stage.stage != WINDOW_END]
    return told("write one that it has: {names}", names=", ".join(f"`{name}`" for name in names))
