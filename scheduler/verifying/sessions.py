"""Sessions as the plan tells them, against the hours and the pieces."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from scheduler.model.basics import Span
from scheduler.model.hours import Window
from scheduler.model.message import message
from scheduler.model.plan import Session
from scheduler.verifying.evidence import Evidence, Found, Held, minutes_inside, told
from scheduler.verifying.overlap import Overlaps


def windows_shown(evidence: Evidence) -> Found:
    """The windows of the plan are windows of the job, and none of those that the plan works in is missing."""
    there, shown = set(evidence.windows), set(evidence.plan.windows)
    for window in evidence.plan.windows:
        if window not in there:
            yield "", message("rule.window made up", window=told(Span(window.start, window.end)))
    missing: dict[Window, dict[str, None]] = {}
    for step, _ in evidence.known():
        for piece in evidence.planned(step):
            for _, window in evidence.all_windows.touching(piece.start, piece.end):
                if window not in shown:
                    missing.setdefault(window, {})[step.id] = None
    for window in sorted(missing):
        for name in missing[window]:
            yield name, message("rule.window hidden", window=told(Span(window.start, window.end)))


def sessions_in_order(evidence: Evidence) -> Found:
    """Sessions are numbered upwards and come one after the other."""
    for before, after in pairwise(evidence.plan.sessions):
        if after.number <= before.number or after.start < before.end:
            yield (
                "",
                message("rule.sessions", after=after.number, start=after.start, before=before.number),
            )


def in_one_session(evidence: Evidence) -> Found:
    """Each planned piece lies in exactly one session, and that session names its step."""
    sessions = Overlaps((Span(session.start, session.end), session) for session in evidence.plan.sessions)
    for step, _ in evidence.known():
        for piece in evidence.planned(step):
            near = sessions.touching(piece.start - 1, piece.end + 1)
            holding = [s for span, s in near if span.start <= piece.start and piece.end <= span.end]
            if len(holding) != 1:
                yield step.id, message("rule.in sessions", piece=told(piece), count=len(holding))
            elif step.id not in holding[0].steps:
                yield step.id, message("rule.not named", piece=told(piece), session=holding[0].number)


def sessions_filled(evidence: Evidence) -> Found:
    """A session names the steps that run in it, in the order in which they begin there, and no others."""
    for session in evidence.plan.sessions:
        begins = {step.id: piece.start for piece, step in reversed(_held(evidence, session))}
        idle = [name for name in session.steps if name not in begins]
        starts = [begins[name] for name in session.steps if name in begins]
        if not session.steps or idle:
            kind = "rule.names idle" if idle else "rule.names nothing"
            yield "", message(kind, session=session.number, names=", ".join(idle))
        elif starts != sorted(starts) or len(set(session.steps)) < len(session.steps):
            yield "", message("rule.session order", session=session.number)


def sessions_one_stretch(evidence: Evidence) -> Found:
    """A session lies in one stretch of work hours, each stretch in one session; its people are there and suffice."""
    seen: dict[int, int] = {}
    for session, held in _planned_sessions(evidence):
        inside = [window for _, window in evidence.all_windows.touching(session.start, session.end)]
        stretches = {window.session for window in inside}
        whole = _stretch(evidence, held[0][0])
        number, span = session.number, told(Span(session.start, session.end))
        if not whole or len(stretches) != 1 or session.start < whole[0].start or session.end > whole[-1].end:
            yield "", message("rule.stretch", session=number, span=span)
            continue
        (stretch,) = stretches
        if seen.setdefault(stretch, session.number) != session.number:
            yield "", message("rule.same stretch", session=number, span=span, other=seen[stretch])
        needed, there = max(step.people for _, step in held), max(window.people for window in inside)
        if not min(needed, there) <= session.people <= there:
            yield (
                "",
                message(
                    "rule.session people", session=number, span=span, told=session.people, needed=needed, there=there
                ),
            )


def sessions_set_up(evidence: Evidence) -> Found:
    """A session as it is told has work minutes to set up before its first piece, and to clear up after its last."""
    for session, held in _planned_sessions(evidence):
        whole = _stretch(evidence, held[0][0])
        if not whole:
            continue
        first = max(held[0][0].start, whole[0].work_start)  # a piece before that breaks another rule
        last = min(max(piece.end for piece, _ in held), whole[0].work_end)
        if minutes_inside(evidence, session.start, first) < evidence.job.set_up:
            yield "", message("rule.no set up", session=session.number, minutes=evidence.job.set_up, moment=first)
        if minutes_inside(evidence, last, session.end) < evidence.job.clear_up:
            yield "", message("rule.no clear up", session=session.number, minutes=evidence.job.clear_up, moment=last)


def _planned_sessions(evidence: Evidence) -> Iterator[tuple[Session, list[Held]]]:
    """The sessions that the plan decided on, with their pieces; one that has begun by the record is not judged."""
    for session in evidence.plan.sessions:
        held = _held(evidence, session)
        if held and all(piece in evidence.planned(step) for piece, step in held):
            yield session, held


def _stretch(evidence: Evidence, piece: Span) -> list[Window]:
    """The windows of the stretch of work hours that a piece touches, in order."""
    numbers = {window.session for _, window in evidence.all_windows.touching(piece.start, piece.end)}
    return [window for number in sorted(numbers) for window in evidence.stretches[number]]


def _held(evidence: Evidence, session: Session) -> list[Held]:
    """The pieces that touch a session, by their start."""
    return evidence.all_pieces.touching(session.start, session.end)
