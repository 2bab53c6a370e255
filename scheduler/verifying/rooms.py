"""What the room, the air, the deliveries and the ladder allow."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable
from itertools import accumulate

from scheduler.model.basics import Span
from scheduler.model.graph import Task
from scheduler.model.message import message
from scheduler.model.plan import PlannedStep
from scheduler.verifying.evidence import Evidence, Found, gathered, told
from scheduler.verifying.overlap import Overlaps
from scheduler.wallclock import NEVER, at_local


def dust_and_wet_film(evidence: Evidence) -> Found:
    """From the start of a wet step until its film is `dust_free`, nothing dusty runs in its room.

    A wet step without such a stage is wet until its end.
    """
    dust = {
        room: _planned(evidence, [entry for entry in inside if entry[1].dusty])
        for room, inside in evidence.by_room.items()
    }
    for wet, task in evidence.known():
        if not task.wet:
            continue
        dry = evidence.stage_at(wet.id, "dust_free")
        tacky = Span(wet.start, wet.end if dry is None else max(dry, wet.end))
        for piece, dusty in dust[task.room].touching(*tacky):
            if dusty.id != wet.id:
                yield dusty.id, message("rule.dust", piece=told(piece), wet=wet.id, until=tacky.end)


def no_dust_while_wiping(evidence: Evidence) -> Found:
    """From the start of a step that only wipes down until its end, nothing dusty runs in its room; of one that was
    begun before the dust was all made, what is left goes on."""
    for wipe, task in evidence.known():
        if task.wipes and not task.dusty and not task.wet and not evidence.started(wipe.id):
            dust = _planned(evidence, [entry for entry in evidence.by_room[task.room] if entry[1].dusty])
            for piece, dusty in dust.touching(wipe.start, wipe.end):
                yield dusty.id, message("rule.dust wiped", piece=told(piece), wipe=wipe.id, until=wipe.end)


def wiped_before_wet(evidence: Evidence) -> Found:
    """After dust in a room a wipe-down runs, from its start to its end, before anything wet starts there.

    A dusty step that wipes leaves the room clean at its own end; a wet step that wipes begins with just that.
    """
    floors = {room: _Floor(inside) for room, inside in evidence.by_room.items()}
    for wet, task in evidence.known():
        if not task.wet or task.wipes or evidence.started(wet.id):
            continue
        for name, piece in floors[task.room].dust_at(wet.start).items():
            if name != wet.id:
                yield wet.id, message("rule.in dust", start=wet.start, dusty=evidence.named(name), piece=told(piece))


class _Floor:
    """The dust that steps leave in one room, and the wiping of it."""

    def __init__(self, inside: Iterable[tuple[PlannedStep, Task]]) -> None:
        wipes = sorted((step.end, step.start) for step, task in inside if task.wipes)
        self._wiped = [end for end, _ in wipes]
        self._from = list(accumulate((start for _, start in wipes), max))  # the last start of all wiping up to here
        self._dust = sorted(
            (piece.end, piece.start, step.id, step.end if task.wipes else NEVER)
            for step, task in inside
            if task.dusty
            for piece in step.pieces
        )

    def dust_at(self, moment: int) -> dict[str, Span]:
        """A piece of each step whose dust lies there: it ended, and neither the step nor another has wiped since."""
        at = bisect_right(self._wiped, moment)
        since = self._from[at - 1] if at else -NEVER
        found: dict[str, Span] = {}
        for end, start, name, own in self._dust[bisect_right(self._dust, (since, NEVER)) :]:
            if end > moment:
                break
            if own > moment:
                found.setdefault(name, Span(start, end))
        return found


def closed_rooms(evidence: Evidence) -> Found:
    """Nobody else works in a room from the start of a step that closes it until its film is at the named stage."""
    pieces: dict[str, Overlaps[PlannedStep]] = {}
    for name, stage in evidence.graph.closed.items():
        moment, opened = evidence.moment(name), evidence.stage_at(name, stage)
        if moment is None:
            continue
        closed = Span(moment.start, moment.end if opened is None else opened)
        room = evidence.tasks[name].room
        if room not in pieces:
            pieces[room] = _planned(evidence, evidence.by_room.get(room, ()))
        for piece, step in pieces[room].touching(*closed):
            if step.id != name:
                closing = evidence.named(name)
                yield step.id, message("rule.closed", piece=told(piece), closing=closing, until=closed.end)


def air_limits(evidence: Evidence) -> Found:
    """A film is laid inside the air limits of its material: its start and the moment up to which the air must hold
    (the stage `hold_until`, else the end of the step) lie in one and the same fit span.
    """
    for step, _ in evidence.known():
        clocks = evidence.films.get(step.id)
        if clocks is None or clocks.fit is None or evidence.started(step.id):
            continue
        held = evidence.stage_at(step.id, clocks.hold_until) if clocks.hold_until else None
        held = step.end if held is None else held
        if held >= NEVER or not any(span.start <= step.start and held <= span.end for span in clocks.fit):
            need = told(Span(step.start, held))
            yield step.id, message("rule.air", need=need, limits=clocks.air or clocks.limits_said)


def items_there(evidence: Evidence) -> Found:
    """A step that needs an ordered item starts only after it is there: from the beginning of that local day."""
    items = {item.id: item for item in evidence.job.items}
    for step, task in evidence.known():
        if evidence.started(step.id):
            continue
        for need in task.needs:
            if need not in items:
                yield step.id, message("rule.not ordered", item=need)
                continue
            day = items[need].arrived or items[need].expected
            if day is not None and step.start < at_local(day, 0, evidence.zone):
                yield step.id, message("rule.item", start=step.start, item=need, day=day.isoformat())


def things_shared(evidence: Evidence) -> Found:
    """Of shared things that nobody keeps for longer no more are in use at any minute than there are."""
    counts = {thing.id: thing.count for thing in evidence.job.things}
    takes = [
        (thing, number, step)
        for step, task in evidence.known()
        for thing, number in task.takes
        if thing not in evidence.kept
    ]
    uses = {
        thing: Overlaps((piece, number) for number, step in users for piece in step.pieces)
        for thing, users in gathered((thing, (number, step)) for thing, number, step in takes).items()
    }
    for thing, _, step in takes:
        for piece in evidence.planned(step):
            taken = sum(number for _, number in uses[thing].touching(piece.start, piece.start + 1))
            if taken > counts.get(thing, 0):
                there = counts.get(thing, 0)
                yield step.id, message("rule.things", thing=thing, start=piece.start, taken=taken, there=there)


def _planned(evidence: Evidence, entries: Iterable[tuple[PlannedStep, Task]]) -> Overlaps[PlannedStep]:
    """The pieces of these steps that the plan itself decided on."""
    return Overlaps((piece, step) for step, _ in entries for piece in evidence.planned(step))
