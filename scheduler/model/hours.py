"""Work windows: when how many people may work, as spans of minutes."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date


@dataclass(frozen=True, slots=True, order=True)
class Window:
    """Work hours [start, end) in minutes (UTC) with a constant number of people, quiet or not.

    Set-up and clear-up are NOT yet taken out: `session` numbers the stretch of windows that is set up and
    cleared up once, `work_start` and `work_end` bound what is left of the session for steps. `day` is the
    local date on which the session began.
    """

    start: int
    end: int
    people: int
    quiet: bool
    session: int
    work_start: int
    work_end: int
    day: date
