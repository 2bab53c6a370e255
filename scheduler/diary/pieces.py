"""When a step was really worked on, from when it ended and what the plan had in mind. Pure.

The rule:
1. it ended just when the plan says: the pieces of the plan;
2. else it was worked on up to that end. What the plan had in earlier sessions is taken as done there; the rest of
   the work is one stretch back from the end, through the hours of that session (breaks left out) for a step that can
   pause and ended inside hours, and without a break for any other;
3. what was recorded of it before stands, and the stretch does not reach back over it, nor over the end of what it
   follows: who is done sooner than planned was quicker, and kept to the order.
"""

from __future__ import annotations

from collections.abc import Sequence

from scheduler.model.basics import Span
from scheduler.model.hours import Window


def worked(
    end: int,
    minutes: int,
    *,
    planned: Sequence[Span] = (),
    recorded: Sequence[Span] = (),
    windows: Sequence[Window] = (),
    can_pause: bool = True,
    since: int = 0,
) -> tuple[Span, ...]:
    """The pieces of a step that ended (or was left) at `end` after `minutes` of work in all, recorded ones included.

    At least one minute of work lies just before `end`. `planned` are the pieces of the plan handed out, `windows`
    the work hours around `end`, `since` (before `end`) is when what it follows was over.
    """
    if planned and planned[-1].end == end and tuple(planned[: len(recorded)]) == tuple(recorded):
        return tuple(planned)
    session = _session(end, windows)
    before = session[0].start if session else end - minutes
    first = tuple(recorded) or tuple(span for span in planned if span.end <= min(before, end - 1))
    rest = max(1, minutes - sum(span.minutes for span in first))
    if first and first[-1].end >= end:
        return first
    floor = max(since, first[-1].end if first else 0)
    hours = [Span(window.start, min(window.end, end)) for window in session] if can_pause else []
    return (*first, *_back(end, rest, hours, floor))


def _session(end: int, windows: Sequence[Window]) -> list[Window]:
    """The windows, up to `end`, of the session in which a moment lies; none outside of hours."""
    inside = next((window for window in windows if window.start < end <= window.end), None)
    if inside is None:
        return []
    return [window for window in windows if window.session == inside.session and window.start < end]


def _back(end: int, minutes: int, hours: Sequence[Span], floor: int) -> tuple[Span, ...]:
    """So many minutes back from `end`: through the hours, the rest (or all, without hours) before them in one go."""
    found: list[Span] = []
    at, left = end, minutes
    for span in reversed(hours):
        if left <= 0:
            break
        start = max(span.start, span.end - left)
        found.append(Span(start, span.end))
        at, left = start, left - (span.end - start)
    if left > 0:
        found.append(Span(at - left, at))
    joined: list[Span] = []
    for span in sorted(found):
        start = max(span.start, floor)
        if joined and joined[-1].end == start:
            joined[-1] = Span(joined[-1].start, span.end)
        elif start < span.end:
            joined.append(Span(start, span.end))
    return tuple(joined)
