"""Read this first: read -> expand -> what was learned -> dry clocks and hours -> plan -> advice. One function shows
every stage in order.

Nothing here asks what time it is, prints, or keeps anything: `now` and the paths are handed in by `cli`.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from zoneinfo import ZoneInfo

from scheduler.drying.advice import air_advice, never_fit, never_long_enough
from scheduler.drying.clocks import film_clocks
from scheduler.errors import NoPlanError
from scheduler.expanding import expand, in_hindsight
from scheduler.learning.lessons import as_felt, as_it_was, of_films, of_pace, together
from scheduler.looking import read
from scheduler.model.answer import Answer
from scheduler.model.basics import Span
from scheduler.model.broken import Broken
from scheduler.model.facts import Facts
from scheduler.model.graph import TaskGraph
from scheduler.model.job import Job
from scheduler.model.learned import Learned
from scheduler.model.material import HEATING, Trade
from scheduler.model.message import Message, as_written, message
from scheduler.model.plan import Plan
from scheduler.model.refusal import Refusal
from scheduler.model.region import regions_of
from scheduler.model.watch import Watch
from scheduler.planning.answering import Wish, answered
from scheduler.planning.decode import Ground, raise_plan
from scheduler.planning.encode import Lowered, lower, numbered, settled_extra
from scheduler.planning.hands import Judged, choosable, choose, manned
from scheduler.planning.presence import Presence, attended, is_warmed, open_in, presence_of
from scheduler.planning.reuse import again, answer_of, question_mark
from scheduler.planning.visits import coming, drawn_forward, is_kept_waiting, moved_from, put_off
from scheduler.solver.concessions import concession, untangled
from scheduler.solver.conflicts import Stuck
from scheduler.solver.exact import nothing_better
from scheduler.solver.objective import aim_of
from scheduler.solver.problem import Placement, Problem, Result, Slot
from scheduler.solver.search import search
from scheduler.verifying import verify
from scheduler.wallclock import DAY, at_local, local_date
from scheduler.worktime import going_on, windows

__all__ = ["CURING", "HORIZONS", "Made", "Wish", "make_plan", "read", "span_ahead"]

HORIZONS = (26, 78, 260)
"""Weeks that a plan may reach ahead, each tried when the one before does not do. The last is five years."""

IN_ITS_AIR = 4
"""How often a plan is made again in the air that the one before makes, before it has to do without."""

LOOK_AHEAD = 30_000
"""Effort of each search for the first day on which an appointment could come."""

JUDGED = 20_000
"""Effort of the search that judges a choice of hands."""

TIMELESS = frozenset({"circle", "window", "clean", "closed", "taken"})
"""What gets stuck by one of these rules gets stuck as well with more weeks ahead."""

DRY = 20 * 7
"""Days from now on. Hours that end before that have run out."""

COLD = frozenset({"stage", "air"})
"""Rules that give way where the air is too cold or too damp."""

SHARED = frozenset({"enough people", "things shared", "things kept"})
"""Rules of the verifier that are broken by two steps together."""

CURING = 120 * DAY
"""How much longer than the hours the air is known: films go on curing after the last step."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A plan with all that it was made from, and the answer to be remembered. It reaches `weeks` ahead at most."""

    plan: Plan
    ground: Ground
    answer: Answer
    weeks: int = HORIZONS[0]


def make_plan(
    job: Job,
    trade: Trade,
    facts: Facts,
    wish: Wish | None = None,
    busy: tuple[Span, ...] = (),
    watch: Watch | None = None,
    known: Answer | None = None,
) -> Made:
    """The plan of a job at `facts.now`. Raises InputError for a job that contradicts itself, NoPlanError for none.

    Nobody works in the spans `busy`. Whoever has a `watch` may stop the search: the best plan found by then comes,
    and the next time it is sought on. An answer `known` from before is not sought again if the question is the same;
    and if it is another, that answer stays as long as it is sound and no other is better.

    Where a room is warmed only while somebody is there, a plan is made as if somebody were in all hours, and again in
    the air of the hours that it uses, until it holds in the air that it makes; in the end without that warmth but
    where somebody has to stay for it.
    """
    wish = wish or Wish()
    if not is_warmed(job):
        return _planned(job, trade, facts, wish, busy, watch, known)
    return _in_its_own_air(job, trade, facts, wish, busy, watch, known)


