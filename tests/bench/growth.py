"""How the time of `tackfree plan` grows with the steps of a job: `python -m tests.bench.growth`.

Four jobs, all invented and written as files. `house`: up to twelve measured rooms, six people on weekends and two on
two evenings; in every room surfaces and two colours that meet, and built-in furniture that waits for late parts, is
sanded, painted and hung. `held`: the same with furniture that takes floor space, and pieces that lie on a rack.
`chain`: one room, one person, every step of half an hour follows the one before. `hours`: one single step as long as
such a chain (2,000 half hours are the most that a file allows), in pieces on evenings.

Seconds are those of the processor, for whole processes that keep nothing, so that a busy machine measures about the
same. The exponent is the slope of log seconds over log steps between the least and the largest size. Under each row
stands where the time went, measured in a second run that calls stage by stage. The last line is the same as JSON.
"""

from __future__ import annotations

import argparse
import json
import resource
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator
from math import log
from pathlib import Path
from time import process_time
from zoneinfo import ZoneInfo

from scheduler.drying.clocks import film_clocks
from scheduler.expanding import expand
from scheduler.model.basics import Span
from scheduler.model.facts import Facts
from scheduler.pipeline import CURING, Made, Wish, make_plan, read, span_ahead
from scheduler.planning.decode import raise_plan
from scheduler.planning.encode import lower
from scheduler.solver.decoding import Placer
from scheduler.solver.problem import Placement, Result
from scheduler.solver.proof.bound import latest_starts
from scheduler.solver.search import search
from scheduler.telling.machine.plan import plan_json
from scheduler.telling.text.agenda import agenda
from scheduler.verifying import verify
from tests.support.bounds import lower_bound

ROOMS = (
    *("kitchen", "dining room", "living room", "study", "hall", "landing"),
    *("bath", "bedroom", "nursery", "guest room", "attic", "workshop"),
)
STEPS_A_ROOM = 40
PIECES = ("shelf", "bench", "cupboard", "panel", "mantel", "desk")
HEAD = """\
job: {name}
start: 2027-01-09
zone: America/Chicago
measures: US
set-up: 15 min
clear-up: 15 min
"""
HOUSE = """\
built: 1958
hours:
  - {on: weekends, from: 8:00, to: 17:00, people: 6, break: 12:00 to 12:30}
  - {on: [Tuesday, Thursday], from: 18:30, to: 21:00, people: 2, quiet: yes}
quiet hours: {on: every day, from: 20:00, to: 7:30}
away: 2027-02-13 to 2027-02-14
shared things: {step ladder: 3, sander: 2}
on order:
"""
ROOM = """\
  {room}:
    length: {length} ft
    width: 11 ft
    height: 8 ft
    openings:
      {room} door: {{on: south wall, width: 32 in, height: 80 in}}
      {room} window: {{on: east wall, width: 4 ft, height: 4 ft, sill: 3 ft}}
    air: {{day: {day} °F, night: 58 °F, humidity: 45 %}}
"""
SCOPE = """\
  {room}: [clear and protect, strip trim and covers: {{boxes: 4}}, put back: {{boxes: 4}}]
  {room} walls: {{room: {room}, surface: walls, do: [patch, prime]}}
  {room} ceiling: {{room: {room}, surface: ceiling}}
"""
COLOURS = """\
  {room} white: {{on: {room} ceiling, material: acrylic-latex-ceiling-paint, coats: 1}}
  {room} green: {{on: {room} walls, material: acrylic-latex-wall-paint, coats: 2}}
"""
BUILT_IN = """\
  {name} cut: {{room: {room}, work: 1 h, kind: [dusty, noisy], disturbs: nothing}}
  {name} sweep: {{room: {room}, work: 10 min, kind: wipes, follows: {name} cut}}
  {name} set: {{room: {room}, work: 50 min, people: 2, follows: {name} sweep, takes: step ladder{needs}}}
  {name} fill: {{room: {room}, work: 15 min, lays: lightweight-spackling, follows: {name} set}}
  {name} sand:
    room: {room}
    work: 20 min
    kind: [dusty, noisy]
    disturbs: nothing
    takes: sander
    follows:
      - {name} fill: sand
  {name} wipe: {{room: {room}, work: 10 min, kind: wipes, follows: {name} sand}}
  {name} prime: {{room: {room}, work: 35 min, lays: acrylic-bonding-primer, follows: {name} wipe}}
  {name} coat 1: {{room: {room}, work: 45 min, lays: waterborne-alkyd-enamel, follows: [{name} prime: recoat]}}
  {name} coat 2:
    room: {room}
    work: 45 min
    lays: {{material: waterborne-alkyd-enamel, coat: 2}}
    follows:
      - {name} coat 1: recoat
  {name} hang: {{room: {room}, work: 30 min, people: 2, follows: [{name} coat 2: handle]}}
"""
BUILT_IN_STEPS = 10
SCOPE_STEPS = 25
CHAIN = """\
hours:
  - {on: weekends, from: 8:00, to: 17:00, break: 12:00 to 12:30}
rooms:
  workshop: {air: {day: 68 °F, night: 58 °F, humidity: 45 %}}
steps:
"""
HOURS = CHAIN.replace("weekends, from: 8:00, to: 17:00, break: 12:00 to 12:30", "weekdays, from: 18:00, to: 21:00")


