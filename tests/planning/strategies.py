"""Random small jobs that can be done: hours, rooms, films, dust, deliveries, colours that touch.

`small_jobs()` gives cases of 3 to 15 tasks (remedies come on top). Each is sound by construction: its
tasks stand in an order in which they can be done one after the other (`tests.verifying.witness` does just that), and
its hard windows are no tighter than that plan, with some days to spare.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from hypothesis import strategies as st

from scheduler.model.basics import Estimate, Span
from scheduler.model.beware import Beware
from scheduler.model.clock import DryClock, FilmClocks, StageClock
from scheduler.model.facts import Facts
from scheduler.model.graph import Choice, ColourOrder, Film, Link, Task, TaskGraph
from scheduler.model.job import AirPeriod, Away, Hours, Item, Job, QuietHours, Room, SharedThing
from scheduler.model.message import as_written
from scheduler.wallclock import DAY, at_local, local_date
from scheduler.worktime import windows
from tests.support.written import Case
from tests.verifying.witness import Witness

WEEKS = 40
"""Weeks of work windows: several times what the longest of these jobs needs, one step after the other."""

CURE = 150
"""Days that the dry clocks run on after the windows."""

ZONES = ("UTC", "America/Chicago", "Europe/Berlin", "Australia/Adelaide")
SATURDAY, SUNDAY = 5, 6

MILD = AirPeriod(since=None, day_temp=20, night_temp=12, day_humidity=0.5, night_humidity=0.7)
"""What the room says of its air. The clocks of these cases are drawn, not worked out from it."""

Drawn = st.DrawFn


@st.composite
def small_jobs(draw: Drawn) -> Case:
    """A small job that can be done, at its start or in the midst of the work."""
    case = draw(_fresh())
    built = Witness(case).build()
    case = _with_hard_windows(draw, case, built)
    return _under_way(draw, case, built) if draw(st.integers(0, 3)) == 0 else case


@st.composite
def fresh_jobs(draw: Drawn) -> Case:
    """A small job of which nothing is done yet."""
    case = draw(_fresh())
    return _with_hard_windows(draw, case, Witness(case).build())


@st.composite
def _fresh(draw: Drawn) -> Case:
    job = job_around(draw)
    zone = ZoneInfo(job.zone)
    sketch = _Sketch(draw, job, {room.id: _air(draw, job, zone) for room in job.rooms})
    size = draw(st.sampled_from(range(3, 15)))
    if size >= 8 and draw(st.booleans()):
        _colours(sketch, 3 if size >= 11 and draw(st.booleans()) else 2)
    while len(sketch.plain) < size:
        _step(sketch)
    order = sorted(sketch.tasks, key=lambda task: task.id)
    graph = TaskGraph(
        tasks=tuple(order), links=tuple(sketch.links), choices=tuple(sketch.choices), closed=sketch.closed
    )
    horizon = Span(job.start, job.start + WEEKS * 7 * DAY)
    return Case(
        job=job,
        graph=graph,
        windows=windows(job, horizon, zone),
        films=sketch.films,
        facts=Facts(now=job.start),
    )


# --- The job around the steps ----------------------------------------------------------------------------------


def job_around(draw: Drawn) -> Job:
    """Saturdays with two or three people, always; Sundays and evenings perhaps."""
    zone = draw(st.sampled_from(ZONES))
    first = date(2026, 1, 1) + timedelta(days=draw(st.integers(0, 330)))
    lunch = ((720, 750),) if draw(st.booleans()) else ()
    hours = [Hours(weekdays=frozenset({SATURDAY}), start=480, end=1020, people=draw(st.integers(2, 3)), breaks=lunch)]
    if draw(st.booleans()):
        hours.append(Hours(weekdays=frozenset({SUNDAY}), start=600, end=960, people=draw(st.integers(1, 2))))
    evenings = draw(st.frozensets(st.integers(0, 4), max_size=2))
    if evenings:
        hours.append(Hours(weekdays=evenings, start=1080, end=1260, people=1, quiet=draw(st.booleans())))
    quiet = (
        (),
        (QuietHours(weekdays=frozenset(range(7)), start=1200, end=540),),
        (QuietHours(weekdays=frozenset(range(7)), start=780, end=900),),
    )
    gone = first + timedelta(days=draw(st.integers(3, 40)))
    items = tuple(
        Item(
            id=f"item{i}",
            title=f"Item {i}",
            expected=first + timedelta(days=draw(st.integers(0, 45))),
            arrived=first if draw(st.integers(0, 3)) == 0 else None,
        )
        for i in range(draw(st.integers(0, 2)))
    )
    return Job(
        id="small",
        name="A small job",
        zone=zone,
        start=at_local(first, 0, ZoneInfo(zone)),
        metric=True,
        clock24=True,
        hours=tuple(hours),
        quiet=draw(st.sampled_from(quiet)),
        away=(Away(first=gone, last=gone + timedelta(days=2)),) if draw(st.booleans()) else (),
        set_up=draw(st.sampled_from((0, 10, 20))),
        clear_up=draw(st.sampled_from((0, 15))),
        rooms=tuple(Room(id=f"room{i}", title=f"Room {i}", air=(MILD,)) for i in range(draw(st.integers(1, 3)))),
        items=items,
        things=(SharedThing(id="ladder", count=1), SharedThing(id="trestle", count=2)),
    )


@dataclass(frozen=True)
class _Air:
    """The air of one room: its dry clock, and a fit table that leaves out some cold spells."""

    clock: DryClock
    fit: tuple[Span, ...]


def _air(draw: Drawn, job: Job, zone: ZoneInfo) -> _Air:
    """Rates by day (8:00 to 20:00) and by night that go round in a cycle of a few days, in local time."""
    pairs = draw(st.lists(st.tuples(_rate(0.5, 2.0), _rate(0.2, 1.0)), min_size=1, max_size=4))
    cold = draw(st.frozensets(st.integers(0, 12), max_size=3))
    day = local_date(job.start, zone) - timedelta(days=3)
    knots, progress, fit = [at_local(day, 480, zone)], [0.0], []
    for i in range(WEEKS * 7 + CURE):
        by_day, by_night = pairs[i % len(pairs)]
        halves = ((at_local(day, 1200, zone), by_day), (at_local(day, 1440 + 480, zone), by_night))
        for end, rate in halves:
            progress.append(progress[-1] + rate * (end - knots[-1]))
            knots.append(end)
        if day.weekday() == SATURDAY and i // 7 not in cold:
            fit.append(Span(at_local(day, 420, zone), at_local(day, 2 * 1440, zone)))
        elif day.weekday() not in (SATURDAY, SUNDAY) and i % 3:
            fit.append(Span(at_local(day, 600, zone), at_local(day, 1320, zone)))
        day += timedelta(days=1)
    return _Air(DryClock(tuple(knots), tuple(progress)), tuple(fit))


def _rate(low: float, high: float) -> st.SearchStrategy[float]:
    """Rates in hundredths: as uneven as real ones, and readable when a case fails."""
    return st.integers(round(low * 100), round(high * 100)).map(lambda hundredths: hundredths / 100)


# --- The steps -------------------------------------------------------------------------------------------------


@dataclass
class _Sketch:
    """A task graph in the making. Ids are numbered so that their order is one in which the work can be done."""

    draw: Drawn
    job: Job
    airs: Mapping[str, _Air]
    tasks: list[Task] = field(default_factory=list)
    plain: list[Task] = field(default_factory=list)
    links: list[Link] = field(default_factory=list)
    choices: list[Choice] = field(default_factory=list)
    films: dict[str, FilmClocks] = field(default_factory=dict)
    closed: dict[str, str] = field(default_factory=dict)
    dust: dict[str, list[str]] = field(default_factory=dict)

    def chance(self, one_in: int) -> bool:
        """True once in so many times."""
        return self.draw(st.integers(1, one_in)) == one_in

    def add(self, task: Task) -> Task:
        """A task at the end of the order; before a wet one the room is wiped down, if there is dust in it."""
        if task.wet and self.dust.get(task.room):
            dusty = self.dust.pop(task.room)
            wipe = self.add(_task("Wipe down", task.room, self.draw(st.integers(10, 40)), wipes=True))
            self.links += [Link(before=name, after=wipe.id) for name in dusty]
            task = self.add(task)
            self.links.append(Link(before=wipe.id, after=task.id))
            return task
        task = replace(task, id=f"t{len(self.plain):02d}0")
        self.tasks.append(task)
        self.plain.append(task)
        if task.dusty:
            self.dust.setdefault(task.room, []).append(task.id)
        if task.film:
            self.films[task.id] = _film(self, task)
        return task

    def remedy(self, before: Task, after: Task, dusty: bool) -> str:
        """A remedy between two tasks; a dusty one wipes up after itself."""
        place = self.plain.index(after) - 1
        number = sum(task.id.startswith(f"t{place:02d}5") for task in self.tasks)
        task = _task("Mend", after.room, self.draw(st.integers(10, 60)), dusty=dusty, wipes=dusty)
        reason = "window missed"
        name = f"t{place:02d}5{number}"
        self.tasks.append(replace(task, id=name, remedy_of=(before.id, after.id), added=as_written(reason)))
        return name


def _task(title: str, room: str, work: int | Estimate, **more: object) -> Task:
    estimate = work if isinstance(work, Estimate) else Estimate.sure(work)
    task = Task(id="", title=title, room=room, work=estimate, people=1, smallest_piece=None)
    return replace(task, **more)  # type: ignore[arg-type]


def _step(sketch: _Sketch) -> None:
    """One more step of a random kind, that follows up to two earlier ones."""
    draw = sketch.draw
    kind = draw(st.sampled_from(("plain", "plain", "dusty", "wet", "wet")))
    room = draw(st.sampled_from(sketch.job.rooms)).id
    pausing = kind != "wet" and draw(st.booleans())
    likely = draw(st.integers(30, 240 if pausing else 90))
    task = _task(
        f"{kind} work",
        room,
        Estimate(likely - draw(st.integers(0, 15)), likely, likely + draw(st.integers(0, 30))),
        people=2 if sketch.chance(4) else 1,
        smallest_piece=draw(st.integers(15, 60)) if pausing else None,
        dusty=kind == "dusty",
        noisy=kind == "dusty" and draw(st.booleans()),
        wet=kind == "wet" and not sketch.chance(6),
        film=Film(material="paint", coat=1, ratio=1.0, room=room) if kind == "wet" else None,
        takes=draw(st.sampled_from(((), (), (("ladder", 1),), (("trestle", 2),)))),
        needs=tuple(item.id for item in sketch.job.items if sketch.chance(4)),
        cautions=(Beware("Open a window."),) if kind == "wet" else (),
    )
    earlier = list(sketch.plain)
    task = sketch.add(task)
    if earlier:
        for before in draw(st.lists(st.sampled_from(earlier), max_size=2, unique_by=lambda task: task.id)):
            sketch.links.append(_link(sketch, before, task))
    if kind == "wet" and sketch.chance(4):
        sketch.closed[task.id] = draw(st.sampled_from(("touch", "dust_free")))


def _link(sketch: _Sketch, before: Task, after: Task) -> Link:
    """From a film at one of its stages, with a recoat window if the next film goes on it; else from the end."""
    draw = sketch.draw
    if before.film is None:
        return Link(before=before.id, after=after.id, wait=draw(st.sampled_from((0, 0, 0, 30, 600))))
    stage = draw(st.sampled_from(("touch", "sand", "recoat", "recoat", "tape", "use")))
    link = Link(before=before.id, after=after.id, stage=stage)
    if stage == "recoat" and after.film and "recoat_by" in sketch.films[before.id].stages:
        return replace(link, until="recoat_by", remedy=sketch.remedy(before, after, draw(st.booleans())))
    return link


def _film(sketch: _Sketch, task: Task) -> FilmClocks:
    """Stages one after the other, in reference minutes, on the clock of the room."""
    draw, air = sketch.draw, sketch.airs[task.room]
    touch = draw(st.integers(15, 120))
    dust_free = touch + draw(st.integers(0, 180))
    recoat = dust_free + draw(st.integers(0, 900))
    amounts = {
        "touch": touch,
        "dust_free": dust_free,
        "sand": recoat,
        "recoat": recoat,
        "tape": recoat + draw(st.integers(0, 900)),
        "use": recoat + draw(st.integers(0, 3 * DAY)),
        "full": recoat + draw(st.integers(3 * DAY, 15 * DAY)),
    }
    if draw(st.booleans()):
        amounts["recoat_by"] = recoat + draw(st.integers(600, 6 * DAY))
    factor = draw(st.sampled_from((1.0, 1.0, 1.37)))
    return FilmClocks(
        stages={name: StageClock(air.clock, amount * factor, "film", "invented") for name, amount in amounts.items()},
        fit=air.fit if sketch.chance(3) else None,
        hold_until="touch" if draw(st.booleans()) else None,
        limits_said="10 °C to 32 °C",
        factor=factor,
    )


# --- Colours that touch ----------------------------------------------------------------------------------------


@dataclass(frozen=True)
class _Cycle:
    tape: Task
    coats: tuple[Task, ...]
    pull: Task


def _colours(sketch: _Sketch, number: int) -> None:
    """Two or three colours in one room, all of which touch; the planner chooses their order."""
    room = sketch.draw(st.sampled_from(sketch.job.rooms)).id
    before = _task("Prepare", room, 45, smallest_piece=15, dusty=sketch.draw(st.booleans()))
    sketch.add(before)
    cycles = [_cycle(sketch, room, 1 if number == 3 else sketch.draw(st.integers(1, 2))) for _ in range(number)]
    for i, one in enumerate(cycles):
        for other in cycles[i + 1 :]:
            border, pull = (Estimate.sure(sketch.draw(st.integers(5, 20))) for _ in range(2))
            sketch.choices.append(
                Choice(
                    id=f"{one.tape.id}|{other.tape.id}",
                    options=(_option(one, other, border, pull), _option(other, one, border, pull)),
                )
            )


def _cycle(sketch: _Sketch, room: str, coats: int) -> _Cycle:
    """One colour. Where nothing but a border is taped, taping and pulling have no work of their own."""
    draw = sketch.draw
    bare = sketch.chance(5)
    tape = sketch.add(_task("Tape", room, 0 if bare else draw(st.integers(10, 60)), smallest_piece=10))
    film = Film(material="paint", coat=1, ratio=1.0, room=room)
    laid: list[Task] = []
    for coat in range(coats):
        film = replace(film, coat=coat + 1)
        laid.append(sketch.add(_task("Coat", room, draw(st.integers(20, 100)), wet=True, film=film)))
        before = laid[-2] if coat else tape
        sketch.links.append(replace(_link(sketch, before, laid[-1]), stage="recoat" if coat else None, wait=0))
    pull = sketch.add(_task("Pull", room, 0 if bare else draw(st.integers(5, 20))))
    mend = sketch.remedy(laid[-1], pull, dusty=False)
    within = draw(st.integers(6 * 60, 3 * DAY))
    sketch.links.append(Link(before=laid[-1].id, after=pull.id, stage="touch", within=within, remedy=mend))
    sketch.links.append(Link(before=tape.id, after=pull.id))
    return _Cycle(tape, tuple(laid), pull)


def _option(first: _Cycle, second: _Cycle, border: Estimate, pull: Estimate) -> ColourOrder:
    return ColourOrder(
        name=f"{first.tape.id} first",
        leader=first.coats[0].id,
        links=(
            Link(before=first.coats[-1].id, after=second.tape.id, stage="tape"),
            Link(before=first.pull.id, after=second.tape.id),
        ),
        extra=((second.tape.id, border), (second.pull.id, pull)),
    )


# --- Hard windows, and work that has begun ---------------------------------------------------------------------


def _with_hard_windows(draw: Drawn, case: Case, built: Witness) -> Case:
    """Some links get a window without a remedy: what the witness needs, and two days to two weeks more."""

    def windowed(link: Link) -> Link:
        known = link.before in built.pieces and link.after in built.pieces
        if not known or link.remedy or draw(st.integers(1, 8)) < 8:
            return link
        gap = built.pieces[link.after][0].start - built.ends[link.before]
        return replace(link, within=gap + draw(st.integers(2 * DAY, 14 * DAY)))

    return replace(case, graph=replace(case.graph, links=tuple(windowed(link) for link in case.graph.links)))


def _under_way(draw: Drawn, case: Case, built: Witness) -> Case:
    """The case at a moment of the witness's plan: between two pieces, or in the middle of one that cannot pause."""
    spans = sorted((piece, name) for name, pieces in built.pieces.items() for piece in pieces)
    piece, name = draw(st.sampled_from(spans))
    middle = piece.start + piece.minutes // 2
    cut = middle if case.graph.task(name).smallest_piece is None and piece.minutes > 1 else piece.end
    now = draw(st.sampled_from((cut, cut, piece.end)))
    done = {name: pieces for name, pieces in built.pieces.items() if pieces[-1].end <= now}
    begun = {}
    for name, pieces in built.pieces.items():
        so_far = tuple(Span(p.start, min(p.end, now)) for p in pieces if p.start < now)
        if so_far and name not in done:
            begun[name] = (so_far, sum(p.minutes for p in pieces) - sum(p.minutes for p in so_far))
    before = built.pieces if draw(st.booleans()) else {}
    return replace(case, facts=Facts(now=now, done=done, begun=begun, before=before))