def _in_its_own_air(
    job: Job,
    trade: Trade,
    facts: Facts,
    wish: Wish,
    busy: tuple[Span, ...],
    watch: Watch | None,
    known: Answer | None,
) -> Made:
    """The plan of a job with rooms that are warmed only while somebody is there, see `make_plan`."""

    def asked(there: Presence | None, answer: Answer | None) -> str:
        graph = graph_of(job, trade, facts, answer.hands if answer is not None else None)[1]
        return question_mark(attended(job, there), trade, graph, facts, busy, wish.effort, wish.seed)

    there = known.there if known is not None and known.question == asked(known.there, known) else None
    made = _planned(attended(job, there), trade, facts, wish, busy, watch, known)
    if there is not None and known is not None and made.answer.pieces == known.pieces:
        return replace(made, answer=replace(made.answer, there=there))
    at_best = made.answer.late_at_least, made.answer.finish_not_before
    stopped = made.plan.bound.stopped
    for _ in range(IN_ITS_AIR):
        uses = presence_of(job, made.plan.steps, made.plan.sessions, made.plan.stays)
        if there == uses:
            break
        there, same = uses, replace(made.answer, question=asked(uses, made.answer))
        made = _planned(attended(job, there), trade, facts, wish, busy, watch, same, at_best)
        stopped = stopped or made.plan.bound.stopped
    else:
        there = {}
        made = _planned(attended(job, there), trade, facts, wish, busy, watch, known, at_best)
        stopped = stopped or made.plan.bound.stopped
    answer = replace(made.answer, there=there, question="" if stopped else made.answer.question)
    return replace(made, answer=answer, plan=replace(made.plan, bound=replace(made.plan.bound, stopped=stopped)))


def _planned(
    job: Job,
    trade: Trade,
    facts: Facts,
    wish: Wish,
    busy: tuple[Span, ...],
    watch: Watch | None,
    known: Answer | None,
    at_best: tuple[int, int] | None = None,
) -> Made:
    """The plan of a job in the air that it says, see `make_plan`. `at_best`: by how many minutes promises are broken
    and when it ends at best, where another question than this one has to be answered for that."""
    reckoned, graph, paces = graph_of(job, trade, facts, known.hands if known is not None else None)
    question = question_mark(job, trade, graph, facts, busy, wish.effort, wish.seed)
    stuck: Stuck | None = None
    for weeks in HORIZONS:
        if stuck is not None and not stuck.proven and weeks < HORIZONS[-1]:
            continue  # a few more hours settle nothing that is not settled now: all of them may
        ground = _ground(job, trade, graph, facts, weeks, wish.seed, busy)
        ground = _learned(replace(ground, reckoned=reckoned, learned=paces))
        ground = replace(ground, at_best=at_best)
        if graph.visits and known is not None and known.question == question:
            ground = replace(ground, graph=coming(graph, known.comes))
        if known is not None and known.question == question:
            ground = replace(ground, graph=manned(ground.graph, known.hands))
        if known is not None and known.question == question and (stands := _standing(ground, known, wish, busy)):
            made, unsound = _made(*stands, question, weeks)
            if not unsound:
                return made
            known = None  # what was kept is not what was found then: it was written over
        ground = _best_manned(_in_time(replace(ground, graph=graph), wish, watch), wish, known)
        lowered = _in_order(lower(job, ground.graph, ground.windows, ground.films, facts))
        outcome = _answered(ground, lowered, known, wish, watch)
        if isinstance(outcome, Stuck) and any(link.firm for link in graph.links):
            graph = with_remedies(graph)
            ground = replace(ground, graph=with_remedies(ground.graph))
            lowered = _in_order(lower(job, ground.graph, ground.windows, ground.films, facts))
            outcome = _answered(ground, lowered, known, wish, watch)
        if isinstance(outcome, Stuck) and any(visit.start > facts.now for visit in graph.visits):
            ground = _put_off(ground, wish, watch)
            lowered = _in_order(lower(job, ground.graph, ground.windows, ground.films, facts))
            outcome = _answered(ground, lowered, known, wish, watch)
        if not isinstance(outcome, Stuck):
            return _made(*_drawn_forward(ground, lowered, outcome, wish, watch), question, weeks)[0]
        stuck = outcome
        timeless = stuck.rule in TIMELESS and (facts.recorded or not stuck.proven)
        if lowered.names[stuck.activity] in lowered.pinned or timeless:
            break  # hours further ahead are of no use
    assert stuck is not None
    if lowered.pinned:
        title = lowered.tasks[stuck.activity].title
        raise _said(Refusal(title, message("refused.moved"), message("refused.cure.moved")), job)
    if facts.recorded or not stuck.proven:
        made = _yielding(ground, lowered, stuck, question, wish, weeks, busy, watch)
        return made if facts.recorded else replace(made, plan=_unsettled(made.plan))
    from scheduler.planning.refusal import explain

    def hours(job: Job, taken: tuple[Span, ...]) -> tuple[Slot, ...]:
        freed = windows(job, span_ahead(job, facts, weeks), ZoneInfo(job.zone), taken)
        return lower(job, ground.graph, freed, ground.films, facts).problem.slots

    raise _said(explain(lowered, stuck, ground, busy, hours, lambda task: _unfit(task, ground)), job)


