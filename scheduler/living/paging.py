"""From a plan as it was made to what its page shows of air and films beyond the plan itself."""

from __future__ import annotations

from zoneinfo import ZoneInfo

from scheduler.drying.air import room_air
from scheduler.model.basics import Span
from scheduler.model.material import Material
from scheduler.model.page import AirSpell, DaysAway, FilmSource, PageFacts, RoomSpells, StageSource
from scheduler.pipeline import CURING, Made
from scheduler.wallclock import DAY, at_local, local_date


def page_facts(made: Made) -> PageFacts:
    """What a page may show beyond the plan: the air of its rooms from its first day until its films are cured, and
    where the times of its films come from. Whoever knows more (what changed, leeway, odds, shopping) adds it.
    """
    plan, job = made.plan, made.ground.job
    zone = ZoneInfo(plan.zone)
    used = {step.room for step in plan.steps}
    begin = at_local(local_date(min((step.start for step in plan.steps), default=plan.as_of), zone), 0, zone)
    span = Span(begin, max(begin + DAY, min(plan.usable, plan.finish + CURING) + 2 * DAY))
    air = tuple(
        RoomSpells(
            room=room.id,
            title=room.title,
            spells=tuple(
                AirSpell(piece.start, piece.end, piece.temp, piece.humidity)
                for piece in room_air(room, zone, span).pieces
            ),
            day_hours=room.day_hours,
        )
        for room in job.rooms
        if room.id in used
    )
    laid = dict.fromkeys(step.film.material for step in plan.steps if step.film is not None)
    materials = (made.ground.trade.material(name) for name in laid)
    return PageFacts(
        air=air,
        films=tuple(_source(material) for material in materials if material is not None),
        away=tuple(DaysAway(first=each.first, last=each.last, reason=each.reason) for each in job.away),
    )


def _source(material: Material) -> FilmSource:
    return FilmSource(
        material=material.id,
        title=material.title,
        temp=material.temp,
        humidity=material.humidity,
        source=material.source,
        stages=tuple(
            StageSource(stage=stage.stage, law=stage.law, typical=stage.typical, source=stage.source)
            for stage in material.stages
        ),
        limits_source=material.limits.source if material.limits else "",
    )
