"""For every item on order, appointment and coming session: how late it may be, and what each week more costs."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from itertools import accumulate
from typing import NamedTuple
from zoneinfo import ZoneInfo

from scheduler.living.held import held_in_place
from scheduler.living.site import Site, replan
from scheduler.model.basics import Span
from scheduler.model.graph import Visit
from scheduler.model.job import Job
from scheduler.model.leeway import Ending, Leeway, Leeways, Point
from scheduler.model.plan import Plan, PlannedItem, Session
from scheduler.model.refusal import NoPlanError
from scheduler.model.spans import union
from scheduler.pipeline import Made, Wish, make_plan
from scheduler.planning.encode import lower, numbered
from scheduler.planning.visits import coming
from scheduler.solver.conflicts import Stuck
from scheduler.solver.problem import Placement
from scheduler.solver.search import search
from scheduler.wallclock import NEVER, at_local, local_date, same_time
from scheduler.whatif.last_free_day import Endings, EndingsByDay, curve, finish_of, last_free
from scheduler.whatif.spread import spread
from scheduler.worktime import windows

Row = PlannedItem | Visit | Session
"""What may be late."""

WEEK = timedelta(days=7)
EFFORT = 150_000
"""Effort of one plan out of many at most; only what the bound leaves open takes it."""

SMALL = 250
"""Steps times rows that are asked about before other processes begin: a small job needs none."""

NEAR = 5
"""So many sessions one after the other are asked about together."""

FEW = 2
"""So many steps stand for a session in its title."""


Tell = Callable[[float, int | None], None]
"""Hears the share of the rows that is over, and the latest end among them."""


def leeways(
    site: Site, now: int, weeks: int, tell: Tell | None = None, processes: int | None = None
) -> tuple[Plan, Leeways]:
    """The plan, and the leeway of all that may be late, with the ending for each of so many weeks.

    Each thing is asked about by itself, or with the sessions next to it, spread over `processes` (as many as there
    are cores); then what one has found out mends the others. Raises NoPlanError if there is no plan to begin with.
    """
    made = replan(site, now)
    what_if = _WhatIf(site, made, site.wish, weeks)
    rows: list[Row] = [item for item in made.plan.items if _may_be_late(item, made)]
    rows += [visit for visit in made.ground.graph.visits if visit.start > now]
    rows += [session for session in made.plan.sessions if session.end > now and _has_plans(session, made)]
    groups = _together(rows)
    here = -(-SMALL // max(len(made.plan.steps), 1))
    first = sum(rows_so_far <= here for rows_so_far in accumulate(map(len, groups)))
    known: list[_Known] = []
    for group in spread(what_if.group, groups, first, processes):
        known += group
        if tell is not None:
            ends = [row.ending(day).finish or NEVER for row in known for day in row.days]
            latest = max((end for end in ends if end < NEVER), default=None)
            tell(len(known) / len(rows), latest)
    mended = what_if.mended(rows, known)
    found = tuple(what_if.told(row, each) for row, each in zip(rows, mended, strict=True))
    return made.plan, Leeways(ending=what_if.ending, found=found, replans=sum(each.asked for each in mended))


def _together(rows: Sequence[Row]) -> list[list[Row]]:
    """The rows in their order, in groups that learn from each other: what holds of a session that falls out holds of
    those near to it that are easier or harder. Of anything else each is a group. How many processes there are makes
    no difference: the same questions are asked.
    """
    groups: list[list[Row]] = []
    for row in rows:
        grows = groups and isinstance(row, Session) and isinstance(groups[-1][0], Session)
        if grows and len(groups[-1]) < NEAR:
            groups[-1].append(row)
        else:
            groups.append([row])
    return groups


def _halving(size: int) -> list[int]:
    """The numbers below `size`: both ends, then again and again the middle of what lies between two."""
    found, between = dict.fromkeys((0, size - 1)), [(0, size - 1)]
    for low, high in between:  # it grows
        middle = (low + high) // 2
        found[middle] = None
        if high - low > 2:
            between += [(low, middle), (middle, high)]
    return list(found)


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


class _End(NamedTuple):
    """When a job ends, the end that is proven to be needed, and the placement that ends so, if it is one of the same
    activities."""

    finish: int
    needed: int
    placement: Placement | None = None


@dataclass(kw_only=True)
class _Known:
    """What is known of one thing: from which minute on it is a pause (0 for a delivery or an appointment), when it is
    due, until when it may be late, the ends for the `days` of its curve, and the placements in which these end."""

    begin: int
    due: date
    free: date
    days: tuple[date, ...]
    endings: Endings
    placements: list[Placement]
    asked: int

    def ending(self, day: date) -> Ending:
        """What is known of the end for a day."""
        return self.endings.ending(self.begin, day)


@dataclass
class _WhatIf:
    """Answers for one plan. What all questions share (tasks, dry clocks) is taken from that plan as it is."""

    site: Site
    made: Made
    wish: Wish
    weeks: int
    ending: Ending = field(init=False)
    household: tuple[Span, ...] = field(init=False)

    def __post_init__(self) -> None:
        plan = self.made.plan
        self.household = self.site.household(plan.as_of, self.made.weeks).spans
        self.ending = Ending(finish=plan.finish, proven=plan.bound.proven)

    def group(self, rows: Sequence[Row]) -> list[_Known]:
        """The leeway of rows that know what each has found out: the first and the last are asked about first, as the
        hardest and the easiest; where these are alike there is nothing left to ask of those between."""
        endings = Endings(self.ending)
        found = {number: self.row(rows[number], endings) for number in _halving(len(rows))}
        return [found[number] for number in range(len(rows))]

    def row(self, row: Row, endings: Endings) -> _Known:
        """The leeway of one thing, asked about with what is known of endings already.

        An item is first needed on some day: until then nothing has to be asked. An appointment comes at its time of
        day on another day. Of a session nobody works from its beginning until the day on which work goes on again.
        """
        plan, placements = self.made.plan, list[Placement]()
        begin, last = 0, self._day(plan.finish)
        if isinstance(row, PlannedItem):
            assert row.expected is not None
            due = row.expected
            first = max(due, self._day(row.needed or plan.finish))
            days = [day for day in self._work_days() if day > first]
        elif isinstance(row, Visit):
            first = due = self._day(row.start)
            days = [due + timedelta(days=number) for number in range(1, max((last - due).days, 0) + 1)]
        else:
            begin = row.start
            first = due = self._day(row.start)
            days = [day for day in self._work_days() if day > due]

        def end_if(day: date, needed: int, goal: int | None) -> tuple[int, int]:
            found = self._end(row, day, needed, goal, placements)
            if found.placement is not None and goal is None:
                placements.append(found.placement)
            return found.finish, found.needed

        asked = EndingsByDay(end_if, endings, begin)
        free = last_free(asked, days, self.ending) or first
        weeks = tuple(due + number * WEEK for number in range(1, self.weeks + 1))
        curve(asked, weeks)
        return _Known(
            begin=begin, due=due, free=free, days=weeks, endings=endings, placements=placements, asked=asked.count
        )

    def mended(self, rows: Sequence[Row], known: Sequence[_Known]) -> list[_Known]:
        """The same with what all know together: what holds of a pause holds of those that are easier or harder, and
        where an end is not proven, the orders in which others end may lead to an earlier one."""
        pauses = Endings(self.ending)
        for each in known:
            if each.begin:
                pauses.learn_all(each.endings)
        others = [placement for each in known for placement in each.placements]
        mended = []
        for row, each in zip(rows, known, strict=True):
            endings = pauses if each.begin else each.endings
            asked = each.asked
            for day in reversed(each.days):
                before = endings.ending(each.begin, day)
                if before.proven:
                    continue
                needed = endings.needed(each.begin, day)
                found = self._end(row, day, needed, None, others, effort=1)
                endings.learn(each.begin, day, found.finish, found.needed)
                if found.finish < finish_of(before) and found.placement is not None:
                    found = self._end(row, day, max(needed, found.needed), None, [found.placement])
                    endings.learn(each.begin, day, found.finish, found.needed)
                asked += 1
            mended.append(replace(each, endings=endings, asked=asked))
        return mended

    def told(self, row: Row, known: _Known) -> Leeway:
        """The leeway of a row for whoever reads it."""
        return Leeway(
            item=row.item if isinstance(row, PlannedItem) else None,
            appointment=row.id if isinstance(row, Visit) else None,
            session=row.number if isinstance(row, Session) else None,
            title=self._titles(row) if isinstance(row, Session) else row.title,
            due=known.due,
            free_until=known.free,
            curve=tuple(Point(comes=day, ending=known.ending(day)) for day in known.days),
        )

    def _end(
        self,
        row: Row,
        day: date,
        needed: int,
        goal: int | None,
        like: Sequence[Placement],
        effort: int | None = None,
    ) -> _End:
        """The end of a full plan if something comes on a day, or work goes on then, and the end that is proven to be
        needed: `needed` at least. With a goal it is only asked whether it can end by then. The orders of the plan,
        and of what is `like` it, come first.
        """
        ground = self.made.ground
        job, graph, busy = self.site.standing.job, ground.graph, tuple[Span, ...]()
        if isinstance(row, PlannedItem):
            items = (replace(each, expected=day) if each.id == row.item else each for each in job.items)
            job = replace(job, items=tuple(items))
        elif isinstance(row, Visit):
            start = same_time(row.start, day, self._zone)
            end = start + row.end - row.start
            moved = (replace(a, start=start, end=end) if a.id == row.id else a for a in job.appointments)
            job, graph = replace(job, appointments=tuple(moved)), coming(graph, {row.id: start})
        else:
            busy = (Span(row.start, max(at_local(day, 0, self._zone), row.end)),)
        taken = union((*self.site.standing.lost, *self.household, *busy))
        known = Span(ground.windows[0].start, ground.windows[-1].end)
        facts = replace(ground.facts, before={})

        most = min(self.wish.effort, EFFORT if effort is None else effort)

        def make(job: Job, hurried: bool) -> Made:
            wish = replace(self.wish, effort=1 if hurried else most)
            return make_plan(job, self.site.trade, facts, wish, busy=taken)

        hours = windows(job, known, self._zone, taken)
        in_order = replace(facts, before=self.made.answer.pieces)  # the first thing to try: the plan, pushed along
        problem = (
            lower(job, graph, hours, ground.films, in_order).giving_up(*numbered(ground.given, ground.graph)).problem
        )
        outcome = search(problem, most, self.wish.seed, needed=needed, goal=goal, like=like)
        if not isinstance(outcome, Stuck):
            found = outcome.placement
            return _End(found.finish, max(needed, outcome.finish_not_before), found)
        if effort is not None:
            return _End(NEVER, needed)
        try:
            plan = held_in_place(job, make).plan
        except NoPlanError:
            return _End(NEVER, needed)
        return _End(plan.finish, max(needed, plan.bound.finish_not_before))

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
