"""All that a plan is made from, and the question that it comes to."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from scheduler.model.answer import GivenUp
from scheduler.model.basics import Span
from scheduler.model.clock import FilmClocks
from scheduler.model.facts import Facts
from scheduler.model.graph import TaskGraph
from scheduler.model.hours import Window
from scheduler.model.job import Job
from scheduler.model.learned import Learned
from scheduler.model.material import Trade
from scheduler.planning.encode import Lowered, lower
from scheduler.solver.concessions import untangled


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """All that a plan was made from.

    `going_on`: the end of the last hours of the job, where it is planned as if they went on after that; else 0.
    `given` are the rules that had to give way. `graph` and `films` hold with what was learned; `reckoned` and `table`
    are the same without it, and `past` the dry clocks by which what has happened is judged. `any_hands`: whoever is
    at the steps that more hands shorten, no plan is less late than so many minutes, or with as few ends before a
    minute (None: no step is open to that); `at_best` the same whenever somebody is in rooms that are warmed for that.
    `busy` are the spans in which nobody works.
    """

    job: Job
    trade: Trade
    graph: TaskGraph
    windows: tuple[Window, ...]
    films: Mapping[str, FilmClocks]
    facts: Facts
    seed: int
    going_on: int = 0
    given: tuple[GivenUp, ...] = ()
    learned: Learned = field(default_factory=Learned)
    reckoned: TaskGraph | None = None
    table: Mapping[str, FilmClocks] = field(default_factory=dict)
    past: Mapping[str, FilmClocks] | None = None
    any_hands: tuple[int, int] | None = None
    busy: tuple[Span, ...] = ()
    at_best: tuple[int, int] | None = None

    def question(self, graph: TaskGraph | None = None) -> Lowered:
        """What is asked of the solver, or would be with another task graph."""
        return lower(self.job, graph or self.graph, self.windows, self.films, self.facts)

    def in_order(self, graph: TaskGraph | None = None) -> Lowered:
        """The same, but for what facts have made go round in a circle."""
        lowered = self.question(graph)
        return lowered.giving_up(*untangled(lowered.problem))
