"""Who works when: inside the hours, with enough people, after set-up, quietly, and not in the past."""

from __future__ import annotations

from datetime import timedelta

from scheduler.model.basics import Span
from scheduler.model.hours import Window
from scheduler.model.message import message
from scheduler.model.spans import union, without
from scheduler.verifying.evidence import Evidence, Found, told
from scheduler.wallclock import at_local, local_date


def work_hours(evidence: Evidence) -> Found:
    """Every piece lies inside work hours; it bridges no break, so the windows that hold it touch each other."""
    for step, _ in evidence.known():
        for piece in evidence.planned(step):
            gap = _first_gap(_touched(evidence, piece), piece)
            if gap is not None:
                yield step.id, message("rule.nobody there", piece=told(piece), gap=gap)


def set_up_and_clear_up(evidence: Evidence) -> Found:
    """Set-up and clear-up time is left free in every session: a piece lies between `work_start` and `work_end`."""
    for step, _ in evidence.known():
        for piece in evidence.planned(step):
            for window in _touched(evidence, piece):
                if piece.start < window.work_start or piece.end > window.work_end:
                    room = Span(window.work_start, window.work_end)
                    yield step.id, message("rule.set up", piece=told(piece), room=told(room))
                    break


def enough_people(evidence: Evidence) -> Found:
    """At every minute no more people are at work than are there; so a two-person step runs only with two there."""
    order = {step.id: place for place, (step, _) in enumerate(evidence.known())}
    moments = {piece.start for step, _ in evidence.known() for piece in step.pieces}
    for minute in sorted(moments | {window.start for window in evidence.windows}):
        busy = evidence.all_pieces.touching(minute, minute + 1)
        busy.sort(key=lambda entry: order[entry[1].id])
        there = next((window.people for window in _touched(evidence, Span(minute, minute + 1))), None)
        wanted = sum(step.people for _, step in busy)
        new = [(piece.start, step.id) for piece, step in busy if piece in evidence.planned(step)]
        if there is not None and new and wanted > there:
            steps = tuple(step.id for _, step in busy)
            yield max(new)[1], message("rule.people", at=minute, steps=steps, wanted=wanted, there=there)


def quiet_hours(evidence: Evidence) -> Found:
    """No saw, nailer or sander in quiet hours: no noisy piece touches a quiet window."""
    for step, task in evidence.known():
        for piece in evidence.planned(step):
            quiet = next((window for window in _touched(evidence, piece) if window.quiet), None)
            if task.noisy and quiet is not None:
                hush = Span(quiet.start, quiet.end)
                yield step.id, message("rule.noisy", piece=told(piece), quiet=told(hush))


def rooms_open(evidence: Evidence) -> Found:
    """Nobody works in a room in hours that are for other rooms alone: each minute of a piece lies in hours, or in a
    session moved by hand, that are for its room."""
    moved = tuple(move.now for move in evidence.job.moves)
    if not any(rule.rooms for rule in evidence.job.hours):
        return
    for step, _ in evidence.known():
        for piece in evidence.planned(step):
            first = local_date(piece.start, evidence.zone)
            open_to_it = [
                Span(at_local(day, rule.start, evidence.zone), at_local(day, rule.end, evidence.zone))
                for day in (first, first + timedelta(days=1))
                for rule in evidence.job.hours
                if rule.holds_on(day) and (not rule.rooms or step.room in rule.rooms)
            ]
            shut = without((piece,), union((*open_to_it, *moved)))
            if shut:
                yield step.id, message("rule.room shut", piece=told(piece), room=step.room)


def not_in_the_past(evidence: Evidence) -> Found:
    """Nothing is planned before now, nor before the start of the job; only what is recorded lies there."""
    now = max(evidence.facts.now, evidence.job.start)
    for step, _ in evidence.known():
        early = next((piece for piece in evidence.planned(step) if piece.start < now), None)
        if early is not None:
            yield step.id, message("rule.past", start=early.start, now=now)


def _first_gap(windows: list[Window], piece: Span) -> int | None:
    """The first minute of a piece that none of the ascending windows covers."""
    minute = piece.start
    for window in windows:
        if window.start <= minute < window.end:
            minute = window.end
    return minute if minute < piece.end else None


def _touched(evidence: Evidence, piece: Span) -> list[Window]:
    return [window for _, window in evidence.all_windows.touching(piece.start, piece.end)]
