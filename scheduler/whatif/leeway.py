"""For every item on order, appointment and coming session: how late it may be, and what each week more costs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from scheduler.errors import NoPlanError
from scheduler.living.held import held_in_place
from scheduler.living.site import Site, replan
from scheduler.model.basics import Span
from scheduler.model.graph import TaskGraph, Visit
from scheduler.model.job import Job
from scheduler.model.leeway import Ending, Leeway, Leeways, Point
from scheduler.model.plan import Plan, PlannedItem, Session
from scheduler.model.spans import union
from scheduler.pipeline import Made, Wish, make_plan
from scheduler.planning.encode import lower, numbered
from scheduler.planning.visits import coming
from scheduler.solver.conflicts import Stuck
from scheduler.solver.search import search
from scheduler.wallclock import NEVER, at_local, local_date, same_time
from scheduler.whatif.last_free_day import Asked, Endings, curve, last_free
from scheduler.worktime import windows

WEEK = timedelta(days=7)
EFFORT = 150_000
"""Effort of one plan out of many at most; only what the bound leaves open takes it."""

FEW = 2
"""So many steps stand for a session in its title."""


def leeways(site: Site, now: int, weeks: int, tell: Callable[[float], None] | None = None) -> tuple[Plan, Leeways]:
    """The plan, and the leeway of all that may be late, with the ending for each of so many weeks.

    Raises NoPlanError if there is no plan to begin with.
    """
    made = replan(site, now)
    what_if = _WhatIf(site, made, site.wish)
    items = [item for item in made.plan.items if _may_be_late(item, made)]
    sessions = [session for session in made.plan.sessions if session.end > now and _has_plans(session, made)]
    visits = [visit for visit in made.ground.graph.visits if visit.start > now]
    found: list[Leeway] = []
    for item in items:
        found.append(what_if.item(item, weeks))
        _hear(tell, len(found), len(items) + len(visits) + len(sessions))
    for visit in visits:
        found.append(what_if.visit(visit, weeks))
        _hear(tell, len(found), len(items) + len(visits) + len(sessions))
    for session in sessions:
        found.append(what_if.session(session, weeks))
        _hear(tell, len(found), len(items) + len(visits) + len(sessions))
    return made.plan, Leeways(ending=what_if.ending, found=tuple(found), replans=what_if.replans)


def _hear(tell: Callable[[float], None] | None, done: int, of: int) -> None:
    if tell is not None:
        tell(done / of)


def _may_be_late(item: PlannedItem, made: Made) -> bool:
    """Whether an item is still to come and a step waits for it."""
    waiting = any(made.plan.step(step).state == "planned" for step in item.holds)
    return item.arrived is None and item.expected is not None and waiting


def _has_plans(session: Session, made: Made) -> bool:
    """Whether anything is still to be done in a session."""
    return any(
        piece.start >= made.plan.as_of and session.start <= piece.start < session.end
        for step in session.steps
        for piece in made.plan.step(step).pieces
    )


@dataclass
class _WhatIf:
    """Answers for one plan. What all questions share (tasks, dry clocks) is taken from that plan as it is."""

    site: Site
    made: Made
    wish: Wish
    replans: int = 0
    ending: Ending = field(init=False)
    pauses: Endings = field(init=False)
    household: tuple[Span, ...] = field(init=False)

    def __post_init__(self) -> None:
        plan = self.made.plan
        self.household = self.site.household(plan.as_of, self.made.weeks).spans
        self.ending = Ending(finish=plan.finish, proven=plan.bound.proven)
        self.pauses = Endings(self.ending)

    def item(self, item: PlannedItem, weeks: int) -> Leeway:
        """The leeway of an item on order. Until the day on which it is first needed nothing has to be asked."""
        assert item.expected is not None
        first = max(item.expected, self._day(item.needed or self.made.plan.finish))

        def delivery(day: date, needed: int, goal: int | None) -> tuple[int, int]:
            return self._end(self._with(item.item, day), (), needed, goal)

        asked = Asked(delivery, Endings(self.ending))
        free = last_free(asked, [day for day in self._work_days() if day > first], self.ending)
        points = self._curve(asked, item.expected, weeks)
        return Leeway(item=item.item, title=item.title, due=item.expected, free_until=free or first, curve=points)

    def visit(self, visit: Visit, weeks: int) -> Leeway:
        """The leeway of an appointment, which comes at its time of day on another day."""
        due = self._day(visit.start)

        def coming_on(day: date, needed: int, goal: int | None) -> tuple[int, int]:
            start = same_time(visit.start, day, self._zone)
            length = visit.end - visit.start
            job = self.site.standing.job
            moved = (replace(a, start=start, end=start + length) if a.id == visit.id else a for a in job.appointments)
            graph = coming(self.made.ground.graph, {visit.id: start})
            return self._end(replace(job, appointments=tuple(moved)), (), needed, goal, graph)

        asked = Asked(coming_on, Endings(self.ending))
        last = self._day(self.made.plan.finish)
        days = [due + timedelta(days=number) for number in range(1, max((last - due).days, 0) + 1)]
        free = last_free(asked, days, self.ending) or due
        points = self._curve(asked, due, weeks)
        return Leeway(appointment=visit.id, title=visit.title, due=due, free_until=free, curve=points)

    def session(self, session: Session, weeks: int) -> Leeway:
        """The leeway of a session: nobody works from its beginning until the day on which work goes on again."""
        due = self._day(session.start)
        zone = self._zone

        def pause(day: date, needed: int, goal: int | None) -> tuple[int, int]:
            until = max(at_local(day, 0, zone), session.end)
            return self._end(self.site.standing.job, (Span(session.start, until),), needed, goal)

        asked = Asked(pause, self.pauses, session.start)
        days = [day for day in self._work_days() if day > due]
        free = last_free(asked, days, self.ending) or due
        points = self._curve(asked, due, weeks)
        return Leeway(session=session.number, title=self._titles(session), due=due, free_until=free, curve=points)

    def _curve(self, asked: Asked, due: date, weeks: int) -> tuple[Point, ...]:
        endings = curve(asked, [due + number * WEEK for number in range(1, weeks + 1)])
        self.replans += asked.count
        return tuple(Point(comes=day, ending=ending) for day, ending in endings.items())

    def _end(
        self, job: Job, busy: Sequence[Span], needed: int, goal: int | None, graph: TaskGraph | None = None
    ) -> tuple[int, int]:
        """The end of a full plan for this job, less these hours, and the end that is proven to be needed: `needed` at
        least. With a goal it is only asked whether it can end by then.
        """
        ground = self.made.ground
        taken = union((*self.site.standing.lost, *self.household, *busy))
        known = Span(ground.windows[0].start, ground.windows[-1].end)
        facts = replace(ground.facts, before={})

        def make(job: Job, hurried: bool) -> Made:
            wish = replace(self.wish, effort=1) if hurried else self.wish
            return make_plan(job, self.site.trade, facts, wish, busy=taken)

        hours = windows(job, known, self._zone, taken)
        in_order = replace(facts, before=self.made.answer.pieces)  # the first thing to try: the plan, pushed along
        problem = (
            lower(job, graph or ground.graph, hours, ground.films, in_order)
            .giving_up(*numbered(ground.given, ground.graph))
            .problem
        )
        effort = min(self.wish.effort, EFFORT)
        outcome = search(problem, effort, self.wish.seed, needed=needed, goal=goal)
        if not isinstance(outcome, Stuck):
            return outcome.placement.finish, max(needed, outcome.finish_not_before)
        try:
            plan = held_in_place(job, make).plan
        except NoPlanError:
            return NEVER, needed
        return plan.finish, max(needed, plan.bound.finish_not_before)

    def _with(self, item: str, expected: date) -> Job:
        job = self.site.standing.job
        return replace(
            job, items=tuple(replace(each, expected=expected) if each.id == item else each for each in job.items)
        )

    def _work_days(self) -> list[date]:
        """The days with work hours up to the one on which the job ends: later than that nothing comes in time."""
        last = self._day(self.made.plan.finish)
        return sorted({window.day for window in self.made.ground.windows if window.day <= last})

    def _titles(self, session: Session) -> str:
        titles = [self.made.plan.step(step).title for step in session.steps]
        more = f"; and {len(titles) - FEW} more" if len(titles) > FEW else ""
        return "; ".join(titles[:FEW]) + more

    def _day(self, minute: int) -> date:
        return local_date(minute, self._zone)

    @property
    def _zone(self) -> ZoneInfo:
        return ZoneInfo(self.site.job.zone)
