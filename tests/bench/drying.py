"""How fast the dry clock is: `python -m tests.bench.drying`.

Prints the time to build a room's clock from 26 weeks of hourly readings (the air, and one table a law), and look-ups
a second in it; the last line is the same as JSON. Readings are invented: a sine of a day on one of half a year.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from functools import partial
from math import pi, sin
from time import perf_counter
from zoneinfo import ZoneInfo

from scheduler.drying.air import room_air
from scheduler.drying.clocks import build_clock, film_clocks
from scheduler.model.basics import Span
from scheduler.model.graph import Film
from scheduler.model.job import AirPeriod, Reading, Room
from scheduler.model.material import LAWS
from tests.support.builders import graph, limits, material, minute, stage, task, trade

HOURS = 26 * 7 * 24
ZONE = ZoneInfo("America/New_York")
START = minute("2027-01-09", "America/New_York")
SPAN = Span(START, START + HOURS * 60)
LOOK_UPS = 200_000


def readings() -> tuple[Reading, ...]:
    """One an hour for 26 weeks."""
    return tuple(
        Reading(
            minute=START + hour * 60,
            temp=18 + 4 * sin(2 * pi * hour / 24) + 5 * sin(2 * pi * hour / HOURS),
            humidity=0.5 + 0.25 * sin(2 * pi * hour / 31),
        )
        for hour in range(HOURS + 1)
    )


def seconds(work: Callable[[], object], times: int = 5) -> float:
    """The shortest of several runs."""
    runs = []
    for _ in range(times):
        start = perf_counter()
        work()
        runs.append(perf_counter() - start)
    return min(runs)


def main() -> None:
    """Measure and print."""
    pair = AirPeriod(since=None, day_temp=20, night_temp=15, day_humidity=0.5, night_humidity=0.5)
    room = Room(id="room", title="Room", air=(pair,), readings=readings())
    air = room_air(room, ZONE, SPAN).pieces
    stages = tuple(stage(law, 240, law=law) for law in LAWS)
    paint = replace(material(limits=limits()), stages=stages)
    films = [task(f"coat-{i}", film=Film(material="paint", coat=1, ratio=1 + i / 60, room="room")) for i in range(60)]
    clock = build_clock(air, "water", 25, 0.5)
    spots = [START + at * 7919 % (HOURS * 50) for at in range(LOOK_UPS)]

    figures = {
        "pieces": len(air),
        "air_ms": 1e3 * seconds(lambda: room_air(room, ZONE, SPAN)),
        **{f"table_{law}_ms": 1e3 * seconds(partial(build_clock, air, law, 25, 0.5)) for law in LAWS},
        "films_60_ms": 1e3
        * seconds(lambda: film_clocks(graph(films), (room,), trade(paint), ZONE, SPAN, metric=True)),
        "at_per_second": LOOK_UPS / seconds(lambda: [clock.at(spot) for spot in spots], 3),
        "ready_per_second": LOOK_UPS / seconds(lambda: [clock.ready(spot, 960.0) for spot in spots], 3),
    }
    for name, figure in figures.items():
        print(f"{name:24} {figure:12,.2f}" if figure < 1000 else f"{name:24} {figure:12,.0f}")
    print(json.dumps({name: round(figure, 3) for name, figure in figures.items()}))


if __name__ == "__main__":
    main()
