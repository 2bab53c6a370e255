"""Jobs, trades and task graphs in few words, for tests.

Everything has a default that does no harm: hours from midnight to midnight on every day in UTC, one room at
the reference air, work in one piece. A test names only what its rule is about.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, datetime
from typing import Any
from zoneinfo import ZoneInfo

from scheduler.errors import Place
from scheduler.model.after import After
from scheduler.model.basics import Estimate
from scheduler.model.graph import Link, Task, TaskGraph
from scheduler.model.job import AirPeriod, Away, Border, Colour, Hours, Job, Lay, QuietHours, Room, Step
from scheduler.model.material import Limits, Material, Remedy, StageTime, Tape, Trade
from scheduler.wallclock import at_local

FILE = "job.yaml"
EVERY_DAY = frozenset(range(7))
MONDAY, TUESDAY, WEDNESDAY, THURSDAY, FRIDAY, SATURDAY, SUNDAY = range(7)
HOUR = 60
DAY = 24 * HOUR
INVENTED = "invented for the test"


def clock(text: str) -> int:
    """Minutes of the day from "8:30"; "24:00" is the end of the day."""
    hours, minutes = text.split(":")
    return int(hours) * 60 + int(minutes)


def minute(text: str, zone: str = "UTC") -> int:
    """The minute since the epoch of "2027-01-09 08:30", or of the midnight that begins "2027-01-09"."""
    day, _, time = text.partition(" ")
    return at_local(date.fromisoformat(day), clock(time or "0:00"), ZoneInfo(zone))


def local(moment: int, zone: str = "UTC") -> str:
    """The other way round: "2027-01-09 08:30"."""
    return f"{datetime.fromtimestamp(moment * 60, ZoneInfo(zone)):%Y-%m-%d %H:%M}"


def place(line: int, column: int = 1) -> Place:
    """A spot in the job file of the test."""
    return Place(FILE, line, column)


def guess(work: int | tuple[int, int, int] | Estimate) -> Estimate:
    """An estimate from minutes, or from (low, likely, high)."""
    if isinstance(work, Estimate):
        return work
    return Estimate.sure(work) if isinstance(work, int) else Estimate(*work)


def hours(
    start: str = "0:00", end: str = "24:00", on: Iterable[int] = EVERY_DAY, breaks: Iterable[str] = (), **more: Any
) -> Hours:
    """A rule of work hours; breaks are written "12:00-12:45"."""
    pauses = tuple((clock(a), clock(b)) for a, b in (text.split("-") for text in breaks))
    return Hours(weekdays=frozenset(on), start=clock(start), end=clock(end), breaks=pauses, **more)


def quiet(start: str, end: str, on: Iterable[int] = EVERY_DAY) -> QuietHours:
    """A daily quiet stretch."""
    return QuietHours(weekdays=frozenset(on), start=clock(start), end=clock(end))


def away(first: str, last: str | None = None) -> Away:
    """Days away, both ends included."""
    return Away(first=date.fromisoformat(first), last=date.fromisoformat(last or first))


def room(name: str = "room", temp: float = 25.0, humidity: float = 0.5, **more: Any) -> Room:
    """A room whose air never changes: 25 °C and 50 % unless said otherwise."""
    air = AirPeriod(since=None, day_temp=temp, night_temp=temp, day_humidity=humidity, night_humidity=humidity)
    return Room(id=name, title=name.capitalize(), **{"air": (air,), **more})


def after(step: str, stage: str | None = None, line: int | None = None, **more: Any) -> After:
    """What a step follows."""
    return After(step=step, stage=stage, place=place(line) if line else None, **more)


def step(
    name: str,
    work: int | tuple[int, int, int] | Estimate = HOUR,
    follows: Iterable[str | After] = (),
    lays: str | Lay | None = None,
    line: int | None = None,
    **more: Any,
) -> Step:
    """A step of one hour in "room". `follows` takes ids (their end) or `after(...)`."""
    return Step(
        id=name,
        work=guess(work),
        after=tuple(after(one) if isinstance(one, str) else one for one in follows),
        lays=Lay(material=lays) if isinstance(lays, str) else lays,
        place=place(line) if line else None,
        **{"title": name.capitalize(), "room": "room", **more},
    )


def colour(
    name: str,
    coats: int = 2,
    follows: Iterable[str | After] = (),
    tape: int = 0,
    pull: int = 0,
    coat: int = HOUR,
    line: int | None = None,
    **more: Any,
) -> Colour:
    """A colour of two coats of one hour each, of the material "paint"."""
    return Colour(
        id=name,
        coats=coats,
        coat=guess(coat),
        tape=guess(tape),
        pull=guess(pull),
        after=tuple(after(one) if isinstance(one, str) else one for one in follows),
        place=place(line) if line else None,
        **{"title": name.capitalize(), "room": "room", "material": "paint", **more},
    )


def border(first: str, second: str, tape: int = 30, line: int | None = None) -> Border:
    """Two colours that touch."""
    return Border(first=first, second=second, tape=guess(tape), place=place(line) if line else None)


def job(*steps: Step, **more: Any) -> Job:
    """A job that begins on Saturday 2027-01-09 and may be worked on day and night."""
    fields: dict[str, Any] = {
        "id": "job",
        "name": "Job",
        "zone": "UTC",
        "start": minute("2027-01-09"),
        "metric": True,
        "clock24": True,
        "hours": (hours(),),
        "rooms": (room(),),
        "place": Place(FILE),
    }
    return Job(steps=steps, **{**fields, **more})


def stage(name: str, minutes: int, law: str = "film", exponent: float = 1.0, **more: Any) -> StageTime:
    """A stage reached after so many minutes at the reference air."""
    return StageTime(
        stage=name,
        low=minutes,
        typical=minutes,
        high=minutes,
        law=law,
        exponent=exponent,
        **{"source": INVENTED, **more},
    )


SCUFF = Remedy(title="Scuff sand and wipe down", work=30, source=INVENTED, dusty=True)
SCORE = Remedy(title="Score the edge with a knife", work=15, source=INVENTED)
TAPE = Tape(clean_for=14 * DAY, pull_by=DAY, remedy=SCORE, source=INVENTED)

PAINT_STAGES = {
    "touch": HOUR,
    "dust_free": 2 * HOUR,
    "recoat": 4 * HOUR,
    "tape": DAY,
    "use": 3 * DAY,
    "full": 30 * DAY,
}
"""Minutes to each stage of the test paint, at the reference air."""


def material(name: str = "paint", stages: dict[str, int] | None = None, **more: Any) -> Material:
    """A material whose stages take the given minutes at 25 °C and 50 %."""
    fields: dict[str, Any] = {
        "title": name.replace("-", " ").capitalize(),
        "group": "paint",
        "temp": 25.0,
        "humidity": 0.5,
        "thickness": 1e-4,
        "thickness_kind": "film",
        "limits": None,
        "source": INVENTED,
    }
    times = tuple(stage(stage_name, minutes) for stage_name, minutes in (stages or PAINT_STAGES).items())
    return Material(id=name, stages=times, **{**fields, **more})


def limits(temp_low: float = 10.0, temp_high: float = 32.0, humidity_high: float = 0.85, **more: Any) -> Limits:
    """Air in which the material may be laid."""
    return Limits(temp_low=temp_low, temp_high=temp_high, humidity_high=humidity_high, source=INVENTED, **more)


def trade(*materials: Material, **more: Any) -> Trade:
    """A trade that knows the test paint, or the materials given."""
    return Trade(materials=materials or (material(),), **{"tape": TAPE, **more})


def task(name: str, work: int | tuple[int, int, int] | Estimate = HOUR, **more: Any) -> Task:
    """A task of one hour in "room", in one piece, for one person."""
    fields: dict[str, Any] = {"title": name.capitalize(), "room": "room", "people": 1, "smallest_piece": None}
    return Task(id=name, work=guess(work), **{**fields, **more})


def link(before: str, follower: str, stage_name: str | None = None, **more: Any) -> Link:
    """`follower` starts when `before` is at that stage (its end, if none is named)."""
    return Link(before=before, after=follower, stage=stage_name, **more)


def graph(tasks: Iterable[Task], links: Iterable[Link] = (), **more: Any) -> TaskGraph:
    """A task graph; the tasks must come in an order that agrees with the links."""
    return TaskGraph(tasks=tuple(tasks), links=tuple(links), **more)
