"""Read this first: read -> expand -> what was learned -> dry clocks and hours -> plan -> advice. One function shows
every stage in order.

Nothing here asks what time it is, prints, or keeps anything: `now` and the paths are handed in by `cli`.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from zoneinfo import ZoneInfo

from scheduler.drying.advice import air_advice, unfit
from scheduler.drying.clocks import film_clocks
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
from scheduler.model.message import as_written, message
from scheduler.model.plan import Plan
from scheduler.model.refusal import NoPlanError, Refusal
from scheduler.model.region import regions_of
from scheduler.model.watch import Watch
from scheduler.planning.answering import Wish, answered
from scheduler.planning.decode import raise_plan
from scheduler.planning.encode import Lowered, numbered, settled_extra
from scheduler.planning.ground import Ground
from scheduler.planning.hands import best_manned, manned
from scheduler.planning.presence import Presence, attended, is_warmed, open_in, presence_of
from scheduler.planning.reuse import again, answer_of, question_mark
from scheduler.planning.visits import all_put_off, coming, in_time, moved_from, no_later_than_need_be
from scheduler.planning.yielding import TIMELESS, past_hours, sorted_out, yielding
from scheduler.solver.conflicts import Stuck
from scheduler.solver.problem import Result, Slot
from scheduler.verifying import verify
from scheduler.wallclock import DAY, at_local, local_date
from scheduler.worktime import going_on, windows

__all__ = ["CURING", "HORIZONS", "Made", "Wish", "make_plan", "read", "span_ahead"]

HORIZONS = (26, 78, 260)
"""Weeks that a plan may reach ahead, each tried when the one before does not do. The last is five years."""

IN_ITS_AIR = 4
"""How often a plan is made again in the air that the one before makes, before it has to do without."""

COLD = frozenset({"stage", "air"})
"""Rules that give way where the air is too cold or too damp."""

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
        ground = best_manned(in_time(replace(ground, graph=graph), wish, watch), wish, known.hands if known else {})
        lowered = ground.in_order()
        outcome = _answered(ground, lowered, known, wish, watch)
        if isinstance(outcome, Stuck) and any(link.firm for link in graph.links):
            graph = with_remedies(graph)
            ground = replace(ground, graph=with_remedies(ground.graph))
            lowered = ground.in_order()
            outcome = _answered(ground, lowered, known, wish, watch)
        if isinstance(outcome, Stuck) and any(visit.start > facts.now for visit in graph.visits):
            ground = all_put_off(ground, wish, watch)
            lowered = ground.in_order()
            outcome = _answered(ground, lowered, known, wish, watch)
        if not isinstance(outcome, Stuck):
            found = no_later_than_need_be(
                ground, lowered, outcome, _told, lambda sooner, asked: _answered(sooner, asked, None, wish, watch)
            )
            return _made(*found, question, weeks)[0]
        stuck = outcome
        timeless = stuck.rule in TIMELESS and (facts.recorded or not stuck.proven)
        if lowered.names[stuck.activity] in lowered.pinned or timeless:
            break  # hours further ahead are of no use
    assert stuck is not None
    if lowered.pinned:
        title = lowered.tasks[stuck.activity].title
        raise NoPlanError(Refusal(title, message("refused.moved"), message("refused.cure.moved")), job)
    if facts.recorded or not stuck.proven:
        made = _yielding(ground, lowered, stuck, question, wish, weeks, busy, watch)
        return made if facts.recorded else replace(made, plan=_unsettled(made.plan))
    from scheduler.planning.refusal import explain

    def hours(job: Job, taken: tuple[Span, ...]) -> tuple[Slot, ...]:
        freed = windows(job, span_ahead(job, facts, weeks), ZoneInfo(job.zone), taken)
        return replace(ground, job=job, windows=freed).question().problem.slots

    starts = [window.start for window in ground.windows if window.start >= facts.now]
    raise NoPlanError(
        explain(
            lowered, stuck, ground, busy, hours, lambda name: unfit(name, ground.job, ground.graph, trade, starts)
        ),
        job,
    )


def graph_of(
    job: Job, trade: Trade, facts: Facts, hands: Mapping[str, int] | None = None
) -> tuple[TaskGraph, TaskGraph, Learned]:
    """The task graph as it is reckoned, the same at the pace that the record shows, and what was learned for that.

    `hands` are those of a plan before: what has begun was done by so many.
    """
    begun = {name: people for name, people in (hands or {}).items() if name in facts.done or name in facts.begun}
    reckoned = manned(in_hindsight(expand(job, trade), facts.done, facts.begun, trade.words), begun)
    return reckoned, *of_pace(job, reckoned, facts, settled_extra(reckoned, facts))


def with_remedies(graph: TaskGraph) -> TaskGraph:
    """The same where what is best done in one go may be done later, with its remedy, as no plan keeps it all."""
    return replace(graph, links=tuple(replace(link, firm=False) for link in graph.links))


def _told(ground: Ground, lowered: Lowered, found: Result) -> set[Broken]:
    """The rules that a plan breaks."""
    return set(_broken(raise_plan(ground, lowered, found), ground))


def _unsettled(plan: Plan) -> Plan:
    """The plan that breaks least, where neither one that keeps every rule nor a proof of none was found."""
    return replace(plan, warnings=(message("warned.unsettled"), *plan.warnings))


def _made(ground: Ground, lowered: Lowered, result: Result, question: str, weeks: int) -> tuple[Made, bool]:
    """The plan of a result with all that goes with it, and whether it breaks a rule that nothing gave up."""
    proven = [(result.late_at_least, result.finish_not_before)]
    # What is proven of these hands alone, or of this air, is no proof.
    proven += filter(None, (ground.any_hands, ground.at_best))
    late, finish = (min(each) for each in zip(*proven, strict=True))
    result = replace(result, late_at_least=late, finish_not_before=finish)
    plan = raise_plan(ground, lowered, result)
    told, unsound = sorted_out(_broken(plan, ground), lowered)
    plan = _heated(_advised(plan, ground), ground, lowered)
    plan = replace(_warned(plan, unsound), broken=(*told, *past_hours(plan, ground)))
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
    """The plan of what is left where what was recorded leaves none that keeps every rule. Raises NoPlanError if
    nothing can give way any more, which is a fault of this program."""
    ground, lowered, found = yielding(
        ground,
        lowered,
        stuck,
        lambda ground, end: _further(ground, wish, busy, end),
        lambda ground, lowered: _answered(ground, lowered, None, wish, watch),
    )
    if isinstance(found, Stuck):
        title = lowered.tasks[found.activity].title
        raise NoPlanError(Refusal(title, message("refused.no place"), message("refused.cure.no place")), ground.job)
    return _made(ground, lowered, found, question, HORIZONS[-1] if ground.going_on else weeks)[0]


def _further(ground: Ground, wish: Wish, busy: tuple[Span, ...], end: int) -> Ground:
    """The same as if the hours of the job, which end at a moment, went on."""
    job = going_on(ground.job)
    further = _ground(job, ground.trade, ground.graph, ground.facts, HORIZONS[-1], wish.seed, busy)
    paces = replace(ground.learned, lessons=tuple(each for each in ground.learned.lessons if each.about == "pace"))
    return _learned(replace(further, going_on=end, reckoned=ground.reckoned, learned=paces))


def _standing(
    ground: Ground, known: Answer, wish: Wish, busy: tuple[Span, ...]
) -> tuple[Ground, Lowered, Result] | None:
    """What an answer to the same question stands for; None if it is over by now, or reaches beyond these hours."""
    if known.past_hours:
        ground = _further(ground, wish, busy, known.past_hours)
    lowered = ground.question().giving_up(*numbered(known.given, ground.graph))
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
