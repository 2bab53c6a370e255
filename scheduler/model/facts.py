"""What has really happened by now: the record, boiled down to what the planner must take as given."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from scheduler.model.basics import Span
from scheduler.model.learned import Look, Took


@dataclass(frozen=True, slots=True, kw_only=True)
class Facts:
    """Facts at `now`. `done` maps a task to its pieces; `begun` a task to (its pieces so far, minutes left).

    `before` holds the pieces of the plan that was handed out before, by task: what need not move stays there.
    `took` are the minutes that a person said of done or begun tasks, `looks` how films felt. `recorded` says whether
    anything is on record, be it of work, deliveries, hours or air: then there is always a plan of the rest.
    """

    now: int
    done: Mapping[str, tuple[Span, ...]] = field(default_factory=dict)
    begun: Mapping[str, tuple[tuple[Span, ...], int]] = field(default_factory=dict)
    before: Mapping[str, tuple[Span, ...]] = field(default_factory=dict)
    recorded: bool = False
    took: Mapping[str, Took] = field(default_factory=dict)
    looks: tuple[Look, ...] = ()