def house(steps: int) -> str:
    """A job file of about so many steps."""
    rooms = ROOMS[: max(1, min(len(ROOMS), steps // STEPS_A_ROOM))]
    pieces = max(len(rooms), (steps - SCOPE_STEPS * len(rooms)) // BUILT_IN_STEPS)
    items = [f"  parts {week}: {{comes: 2027-{2 + week // 4:02}-{1 + week % 4 * 7:02}}}\n" for week in range(8)]
    built = []
    for number in range(pieces):
        room, kind = rooms[number % len(rooms)], PIECES[number // len(rooms) % len(PIECES)]
        needs = f", needs: parts {number % len(items)}" if number % 5 == 0 else ""
        built.append(BUILT_IN.format(room=room, name=f"{room} {kind} {number // len(rooms) + 1}", needs=needs))
    return "".join(
        [HEAD.format(name="Whole house"), HOUSE, *items, "rooms:\n"]
        + [ROOM.format(room=room, length=12 + n % 5, day=66 + n % 4) for n, room in enumerate(rooms)]
        + ["scope:\n", *(SCOPE.format(room=room) for room in rooms)]
        + ["colours:\n", *(COLOURS.format(room=room) for room in rooms), "steps:\n", *built]
    )


def chain(steps: int) -> str:
    """A job file of so many steps of half an hour, one after the other."""
    lines = [f"  part {n}: {{work: 30 min{f', follows: part {n - 1}' if n else ''}}}\n" for n in range(steps)]
    return "".join([HEAD.format(name="One long chain"), CHAIN, *lines])


def hours(steps: int) -> str:
    """A job file of one step of so many half hours."""
    return "".join([HEAD.format(name="Long hours"), HOURS, f"  carving: {{work: {steps // 2} h, pause: 30 min}}\n"])


def held(steps: int) -> str:
    """The house in which things are kept: furniture stands in the space for that of four rooms until it is carried
    back, and what is primed or painted lies on a rack of nine until it can be handled."""
    text = house(steps)
    for old, new in (
        ("sander: 2}", "sander: 2, floor space: 4, drying rack: 9}"),
        ("[clear and protect,", "[clear and protect: {furniture: to carry out},"),
        ("put back: {boxes: 4}", "put back: {boxes: 4, furniture: to carry in}"),
        ("lays: acrylic-bonding-primer,", "lays: acrylic-bonding-primer, takes: {drying rack: 1 until handle},"),
        ("lays: waterborne-alkyd-enamel,", "lays: waterborne-alkyd-enamel, takes: {drying rack: 1 until handle},"),
        ("coat: 2}\n", "coat: 2}\n    takes: {drying rack: 1 until handle}\n"),
    ):
        text = text.replace(old, new)
    return text


SHAPES: dict[str, Callable[[int], str]] = {"house": house, "held": held, "chain": chain, "hours": hours}


def whole_process(file: Path, effort: int | None) -> float:
    """Seconds of the processor that `tackfree plan FILE --json` takes."""
    more = [] if effort is None else ["--effort", str(effort)]
    command = [sys.executable, "-c", "from scheduler.cli import main; main()", "plan", str(file), "--json"]
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run([*command, "--as-of", "2026-12-01", *more], check=True, stdout=subprocess.DEVNULL)
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def stages(file: Path, effort: int | None) -> Iterator[tuple[str, float, Made | None]]:
    """Each stage by name, with its seconds. The last is the whole of planning, which tries shorter spans first."""
    begun = process_time()

    def lap() -> float:
        nonlocal begun
        before, begun = begun, process_time()
        return begun - before

    job, trade = read(file)
    yield "reading", lap(), None
    graph = expand(job, trade)
    yield "expanding", lap(), None
    facts, wish = Facts(now=job.start - 39 * 1440), Wish() if effort is None else Wish(effort=effort)
    made = make_plan(job, trade, facts, wish)
    yield "make_plan", lap(), made
    zone, ground = ZoneInfo(job.zone), made.ground
    ahead = span_ahead(job, facts, made.weeks)
    films = film_clocks(graph, job.rooms, trade, zone, Span(ahead.start, ahead.end + CURING), metric=job.metric)
    yield "films", lap(), None
    lowered = lower(job, graph, ground.windows, films, facts)
    yield "lowering", lap(), None
    problem = lowered.problem
    urgency = latest_starts(problem, problem.slots[-1].end)
    yield "latest starts", lap(), None
    placement = Placer(problem).place(urgency)
    yield "one schedule", lap(), None
    assert isinstance(placement, Placement)
    lower_bound(problem, placement.finish)
    yield "bound", lap(), None
    result = search(problem, wish.effort)
    yield "whole search", lap(), None
    assert isinstance(result, Result)
    plan = raise_plan(ground, lowered, result)
    yield "raising, why", lap(), None
    verify(plan, job, graph, ground.windows, films, facts)
    yield "verifying", lap(), None
    agenda(plan, 80, False)
    yield "agenda", lap(), None
    plan_json(plan, 0.0)
    yield "JSON", lap(), None


def main() -> None:
    """Measure and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--sizes", default="100,500,2000")
    parser.add_argument("--effort", type=int)
    parser.add_argument("--shapes", default=",".join(SHAPES))
    wanted = parser.parse_args()
    sizes = [int(size) for size in wanted.sizes.split(",")]
    report: dict[str, object] = {}
    with tempfile.TemporaryDirectory() as folder:
        for shape in wanted.shapes.split(","):
            points = []
            for size in sizes:
                file = Path(folder) / f"{shape}-{size}.yaml"
                file.write_text(SHAPES[shape](size), encoding="utf-8")
                seconds = whole_process(file, wanted.effort)
                told = list(stages(file, wanted.effort))
                made = next(made for _, _, made in told if made is not None)
                steps = size if shape == "hours" else len(made.ground.graph.tasks)
                points.append((steps, seconds))
                weeks = (made.plan.finish - made.ground.job.start) / 10080
                print(f"{shape:6} {steps:5} steps {seconds:8.2f} s   ends after {weeks:.0f} weeks")
                print("   " + ", ".join(f"{name} {took:.2f}" for name, took, _ in told), flush=True)
            (least, first), (most, last) = points[0], points[-1]
            exponent = log(last / first) / log(most / least) if most > least else 0.0
            print(f"{shape:6} growth exponent {exponent:.2f} from {least} to {most} steps", flush=True)
            report[shape] = {"points": points, "exponent": round(exponent, 3)}
    print(json.dumps(report))


if __name__ == "__main__":
    main()
