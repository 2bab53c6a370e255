"""What a plan must be told about its air: ranges that a film leaves in its own life, and what would cure unfit air.

The dry clocks know the air of half a year; a frost long after a film has cured is no concern of its plan. Here each
film is looked at from the moment at which it is laid to the last stage that it reaches.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from zoneinfo import ZoneInfo

from scheduler.drying.air import AirPiece, room_air
from scheduler.drying.clocks import ClockMaker
from scheduler.drying.limits import hindrance
from scheduler.drying.ranges import life_warnings
from scheduler.drying.spoiling import spoilt, spoilt_told
from scheduler.model.basics import Span
from scheduler.model.graph import TaskGraph
from scheduler.model.job import Job, Room
from scheduler.model.material import HEATING, Material, Trade
from scheduler.model.message import Message, as_written, message
from scheduler.model.plan import Plan, PlannedFilm, PlannedStep
from scheduler.model.region import ELSEWHERE
from scheduler.wallclock import DAY, NEVER

UNKNOWN_LIFE = 120 * DAY
"""Minutes for which the air of a film is looked at that reaches no stage within the air that is known."""

AHEAD = 120 * DAY
"""Minutes of air that are looked at to say why it is never fit."""
MONTH = 30 * DAY


@dataclass(frozen=True, slots=True)
class _Laid:
    """A step with its film, its family, and the air of its room."""

    step: PlannedStep
    film: PlannedFilm
    material: Material
    room: Room
    air: Sequence[AirPiece]

    @property
    def need(self) -> Span:
        """From the start to the moment until which the air must stay inside the limits."""
        hold = self.material.limits.hold_until if self.material.limits else None
        return Span(self.step.start, self.film.stages.get(hold or "", self.step.end))

    @property
    def wet_until(self) -> int:
        """The minute until which something could spoil it."""
        past = self.material.spoils.until if self.material.spoils else ""
        return self.film.stages.get(past, self.step.end)


def air_advice(
    plan: Plan, graph: TaskGraph, rooms: Iterable[Room], trade: Trade, regions: tuple[str, ...] = (ELSEWHERE,)
) -> tuple[Message, ...]:
    """What must be told of the air of this plan, with the steps that it is about; what is alike is told once.

    Whoever is told to heat is told of the cautions with it, as they are said in the `regions`.

    Gaps in readings and ranges that a source does not cover, for the life of each film; limits that a film which is
    laid already has met; and for a step that waits for fit air, what keeps it waiting and what would cure that.
    Raises KeyError for a room or a family that is not there.
    """
    zone = ZoneInfo(plan.zone)
    named = {room.id: room for room in rooms}
    laid: list[_Laid] = []
    said: list[Message] = []
    for name, steps in _by_room(plan, graph).items():
        until = max(max(_life(step, film).end, step.air_wait.end if step.air_wait else 0) for step, film in steps)
        begin = min(step.air_wait.start if step.air_wait else step.start for step, _ in steps)
        air = room_air(named[name], zone, Span(begin, until), metric=plan.metric)
        said += air.warnings
        laid += [_Laid(step, film, _known(trade, film.material), named[name], air.pieces) for step, film in steps]
    said += _merged(_ranges(laid, plan.metric))
    unfit = [*_merged(_met(laid, plan.metric)), *_merged(_waiting(laid, plan.metric))]
    said += unfit
    if unfit or any(piece.wet for each in laid for piece in each.air):
        said += (as_written(caution.text) for caution in trade.cautions_for(HEATING, regions, None))
    return tuple(said)


def unfit(
    name: str, job: Job, graph: TaskGraph, trade: Trade, starts: Sequence[int]
) -> tuple[Message, Message] | None:
    """What keeps the air from being fit for the film of a task that could begin at any of `starts` (ascending), and
    what would cure it; None if nothing does, or it lays none."""
    film = graph.task(name).film
    material = trade.material(film.material) if film else None
    if film is None or material is None:
        return None
    room = next(room for room in job.rooms if room.id == film.room)
    zone, work = ZoneInfo(job.zone), graph.task(name).work.planned
    longer = never_long_enough(material, room, film.ratio, starts[0], work, zone) if starts else None
    return longer or never_fit(material, room, film.ratio, starts, zone, metric=job.metric)


def never_fit(
    material: Material, room: Room, ratio: float, starts: Iterable[int], zone: ZoneInfo, *, metric: bool
) -> tuple[Message, Message] | None:
    """(what keeps the air from being fit, what would cure it) at the first of `starts` (ascending) where it is not.

    None if the air is fit at each start for as long as it must be, or the family has no limits.
    """
    limits = material.limits
    if limits is None:
        return None
    stage = material.stage(limits.hold_until or "")
    air: tuple[AirPiece, ...] = ()
    clock, known = None, 0
    for start in starts:
        if start + AHEAD > known:  # the air is looked up for a month of starts at once: there may be years of them
            known = start + AHEAD + MONTH
            air = room_air(room, zone, Span(start, known)).pieces
            clock = ClockMaker(air).stage(material, stage, ratio) if stage and air else None
        ready = clock.ready(start) if clock else start + 60
        broken = hindrance(limits, air, Span(start, min(ready, start + AHEAD)), metric=metric)
        if broken:
            return (
                message("unfit.begun", start=start, said=tuple(each.said for each in broken)),
                message("unfit.cures", cures=tuple(each.cure for each in broken)),
            )
    return None


def never_long_enough(
    material: Material, room: Room, ratio: float, start: int, work: int, zone: ZoneInfo
) -> tuple[Message, Message] | None:
    """(what keeps a film from being laid, what would cure it) in a room that is warmed only while somebody is there:
    how long somebody would be in it in one go, to lay it in `work` minutes and stay until it may be left alone.

    None if not even then it could be laid there at `start`, or the room is warmed in no such way.
    """
    limits = material.limits
    stage = material.stage(limits.hold_until or "") if limits is not None else None
    if limits is None or room.warmed is None:
        return None
    whole = Span(start, start + AHEAD)
    air = room_air(replace(room, there=(whole,)), zone, whole).pieces
    end = start + work
    held = ClockMaker(air).stage(material, stage, ratio).ready(end) if stage is not None else end
    if held >= NEVER or hindrance(limits, air, Span(start, held), metric=True):
        return None
    return (
        message("unfit.nobody stays", stay=held - start),
        message("unfit.helps.stay", room=room.title),
    )


def _by_room(plan: Plan, graph: TaskGraph) -> dict[str, list[tuple[PlannedStep, PlannedFilm]]]:
    """The steps that lay a film, by the id of the room whose air it dries in."""
    rooms = {task.id: task.film.room for task in graph.tasks if task.film}
    found: dict[str, list[tuple[PlannedStep, PlannedFilm]]] = {}
    for step in plan.steps:
        if step.film and step.id in rooms:
            found.setdefault(rooms[step.id], []).append((step, step.film))
    return found


def _known(trade: Trade, name: str) -> Material:
    material = trade.material(name)
    if material is None:
        raise KeyError(name)
    return material


def _life(step: PlannedStep, film: PlannedFilm) -> Span:
    """From the start of the step to the last stage of its film."""
    return Span(step.start, max(film.stages.values(), default=step.end + UNKNOWN_LIFE))


def _ranges(laid: Iterable[_Laid], metric: bool) -> Iterator[tuple[str, Message]]:
    """(step, what is told) for each range that a film leaves; films of one family in one room share it."""
    groups: dict[tuple[str, str], list[_Laid]] = {}
    for each in laid:
        groups.setdefault((each.room.id, each.material.id), []).append(each)
    for group in groups.values():
        met = [each for each in group if _left(each, each.step.start, each.film.stages, metric)]
        if not met:
            continue
        # Told once for all: each stage is followed to where the last of these films reaches it.
        ends = {stage: max(each.film.stages.get(stage, NEVER) for each in met) for stage in met[0].film.stages}
        for told in _left(met[0], min(each.step.start for each in met), ends, metric):
            yield from ((each.step.id, told) for each in met)


def _left(each: _Laid, start: int, ends: Mapping[str, int], metric: bool) -> tuple[Message, ...]:
    return life_warnings(each.material, each.air, start, ends, metric=metric, where=each.room.title)


def _met(laid: Iterable[_Laid], metric: bool) -> Iterator[tuple[str, Message]]:
    """(step, what is told) for what spoils a film that is laid already, or in part; else for each limit it meets."""
    for each in laid:
        if each.material.limits is None or each.step.state == "planned":
            continue
        room, title = each.room.title, each.material.title
        if lost := spoilt(each.material, each.air, each.step.start, each.wet_until):
            yield each.step.id, message("unfit.lost", room=room, title=title, said=spoilt_told(lost, metric=metric))
            continue
        for broken in hindrance(each.material.limits, each.air, each.need, metric=metric):
            yield each.step.id, message("unfit.met", room=room, title=title, said=broken.said, cure=broken.cure)


def _waiting(laid: Iterable[_Laid], metric: bool) -> Iterator[tuple[str, Message]]:
    """(step, what is told) for each limit that makes a step wait."""
    for each in laid:
        if each.material.limits is None or each.step.air_wait is None:
            continue
        room, title = each.room.title, each.material.title
        for broken in hindrance(each.material.limits, each.air, each.step.air_wait, metric=metric):
            yield each.step.id, message("unfit.waits", room=room, title=title, said=broken.said, cure=broken.cure)


def _merged(told: Iterable[tuple[str, Message]]) -> Iterator[Message]:
    """Each once, with the steps that it is about."""
    steps: dict[Message, list[str]] = {}
    for step, said in told:
        steps.setdefault(said, []).append(step)
    for said, names in steps.items():
        yield message("of steps", said=said, steps=tuple(dict.fromkeys(names)))