def _said(refusal: Refusal, job: Job) -> NoPlanError:
    """The error of a refusal. No plan carries it to whoever tells it, so it is put into words here, at the end of all
    planning: what of the stages is handed on to this one place is a record."""
    from scheduler.telling.refused import no_plan

    return no_plan(refusal, job)


def graph_of(
    job: Job, trade: Trade, facts: Facts, hands: Mapping[str, int] | None = None
) -> tuple[TaskGraph, TaskGraph, Learned]:
    """The task graph as it is reckoned, the same at the pace that the record shows, and what was learned for that.

    `hands` are those of a plan before: what has begun was done by so many.
    """
    begun = {name: people for name, people in (hands or {}).items() if name in facts.done or name in facts.begun}
    reckoned = manned(in_hindsight(expand(job, trade), facts.done, facts.begun, trade.words), begun)
    return reckoned, *of_pace(job, reckoned, facts, settled_extra(reckoned, facts))


def _best_manned(ground: Ground, wish: Wish, known: Answer | None) -> Ground:
    """The same with the hands that make the best plan, and what no choice of hands could do better."""
    most = max((window.people for window in ground.windows), default=1)
    if not choosable(ground.graph, ground.facts, most):
        return ground

    def judge(graph: TaskGraph) -> Judged:
        lowered = _in_order(lower(ground.job, graph, ground.windows, ground.films, ground.facts))
        problem = replace(lowered.problem, stay=None)
        found = search(problem, min(wish.effort, JUDGED), wish.seed, thorough=False)
        if isinstance(found, Stuck):
            return Judged(None, None if found.proven else (0, ground.facts.now))
        return Judged(aim_of(problem, found.placement), (found.late_at_least, found.finish_not_before))

    def refutes(graph: TaskGraph, late: int, finish: int) -> bool:
        lowered = _in_order(lower(ground.job, graph, ground.windows, ground.films, ground.facts))
        return nothing_better(replace(lowered.problem, stay=None), late, finish)

    before = known.hands if known is not None else {}
    graph, least = choose(ground.graph, ground.facts, before, most, judge, refutes)
    return replace(ground, graph=graph, any_hands=least)


def with_remedies(graph: TaskGraph) -> TaskGraph:
    """The same where what is best done in one go may be done later, with its remedy, as no plan keeps it all."""
    return replace(graph, links=tuple(replace(link, firm=False) for link in graph.links))


def _in_time(ground: Ground, wish: Wish, watch: Watch | None) -> Ground:
    """The same with the appointments ahead when they could come, where one needs what comes only after its start."""
    waits = is_kept_waiting(ground.graph, ground.job, ground.facts.now)
    return _put_off(ground, wish, watch) if waits else ground


def _put_off(ground: Ground, wish: Wish, watch: Watch | None) -> Ground:
    """The same with the appointments ahead when they could come, as no plan keeps them all; without them if that
    makes none either, so that what is in the way shows."""

    def lowered(graph: TaskGraph) -> Lowered:
        return _in_order(lower(ground.job, graph, ground.windows, ground.films, ground.facts))

    def place(problem: Problem) -> Placement | None:
        found = search(problem, min(wish.effort, LOOK_AHEAD), wish.seed, watch, thorough=False, promised=True)
        return None if isinstance(found, Stuck) else found.placement

    later = put_off(ground.graph, ground.job, ground.facts.now, lowered, place)
    return replace(ground, graph=replace(ground.graph, visits=()) if later is None else later)


