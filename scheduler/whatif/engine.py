"""A job with something changed, planned again in full: what has not changed of hours and dry clocks is used again."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date
from zoneinfo import ZoneInfo

from scheduler.drying.clocks import film_clocks
from scheduler.errors import InputError
from scheduler.learning.lessons import as_felt, of_films
from scheduler.model.basics import Span
from scheduler.model.clock import FilmClocks
from scheduler.model.graph import TaskGraph
from scheduler.model.hours import Window
from scheduler.model.job import Job
from scheduler.model.material import Trade
from scheduler.model.plan import Plan
from scheduler.pipeline import CURING, HORIZONS, Made, Wish, graph_of, span_ahead
from scheduler.planning.encode import Lowered, lower, numbered
from scheduler.planning.hands import hands_in, manned
from scheduler.planning.presence import attended, open_in
from scheduler.planning.visits import coming, moved_from
from scheduler.solver.conflicts import Stuck
from scheduler.solver.problem import Placement
from scheduler.solver.promises import late_minutes
from scheduler.solver.proof.bound import refuted
from scheduler.solver.search import search
from scheduler.wallclock import DAY, at_local, local_date
from scheduler.worktime import windows

LOOK = 6
"""A change gets this part of a plan's effort. Most that help are proven to within that; for one that is not, a plan
of the changed file may end sooner still than is told here."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """What came of a change. `finish` is None where the job cannot be planned, or nothing can be gained. `late` are
    the minutes by which promises and appointments are broken then.

    `proven`: the bound shows that no plan of the changed job ends sooner than the plan that is.
    """

    finish: int | None
    late: int = 0
    proven: bool = False
    placement: Placement | None = None
    zone: str = "UTC"

    def days_used(self) -> set[date]:
        """The local dates on which somebody works."""
        if self.placement is None:
            return set()
        zone = ZoneInfo(self.zone)
        return {local_date(span.start, zone) for spans in self.placement.pieces for span in spans}


def late_in(plan: Plan) -> int:
    """By how many minutes a plan breaks what was promised and agreed, all together."""
    visits = (abs(visit.comes.start - visit.start) for visit in plan.visits if visit.comes is not None)
    return sum(promise.late for promise in plan.promises) + sum(visits)


def past_day(job: Job, finish: int) -> int:
    """By how many minutes a finish lies past the day by which the whole job is promised."""
    if job.done_by is None:
        return 0
    return max(0, finish - at_local(job.done_by, DAY, ZoneInfo(job.zone)))


class Trials:
    """Plans changed jobs, each from scratch with the effort and the seed of the plan that is.

    `trade` knows the families that a change may bring in, besides those of the job.
    """

    def __init__(self, made: Made, trade: Trade, wish: Wish, busy: tuple[Span, ...] = ()) -> None:
        self.made = made
        self.trade = trade
        self.wish = wish
        self.busy = busy
        self.late = late_in(made.plan)
        self._zone = ZoneInfo(made.plan.zone)
        ground = made.ground
        self._felt = of_films(ground.job, ground.trade, ground.graph, ground.table or ground.films, ground.facts)

    def plan(self, job: Job, *, at_all: bool = False) -> Tried:
        """The finish of this job, if it is sooner than that of the plan, or if less that was promised or agreed is
        broken. What contradicts itself has none.

        With `at_all` a placement is sought also where the bound shows that it gains nothing.
        """
        try:
            graph = self._graph(job)
        except InputError:
            return Tried(finish=None)
        finish = self.made.plan.finish
        for weeks in HORIZONS:
            if weeks > self.made.weeks:
                break
            ahead = span_ahead(job, self.made.ground.facts, weeks)
            # Hours after the finish cannot make it earlier, so the bound does without them.
            until = Span(ahead.start, min(ahead.end, finish + DAY))
            gains = at_all or self.late
            if not gains and refuted(self._lowered(job, graph, until).problem, finish - 1):
                return Tried(finish=None, proven=True)
            for asked, broken in self._agreed(job, graph):
                problem = self._lowered(job, asked, ahead).problem
                effort = self.wish.effort if gains else max(1, self.wish.effort // LOOK)
                outcome = search(problem, effort, self.wish.seed, whole=self.wish.whole)
                if not isinstance(outcome, Stuck):
                    found = outcome.placement
                    late = broken + sum(late_minutes(problem, found))
                    if not problem.promises:  # the day of the whole job is asked for beside others alone
                        late += past_day(job, found.finish)
                    better = (late, found.finish) < (self.late, finish)
                    sooner = found.finish if better else None
                    return Tried(finish=sooner, late=late, placement=found, zone=job.zone)
        return Tried(finish=None)

    def may_end_by(self, job: Job, moment: int) -> bool:
        """False where the bound shows that no plan of this job ends by that moment, or it contradicts itself."""
        try:
            graph = self._graph(job)
        except InputError:
            return False
        ahead = span_ahead(job, self.made.ground.facts, self.made.weeks)
        until = Span(ahead.start, min(ahead.end, self.made.plan.finish + DAY))
        return not refuted(self._lowered(job, graph, until).problem, moment)

    def _agreed(self, job: Job, graph: TaskGraph) -> Iterator[tuple[TaskGraph, int]]:
        """The graph with all appointments as they were agreed, and where the plan could not keep them all, as that
        has them, with the minutes by which that breaks them."""
        agreed = {visit.id: visit.start for visit in job.appointments}
        yield coming(graph, agreed), 0
        moved = moved_from(self.made.ground.job, self.made.ground.graph)
        if moved:
            yield coming(graph, moved), sum(abs(start - agreed[name]) for name, start in moved.items())

    def _graph(self, job: Job) -> TaskGraph:
        was = self.made.ground.job
        same = replace(
            job,
            hours=was.hours,
            quiet=was.quiet,
            away=was.away,
            start=was.start,
            rooms=was.rooms,
            items=was.items,
        )
        facts = self.made.ground.facts
        if same == was:
            return self.made.ground.graph
        hands = hands_in(self.made.ground.graph)
        return manned(graph_of(job, self.trade, facts, hands)[1], hands)

    def _lowered(self, job: Job, graph: TaskGraph, ahead: Span) -> Lowered:
        """The problem with hours over that span; those of the plan, which reach further, where they are the same."""
        ground = self.made.ground
        was = ground.job
        usual = job.start == was.start and ahead.end <= span_ahead(was, ground.facts, self.made.weeks).end
        same_hours = (job.hours, job.quiet, job.away) == (was.hours, was.quiet, was.away)
        hours = ground.windows if usual and same_hours else self._windows(job, ahead)
        same_air = graph is ground.graph and attended(job, None).rooms == attended(was, None).rooms
        films = ground.films if usual and same_air else self._films(open_in(attended(job, None), hours), graph, ahead)
        return lower(job, graph, hours, films, ground.facts).giving_up(*numbered(ground.given, graph))

    def _windows(self, job: Job, ahead: Span) -> tuple[Window, ...]:
        return windows(job, ahead, self._zone, self.busy)

    def _films(self, job: Job, graph: TaskGraph, ahead: Span) -> dict[str, FilmClocks]:
        span = Span(ahead.start, ahead.end + CURING)
        table = film_clocks(graph, job.rooms, self.trade, self._zone, span, metric=job.metric)
        return as_felt(self.trade, graph, table, self.made.ground.facts, self._felt)
