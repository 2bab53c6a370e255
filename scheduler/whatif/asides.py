"""What the first screen tells beside the plan: chances from a few draws, what to get, promises, open questions."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from scheduler.living.buying import list_of
from scheduler.living.since import since
from scheduler.living.site import Site
from scheduler.model.asides import Asides, Unheard
from scheduler.model.spans import union
from scheduler.pipeline import Made
from scheduler.reading.profiles import read_trade
from scheduler.reading.tradewords import trade_words
from scheduler.whatif.engine import Trials
from scheduler.whatif.fitting import fitting, limit_of
from scheduler.whatif.job_file import keys_of
from scheduler.whatif.odds import Sampling, odds
from scheduler.whatif.sooner import changes, scene_of

DRAWS = 100
"""As few as tell the day that 19 of 20 draws keep: 5 of them end later. `tackfree odds` draws more."""

MOST_STEPS = 300
"""Of a job with more steps the chances are not drawn by the way: it would take longer than the plan itself."""


def asides(site: Site, made: Made, now: int) -> Asides:
    """What the first screen tells beside a plan that is made already, without its chances."""
    return Asides(
        shopping=list_of(site, made),
        promised=made.ground.job.done_by,
        unrecorded=tuple(Unheard(each.span, tuple(each.steps)) for each in site.open_questions(now)),
        since=since(site, made.plan),
    )


FEW_STEPS = 40
"""So many steps at most may be open for changes to be tried by the way."""


def with_fits(
    found: Asides, site: Site, made: Made, now: int, tell: Callable[[float, int | None], None] | None = None
) -> Asides:
    """The same with what would make the job end by the day promised, if it does not and is small enough to try that.

    Raises InputError for a calendar of the household that can't be read any more.
    """
    plan = made.plan
    if plan.finish <= limit_of(made.ground.job) or plan.bound.stopped:
        return found
    if sum(step.state != "done" for step in plan.steps) > FEW_STEPS:
        return found
    trade = trade_words(site.job.language).over(read_trade(site.files.job.parent, None))
    scene = scene_of(made, site.job, keys_of(site.files.job), trade, "JOB")
    busy = union((*site.standing.lost, *site.household(now, made.weeks).spans))
    trials = Trials(made, trade, site.wish, busy)
    return replace(found, fits=fitting(trials, made.ground.job, changes(scene), tell))


def with_chances(found: Asides, made: Made, tell: Callable[[float, int | None], None] | None = None) -> Asides:
    """The same with the chances of its end, where that is quickly drawn and nobody has lost patience with the plan.

    The same plan has the same chances.
    """
    steps = made.plan.steps
    if made.plan.bound.stopped or len(steps) > MOST_STEPS or all(step.state == "done" for step in steps):
        return found
    return replace(found, odds=odds(made, Sampling(draws=DRAWS, seed=made.plan.seed), tell, processes=1))
