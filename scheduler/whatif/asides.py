"""What the first screen tells beside the plan: chances from a few draws, what to get, promises, open questions."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from scheduler.living.buying import list_of
from scheduler.living.since import since
from scheduler.living.site import Site
from scheduler.model.asides import Asides
from scheduler.model.region import regions_of
from scheduler.pipeline import Made
from scheduler.whatif.odds import Asked, odds

DRAWS = 100
"""As few as tell the day that 19 of 20 draws keep: 5 of them end later. `tackfree odds` draws more."""

MOST_STEPS = 300
"""Of a job with more steps the chances are not drawn by the way: it would take longer than the plan itself."""


def asides(site: Site, made: Made, now: int) -> Asides:
    """What the first screen tells beside a plan that is made already, without its chances."""
    regions = regions_of(made.ground.job.country)
    return Asides(
        shopping=list_of(site, made),
        promised=made.ground.job.done_by,
        unrecorded=tuple(session.span for session in site.open_questions(now)),
        since=since(site, made.plan),
        uncited={caution.said(regions): caution.uncited(regions) for caution in made.ground.trade.cautions},
    )


def with_chances(found: Asides, made: Made, tell: Callable[[float], None] | None = None) -> Asides:
    """The same with the chances of its end, where that is quickly drawn and nobody has lost patience with the plan.

    The same plan has the same chances.
    """
    steps = made.plan.steps
    if made.plan.bound.stopped or len(steps) > MOST_STEPS or all(step.state == "done" for step in steps):
        return found
    return replace(found, odds=odds(made, Asked(draws=DRAWS, seed=made.plan.seed), tell=tell))
