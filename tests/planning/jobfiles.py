"""Random small jobs as a file says them, before they are expanded: steps, colours, borders, films of every law.

All materials are invented; the hours, quiet hours, items and shared things are those of `strategies`.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from hypothesis import strategies as st

from scheduler.model.after import After
from scheduler.model.basics import Estimate
from scheduler.model.job import AirPeriod, Border, Colour, Job, Lay, Room, Step
from scheduler.model.material import LAWS, Material, Trade
from tests.planning.strategies import Drawn, job_around
from tests.support import builders
from tests.support.builders import PAINT_STAGES, SCUFF, after, border, colour, guess, limits, step, trade

MATERIALS = tuple(f"{law}-film" for law in LAWS)
STAGES = tuple(PAINT_STAGES)[:-1]
"""What may be waited for. `full` is a month away."""

COLDEST, WARMEST = 10.0, 35.0
"""Degrees Celsius between which the stages of the materials hold (`StageTime.temps`)."""


@st.composite
def job_files(draw: Drawn, windows: bool) -> tuple[Job, Trade]:
    """A job of four to nine steps and up to three colours that touch, and its materials.

    With `windows` some films must be coated again before a moment that comes sooner in warmer air.
    """
    around = job_around(draw)
    rooms = tuple(_room(draw, room) for room in around.rooms)
    steps = _steps(draw, around)
    colours = _colours(draw, around, steps)
    borders = tuple(
        border(one.id, other.id, draw(st.integers(1, 4)) * 10)
        for i, one in enumerate(colours)
        for other in colours[:i]
        if one.room == other.room
    )
    job = replace(around, rooms=rooms, steps=steps, colours=colours, borders=borders)
    return job, trade(*(_material(draw, law, windows) for law in LAWS))


def _room(draw: Drawn, room: Room) -> Room:
    """Nights from the coldest that the laws know on; days are warmer."""
    night, humidity = draw(st.integers(int(COLDEST), 15)), draw(st.sampled_from((0.4, 0.6)))
    air = AirPeriod(
        since=None,
        day_temp=night + draw(st.integers(3, 8)),
        night_temp=night,
        day_humidity=humidity,
        night_humidity=humidity,
    )
    return replace(room, air=(air,))


def _material(draw: Drawn, law: str, windows: bool) -> Material:
    """The test paint drying by a law, perhaps with limits that a cold night breaks, or with a recoat window."""
    stages = PAINT_STAGES | ({"recoat_by": 36 * 60} if windows else {})
    plain = builders.material(f"{law}-film", stages, remedy=SCUFF if windows else None)
    fit = draw(st.sampled_from((None, limits(13.0, WARMEST), limits(13.0, WARMEST, hold_until="touch"))))
    return replace(plain, stages=tuple(replace(stage, law=law) for stage in plain.stages), limits=fit)


def _steps(draw: Drawn, job: Job) -> tuple[Step, ...]:
    """Each follows up to two earlier ones; after a dusty one comes a wipe, and wet ones of its room follow that."""
    steps: list[Step] = []
    for number in range(draw(st.integers(4, 8))):
        kind = draw(st.sampled_from(("plain", "wet", "wet", "dusty" if number < 3 else "plain")))
        room = draw(st.sampled_from(job.rooms)).id
        follows = {one.step: one for one in (*_wipes(steps, room, kind), *_follows(draw, steps))}
        steps.append(
            step(
                f"step-{draw(st.integers(0, 9))}{number}",  # the order of the ids is not that of the file
                _work(draw, 120),
                tuple(follows.values()),
                lays=Lay(material=draw(st.sampled_from(MATERIALS))) if kind == "wet" else None,
                room=room,
                wet=kind == "wet",
                dusty=kind == "dusty",
                smallest_piece=30 if kind != "wet" and draw(st.booleans()) else None,
                takes=draw(st.sampled_from(((), (), (("ladder", 1),)))),
                needs=tuple(item.id for item in job.items if draw(st.integers(1, 3)) == 3),
            )
        )
        if kind == "dusty":
            steps.append(step(f"wipe-{number}", 20, (steps[-1].id,), room=room, wipes=True))
    return tuple(steps)


def _work(draw: Drawn, most: int) -> Estimate:
    likely = draw(st.integers(3, most // 10)) * 10
    return guess((likely - 10, likely, likely + draw(st.integers(0, 30))))


def _follows(draw: Drawn, earlier: Sequence[Step]) -> list[After]:
    """Up to two earlier steps, films at one of their stages."""
    chosen = draw(st.lists(st.sampled_from(earlier), max_size=2, unique=True)) if earlier else []
    return [after(one.id, draw(st.sampled_from(STAGES)) if one.lays else None) for one in chosen]


def _wipes(earlier: Sequence[Step], room: str, kind: str) -> list[After]:
    return [after(one.id) for one in earlier if one.wipes and one.room == room] if kind == "wet" else []


def _colours(draw: Drawn, job: Job, steps: Sequence[Step]) -> tuple[Colour, ...]:
    """Up to three, in any rooms."""
    found = []
    for name in draw(st.permutations(("white", "green", "ochre")))[: draw(st.integers(0, 3))]:
        room = draw(st.sampled_from(job.rooms)).id
        follows = {one.step: one for one in (*_wipes(steps, room, "wet"), *_follows(draw, steps))}
        found.append(
            colour(
                name,
                draw(st.integers(1, 2)),
                tuple(follows.values()),
                tape=draw(st.sampled_from((0, 20))),
                pull=draw(st.sampled_from((0, 10))),
                coat=draw(st.integers(3, 8)) * 10,
                room=room,
                material=draw(st.sampled_from(MATERIALS)),
            )
        )
    return tuple(found)


def shuffled(draw: Drawn, job: Job) -> Job:
    """The same job with the entries of its file in another order, and what a step follows likewise."""

    def mixed(step: Step) -> Step:
        return replace(
            step,
            after=tuple(draw(st.permutations(step.after))),
            needs=tuple(draw(st.permutations(step.needs))),
        )

    return replace(
        job,
        steps=tuple(mixed(one) for one in draw(st.permutations(job.steps))),
        colours=tuple(
            replace(one, after=tuple(draw(st.permutations(one.after)))) for one in draw(st.permutations(job.colours))
        ),
        borders=tuple(_turned(draw, one) for one in draw(st.permutations(job.borders))),
        items=tuple(draw(st.permutations(job.items))),
        rooms=tuple(draw(st.permutations(job.rooms))),
        things=tuple(draw(st.permutations(job.things))),
        hours=tuple(draw(st.permutations(job.hours))),
    )


def _turned(draw: Drawn, one: Border) -> Border:
    """A border is the same from either side."""
    return replace(one, first=one.second, second=one.first) if draw(st.booleans()) else one
