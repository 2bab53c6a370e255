"""Sessions as the plan tells them, against the hours and the pieces."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise

from scheduler.model.basics import Span
from scheduler.model.hours import Window
from scheduler.model.plan import Session
from scheduler.verifying.evidence import Held, Ledger, Said, minutes_inside
from scheduler.verifying.overlap import Overlaps


def windows_shown(ledger: Ledger) -> Said:
    """The windows of the plan are windows of the job, and none of those that the plan works in is missing."""
    there, shown = set(ledger.windows), set(ledger.plan.windows)
    for window in ledger.plan.windows:
        if window not in there:
            yield "", f"shows a window {ledger.span(Span(window.start, window.end))} that the job does not have"
    missing: dict[Window, dict[str, None]] = {}
    for step, _ in ledger.known():
        for piece in ledger.planned(step):
            for _, window in ledger.all_windows.touching(piece.start, piece.end):
                if window not in shown:
                    missing.setdefault(window, {})[step.id] = None
    for window in sorted(missing):
        for name in missing[window]:
            yield name, f"works in a window that is not shown: {ledger.span(Span(window.start, window.end))}"


def sessions_in_order(ledger: Ledger) -> Said:
    """Sessions are numbered upwards and come one after the other."""
    for before, after in pairwise(ledger.plan.sessions):
        if after.number <= before.number or after.start < before.end:
            yield (
                "",
                f"session {after.number} ({ledger.say(after.start)}) does not come after session {before.number}",
            )


def in_one_session(ledger: Ledger) -> Said:
    """Each planned piece lies in exactly one session, and that session names its step."""
    sessions = Overlaps((Span(session.start, session.end), session) for session in ledger.plan.sessions)
    for step, _ in ledger.known():
        for piece in ledger.planned(step):
            near = sessions.touching(piece.start - 1, piece.end + 1)
            holding = [s for span, s in near if span.start <= piece.start and piece.end <= span.end]
            if len(holding) != 1:
                yield step.id, f"works {ledger.span(piece)}, which lies in {len(holding)} sessions"
            elif step.id not in holding[0].steps:
                yield step.id, f"works {ledger.span(piece)}, and session {holding[0].number} does not name it"


def sessions_filled(ledger: Ledger) -> Said:
    """A session names the steps that run in it, in the order in which they begin there, and no others."""
    for session in ledger.plan.sessions:
        begins = {step.id: piece.start for piece, step in reversed(_held(ledger, session))}
        idle = [name for name in session.steps if name not in begins]
        starts = [begins[name] for name in session.steps if name in begins]
        if not session.steps or idle:
            yield "", f"session {session.number} names {', '.join(idle) or 'no step'}; nothing of it runs there"
        elif starts != sorted(starts) or len(set(session.steps)) < len(session.steps):
            yield "", f"session {session.number} does not name its steps once each, in order of their start"


def sessions_one_stretch(ledger: Ledger) -> Said:
    """A session lies in one stretch of work hours, each stretch in one session; its people are there and suffice."""
    seen: dict[int, int] = {}
    for session, held in _planned_sessions(ledger):
        inside = [window for _, window in ledger.all_windows.touching(session.start, session.end)]
        stretches = {window.session for window in inside}
        whole = _stretch(ledger, held[0][0])
        name = f"session {session.number} ({ledger.span(Span(session.start, session.end))})"
        if not whole or len(stretches) != 1 or session.start < whole[0].start or session.end > whole[-1].end:
            yield "", f"{name} is not one stretch of work hours"
            continue
        (stretch,) = stretches
        if seen.setdefault(stretch, session.number) != session.number:
            yield "", f"{name} is the same stretch of work hours as session {seen[stretch]}"
        needed, there = max(step.people for _, step in held), max(window.people for window in inside)
        if not min(needed, there) <= session.people <= there:
            yield "", f"{name} is said to have {session.people} people; {needed} are needed and {there} are there"


def sessions_set_up(ledger: Ledger) -> Said:
    """A session as it is told has work minutes to set up before its first piece, and to clear up after its last."""
    for session, held in _planned_sessions(ledger):
        whole = _stretch(ledger, held[0][0])
        if not whole:
            continue
        first = max(held[0][0].start, whole[0].work_start)  # a piece before that breaks another rule
        last = min(max(piece.end for piece, _ in held), whole[0].work_end)
        if minutes_inside(ledger, session.start, first) < ledger.job.set_up:
            yield "", f"session {session.number} has not {ledger.job.set_up} minutes before {ledger.say(first)}"
        if minutes_inside(ledger, last, session.end) < ledger.job.clear_up:
            yield "", f"session {session.number} has not {ledger.job.clear_up} minutes after {ledger.say(last)}"


def _planned_sessions(ledger: Ledger) -> Iterator[tuple[Session, list[Held]]]:
    """The sessions that the plan decided on, with their pieces; one that has begun by the record is not judged."""
    for session in ledger.plan.sessions:
        held = _held(ledger, session)
        if held and all(piece in ledger.planned(step) for piece, step in held):
            yield session, held


def _stretch(ledger: Ledger, piece: Span) -> list[Window]:
    """The windows of the stretch of work hours that a piece touches, in order."""
    numbers = {window.session for _, window in ledger.all_windows.touching(piece.start, piece.end)}
    return [window for number in sorted(numbers) for window in ledger.stretches[number]]


def _held(ledger: Ledger, session: Session) -> list[Held]:
    """The pieces that touch a session, by their start."""
    return ledger.all_pieces.touching(session.start, session.end)
