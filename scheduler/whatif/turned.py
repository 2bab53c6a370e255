"""The order of two colours is another one than in the plan handed out before: which two, and what that brings.

What has been told is held unless another order keeps a promise, ends sooner or saves a day on site (see
`solver.objective`). A person who has bought for the old order is told of it, and what the old one would come to.
"""

from __future__ import annotations

from dataclasses import replace
from zoneinfo import ZoneInfo

from scheduler.living.colour_order import changed_places, first_coats
from scheduler.model.answer import Answer
from scheduler.model.moves import Turned
from scheduler.pipeline import Made
from scheduler.wallclock import local_date
from scheduler.whatif.engine import Trials, late_in


def turned(made: Made, before: Answer, trials: Trials) -> Turned:
    """The colours that have changed places since `before`, and what they would come to if they had not."""
    first = first_coats(made, before.pieces)
    order = sorted(first, key=lambda colour: (first[colour], colour))
    titles = {colour.id: colour.title for colour in made.ground.job.colours}
    old = trials.plan(replace(made.ground.job, colour_order=tuple(order)), at_all=True)
    plan = made.plan
    zone, today = ZoneInfo(plan.zone), local_date(plan.as_of, ZoneInfo(plan.zone))
    days = {local_date(piece.start, zone) for step in plan.steps for piece in step.pieces}
    then = old.placement
    return Turned(
        pairs=tuple((titles[now_first], titles[was_first]) for was_first, now_first in changed_places(made, before)),
        possible=then is not None,
        late=old.late - late_in(plan) if then is not None else 0,
        later=then.finish - plan.finish if then is not None else 0,
        days=len({day for day in old.days_used() if day >= today}) - len({day for day in days if day >= today}),
    )