def _drawn_forward(
    ground: Ground, lowered: Lowered, found: Result, wish: Wish, watch: Watch | None
) -> tuple[Ground, Lowered, Result]:
    """The same with the appointments that were put off no later than what was found lets them come, if nobody is in
    their way then; and what waits for them no later than that."""
    graph = drawn_forward(ground.graph, ground.job, ground.facts.now, lowered, found.placement)
    if graph is None:
        return ground, lowered, found
    sooner = replace(ground, graph=graph)
    asked = lower(ground.job, graph, ground.windows, ground.films, ground.facts).giving_up(*lowered.given)
    pieces = dict(zip(lowered.names, found.placement.pieces, strict=True))
    booked = zip(asked.names, asked.problem.activities, strict=True)
    moved = replace(
        found.placement, pieces=tuple(each.fixed if each.booked else pieces[name] for name, each in booked)
    )
    other = replace(found, placement=moved)
    if not _told(sooner, asked, other) <= _told(ground, lowered, found):
        return ground, lowered, found
    if any(asked.problem.activities[wait.before].booked for wait in asked.problem.waits):
        better = _answered(sooner, asked, None, wish, watch)
        if not isinstance(better, Stuck) and aim_of(asked.problem, better.placement) < aim_of(asked.problem, moved):
            other = better
    return sooner, asked, other


def _told(ground: Ground, lowered: Lowered, found: Result) -> set[Broken]:
    """The rules that a plan breaks."""
    return set(_broken(raise_plan(ground, lowered, found), ground))


def _unsettled(plan: Plan) -> Plan:
    """The plan that breaks least, where neither one that keeps every rule nor a proof of none was found."""
    return replace(plan, warnings=(message("warned.unsettled"), *plan.warnings))


def _in_order(lowered: Lowered) -> Lowered:
    """The same, but for what facts have made go round in a circle."""
    return lowered.giving_up(*untangled(lowered.problem))


def _made(ground: Ground, lowered: Lowered, result: Result, question: str, weeks: int) -> tuple[Made, bool]:
    """The plan of a result with all that goes with it, and whether it breaks a rule that nothing gave up."""
    proven = [(result.late_at_least, result.finish_not_before)]
    # What is proven of these hands alone, or of this air, is no proof.
    proven += filter(None, (ground.any_hands, ground.at_best))
    late, finish = (min(each) for each in zip(*proven, strict=True))
    result = replace(result, late_at_least=late, finish_not_before=finish)
    plan = raise_plan(ground, lowered, result)
    told, unsound = _sorted_out(_broken(plan, ground), lowered)
    plan = _heated(_advised(plan, ground), ground, lowered)
    plan = replace(_warned(plan, unsound), broken=(*told, *_past_hours(plan, ground)))
    question = "" if result.stopped else question  # no answer to it yet: it will be asked again
    comes = moved_from(ground.job, ground.graph)
    answer = answer_of(lowered, result, question, ground.facts.now, ground.going_on, comes)
    return Made(plan=plan, ground=replace(ground, given=lowered.given_up), answer=answer, weeks=weeks), bool(unsound)


def _yielding(
    ground: Ground,
    lowered: Lowered,
    stuck: Stuck,
    question: str,
    wish: Wish,
    weeks: int,
    busy: tuple[Span, ...],
    watch: Watch | None,
) -> Made:
    """The plan of what is left where what was recorded leaves none that keeps every rule.

    Rules give way one at a time, each for the step that got stuck; where the hours of the job have run out, it is
    planned as if they went on. What the plan breaks by that is told in it. Raises NoPlanError if nothing can give way
    any more, which is a fault of this program.
    """
    while True:
        if stuck.rule in TIMELESS or ground.going_on or not _run_out(ground, lowered, stuck):
            given = concession(lowered.problem, stuck)
            if given is None:
                title = lowered.tasks[stuck.activity].title
                refusal = Refusal(title, message("refused.no place"), message("refused.cure.no place"))
                raise _said(refusal, ground.job)
            lowered = lowered.giving_up(given)
        else:
            weeks = HORIZONS[-1]
            end = max((window.end for window in ground.windows), default=ground.facts.now)
            ground = _further(ground, wish, busy, end)
            fresh = lower(ground.job, ground.graph, ground.windows, ground.films, ground.facts)
            lowered = fresh.giving_up(*lowered.given)
        outcome = _answered(ground, lowered, None, wish, watch)
        if not isinstance(outcome, Stuck):
            return _made(ground, lowered, outcome, question, weeks)[0]
        stuck = outcome


