"""Work windows: when how many people may work, as spans of minutes."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from scheduler.model.basics import Span


@dataclass(frozen=True, slots=True, order=True)
class Window:
    """Work hours [start, end) in minutes (UTC) with a constant number of people, quiet or not.

    Set-up and clear-up are NOT yet taken out: `session` numbers the stretch of windows that is set up and
    cleared up once, `work_start` and `work_end` bound what is left of the session for steps. `day` is the
    local date on which the session began. `rooms` are the only ones in which anybody works (none: all).
    """

    start: int
    end: int
    people: int
    quiet: bool
    session: int
    work_start: int
    work_end: int
    day: date
    rooms: tuple[str, ...] = ()


def touching(windows: Sequence[Window], span: Span) -> Sequence[Window]:
    """Of windows that ascend and do not overlap, those that share a minute with a span."""
    first = bisect_right(windows, span.start, key=lambda window: window.end)
    last = bisect_left(windows, span.end, lo=first, key=lambda window: window.start)
    return windows[first:last]
