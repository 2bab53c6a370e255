"""How much work, in which pieces."""

from __future__ import annotations

from itertools import pairwise

from scheduler.model.basics import Span
from scheduler.model.message import message
from scheduler.verifying.evidence import Evidence, Found, told


def labour(evidence: Evidence) -> Found:
    """The pieces of a task sum up to its planned work, with what the chosen order of colours adds.

    Two estimates may be rounded up together or each by itself; both are accepted.
    """
    for step, task in evidence.known():
        if step.id in evidence.facts.done or step.id in evidence.facts.begun:
            continue
        extras = evidence.extras(step.id)
        together = task.work
        for extra in extras:
            together = together.plus(extra)
        least, most = together.planned, task.work.planned + sum(extra.planned for extra in extras)
        given = sum(piece.minutes for piece in step.pieces)
        if not least <= given <= most:
            yield step.id, message("rule.labour", given=given, start=step.start, needed=most)
        elif step.labour != given:
            yield step.id, message("rule.labour told", told=step.labour, given=given)


def hands(evidence: Evidence) -> Found:
    """A step that more hands shorten is done by as many as its job knows, in the minutes of that number."""
    said = {step.id: {people for people, _ in step.hands} for step in evidence.job.steps if step.hands}
    for step, task in evidence.known():
        minutes = {people: work.planned for people, work in task.hands}
        allowed = said.get(step.id, set(minutes)) & set(minutes)
        if not minutes:
            continue
        if step.people not in allowed:
            yield step.id, message("rule.hands", people=step.people, allowed=", ".join(map(str, sorted(allowed))))
        elif not evidence.started(step.id) and step.labour != minutes[step.people]:
            yield (
                step.id,
                message("rule.hands take", people=step.people, given=step.labour, needed=minutes[step.people]),
            )


def pieces_in_order(evidence: Evidence) -> Found:
    """Pieces ascend, do not overlap, and none is empty."""
    for step, task in evidence.known():
        for piece in step.pieces:
            if piece.end < piece.start or (piece.end == piece.start and task.work.planned):
                yield step.id, message("rule.empty piece", start=piece.start)
        for before, after in pairwise(step.pieces):
            if after.start < before.end:
                yield step.id, message("rule.overlap", start=after.start)


def one_piece(evidence: Evidence) -> Found:
    """What cannot pause (a wet edge) runs in one go; of a step under way, that is its rest."""
    for step, task in evidence.known():
        pieces = evidence.planned(step)
        if task.smallest_piece is None and len(pieces) > 1:
            yield step.id, message("rule.pause", end=pieces[0].end)


def smallest_piece(evidence: Evidence) -> Found:
    """No piece is shorter than the smallest piece, unless all that is to be done is shorter: then it is one piece."""
    for step, task in evidence.known():
        pieces = evidence.planned(step)
        if task.smallest_piece is None or not pieces:
            continue
        least = min(task.smallest_piece, sum(piece.minutes for piece in pieces))
        short = _shortest(pieces)
        if short.minutes < least:
            yield step.id, message("rule.short piece", minutes=short.minutes, piece=told(short), least=least)


def _shortest(pieces: tuple[Span, ...]) -> Span:
    return min(pieces, key=lambda piece: piece.minutes)
