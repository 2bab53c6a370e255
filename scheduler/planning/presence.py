"""Rooms that are warmed only while somebody is there: when somebody may be, and when a plan has somebody there.

The air of such a room depends on the plan, and the plan on the air. So a plan is made as if somebody were there in
all hours, which no plan can better; then it is looked at whether it holds in the air of the hours that it uses, and
made again in that air where it does not (`pipeline`).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import replace

from scheduler.model.basics import Span
from scheduler.model.clock import FilmClocks
from scheduler.model.graph import TaskGraph
from scheduler.model.hours import Window
from scheduler.model.job import Job, Room
from scheduler.model.plan import PlannedStep, Session, Stay, Taken
from scheduler.model.spans import union

Presence = Mapping[str, tuple[Span, ...]]
"""By the id of a room that is warmed while somebody is there: when somebody is."""


def is_warmed(job: Job) -> bool:
    """Whether any room is warmed only while somebody is there."""
    return any(room.warmed is not None for room in job.rooms)


def attended(job: Job, presence: Presence | None) -> Job:
    """The job with somebody there then; None: nobody knows when."""
    return replace(
        job,
        rooms=tuple(
            room
            if room.warmed is None
            else replace(room, hours=(), there=None if presence is None else presence.get(room.id, ()))
            for room in job.rooms
        ),
    )


def open_in(job: Job, windows: Sequence[Window]) -> Job:
    """The job with the hours of each room that is warmed while somebody is there: those of whole sessions, breaks
    among them."""
    return replace(job, rooms=tuple(_open(room, windows) for room in job.rooms))


def _open(room: Room, windows: Sequence[Window]) -> Room:
    if room.warmed is None:
        return room
    sessions: dict[int, Span] = {}
    for window in windows:
        if not window.rooms or room.id in window.rooms:
            start = sessions[window.session].start if window.session in sessions else window.start
            sessions[window.session] = Span(start, window.end)
    return replace(room, hours=union(sessions.values()))


def stays_of(
    job: Job, graph: TaskGraph, films: Mapping[str, FilmClocks], steps: Sequence[PlannedStep]
) -> tuple[Stay, ...]:
    """Each film with which somebody has to stay after it is laid, in order."""
    heaters = {room.id: room.warmed.takes for room in job.rooms if room.warmed is not None}
    found = (
        Stay(start=piece.end, until=until, step=step.id, room=film.room, thing=heaters[film.room])
        for step in steps
        if (film := graph.task(step.id).film) is not None and film.room in heaters
        for piece in step.pieces
        if (until := films[step.id].stay(piece.end)) > piece.end
    )
    return tuple(sorted(found, key=lambda stay: (stay.start, stay.until, stay.step)))


def presence_of(
    job: Job, steps: Sequence[PlannedStep], sessions: Iterable[Session], stays: Sequence[Stay]
) -> Presence:
    """When a plan has somebody in each room that is warmed for that: in each session from the first step there until
    the last is done, or nobody has to stay any more; in rooms that are warmed in turn, while it is this one's."""
    return {
        room.id: union(
            beside_heater(room, steps, stays)
            if room.id in job.warmed_in_turn
            else (span for span, _ in in_sessions(room, steps, sessions, stays))
        )
        for room in job.rooms
        if room.warmed is not None
    }


def beside_heater(room: Room, steps: Sequence[PlannedStep], stays: Sequence[Stay]) -> Iterator[Span]:
    """When what warms several rooms in turn warms this one: while somebody lays a film there, or stays with it."""
    for step in steps:
        if step.room == room.id and room.warmed is not None and room.warmed.takes in dict(step.takes):
            yield from step.pieces
    yield from (Span(stay.start, stay.until) for stay in stays if stay.room == room.id)


def in_sessions(
    room: Room, steps: Sequence[PlannedStep], sessions: Iterable[Session], stays: Sequence[Stay]
) -> Iterator[tuple[Span, str]]:
    """From when to when somebody is in a room, session by session, and the step that ends last."""
    at_work = [(piece, step.id) for step in steps if step.room == room.id for piece in step.pieces]
    beside = [(Span(stay.start, stay.until), stay.step) for stay in stays if stay.room == room.id]
    there = sorted(at_work + beside)
    for session in sessions:
        inside = [
            (Span(max(span.start, session.start), min(span.end, session.end)), name)
            for span, name in there
            if span.start < session.end and session.start < span.end
        ]
        if inside:
            last, name = max((span.end, name) for span, name in inside)
            yield Span(inside[0][0].start, last), name


def warming(
    job: Job, steps: Sequence[PlannedStep], sessions: Sequence[Session], stays: Sequence[Stay]
) -> Iterator[tuple[str, Taken]]:
    """The things that warm rooms, each time somebody is there, by the step that ends last. Where rooms are warmed in
    turn, the steps take them."""
    in_turn = job.warmed_in_turn
    for room in job.rooms:
        if room.warmed is not None and room.warmed.takes and room.id not in in_turn:
            for span, name in in_sessions(room, steps, sessions, stays):
                yield room.warmed.takes, Taken(start=span.start, until=span.end, by=name, amount=1)
