"""One small job with a sound plan that can be checked with pen and paper, and the means to write broken siblings.

The job is invented. Its films dry at the full rate from 8:00 to 20:00 and at half the rate by night, so a whole
day gives 12 · 60 + 12 · 60 / 2 = 1080 reference minutes, and each stage below can be counted on the fingers.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from functools import cache

from scheduler.model.basics import Estimate, Span
from scheduler.model.beware import Beware
from scheduler.model.clock import DryClock, FilmClocks, StageClock
from scheduler.model.facts import Facts
from scheduler.model.graph import Choice, ColourOrder, Film, Link, Task, TaskGraph
from scheduler.model.hours import Window
from scheduler.model.job import Item, Job, Room, SharedThing
from scheduler.model.message import as_written
from scheduler.model.plan import Plan
from tests.support.builders import minute
from tests.support.written import Case, Pieces, written

ZONE = "America/Chicago"


def at(text: str) -> int:
    """A minute in April 2026 (Chicago): at("4 9:00") is Saturday the 4th, nine in the morning."""
    day, _, clock = text.partition(" ")
    return minute(f"2026-04-{int(day):02d} {clock or '0:00'}", ZONE)


def run(day: int, start: str, end: str) -> Span:
    """A piece on one day of April 2026."""
    return Span(at(f"{day} {start}"), at(f"{day} {end}"))


# --- The job ---------------------------------------------------------------------------------------------------

JOB = Job(
    id="den",
    name="Den and hall",
    zone=ZONE,
    start=at("3"),
    metric=False,
    clock24=False,
    hours=(),
    set_up=15,
    clear_up=15,
    rooms=(Room(id="den", title="Den", air=()), Room(id="hall", title="Hall", air=())),
    items=(Item(id="doors", title="Doors", expected=date(2026, 4, 8)),),
    things=(SharedThing(id="ladder", count=1),),
)

FILM = Film(material="paint", coat=1, ratio=1.0, room="den")

TASKS = (
    Task(id="lamp", title="Hang the lamp", room="hall", work=Estimate.sure(30), people=1, smallest_piece=None,
         takes=(("ladder", 1),), cautions=(Beware("Switch the breaker off."),)),
    Task(id="cut", title="Cut the boards", room="den", work=Estimate(40, 60, 80), people=1, smallest_piece=20,
         dusty=True, noisy=True),
    Task(id="drill", title="Drill the holes", room="den", work=Estimate.sure(20), people=1, smallest_piece=None,
         dusty=True),
    Task(id="wipe", title="Wipe down", room="den", work=Estimate.sure(20), people=1, smallest_piece=None, wipes=True),
    Task(id="prime", title="Prime the walls", room="den", work=Estimate.sure(75), people=2, smallest_piece=None,
         wet=True, film=replace(FILM, material="primer"), takes=(("ladder", 1),)),
    Task(id="scuff", title="Scuff sand and wipe", room="den", work=Estimate.sure(25), people=1, smallest_piece=None,
         dusty=True, wipes=True, remedy_of=("prime", "cream-coat"), added=as_written("recoat window missed")),
    Task(id="cream-tape", title="Tape for cream", room="den", work=Estimate.sure(30), people=1, smallest_piece=None),
    Task(id="cream-coat", title="Coat cream", room="den", work=Estimate.sure(60), people=1, smallest_piece=None,
         wet=True, film=FILM),
    Task(id="score", title="Score the edge", room="den", work=Estimate.sure(10), people=1, smallest_piece=None,
         remedy_of=("cream-coat", "cream-pull"), added=as_written("tape stuck")),
    Task(id="cream-pull", title="Pull the tape", room="den", work=Estimate.sure(15), people=1, smallest_piece=None),
    Task(id="grey-tape", title="Tape for grey", room="den", work=Estimate.sure(30), people=1, smallest_piece=None),
    Task(id="grey-coat", title="Coat grey", room="den", work=Estimate.sure(60), people=1, smallest_piece=None,
         wet=True, film=FILM),
    Task(id="grey-pull", title="Pull the tape", room="den", work=Estimate.sure(15), people=1, smallest_piece=None),
    Task(id="door", title="Hang the doors", room="hall", work=Estimate.sure(135), people=1, smallest_piece=45,
         needs=("doors",)),
    Task(id="shelf", title="Carry the shelf in", room="hall", work=Estimate.sure(40), people=2, smallest_piece=None),
    Task(id="note", title="Mark the stripes", room="den", work=Estimate.sure(15), people=1, smallest_piece=None),
)  # fmt: skip

LINKS = (
    Link(before="cut", after="wipe"),
    Link(before="drill", after="wipe"),
    Link(before="wipe", after="prime"),
    Link(before="prime", after="cream-tape", stage="recoat"),
    Link(before="prime", after="cream-coat", stage="recoat", until="recoat_by", remedy="scuff"),
    Link(before="cream-tape", after="cream-coat", within=24 * 60),
    Link(before="cream-coat", after="cream-pull", stage="touch", within=180, remedy="score"),
    Link(before="grey-tape", after="grey-coat", wait=5),
    Link(before="grey-coat", after="grey-pull", stage="touch"),
)

BORDER = Choice(
    id="cream|grey",
    options=(
        ColourOrder(
            name="cream",
            leader="cream-tape",
            links=(
                Link(before="cream-coat", after="grey-tape", stage="tape"),
                Link(before="cream-pull", after="grey-tape"),
            ),
            extra=(("grey-tape", Estimate.sure(10)),),
        ),
        ColourOrder(
            name="grey",
            leader="grey-tape",
            links=(
                Link(before="grey-coat", after="cream-tape", stage="tape"),
                Link(before="grey-pull", after="cream-tape"),
            ),
            extra=(("cream-tape", Estimate.sure(10)),),
        ),
    ),
)

GRAPH = TaskGraph(tasks=TASKS, links=LINKS, choices=(BORDER,), closed={"prime": "touch"})

# --- Hours: Saturdays with three people (quiet until 9:00, break at noon), Sunday and Wednesday with one -------


def _stretch(session: int, day: int, *hours: tuple[str, str, int, bool]) -> tuple[Window, ...]:
    """The windows of one session; 15 minutes of set-up and of clear-up bound the work."""
    spans = [run(day, start, end) for start, end, _, _ in hours]
    first, last = spans[0].start + 15, spans[-1].end - 15
    return tuple(
        Window(span.start, span.end, people, hush, session, first, last, date(2026, 4, day))
        for span, (_, _, people, hush) in zip(spans, hours, strict=True)
    )


def _saturday(session: int, day: int) -> tuple[Window, ...]:
    hours = (("8:00", "9:00", 3, True), ("9:00", "12:00", 3, False), ("12:30", "17:00", 3, False))
    return _stretch(session, day, *hours)


WINDOWS = (
    *_saturday(1, 4),
    *_stretch(2, 8, ("18:00", "21:00", 1, True)),
    *_saturday(3, 11),
    *_stretch(4, 12, ("10:00", "16:00", 1, False)),
    *_saturday(5, 18),
)

# --- Films: full rate from 8:00 to 20:00, half of it by night --------------------------------------------------


def _clock(days: int = 60) -> DryClock:
    knots, progress = [at("1 8:00")], [0.0]
    for half_day in range(2 * days):
        knots.append(knots[-1] + 720)
        progress.append(progress[-1] + (360 if half_day % 2 else 720))
    return DryClock(tuple(knots), tuple(progress))


def _film(fit: tuple[Span, ...] | None = None, **amounts: int) -> FilmClocks:
    stages = {stage: StageClock(_clock(), amount, "film", "invented") for stage, amount in amounts.items()}
    return FilmClocks(stages=stages, fit=fit, hold_until="touch", limits_said="10 °C to 32 °C", factor=1.0)


_PAINT = _film(touch=30, dust_free=60, recoat=240, tape=480, use=720, full=4320)

FILMS = {
    "prime": _film(
        fit=(run(4, "8:00", "14:00"), run(5, "8:00", "14:00"), run(11, "8:00", "14:00")),
        touch=30, dust_free=60, recoat=600, recoat_by=2880, use=1440, full=10080,
    ),
    "cream-coat": _PAINT,
    "grey-coat": _PAINT,
}  # fmt: skip

CASE = Case(job=JOB, graph=GRAPH, windows=WINDOWS, films=FILMS, facts=Facts(now=at("3")))

# --- The sound plan --------------------------------------------------------------------------------------------

PIECES: Pieces = {
    "lamp": (run(4, "8:15", "8:45"),),
    "cut": (run(4, "9:00", "9:40"), run(4, "10:00", "10:20")),
    "drill": (run(4, "9:40", "10:00"),),
    "wipe": (run(4, "10:20", "10:40"),),
    "prime": (run(4, "10:45", "12:00"),),
    "cream-tape": (run(11, "8:15", "8:45"),),
    "scuff": (run(11, "9:00", "9:25"),),
    "cream-coat": (run(11, "9:30", "10:30"),),
    "cream-pull": (run(11, "11:00", "11:15"),),
    "door": (run(8, "18:15", "19:00"), run(11, "11:15", "12:00"), run(11, "12:30", "13:15")),
    "shelf": (run(11, "13:30", "14:10"),),
    "note": (run(11, "14:30", "14:45"),),
    "grey-tape": (run(12, "10:15", "10:55"),),
    "grey-coat": (run(12, "11:00", "12:00"),),
    "grey-pull": (run(12, "12:30", "12:45"),),
}

STAGES = {
    # Sat 4th 12:00: 480 by 20:00, 840 by Sun 8:00, 1560 by Sun 20:00, 1920 by Mon 8:00, 2640 by Mon 20:00
    "prime": {
        "touch": at("4 12:30"),
        "dust_free": at("4 13:00"),
        "recoat": at("5 0:00"),  # 600 = 480 + 120, and 120 take 240 by night
        "recoat_by": at("7 4:00"),  # 2880 = 2640 + 240, and 240 take 480 by night
        "use": at("5 18:00"),  # 1440 = 840 + 600
        "full": at("13 18:00"),  # 10080 = 840 + 8 · 1080 + 600
    },
    # Sat 11th 10:30: 570 by 20:00, 930 by Sun 8:00
    "cream-coat": {
        "touch": at("11 11:00"),
        "dust_free": at("11 11:30"),
        "recoat": at("11 14:30"),
        "tape": at("11 18:30"),
        "use": at("12 1:00"),  # 720 = 570 + 150, and 150 take 300 by night
        "full": at("15 10:30"),  # 4320 = 930 + 3 · 1080 + 150
    },
    # Sun 12th 12:00: 480 by 20:00, 840 by Mon 8:00
    "grey-coat": {
        "touch": at("12 12:30"),
        "dust_free": at("12 13:00"),
        "recoat": at("12 16:00"),
        "tape": at("12 20:00"),
        "use": at("13 4:00"),  # 720 = 480 + 240, and 240 take 480 by night
        "full": at("16 12:00"),  # 4320 = 840 + 3 · 1080 + 240
    },
}
"""When each film of the sound plan is at each stage, counted by hand."""

LATER = replace(
    CASE,
    facts=Facts(
        now=at("11 10:00"),
        done={
            "lamp": (run(2, "20:00", "20:30"),),  # on a Thursday evening, before the job and outside all hours
            **{name: PIECES[name] for name in ("cut", "drill", "wipe", "prime", "cream-tape", "scuff")},
        },
        begun={"cream-coat": ((run(11, "9:30", "10:00"),), 30), "door": ((run(8, "18:15", "19:00"),), 90)},
    ),
)
"""The same job in the middle of the second Saturday, with what has been recorded by then."""

PIECES_LATER: Pieces = {
    **PIECES,
    "lamp": LATER.facts.done["lamp"],
    "cream-coat": (run(11, "9:30", "10:00"), run(11, "10:00", "10:30")),
}


def sound() -> Plan:
    """The sound plan."""
    return written(CASE, PIECES, {"cream|grey": "cream"})


def moved(case: Case = CASE, pieces: Pieces = PIECES, **steps: tuple[Span, ...] | Span | None) -> Plan:
    """The plan with the pieces of some steps changed (None: left out), and all else worked out anew.

    In names of steps `_` stands for `-`.
    """
    changed = dict(pieces)
    for name, new in steps.items():
        key = name.replace("_", "-")
        if new is None:
            del changed[key]
        else:
            changed[key] = (new,) if isinstance(new, Span) else new
    return written(case, changed, {"cream|grey": "cream"})


@cache
def minutes_of_work() -> frozenset[int]:
    """Every minute in which a step may run, one by one."""
    return frozenset(
        minute
        for window in WINDOWS
        for minute in range(max(window.start, window.work_start), min(window.end, window.work_end))
    )
