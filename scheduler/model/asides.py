"""What the first screen tells beside the plan itself: the chances of its end, what to get, what was promised."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from scheduler.model.basics import Span
from scheduler.model.foresight import Odds
from scheduler.model.shopping import Shopping


@dataclass(frozen=True, slots=True, kw_only=True)
class Asides:
    """All that the first screen tells beside the plan. Everything may be missing: nothing is said of it then.

    `promised` is the day by which the job was to be done; `unrecorded` are sessions of the plan handed out that are
    over, and of which nobody has said whether they took place. `uncited` has, for a caution as it stands in the plan,
    the same without its source.
    """

    odds: Odds | None = None
    shopping: Shopping | None = None
    promised: date | None = None
    unrecorded: tuple[Span, ...] = ()
    uncited: Mapping[str, str] = field(default_factory=dict)
