"""Sessions of the plan handed out that have passed without a word of whether they took place. Pure.

Nothing of them counts as done until somebody says so. A session stays on the list, also when a newer plan has put its
steps elsewhere, until each step of it is recorded or its hours are known to be lost.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace

from scheduler.diary.kept import Kept, Passed
from scheduler.diary.standing import Standing
from scheduler.model.basics import Span
from scheduler.model.diary import Did, Left
from scheduler.model.plan import Plan


def passed_sessions(kept: Kept, standing: Standing, now: int) -> tuple[Passed, ...]:
    """Those that are still open at `now`, in their order, each with the steps that nobody has said a word about.

    Of a session that is going on it is what the plan has ended by now.
    """
    newest = [] if kept.plan is None else list(_of_plan(kept.plan, now))
    known: list[Passed] = []
    for session in sorted((*kept.passed, *newest), key=lambda session: session.span):
        if known and session.span.start < known[-1].span.end:
            known[-1] = _both(known[-1], session) if session in newest else _both(session, known[-1])
        else:
            known.append(session)
    return tuple(_still_open(known, standing))


def as_planned(kept: Kept, step: str) -> Iterator[tuple[Span, ...]]:
    """The pieces that a plan handed out gave to a step: those of sessions that have passed, then the newest.

    A step that went over several sessions ended in the last of them; what another plan had of it before does not
    count: no plan gives a step more than its work.
    """
    planned = next((each for each in kept.plan.steps if each.id == step), None) if kept.plan is not None else None
    sessions = [session for session in kept.passed if step in session.steps]
    for number, session in enumerate(sessions):
        if step in session.ends:
            found: tuple[Span, ...] = ()
            for before in reversed(sessions[: number + 1]):
                if found and (planned is None or sum(span.minutes for span in found) >= planned.labour):
                    break
                found = (*before.steps[step], *found)
            yield found
    if planned is not None:
        yield planned.pieces


def _both(older: Passed, newer: Passed) -> Passed:
    """What two plans had in one session. Planned anew on the same day, it may begin or end at another hour."""
    span = Span(min(older.span.start, newer.span.start), max(older.span.end, newer.span.end))
    ends = tuple(dict.fromkeys((*older.ends, *newer.ends)))
    return Passed(span=span, steps={**older.steps, **newer.steps}, ends=ends)


def _of_plan(plan: Plan, now: int) -> Iterator[Passed]:
    for session in plan.sessions:
        span = Span(session.start, session.end)
        # What was a fact by then was never to come: once it is taken back, nobody waits for news of it.
        ahead = {step.id: [piece for piece in step.pieces if piece.start >= plan.as_of] for step in plan.steps}
        inside = {name: _inside(pieces, span, now) for name, pieces in ahead.items()}
        steps = {name: pieces for name, pieces in inside.items() if pieces}
        ends = tuple(step.id for step in plan.steps if step.id in steps and step.end <= min(session.end, now))
        if steps:
            yield Passed(span=span, steps=steps, ends=ends)


def _inside(pieces: Iterable[Span], span: Span, now: int) -> tuple[Span, ...]:
    return tuple(piece for piece in pieces if span.start <= piece.start < span.end and piece.end <= now)


def _still_open(sessions: Iterable[Passed], standing: Standing) -> Iterator[Passed]:
    for session in sessions:
        steps = {name: pieces for name, pieces in session.steps.items() if not _accounted(name, pieces, standing)}
        if steps:
            yield replace(session, steps=steps, ends=tuple(name for name in session.ends if name in steps))


def _accounted(step: str, pieces: tuple[Span, ...], standing: Standing) -> bool:
    """Whether the record says what became of these pieces: they were worked on, left out, or each lost some of its
    hours."""
    if step in standing.done:
        return True
    if step in standing.begun and standing.begun[step][0][-1].end > pieces[0].start:
        return True
    idle = (*standing.lost, *standing.skipped.get(step, ()))
    return all(any(none.start < piece.end and piece.start < none.end for none in idle) for piece in pieces)


def happened(session: Passed, standing: Standing, labour: Mapping[str, int]) -> Iterator[Did | Left]:
    """What is to be recorded if the session took place as planned. `labour` are the minutes of each step in all."""
    for step, pieces in sorted(session.steps.items(), key=lambda pair: pair[1][-1].end):
        so_far, left = standing.begun.get(step, ((), labour[step]))
        fresh = tuple(piece for piece in pieces if not so_far or piece.start >= so_far[-1].end)
        left -= sum(piece.minutes for piece in fresh)
        whole = (*so_far, *fresh)
        yield Left(step=step, pieces=whole, left=left) if left > 0 else Did(step=step, pieces=whole)