def _further(ground: Ground, wish: Wish, busy: tuple[Span, ...], end: int) -> Ground:
    """The same as if the hours of the job, which end at a moment, went on."""
    job = going_on(ground.job)
    further = _ground(job, ground.trade, ground.graph, ground.facts, HORIZONS[-1], wish.seed, busy)
    paces = replace(ground.learned, lessons=tuple(each for each in ground.learned.lessons if each.about == "pace"))
    return _learned(replace(further, going_on=end, reckoned=ground.reckoned, learned=paces))


def _run_out(ground: Ground, lowered: Lowered, stuck: Stuck) -> bool:
    """Whether there are no more hours, a good while before as far as a plan may reach, for what got stuck."""
    last = max((slot.end for slot in lowered.problem.slots), default=0)
    return last < max(ground.facts.now, ground.job.start) + DRY * DAY


def _sorted_out(broken: tuple[Broken, ...], lowered: Lowered) -> tuple[tuple[Broken, ...], tuple[Broken, ...]]:
    """The rules that a plan breaks: those that were given up for a step, with what can be done, and all others.

    Who takes more of a resource than there is may do so beside another step, at which that shows.
    """
    free = {lowered.names[i]: given.rule for given in lowered.given for i in given.activities}
    if "resource" in free.values():
        free |= {each.step: "resource" for each in broken if each.rule in SHARED and each.step not in free}
    told = (_given_up(each, free[each.step]) for each in broken if each.step in free)
    return tuple(told), tuple(each for each in broken if each.step not in free)


def _given_up(broken: Broken, rule: str) -> Broken:
    """A broken rule, with what can be done where that rule had to give way."""
    return replace(broken, said=message("given up", step=broken.step, said=broken.said, rule=rule))


def _past_hours(plan: Plan, ground: Ground) -> Iterator[Broken]:
    """What is planned after the last hours of the job, as if they went on."""
    if not ground.going_on:
        return
    said = message("rule.past hours", end=ground.going_on)
    for step in plan.steps:
        if any(piece.start >= max(ground.going_on, ground.facts.now) for piece in step.pieces):
            yield _given_up(Broken("work hours", step.id, said), "hours")


def _standing(
    ground: Ground, known: Answer, wish: Wish, busy: tuple[Span, ...]
) -> tuple[Ground, Lowered, Result] | None:
    """What an answer to the same question stands for; None if it is over by now, or reaches beyond these hours."""
    if known.past_hours:
        ground = _further(ground, wish, busy, known.past_hours)
    lowered = lower(ground.job, ground.graph, ground.windows, ground.films, ground.facts)
    lowered = lowered.giving_up(*numbered(known.given, ground.graph))
    stands = again(lowered, known, ground.facts)
    return None if stands is None else (ground, lowered, stands)


def _answered(
    ground: Ground, lowered: Lowered, known: Answer | None, wish: Wish, watch: Watch | None
) -> Result | Stuck:
    """The answer to a question, by the rules that the verifier knows."""

    return answered(lowered, ground.facts, known, wish, watch, lambda found: _told(ground, lowered, found))


def _ground(
    job: Job, trade: Trade, graph: TaskGraph, facts: Facts, weeks: int, seed: int, busy: tuple[Span, ...]
) -> Ground:
    """Hours and dry clocks for so many weeks from now on."""
    zone = ZoneInfo(job.zone)
    ahead = span_ahead(job, facts, weeks)
    hours = windows(job, ahead, zone, busy)
    job = open_in(job, hours)
    return Ground(
        job=job,
        trade=trade,
        graph=graph,
        windows=hours,
        films=film_clocks(graph, job.rooms, trade, zone, Span(ahead.start, ahead.end + CURING), metric=job.metric),
        facts=facts,
        seed=seed,
        busy=busy,
    )


