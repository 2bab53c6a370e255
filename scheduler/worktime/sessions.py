"""Sessions: the stretches of work that are set up and cleared up once."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from typing import NamedTuple

from scheduler.model.basics import Span
from scheduler.model.hours import Window


class WorkSpan(NamedTuple):
    """A span of work: the people who are there, whether it is quiet, the rooms in which it is alone (none: all)."""

    span: Span
    people: int
    quiet: bool
    rooms: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class WorkDay:
    """The pieces of one local day, in order, and the breaks (sorted, disjoint) over which a session goes on."""

    day: date
    pieces: tuple[WorkSpan, ...]
    breaks: tuple[Span, ...]


def number(stretches: Iterable[WorkDay], set_up: int, clear_up: int) -> tuple[Window, ...]:
    """The windows of all days. A session without a minute left beside set-up and clear-up gets no number."""
    found: list[Window] = []
    session = 1
    for stretch in stretches:
        for pieces in _sessions(stretch):
            bounds = _left_for_steps([piece.span for piece in pieces], set_up, clear_up)
            if bounds is None:
                continue
            found += [
                Window(*span, people, quiet, session, bounds.start, bounds.end, stretch.day, rooms)
                for span, people, quiet, rooms in pieces
            ]
            session += 1
    return tuple(found)


def _sessions(stretch: WorkDay) -> list[list[WorkSpan]]:
    """Pieces that touch, or are parted by nothing but a declared break, belong together."""
    sessions: list[list[WorkSpan]] = []
    for piece in stretch.pieces:
        gap = Span(sessions[-1][-1].span.end, piece.span.start) if sessions else None
        if gap and (not gap.minutes or any(b.start <= gap.start and gap.end <= b.end for b in stretch.breaks)):
            sessions[-1].append(piece)
        else:
            sessions.append([piece])
    return sessions


def _left_for_steps(spans: Sequence[Span], set_up: int, clear_up: int) -> Span | None:
    """From when to when steps can run. Nobody sets up in the break, so only work minutes are counted."""
    if sum(span.minutes for span in spans) <= set_up + clear_up:
        return None
    backwards = [Span(-span.end, -span.start) for span in reversed(spans)]
    return Span(_minute_after(spans, set_up), -_minute_after(backwards, clear_up))


def _minute_after(spans: Sequence[Span], minutes: int) -> int:
    """The minute at which so many minutes of the spans have gone."""
    for span in spans:
        if minutes <= span.minutes:
            return span.start + minutes
        minutes -= span.minutes
    raise ValueError("more minutes than the spans hold")
