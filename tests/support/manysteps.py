"""Plans of any number of steps for the picture, made by rule and not by the planner; nothing in them is drawn.

Saturdays with two people, Sundays and Tuesday evenings with one; long and short steps, every third lays a film, names
of all lengths. Made to be crowded: up to nine steps a day, films whose stages lie minutes, hours and weeks apart.
"""

from __future__ import annotations

from datetime import date, timedelta

from scheduler.model.basics import Span
from scheduler.model.beware import Beware
from scheduler.model.message import as_written
from scheduler.model.page import AirSpell, PageFacts, RoomSpells
from scheduler.model.plan import Plan, PlannedFilm, PlannedStep, Ready
from tests.support.plans import at, item, plan, step

DAYS = {5: ("08:45", 2, 465), 6: ("10:15", 1, 330), 1: ("18:45", 1, 120)}
"""Weekday: when work begins, how many people, for how many minutes."""

LENGTHS = (10, 35, 90, 20, 55, 15, 120, 25, 45)
TITLES = (
    "Tape off",
    "Glue and nail the backer sheets of the long wall beside the chimney breast",
    "Prime",
    "Vacuum, wipe and vacuum again",
    "WWWWWWWW MMMMMMMM WWWWWWWW MMMMMMMM",
    "First coat of a very long name without any end in sight whatsoever",
    "Straßenseite schleifen und grundieren",
    "壁を二度塗りする",
)
STAGES = (
    {"touch": 40, "recoat": 160, "tape": 1500, "full": 30_000},
    {"touch": 20, "dust_free": 25, "handle": 30, "sand": 35, "recoat": 40, "tape": 45, "use": 50, "full": 55},
    {"touch": 130, "recoat": 1680, "use": 8_000, "tape": 11_000, "full": 46_000},
    {"handle": 1500, "full": 10_300},
)
"""Minutes from the end of the step to each stage."""


def many_steps(count: int) -> Plan:
    """A plan of so many steps, from Saturday 9 January 2027 on."""
    steps: list[PlannedStep] = []
    day = date(2027, 1, 9)
    while len(steps) < count:
        if day.weekday() in DAYS:
            begin, people, minutes = DAYS[day.weekday()]
            steps += _day(len(steps), count, at(f"{day.isoformat()} {begin}"), people, minutes, steps)
        day += timedelta(days=1)
    return plan(
        *steps,
        items=tuple(
            item(f"thing-{n}", title=f"Thing number {n} with a name", expected=date(2027, 1, 15 + n % 3))
            for n in range(4)
        ),
        warnings=(as_written("The night to Sunday is colder than the range that the figures cover."),),
    )


def some_air(made: Plan) -> PageFacts:
    """Readings every hour: a saw of temperatures, and a steady humidity."""
    start, end = made.steps[0].start - 1440, made.finish + 12 * 1440
    spells = tuple(
        AirSpell(minute, minute + 60, 15 + n % 24 / 4, 0.4 + n % 7 / 100)
        for n, minute in enumerate(range(start, end, 60))
    )
    return PageFacts(air=(RoomSpells(room="hobby", title="Hobby room", spells=spells, day_hours=((480, 1200),) * 7),))


def _day(
    first: int, count: int, begin: int, people: int, minutes: int, before: list[PlannedStep]
) -> list[PlannedStep]:
    found: list[PlannedStep] = []
    free, end = begin, begin + minutes
    while free < end and first + len(found) < count:
        n = first + len(found)
        length = min(LENGTHS[n % len(LENGTHS)], end - free)
        last = ([*before, *found] or [None])[-1]
        found.append(_step(n, Span(free, free + length), people if n % 4 == 0 else 1, last))
        free += length
    return found


def _step(n: int, span: Span, people: int, last: PlannedStep | None) -> PlannedStep:
    film = None
    if n % 3 == 2:
        stages = {stage: span.end + minutes for stage, minutes in STAGES[n // 3 % len(STAGES)].items()}
        film = PlannedFilm(
            material="paint", material_title="latex paint", coat=1, thickness_factor=1.0, stages=stages
        )
    after: tuple[Ready, ...] = ()
    if last is not None:
        ready = [stage for stage, minute in last.film.stages.items() if minute <= span.start] if last.film else []
        stage = ready[-1] if ready else "end"
        moment = last.film.stages[stage] if last.film and ready else last.end
        after = (Ready(step=last.id, stage=stage, ready=moment, latest=None),)
    return step(
        f"step-{n}",
        span,
        title=f"{TITLES[n % len(TITLES)]} {n}" if n % 5 else TITLES[n % len(TITLES)],
        people=people,
        dusty=n % 7 == 3,
        noisy=n % 7 == 3,
        wet=film is not None,
        film=film,
        after=after,
        holder=last.id if last is not None else None,
        needs=("thing-1",) if n == 12 else (),
        cautions=(Beware("Mask and goggles; dust can hold silica."),) if n % 7 == 3 else (),
    )
