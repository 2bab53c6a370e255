"""Changes of the work: a part sooner, another material, caulk last, a free order, a coat less, no tape."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta
from math import isclose
from zoneinfo import ZoneInfo

from scheduler.model.after import After
from scheduler.model.basics import Estimate
from scheduler.model.foresight import Add, Drop, Edit, Put, Written
from scheduler.model.job import Border, Colour, Item, Job, Lay, Step
from scheduler.model.material import Material
from scheduler.model.names import slug
from scheduler.units import format_thickness, parse_length
from scheduler.wallclock import local_date
from scheduler.whatif.proposal import Proposal, Situation, free

SWAPPED = ("caulks and sealants", "fillers", "paints", "primers")
"""Groups whose families may stand in for each other where both suit the surface. An adhesive, a stain, a clear finish
or what sets tile has a use of its own."""

CAULKS, PRIMERS = "caulks and sealants", "primers"
A_WEEK = timedelta(days=7)
FEWER_FROM = 2
"""Coats from which one less is tried."""
NO_TAPE = Estimate.sure(0)


def work_changes(scene: Situation) -> Iterator[Proposal]:
    """Every change of what is done with what in which order."""
    yield from _items_sooner(scene)
    yield from _materials(scene)
    yield from _caulk_last(scene)
    yield from _free_order(scene)
    yield from _fewer_coats(scene)
    yield from _by_hand(scene)


def _items_sooner(scene: Situation) -> Iterator[Proposal]:
    """A part on order a week earlier than it is expected."""
    today = local_date(scene.plan.as_of, ZoneInfo(scene.job.zone))
    filed = {item.id: item for item in scene.filed.items}
    for item in scene.job.items:
        path = scene.keys.named("on order", item.id)
        if item.arrived is not None or item.expected is None or item.expected <= today or path is None:
            continue
        comes = max(today, item.expected - A_WEEK)
        edit: Edit = (Put((*path, "comes"), str(comes)),)
        if item.early is not None and item.late is not None and comes < item.early:
            edit = (*edit, Put((*path, "between"), f"{comes} and {item.late}"))
        told = filed[item.id].expected != item.expected
        days = (item.expected - comes).days
        yield Proposal(
            kind="a part sooner",
            words=scene.words.tell(
                "change.item", item=item.title, days=scene.words.counted("day", days), day=scene.face.date_of(comes)
            ),
            job=_with_item(item.id, comes),
            edit=() if told else edit,
            cost=free(scene.words.tell("cost.item")),
            how=f"tackfree late {scene.name} {item.id} {comes}" if told else "",
        )


def _with_item(name: str, comes: date) -> Callable[[Job], Job]:
    def sooner(item: Item) -> Item:
        early = None if item.early is None else min(item.early, comes)
        return replace(item, expected=comes, early=early)

    return lambda job: replace(job, items=tuple(sooner(i) if i.id == name else i for i in job.items))


def _materials(scene: Situation) -> Iterator[Proposal]:
    """Another family of the same group, wherever the one is laid, if something waits less for it."""
    laid = {step.lays.material for step in scene.job.steps if step.lays} | {c.material for c in scene.job.colours}
    for name in sorted(laid):
        was = scene.trade.material(name)
        edit = _swap(scene, name, "")
        if was is None or was.group not in SWAPPED or edit is None:
            continue
        wanted = _wanted(scene, name)
        for other in scene.trade.materials:
            if other.id != name and other.group == was.group and _serves(was, other, wanted):
                yield Proposal(
                    kind="another material",
                    words=scene.words.tell("change.material", other=_capital(other.title), was=was.title),
                    job=_with_material(name, other.id),
                    edit=_swap(scene, name, other.id) or (),
                    cost=free(scene.words.tell("cost.material")),
                )


def _wanted(scene: Situation, material: str) -> frozenset[str]:
    """The stages of that family that something waits for."""
    films = [step.id for step in scene.plan.steps if step.film is not None and step.film.material == material]
    return frozenset(stage for name in films for stage in scene.stages.get(name, ()))


def _serves(was: Material, other: Material, wanted: frozenset[str]) -> bool:
    """Whether the other stands all that this one does, has all that is waited for, and is quicker in one stage.

    A ceiling paint does not stand on doors, nor a board's primer on gloss; of a family that does not say what it is
    fit for nothing is known.
    """
    if not was.fit_for or not set(was.fit_for) <= set(other.fit_for):
        return False
    pairs = [(was.stage(stage), other.stage(stage)) for stage in wanted]
    if was.thickness_kind != other.thickness_kind or any(mine is None or yours is None for mine, yours in pairs):
        return False
    return any(yours.typical < mine.typical for mine, yours in pairs if mine and yours)


def _swap(scene: Situation, name: str, other: str) -> Edit | None:
    """The edit that writes another family wherever that one is laid; None if the file does not say so itself."""
    edit: list[Put] = []
    for step in scene.job.steps:
        if step.lays is None or step.lays.material != name:
            continue
        if step.id in scene.begun:
            return None
        at = (*scene.keys.work(step.id), "lays")
        if isinstance(scene.keys.at(at), dict):
            edit.append(Put((*at, "material"), other))
        else:
            edit.append(Put(at, _laid(step.lays, other, scene.job.metric)))
    for colour in scene.job.colours:
        if colour.material != name:
            continue
        path = scene.keys.named("colours", colour.id)
        if path is None or any(task.startswith(f"{colour.id}-") for task in scene.begun):
            return None
        edit.append(Put((*path, "material"), other))
    return tuple(edit)


def _laid(lay: Lay, other: str, metric: bool) -> Written:
    """A film of another family as it stands in a job file: the same coat, as thick."""
    found: dict[str, Written] = {"material": other}
    if lay.coat != 1:
        found["coat"] = str(lay.coat)
    if lay.thickness is not None:
        found["thickness"] = _thick(lay.thickness, metric)
    return other if len(found) == 1 else found


def _thick(metres: float, metric: bool) -> str:
    """A thickness as people of these measures write it, or to the last digit where that says another one."""
    said = format_thickness(metres, metric=metric)
    return said if isclose(parse_length(said), metres, rel_tol=1e-9) else f"{metres * 1000:.6g} mm"


def _with_material(name: str, other: str) -> Callable[[Job], Job]:
    def swapped(lay: Lay | None) -> Lay | None:
        return replace(lay, material=other) if lay is not None and lay.material == name else lay

    return lambda job: replace(
        job,
        steps=tuple(replace(step, lays=swapped(step.lays)) for step in job.steps),
        colours=tuple(replace(c, material=other) if c.material == name else c for c in job.colours),
    )


def _caulk_last(scene: Situation) -> Iterator[Proposal]:
    """Caulk after the primer instead of before it, where a primer waits for the caulk."""
    for caulk in scene.job.steps:
        if caulk.id in scene.begun or _group(scene, caulk) != CAULKS:
            continue
        primers = [
            step
            for step in scene.job.steps
            if _group(scene, step) == PRIMERS
            and step.id not in scene.begun
            and any(after.step == caulk.id for after in step.after)
        ]
        turned = _turned(scene, caulk, primers) if primers else None
        if turned is None:
            continue
        follows, edit = turned
        yield Proposal(
            kind="caulk after the primer",
            words=scene.words.tell("change.caulk", step=scene.words.quoted(caulk.title)),
            job=_with_follows(follows),
            edit=edit,
            cost=free(scene.words.tell("cost.order")),
        )


def _turned(
    scene: Situation, caulk: Step, primers: Sequence[Step]
) -> tuple[dict[str, tuple[After, ...]], Edit] | None:
    """What follows what once the caulk comes after the primers, by id, and the same for the file."""
    names = {primer.id for primer in primers}
    follows: dict[str, tuple[After, ...]] = {}
    for primer in primers:
        kept = tuple(after for after in primer.after if after.step != caulk.id)
        held = {after.step for after in kept}
        follows[primer.id] = (*kept, *(after for after in caulk.after if after.step not in held))
    primed = tuple(After(step=p.id, stage="recoat" if _has(scene, p, "recoat") else None) for p in primers)
    follows[caulk.id] = (*(after for after in caulk.after if after.step not in names), *primed)
    over = After(step=caulk.id, stage="paint_over" if _has(scene, caulk, "paint_over") else None)
    others: tuple[Step | Colour, ...] = (*scene.job.steps, *scene.job.colours)
    for other in others:
        followed = {after.step for after in other.after}
        if other.id not in names and other.id != caulk.id and followed & names and caulk.id not in followed:
            follows[other.id] = (*other.after, over)
    edit: list[Put] = []
    for name, afters in follows.items():
        if name in scene.begun or any(after.remedy for after in afters):
            return None  # what has begun stays; a remedy of a method can't be written in a job file
        written: list[Written] = [_written(scene, after) for after in afters]
        edit.append(Put((*scene.keys.work(name), "follows"), written))
    return follows, tuple(edit)


def _written(scene: Situation, after: After) -> Written:
    """An entry of `follows` as it stands in a job file."""
    path = scene.keys.named("steps", after.step) or scene.keys.named("colours", after.step)
    name = str(path[-1]) if path else after.step
    how: dict[str, Written] = {}
    if after.stage is not None:
        how["stage"] = after.stage
    if after.wait:
        how["wait"] = f"{after.wait} min"
    if after.within is not None:
        how["within"] = f"{after.within} min"
    if not how:
        return name
    return {name: after.stage if list(how) == ["stage"] and after.stage else how}


def _with_follows(follows: dict[str, tuple[After, ...]]) -> Callable[[Job], Job]:
    return lambda job: replace(
        job,
        steps=tuple(replace(step, after=follows.get(step.id, step.after)) for step in job.steps),
        colours=tuple(replace(colour, after=follows.get(colour.id, colour.after)) for colour in job.colours),
    )


def _group(scene: Situation, step: Step) -> str:
    material = scene.trade.material(step.lays.material) if step.lays else None
    return material.group if material else ""


def _has(scene: Situation, step: Step, stage: str) -> bool:
    material = scene.trade.material(step.lays.material) if step.lays else None
    return material is not None and material.stage(stage) is not None


def _free_order(scene: Situation) -> Iterator[Proposal]:
    """The order of colours left to the planner, if the person has fixed it."""
    if scene.job.colour_order and scene.keys.at(("colour order",)) is not None:
        yield Proposal(
            kind="another order of colours",
            words=scene.words.tell("change.order"),
            job=lambda job: replace(job, colour_order=()),
            edit=(Drop(("colour order",)),),
            cost=free(scene.words.tell("cost.order")),
        )


def _fewer_coats(scene: Situation) -> Iterator[Proposal]:
    """One coat less of a colour that has more than one, with a paint that covers better."""
    for colour in scene.job.colours:
        path = scene.keys.named("colours", colour.id)
        if colour.coats < FEWER_FROM or path is None or _has_begun(scene, colour.id):
            continue
        fewer = colour.coats - 1

        def with_fewer(job: Job, name: str = colour.id, fewer: int = fewer) -> Job:
            return replace(job, colours=tuple(replace(c, coats=fewer) if c.id == name else c for c in job.colours))

        yield Proposal(
            kind="a coat less",
            words=scene.words.tell(
                "change.coats", colour=colour.title, fewer=scene.words.counted("in coat", fewer), coats=colour.coats
            ),
            job=with_fewer,
            edit=(Put((*path, "coats"), str(fewer)),),
            cost=free(scene.words.tell("cost.coats" if fewer > 1 else "cost.one coat")),
        )


def _by_hand(scene: Situation) -> Iterator[Proposal]:
    """A line between two colours, or along what is none, cut in by hand instead of taped off."""
    titles = {colour.id: colour.title for colour in scene.job.colours}
    steady = free(scene.words.tell("cost.by hand"))
    for border in scene.job.borders:
        names = [scene.keys.named("colours", name) for name in (border.first, border.second)]
        if not border.taped or None in names or _has_begun(scene, border.first) or _has_begun(scene, border.second):
            continue

        def cut_in(job: Job, one: Border = border) -> Job:
            pair = {one.first, one.second}
            by_hand = (replace(b, tape=NO_TAPE) if {b.first, b.second} == pair else b for b in job.borders)
            return replace(job, borders=tuple(by_hand))

        yield Proposal(
            kind="no tape",
            words=scene.words.tell("change.no tape", one=titles[border.first], other=titles[border.second]),
            job=cut_in,
            edit=(_untaped(scene, [str(path[-1]) for path in names if path]),),
            cost=steady,
        )
    for colour in scene.job.colours:
        path = scene.keys.named("colours", colour.id)
        if colour.tape == NO_TAPE or path is None or _has_begun(scene, colour.id):
            continue

        def freehand(job: Job, name: str = colour.id) -> Job:
            by_hand = (
                replace(c, tape=NO_TAPE, tape_said=True, pull=NO_TAPE) if c.id == name else c for c in job.colours
            )
            return replace(job, colours=tuple(by_hand))

        put = [Put((*path, "tape off"), "none")]
        if scene.keys.at((*path, "pull tape")) is not None:
            put.append(Put((*path, "pull tape"), "0 min"))
        yield Proposal(
            kind="no tape",
            words=scene.words.tell("change.by hand", colour=colour.title),
            job=freehand,
            edit=tuple(put),
            cost=steady,
        )


def _untaped(scene: Situation, names: list[str]) -> Put | Add:
    """What writes into the file that no tape goes between two colours."""
    entry: dict[str, Written] = {"between": list(names), "tape off": "none"}
    for number, border in enumerate(scene.keys.listed(("borders",))):
        pair = border.get("between") if isinstance(border, dict) else None
        said = pair.split(" and ") if isinstance(pair, str) else pair if isinstance(pair, list) else []
        if {slug(str(name)) for name in said} == {slug(name) for name in names}:
            return Put((*scene.keys.entry(("borders",), number), "tape off"), "none")
    return Add(("borders",), entry)


def _has_begun(scene: Situation, colour: str) -> bool:
    return any(slug(task).startswith(f"{colour}-") for task in scene.begun)


def _capital(text: str) -> str:
    return text[:1].upper() + text[1:]