def further(made: Made) -> Made | None:
    """The same plan with the hours and dry clocks of more weeks ahead; None if it reaches as far as any plan."""
    weeks = next((each for each in HORIZONS if each > made.weeks), None)
    if weeks is None:
        return None
    ground = made.ground
    wider = _learned(_ground(ground.job, ground.trade, ground.graph, ground.facts, weeks, ground.seed, ground.busy))
    ground = replace(ground, windows=wider.windows, films=wider.films, table=wider.table, past=wider.past)
    return replace(made, ground=ground, weeks=weeks)


def _learned(ground: Ground) -> Ground:
    """The same with the dry clocks that how films felt calls for."""
    job, trade, graph, table, facts = ground.job, ground.trade, ground.graph, ground.films, ground.facts
    felt = of_films(job, trade, graph, table, facts)
    return replace(
        ground,
        films=as_felt(trade, graph, table, facts, felt),
        table=table,
        past=as_it_was(graph, table, facts, felt),
        learned=together(ground.learned, felt.learned),
    )


def taught(job: Job, trade: Trade, facts: Facts) -> Learned:
    """What the record teaches, without a plan."""
    reckoned, graph, paces = graph_of(job, trade, facts)
    ground = _ground(job, trade, graph, facts, HORIZONS[0], 0, ())
    return _learned(replace(ground, reckoned=reckoned, learned=paces)).learned


def span_ahead(job: Job, facts: Facts, weeks: int) -> Span:
    """The span for which hours are wanted, so many weeks from now on and back to the first work that was done."""
    zone = ZoneInfo(job.zone)
    begin = max(job.start, facts.now)
    past = [piece.start for pieces in facts.done.values() for piece in pieces]
    past += [piece.start for pieces, _ in facts.begun.values() for piece in pieces]
    # Whole days: who plans in the middle of a session has set up already, and work in a break belongs to a session.
    today, *days = (at_local(local_date(minute, zone), 0, zone) for minute in (begin, *past))
    return Span(min([max(job.start, today), *days]), begin + weeks * 7 * DAY)


def _advised(plan: Plan, ground: Ground) -> Plan:
    """The plan with what must be said of the air that its films meet, or wait for."""
    regions = regions_of(ground.job.country)
    said = air_advice(plan, ground.graph, ground.job.rooms, ground.trade, regions)
    return replace(plan, warnings=tuple(dict.fromkeys((*plan.warnings, *said))))


def _heated(plan: Plan, ground: Ground, lowered: Lowered) -> Plan:
    """The plan with the cautions of heating, where a rule that gave way is answered with the advice to heat."""
    if COLD.isdisjoint(given.rule for given in lowered.given):
        return plan
    cautions = ground.trade.cautions_for(HEATING, regions_of(ground.job.country), None)
    said = (as_written(caution.text) for caution in cautions)
    return replace(plan, warnings=tuple(dict.fromkeys((*plan.warnings, *said))))


def _unfit(name: str, ground: Ground) -> tuple[Message, Message] | None:
    """What keeps the air from being fit for the film of a task in its hours, and what would cure it."""
    film = ground.graph.task(name).film
    material = ground.trade.material(film.material) if film else None
    if film is None or material is None:
        return None
    room = next(room for room in ground.job.rooms if room.id == film.room)
    starts = [window.start for window in ground.windows if window.start >= ground.facts.now]
    zone, work = ZoneInfo(ground.job.zone), ground.graph.task(name).work.planned
    longer = never_long_enough(material, room, film.ratio, starts[0], work, zone) if starts else None
    return longer or never_fit(material, room, film.ratio, starts, zone, metric=ground.job.metric)


def _broken(plan: Plan, ground: Ground) -> tuple[Broken, ...]:
    tape = ground.trade.tape
    return verify(plan, ground.job, ground.graph, ground.windows, ground.films, ground.facts, tape)


def _warned(plan: Plan, broken: tuple[Broken, ...]) -> Plan:
    """The plan with a warning for every rule that the independent verifier finds broken."""
    said = (
        message("warned.broken step", rule=each.rule, step=each.step, said=each.said)
        if each.step
        else message("warned.broken", rule=each.rule, said=each.said)
        for each in broken
    )
    return replace(plan, warnings=(*plan.warnings, *said))
