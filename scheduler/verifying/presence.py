"""Who is there where a room is warmed only while somebody is."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import chain

from scheduler.model.basics import Span
from scheduler.model.message import message
from scheduler.model.plan import PlannedStep
from scheduler.model.spans import union, without
from scheduler.verifying.evidence import Evidence, Found, Held, told
from scheduler.verifying.film import reached


def somebody_there(evidence: Evidence) -> Found:
    """In a room that is warmed only while somebody is there, a film is never left alone in unfit air: each minute
    from its laying to the stage until which its air must be fit is fit without heat, or lies in a session of the
    plan. Where it is reckoned with the warmth of somebody's being there, the plan has somebody there.
    """
    sessions = union(Span(session.start, session.end) for session in evidence.plan.sessions)
    for step, _ in evidence.known():
        clocks = evidence.films.get(step.id)
        if clocks is None or clocks.unheated is None or evidence.started(step.id):
            continue
        for piece in evidence.planned(step):
            stage = clocks.stages[clocks.hold_until] if clocks.hold_until else None
            held = piece.end if stage is None else reached(stage, piece.end)
            alone = without(without((Span(piece.start, held),), clocks.unheated), sessions)
            if alone:
                yield step.id, message("rule.alone", need=told(alone[0]), limits=clocks.air or clocks.limits_said)
    for room in evidence.job.rooms:
        if room.warmed is None or room.there is None:
            continue
        if room.id in evidence.job.warmed_in_turn:
            real = union(_by_the_heater(evidence, room.id, room.warmed.takes))
        else:
            real = union(span for span, _ in presence(evidence, room.id))
        ahead = [
            Span(max(span.start, evidence.facts.now), min(span.end, evidence.plan.finish)) for span in room.there
        ]
        missing = without(ahead, real)
        if missing:
            yield "", message("rule.nobody warms", room=room.title, span=told(missing[0]))


def warming(evidence: Evidence) -> Iterator[tuple[str, tuple[Span, int, PlannedStep]]]:
    """The things that warm rooms: each time somebody is there, one of them, by the step that ends last. What warms
    several in turn the steps take themselves."""
    for room in evidence.job.rooms:
        if room.warmed is not None and room.warmed.takes and room.id not in evidence.job.warmed_in_turn:
            for span, step in presence(evidence, room.id):
                yield room.warmed.takes, (span, 1, step)


def _by_the_heater(evidence: Evidence, room: str, heater: str) -> Iterator[Span]:
    """When what warms several rooms in turn stands in one: at a step that takes it, and beside its film until that
    may be left alone."""
    for step, task in evidence.known():
        if step.room == room and heater in dict(task.takes):
            yield from step.pieces
            yield from (span for span, _ in _beside(evidence, step, task.id, room))


def presence(evidence: Evidence, room: str) -> Iterator[tuple[Span, PlannedStep]]:
    """From when to when the plan has somebody in a room, session by session, and the step that ends last."""
    here = [
        held
        for step, task in evidence.known()
        for held in chain(_at_work(step, room), _beside(evidence, step, task.id, room))
    ]
    for session in evidence.plan.sessions:
        inside = [(span, step) for span, step in here if span.start < session.end and session.start < span.end]
        if not inside:
            continue
        start = max(session.start, min(span.start for span, _ in inside))
        end, name = max((min(span.end, session.end), step.id) for span, step in inside)
        yield Span(start, end), evidence.steps[name]


def _at_work(step: PlannedStep, room: str) -> Iterator[Held]:
    if step.room == room:
        yield from ((piece, step) for piece in step.pieces)


def _beside(evidence: Evidence, step: PlannedStep, name: str, room: str) -> Iterator[Held]:
    """From the end of a piece until its film may be left alone, within the hours in which it must not."""
    clocks, film = evidence.films.get(name), evidence.tasks[name].film
    if clocks is None or film is None or film.room != room or clocks.hold_until is None:
        return
    for piece in step.pieces:
        for hours in clocks.watched:
            if hours.start < piece.end <= hours.end:
                until = min(hours.end, reached(clocks.stages[clocks.hold_until], piece.end))
                if until > piece.end:
                    yield Span(piece.end, until), step
