"""Appointments that cannot be kept: from when on they could come instead.

An appointment never moves by itself. Where no plan keeps one, the work is planned as if it came on the first day on
which it could, at its time of day, and the plan says so before all else.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Mapping, Set
from dataclasses import replace
from zoneinfo import ZoneInfo

from scheduler.model.graph import TaskGraph, Visit
from scheduler.model.job import Job
from scheduler.model.watch import Watch
from scheduler.planning.answering import Wish
from scheduler.planning.encode import Lowered, there_from
from scheduler.planning.ground import Ground
from scheduler.solver.conflicts import Stuck
from scheduler.solver.objective import aim_of
from scheduler.solver.problem import Activity, Lag, Placement, Problem, Promise, Result, Wait
from scheduler.solver.promises import late_minutes
from scheduler.solver.search import search
from scheduler.wallclock import DAY, local_date, same_time

WEEKEND = 5
"""The first weekday of the weekend: who was to come on a weekday is taken to come on another one."""

DAYS = 10
"""How many days are tried for an appointment, from the first on which all that it needs is ready."""

LOOK_AHEAD = 30_000
"""Effort of each search for the first day on which an appointment could come."""


def coming(graph: TaskGraph, comes: Mapping[str, int]) -> TaskGraph:
    """The graph with appointments at other starts, each as long as it is."""
    moved = (_at(visit, comes.get(visit.id, visit.start)) for visit in graph.visits)
    return replace(graph, visits=tuple(sorted(moved, key=lambda visit: (visit.start, visit.id))))


def moved_from(job: Job, graph: TaskGraph) -> dict[str, int]:
    """The appointments of a graph that are not where the job has them, with their starts."""
    agreed = {visit.id: visit.start for visit in job.appointments}
    return {visit.id: visit.start for visit in graph.visits if visit.start != agreed[visit.id]}


def there_for(visit: Visit, job: Job) -> int:
    """The minute from which all that an appointment needs of what is on order is there; NEVER if nobody knows."""
    zone = ZoneInfo(job.zone)
    return max((there_from(item, zone) for item in job.items if item.id in visit.needs), default=0)


def is_kept_waiting(graph: TaskGraph, job: Job, now: int) -> bool:
    """Whether an appointment ahead needs what comes only after its start."""
    return any(visit.start > now and there_for(visit, job) > visit.start for visit in graph.visits)


def in_time(ground: Ground, wish: Wish, watch: Watch | None) -> Ground:
    """The same with the appointments ahead when they could come, where one needs what comes only after its start."""
    waits = is_kept_waiting(ground.graph, ground.job, ground.facts.now)
    return all_put_off(ground, wish, watch) if waits else ground


def all_put_off(ground: Ground, wish: Wish, watch: Watch | None) -> Ground:
    """The same with the appointments ahead when they could come, as no plan keeps them all; without them if that
    makes none either, so that what is in the way shows."""

    def place(problem: Problem) -> Placement | None:
        found = search(problem, min(wish.effort, LOOK_AHEAD), wish.seed, watch, thorough=False, promised=True)
        return None if isinstance(found, Stuck) else found.placement

    later = put_off(ground.graph, ground.job, ground.facts.now, ground.in_order, place)
    return replace(ground, graph=replace(ground.graph, visits=()) if later is None else later)


def no_later_than_need_be(
    ground: Ground,
    lowered: Lowered,
    found: Result,
    broken: Callable[[Ground, Lowered, Result], Set[Hashable]],
    answered: Callable[[Ground, Lowered], Result | Stuck],
) -> tuple[Ground, Lowered, Result]:
    """The same with the appointments that were put off no later than what was found lets them come, if nobody is in
    their way then; and what waits for them no later than that.

    `broken` says which rules a plan breaks, `answered` is the answer to another question.
    """
    graph = drawn_forward(ground.graph, ground.job, ground.facts.now, lowered, found.placement)
    if graph is None:
        return ground, lowered, found
    sooner = replace(ground, graph=graph)
    asked = sooner.question().giving_up(*lowered.given)
    pieces = dict(zip(lowered.names, found.placement.pieces, strict=True))
    booked = zip(asked.names, asked.problem.activities, strict=True)
    moved = replace(
        found.placement, pieces=tuple(each.fixed if each.booked else pieces[name] for name, each in booked)
    )
    other = replace(found, placement=moved)
    if not broken(sooner, asked, other) <= broken(ground, lowered, found):
        return ground, lowered, found
    if any(asked.problem.activities[wait.before].booked for wait in asked.problem.waits):
        better = answered(sooner, asked)
        if not isinstance(better, Stuck) and aim_of(asked.problem, better.placement) < aim_of(asked.problem, moved):
            other = better
    return sooner, asked, other


def put_off(
    graph: TaskGraph,
    job: Job,
    now: int,
    lowered: Callable[[TaskGraph], Lowered],
    place: Callable[[Problem], Placement | None],
) -> TaskGraph | None:
    """The graph with each appointment ahead on the first day on which it can come, the earliest appointment first;
    None if not even that makes a plan.

    `lowered` makes the problem of a graph, `place` a placement of it that breaks promises least, or none.
    """
    settled, zone = {visit.id for visit in graph.visits if visit.start <= now}, ZoneInfo(job.zone)
    for visit in graph.visits:
        if visit.id in settled:
            continue
        problem = _asked(lowered(graph), settled, visit)
        found = place(problem)
        if found is None:
            return None
        ready = max(visit.start + late_minutes(problem, found)[-1], there_for(visit, job))
        settled.add(visit.id)
        for start in _days(visit, ready, zone):
            later = coming(graph, {visit.id: start})
            if place(_asked(lowered(later), settled, None)) is not None:
                graph = later
                break
        else:
            return None
    return graph


def drawn_forward(graph: TaskGraph, job: Job, now: int, lowered: Lowered, placement: Placement) -> TaskGraph | None:
    """The graph with each appointment that was put off on the first day on which all that it needs is ready in a
    placement, where that is earlier than it was taken to come; None if there is none."""
    agreed, zone = {visit.id: visit.start for visit in job.appointments}, ZoneInfo(job.zone)
    problem, first, comes = lowered.problem, len(lowered.tasks), dict[str, int]()
    for k, visit in enumerate(lowered.visits):
        meant = agreed[visit.id]
        if visit.start <= max(now, meant):
            continue
        on_time = Promise(ends=_ends(problem, first + k), by=meant)
        late = late_minutes(replace(problem, promises=(on_time,)), placement)[0]
        days = _days(_at(visit, meant), max(meant + late, there_for(visit, job)), zone)
        if days and now < days[0] < visit.start:
            comes[visit.id] = days[0]
    return coming(graph, comes) if comes else None


def _ends(problem: Problem, i: int) -> tuple[tuple[int, Lag], ...]:
    """What an appointment waits for, each with how long after its end."""
    return tuple((wait.before, wait.lag) for wait in problem.waits if wait.after == i)


def _at(visit: Visit, start: int) -> Visit:
    return replace(visit, start=start, end=start + visit.end - visit.start)


def _days(visit: Visit, ready: int, zone: ZoneInfo) -> list[int]:
    """Where it is, and then at the same time of each day from when all that it needs is ready."""
    day = local_date(visit.start, zone)
    ahead = [local_date(ready + number * DAY, zone) for number in range(2 * DAYS)]
    if day.weekday() < WEEKEND:
        ahead = [each for each in ahead if each.weekday() < WEEKEND]
    starts = [same_time(visit.start, each, zone) for each in ahead]
    return ([visit.start] if ready <= visit.start else []) + [
        start for start in starts if start >= ready and start > visit.start
    ][:DAYS]


def loosened(lowered: Lowered, now: int) -> Problem:
    """The problem with each appointment ahead as a moment that is not before its start, as if it could wait until all
    that it needs is ready; and promises that each need not wait."""
    problem, first = lowered.problem, len(lowered.tasks)
    loose = {first + k: visit for k, visit in enumerate(lowered.visits) if visit.start > now}
    floating = _floating(problem, loose)
    activities = tuple(
        replace(each, release=loose[i].start) if i in loose else each for i, each in enumerate(floating.activities)
    )
    return replace(
        floating,
        activities=activities,
        promises=(*floating.promises, *(_on_time(problem, i, visit) for i, visit in loose.items())),
    )


def _on_time(problem: Problem, i: int, visit: Visit) -> Promise:
    """That all that an appointment needs is ready by its start; what it needs of what is on order, as a moment of its
    own."""
    ends = _ends(problem, i)
    return Promise(ends=(*ends, (i, Lag())) if visit.needs else ends, by=visit.start)


def _asked(lowered: Lowered, settled: set[str], wanted: Visit | None) -> Problem:
    """The problem with all appointments that are not settled as mere moments, and one promise alone: that the wanted
    one can begin on time."""
    problem, first = lowered.problem, len(lowered.tasks)
    loose = {first + k: visit for k, visit in enumerate(lowered.visits) if visit.id not in settled}
    name = None if wanted is None else wanted.id
    promises = tuple(_on_time(problem, i, visit) for i, visit in loose.items() if visit.id == name)
    return replace(_floating(problem, loose), promises=promises)


def _floating(problem: Problem, loose: Mapping[int, Visit]) -> Problem:
    """The problem with some appointments as moments, as soon as all that they need is ready; what comes then waits
    for as long as they last, and nobody is kept out."""
    given = [number for number, hold in enumerate(problem.holds) if hold.giver in loose]
    return replace(
        problem,
        activities=tuple(
            _moment(activity) if i in loose else activity for i, activity in enumerate(problem.activities)
        ),
        waits=tuple(_lasting(wait, loose) for wait in problem.waits),
        barriers=tuple(barrier for barrier in problem.barriers if barrier.by not in loose),
        holds=tuple(
            replace(hold, giver=None, at_start=False) if number in given else hold
            for number, hold in enumerate(problem.holds)
        ),
        stay=None,
    )


def _moment(activity: Activity) -> Activity:
    return replace(activity, fixed=(), booked=False)


def _lasting(wait: Wait, loose: Mapping[int, Visit]) -> Wait:
    visit = loose.get(wait.before)
    if visit is None:
        return wait
    return replace(wait, lag=replace(wait.lag, amount=wait.lag.amount + visit.end - visit.start))
