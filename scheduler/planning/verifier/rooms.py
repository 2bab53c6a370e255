"""What the room, the air, the deliveries and the ladder allow."""

from __future__ import annotations

from scheduler.model.basics import Span
from scheduler.model.plan import PlannedStep
from scheduler.planning.verifier.ledger import Ledger, Said
from scheduler.wallclock import NEVER, at_local


def dust_and_wet_film(ledger: Ledger) -> Said:
    """From the start of a wet step until its film is `dust_free`, nothing dusty runs in its room.

    A wet step without such a stage is wet until its end.
    """
    for wet, task in ledger.known():
        if not task.wet:
            continue
        dry = ledger.stage_at(wet.id, "dust_free")
        tacky = Span(wet.start, wet.end if dry is None else max(dry, wet.end))
        for dusty, other in ledger.known():
            if not other.dusty or other.room != task.room or dusty.id == wet.id:
                continue
            for piece in ledger.planned(dusty):
                if _meet(piece, tacky):
                    till = ledger.say(tacky.end)
                    yield dusty.id, f"makes dust {ledger.span(piece)}; {ledger.title(wet.id)} is wet until {till}"


def wiped_before_wet(ledger: Ledger) -> Said:
    """After dust in a room a wipe-down runs, from its start to its end, before anything wet starts there.

    A dusty step that wipes leaves the room clean at its own end; a wet step that wipes begins with just that.
    """
    for wet, task in ledger.known():
        if not task.wet or task.wipes or ledger.started(wet.id):
            continue
        for dusty, other in ledger.known():
            if not other.dusty or other.room != task.room or dusty.id == wet.id:
                continue
            piece = next((p for p in dusty.pieces if _dust_lies(ledger, dusty, p, wet)), None)
            if piece is not None:
                yield (
                    wet.id,
                    f"starts {ledger.say(wet.start)} in the dust of {ledger.title(dusty.id)} ({ledger.span(piece)})",
                )


def _dust_lies(ledger: Ledger, dusty: PlannedStep, piece: Span, wet: PlannedStep) -> bool:
    """Whether the dust of a piece still lies when the wet step starts."""
    if piece.end > wet.start:
        return False
    room = ledger.tasks[wet.id].room
    return not any(
        task.wipes
        and task.room == room
        and step.end <= wet.start
        and (step.id == dusty.id or step.start >= piece.end)
        for step, task in ledger.known()
    )


def closed_rooms(ledger: Ledger) -> Said:
    """Nobody else works in a room from the start of a step that closes it until its film is at the named stage."""
    for name, stage in ledger.graph.closed.items():
        moment, opened = ledger.moment(name), ledger.stage_at(name, stage)
        if moment is None:
            continue
        closed = Span(moment.start, moment.end if opened is None else opened)
        for step, task in ledger.known():
            if step.id == name or task.room != ledger.tasks[name].room:
                continue
            for piece in ledger.planned(step):
                if _meet(piece, closed):
                    till = ledger.say(closed.end)
                    yield step.id, f"works {ledger.span(piece)}; {ledger.title(name)} closes the room until {till}"


def air_limits(ledger: Ledger) -> Said:
    """A film is laid inside the air limits of its material: its start and the moment up to which the air must hold
    (the stage `hold_until`, else the end of the step) lie in one and the same fit span.
    """
    for step, _ in ledger.known():
        clocks = ledger.films.get(step.id)
        if clocks is None or clocks.fit is None or ledger.started(step.id):
            continue
        held = ledger.stage_at(step.id, clocks.hold_until) if clocks.hold_until else None
        held = step.end if held is None else held
        if held >= NEVER or not any(span.start <= step.start and held <= span.end for span in clocks.fit):
            need = ledger.span(Span(step.start, held))
            yield step.id, f"needs fit air from {need}, and the air leaves its limits ({clocks.limits_said})"


def items_there(ledger: Ledger) -> Said:
    """A step that needs an ordered item starts only after it is there: from the beginning of that local day."""
    items = {item.id: item for item in ledger.job.items}
    for step, task in ledger.known():
        if ledger.started(step.id):
            continue
        for need in task.needs:
            if need not in items:
                yield step.id, f"needs “{need}”, which is not on order"
                continue
            day = items[need].arrived or items[need].expected
            if day is not None and step.start < at_local(day, 0, ledger.zone):
                yield step.id, f"starts {ledger.say(step.start)} and needs “{need}”, which comes {day.isoformat()}"


def things_shared(ledger: Ledger) -> Said:
    """Of shared things no more are in use at any minute than there are."""
    counts = {thing.id: thing.count for thing in ledger.job.things}
    uses = [
        (piece, step, thing, number)
        for step, task in ledger.known()
        for piece in step.pieces
        for thing, number in task.takes
    ]
    for piece, step, thing, _ in uses:
        if piece not in ledger.planned(step):
            continue
        taken = sum(n for other, _, same, n in uses if same == thing and other.start <= piece.start < other.end)
        if taken > counts.get(thing, 0):
            there = counts.get(thing, 0)
            yield step.id, f"takes “{thing}” at {ledger.say(piece.start)}: {taken} in use, {there} there"


def _meet(one: Span, other: Span) -> bool:
    return one.start < other.end and other.start < one.end
