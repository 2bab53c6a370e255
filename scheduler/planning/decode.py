"""From a placement back to a Plan: numbers become steps again, each with what held it and when its film is ready."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import timedelta
from zoneinfo import ZoneInfo

from scheduler.model.basics import POT_LIFE, WINDOW_ENDS, Span
from scheduler.model.graph import Link, Task
from scheduler.model.hours import Window, touching
from scheduler.model.material import WINDOW_END
from scheduler.model.message import Message, message
from scheduler.model.plan import Bound, Plan, PlannedFilm, PlannedItem, PlannedStep, Ready, Session, Stay
from scheduler.model.stores import Stores
from scheduler.planning.encode import Lowered, there_from
from scheduler.planning.ground import Ground
from scheduler.planning.kept import promises_kept, visits_met
from scheduler.planning.presence import stays_of, warming
from scheduler.planning.reasons import HeldBy, Why
from scheduler.planning.taken import things_taken
from scheduler.solver.objective import aim_of
from scheduler.solver.problem import Placement, Result
from scheduler.wallclock import DAY, NEVER, at_local, local_date


def raise_plan(ground: Ground, lowered: Lowered, result: Result) -> Plan:
    """The plan that a result stands for."""
    placement = result.placement
    links = _links_in_force(ground, lowered, placement)
    tasks = {task.id: task for task in lowered.tasks}
    pieces = {name: spans for name, spans in zip(lowered.names, placement.pieces, strict=True) if spans}
    waits = {task.id: _waits(ground, task, links, pieces, tasks) for task in lowered.tasks if task.id in pieces}
    zone = ZoneInfo(ground.job.zone)
    arrivals = {item.id: there_from(item, zone) for item in ground.job.items}
    colours = {colour.id: colour.title for colour in ground.job.colours}
    stores = Stores(ground.trade, colours, {item.id: item.title for item in ground.job.items})
    why = Why(lowered, placement, ground.windows, waits, arrivals)
    steps = [
        _step(ground, task, pieces[task.id], waits[task.id], why.holding(i), stores)
        for i, task in enumerate(lowered.tasks)
        if task.id in pieces
    ]
    steps.sort(key=lambda step: (step.start, step.end, step.id))
    finish = placement.finish
    stays = stays_of(ground.job, ground.graph, ground.films, steps)
    sessions = _sessions(ground, steps, stays)
    things = things_taken(ground.job, ground.graph, ground.films, steps, warming(ground.job, steps, sessions, stays))
    ready = {name: _last_ready(ground, steps, name, finish) for name in ("use", "full")}
    return Plan(
        job_id=ground.job.id,
        job=ground.job.name,
        zone=ground.job.zone,
        clock24=ground.job.clock24,
        metric=ground.job.metric,
        as_of=ground.facts.now,
        seed=ground.seed,
        finish=finish,
        usable=ready["use"],
        cured=ready["full"],
        bound=Bound(
            finish_not_before=result.finish_not_before,
            proven=result.finish_not_before >= finish,
            stopped=result.stopped,
        ),
        placements_tried=result.placements_tried,
        windows=_windows_used(ground.windows, steps),
        sessions=sessions,
        steps=tuple(steps),
        items=_items(ground, steps),
        things=things,
        visits=visits_met(ground.job, ground.graph, ground.films, steps),
        promises=promises_kept(ground.job, steps, things, proven=_least(lowered, result)),
        warnings=_warnings(ground, steps),
        learned=ground.learned.lessons,
        language=ground.job.language,
        stays=stays,
    )


def _least(lowered: Lowered, result: Result) -> bool:
    """Whether it is proven that no placement breaks promises by fewer minutes."""
    late = aim_of(lowered.problem, result.placement).late
    whole_alone = not lowered.problem.promises and result.finish_not_before >= result.placement.finish
    return whole_alone or (bool(lowered.problem.promises) and result.late_at_least >= late)


def _links_in_force(ground: Ground, lowered: Lowered, placement: Placement) -> Mapping[str, list[Link]]:
    """All links that hold, in order, by the task that waits, be it to follow or to mend."""
    chosen = [choice.options[taken] for choice, taken in zip(lowered.choices, placement.options, strict=True)]
    chosen += [choice.options[taken] for choice, taken in lowered.settled]
    links: dict[str, list[Link]] = {}
    visited = (link for visit in ground.graph.visits for link in visit.then)
    for link in (
        *ground.graph.links,
        *lowered.owed,
        *(link for option in chosen for link in option.links),
        *visited,
    ):
        links.setdefault(link.after, []).append(link)
        if link.remedy is not None:
            links.setdefault(link.remedy, []).append(link)
    return links


def _waits(
    ground: Ground,
    task: Task,
    links: Mapping[str, list[Link]],
    pieces: Mapping[str, tuple[Span, ...]],
    tasks: Mapping[str, Task],
) -> tuple[Ready, ...]:
    """What a step follows, with the minutes from which and until which it may start.

    What has no work of its own (nothing to tape off, say) is not in the plan; what it waits for is waited for
    instead. Until when that had to be done is no limit for what comes later.
    """
    found: list[Ready] = []
    for link in links.get(task.id, ()):
        if link.before not in pieces:
            before = tasks[link.before]
            if before.remedy_of is None:
                found += (replace(each, latest=None) for each in _waits(ground, before, links, pieces, tasks))
            continue
        end = pieces[link.before][-1].end
        latest = None
        if link.remedy != task.id:
            latest = _latest(ground, link, end)
        found.append(
            Ready(
                step=link.before,
                stage=link.stage or "end",
                ready=_reached(ground, link.before, link.stage, end) + link.wait,
                latest=latest,
                window="" if latest is None else _window(link, tasks),
            )
        )
    return _merged(found)


def _window(link: Link, tasks: Mapping[str, Task]) -> str:
    """What is over when the window of a link is: see `Ready`."""
    if link.until == WINDOW_END:
        return "coat"
    added = tasks[link.remedy].added if link.remedy is not None else None
    return "tape" if added is not None and added.kind in ("added.tape", "added.tape for long") else ""


def _merged(found: Iterable[Ready]) -> tuple[Ready, ...]:
    """Waits for one step at one stage as one: from the latest of their starts to the soonest of their ends."""
    merged: dict[tuple[str, str], Ready] = {}
    for ready in found:
        key = ready.step, ready.stage
        known = merged.setdefault(key, ready)
        ends = [end for end in (known.latest, ready.latest) if end is not None]
        latest = min(ends, default=None)
        window = next((each.window for each in (known, ready) if each.latest == latest), "")
        merged[key] = replace(known, ready=max(known.ready, ready.ready), latest=latest, window=window)
    return tuple(merged[key] for key in sorted(merged))


def _reached(ground: Ground, task: str, stage: str | None, end: int) -> int:
    return end if stage is None else ground.films[task].stages[stage].ready(end)


def _latest(ground: Ground, link: Link, end: int) -> int | None:
    if link.until is not None:
        latest = _reached(ground, link.closing, link.until, end)
        laying = ground.graph.task(link.after).work.planned if link.until == POT_LIFE else 0
        return None if latest >= NEVER else latest - laying
    return None if link.within is None else end + link.within


def _step(
    ground: Ground,
    task: Task,
    pieces: tuple[Span, ...],
    after: tuple[Ready, ...],
    holding: HeldBy,
    stores: Stores,
) -> PlannedStep:
    state = "done" if task.id in ground.facts.done else "under way" if task.id in ground.facts.begun else "planned"
    rooms = {room.id: room.title for room in ground.job.rooms}
    return PlannedStep(
        id=task.id,
        title=task.title,
        room=task.room,
        room_title=rooms.get(task.room, task.room),
        state=state,
        people=task.people,
        labour=sum(piece.minutes for piece in pieces),
        can_pause=task.smallest_piece is not None,
        smallest_piece=task.smallest_piece or sum(piece.minutes for piece in pieces),
        pieces=pieces,
        dusty=task.dusty,
        noisy=task.noisy,
        wet=task.wet,
        wipes=task.wipes,
        takes=task.takes,
        after=after,
        needs=task.needs,
        film=_film(ground, task, pieces),
        held=holding.whole,
        holder=holding.step,
        air_wait=holding.air,
        added=task.added,
        cautions=task.cautions,
        uses=tuple(dict.fromkeys(stock.title for stock in stores.of(task) if stock.item is None)),
    )


def _film(ground: Ground, task: Task, pieces: tuple[Span, ...]) -> PlannedFilm | None:
    if task.film is None:
        return None
    clocks = ground.films[task.id]
    material = ground.trade.material(task.film.material)
    *parts, stages = ({name: clock.ready(piece.end) for name, clock in clocks.stages.items()} for piece in pieces)
    return PlannedFilm(
        material=task.film.material,
        material_title=material.title if material is not None else task.film.material,
        coat=task.film.coat,
        thickness_factor=clocks.factor,
        stages=_told(stages),
        limits_said=clocks.limits_said,
        hold_until=clocks.hold_until,
        surfaces=task.film.surfaces,
        parts=tuple(map(_told, parts)),
        bought=material is None or bool(material.packs),
        air=clocks.air,
    )


def _told(stages: Mapping[str, int]) -> dict[str, int]:
    """The stages of a film that it ever reaches."""
    return {name: minute for name, minute in stages.items() if minute < NEVER and name not in WINDOW_ENDS}


def _last_ready(ground: Ground, steps: Sequence[PlannedStep], stage: str, finish: int) -> int:
    """When the last film is at a stage, or NEVER; the end of the work where no film has that stage."""
    films = [(step.film.stages, ground.films[step.id].stages) for step in steps if step.film]
    return max([finish, *(reached.get(stage, NEVER) for reached, known in films if stage in known)])


def _windows_used(windows: Sequence[Window], steps: Sequence[PlannedStep]) -> tuple[Window, ...]:
    """The windows from the first to the last used day."""
    ahead = [piece for step in steps for piece in step.pieces]
    if not ahead:
        return ()
    first, last = min(piece.start for piece in ahead), max(piece.end for piece in ahead)
    days = [window.day for window in windows if window.start < last and window.end > first]
    return tuple(window for window in windows if days and days[0] <= window.day <= days[-1])


def _sessions(ground: Ground, steps: Sequence[PlannedStep], stays: Sequence[Stay]) -> tuple[Session, ...]:
    """Each used session, from the set-up before its first piece to the clear-up after its last, or as long as
    somebody has to stay.

    Who worked through a break did so in the session around it. What is recorded may go on from one session into the
    next, through a night: then the one ends where the next begins.
    """
    job = ground.job
    used: dict[int, list[tuple[Span, PlannedStep]]] = {}
    hours: dict[int, list[Window]] = {}
    for window in ground.windows:
        hours.setdefault(window.session, []).append(window)
    stretches = [replace(windows[0], end=windows[-1].end) for windows in hours.values()]
    for step in steps:
        for piece in step.pieces:
            for window in touching(stretches, piece):
                used.setdefault(window.session, []).append((piece, step))
    found: list[Session] = []
    order = sorted(used)
    for number, session in enumerate(order, start=1):
        following = hours[order[number]][0].start if number < len(order) else NEVER
        inside = used[session]
        people = [w.people for w in hours[session] if any(p.start < w.end and w.start < p.end for p, _ in inside)]
        start = _minutes_before(hours[session], min(piece.start for piece, _ in inside), job.set_up)
        start = start if not found else max(start, found[-1].end)
        end = _minutes_after(hours[session], max(piece.end for piece, _ in inside), job.clear_up)
        end = max(
            [end, *(stay.until for stay in stays if stay.start <= hours[session][-1].end and start < stay.start)]
        )
        end = min(end, following)
        found.append(
            Session(
                number=number,
                start=start,
                end=end,
                people=max(people, default=hours[session][0].people),
                steps=_in_turn(steps, start, end),
            )
        )
    return tuple(found)


def _in_turn(steps: Sequence[PlannedStep], start: int, end: int) -> tuple[str, ...]:
    """The steps that run in a span, in the order in which they begin there; facts may lie outside of all hours."""
    inside = [(piece, step.id) for step in steps for piece in step.pieces if piece.start < end and start < piece.end]
    return tuple(dict.fromkeys(name for _, name in sorted(inside)))


def _minutes_before(hours: Sequence[Window], moment: int, minutes: int) -> int:
    """So many minutes of work before a moment: nobody sets up in the break. Before all hours they are counted on."""
    for window in reversed(hours):
        end = min(window.end, moment)
        if window.start < end and minutes:
            taken = min(minutes, end - window.start)
            moment, minutes = end - taken, minutes - taken
    return moment - minutes


def _minutes_after(hours: Sequence[Window], moment: int, minutes: int) -> int:
    """So many minutes of work after a moment: nobody clears up in the break. After all hours they are counted on."""
    return -_minutes_before([replace(w, start=-w.end, end=-w.start) for w in reversed(hours)], -moment, minutes)


def _items(ground: Ground, steps: Sequence[PlannedStep]) -> tuple[PlannedItem, ...]:
    found = []
    for item in ground.job.items:
        holds = [step for step in steps if item.id in step.needs]
        visits = [visit.start for visit in ground.graph.visits if item.id in visit.needs]
        due = item.arrived or item.expected
        order_by = None
        lies_ahead = due is not None and due > local_date(ground.facts.now, ZoneInfo(ground.job.zone))
        if item.lead_days is not None and due is not None and lies_ahead and (item.arrived or item.ordered) is None:
            # Of what was to come by now it is asked whether it has; nobody is told to order it.
            order_by = due - timedelta(days=item.lead_days)
        found.append(
            PlannedItem(
                item=item.id,
                title=item.title,
                expected=item.expected,
                arrived=item.arrived,
                order_by=order_by,
                needed=min((*visits, *(step.start for step in holds)), default=None),
                holds=tuple(step.id for step in holds),
                ordered=item.ordered,
            )
        )
    return tuple(found)


def _warnings(ground: Ground, steps: Sequence[PlannedStep]) -> tuple[Message, ...]:
    said = list(ground.trade.notes)
    for step in steps:
        said += ground.films[step.id].warnings if step.film is not None else ()
    if ground.job.done_by is not None:
        limit = at_local(ground.job.done_by, DAY, ZoneInfo(ground.job.zone))
        finish = max(step.end for step in steps)
        if finish > limit:
            late = message("warned.too late", finish=finish)
            return (*dict.fromkeys(said), late)
    return tuple(dict.fromkeys(said))
