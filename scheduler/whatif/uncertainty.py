"""From a plan and its job to an uncertain problem: which values are not sure, and which causes they share.

| what          | reckoned                             | shares a cause with                                |
| ------------- | ------------------------------------ | -------------------------------------------------- |
| hands-on time | low, likely, high, or a single value | all work of the household; that of its kind        |
| dry times     | the profile's typical time           | all films of the room; those of the material in it |
| air           | the job's values give or take a band | the whole job                                      |
| deliveries    | `between`, around the day promised   | what comes from the same shop                      |

Each step and each coat differs by itself as well. With a record the draws are conditional on what it taught
(`scheduler.learning`); without one they are drawn from what is known beforehand. A winter that is colder than was
thought is colder in all rooms and on all days.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import cached_property
from math import exp, hypot, inf, log
from zoneinfo import ZoneInfo

from scheduler.drying.clocks import film_clocks
from scheduler.learning import priors
from scheduler.learning.beliefs import Beliefs
from scheduler.learning.felt import films_of_room, spread_of
from scheduler.learning.lessons import key_of, key_of_lesson
from scheduler.learning.pace import centre, paces, spread
from scheduler.model.basics import Estimate, Span
from scheduler.model.clock import DryClock, FilmClocks
from scheduler.model.graph import Task
from scheduler.model.job import AirPeriod, Item, Room
from scheduler.model.material import WINDOW_END, Material
from scheduler.pipeline import CURING, Made, span_ahead, with_remedies
from scheduler.planning.encode import Lowered, lower, numbered
from scheduler.planning.visits import loosened
from scheduler.solver.causes import LogNormal
from scheduler.solver.draws import AS_IT_IS, Arrival, Drawn, Scaled, Setting, Uncertain, settled
from scheduler.solver.pert import Pert
from scheduler.solver.problem import Lag, Placement, Problem
from scheduler.wallclock import at_local, local_date

TEMP_BAND = 2.0
"""°C by which the air may be warmer or colder than the job says (common practice, no source)."""

HUMIDITY_BAND = 0.10
"""Share by which the relative humidity may be higher or lower than the job says (common practice, no source)."""

WARMTHS, DAMPNESSES = 5, 3
"""Steps in which the air is drawn, equally likely ones: each needs clocks of its own."""

WARMTH, DAMPNESS = "air: temperature", "air: humidity"
PACE = "pace"
FilmKey = tuple[str, str]
"""Task and stage: what has a dry time of its own."""


@dataclass(frozen=True, kw_only=True)
class UncertainProblem:
    """The uncertain problem, the task that each of its activities is, and the task and stage of each of its
    clocks."""

    uncertain: Uncertain
    lowered: Lowered
    films: tuple[FilmKey, ...] = ()


def doubts(made: Made) -> UncertainProblem:
    """What is not sure about a plan."""
    ground = made.ground
    graph = with_remedies(ground.graph)  # what the plan does in one go may take so long that its remedy is due
    causes = _Causes(made)
    films = _as_drawn(made)
    # The planner counts clocks by identity: with a clock of its own each dry time can be drawn by itself.
    tags: dict[FilmKey, DryClock] = {
        (task, stage): Scaled(at.clock.knots, at.clock.progress)
        for task, clocks in films.items()
        for stage, at in clocks.stages.items()
    }
    arrivals = dict(_arrivals(made))
    early = tuple(
        replace(item, expected=_days(item, made)[0]) if item.id in arrivals else item for item in ground.job.items
    )
    lowered = lower(
        replace(ground.job, items=early),
        graph,
        ground.windows,
        _tagged(films, tags),
        replace(ground.facts, before={}),
    ).giving_up(*numbered(ground.given, graph))
    numbers = {id(clock): key for key, clock in tags.items()}
    order = [numbers[id(clock)] for clock in lowered.problem.clocks]
    options = tuple(
        [option.name for option in choice.options].index(made.answer.options[choice.id]) for choice in lowered.choices
    )
    problem = _staying(settled(loosened(lowered, ground.facts.now), options), lowered, films)
    pieces = tuple(
        activity.fixed if activity.booked else made.answer.pieces.get(name, ())
        for name, activity in zip(lowered.names, problem.activities, strict=True)
    )
    has_films = bool(order)
    minutes = dict(_minutes(lowered, options, made, causes))
    factors = tuple((f"coat: {task}", _factor(made, causes, films, task, stage)) for task, stage in order)
    uncertain = Uncertain(
        problem=problem,
        planned=Placement(pieces=pieces, options=(), visits=problem.visits),
        minutes=minutes,
        factors=factors,
        arrivals={f"comes: {name}": arrival for name, arrival in arrivals.items()},
        needs={
            i: names
            for i, task in enumerate(lowered.tasks)
            if (names := tuple(f"comes: {item}" for item in task.needs if item in arrivals))
            and not has_begun(made, task.id)
        }
        | {
            len(lowered.tasks) + k: names
            for k, visit in enumerate(lowered.visits)
            if (names := tuple(f"comes: {item}" for item in visit.needs if item in arrivals))
            and visit.start > ground.facts.now
        },
        circumstances=(WARMTH, DAMPNESS) if has_films else (),
        setting=_Settings(made, lowered, order, films) if has_films else None,
        causes=causes.names,
        shared=causes,
    )
    return UncertainProblem(uncertain=uncertain, lowered=lowered, films=tuple(order))


class _Causes:
    """What steps and films share, and what the record says of it: asked with a share for each of `names`, it knows
    the log factor of each kind of work and of each material in a room."""

    def __init__(self, made: Made) -> None:
        ground = made.ground
        learned = ground.learned
        self._pace = paces(tuple(sorted(learned.works.values())))
        self._usual = paces(())
        self._fixed = {key_of_lesson(each) for each in learned.lessons if each.fixed}
        self._rooms: dict[str, Beliefs] = {}
        self._kinds: dict[str, None] = {}
        self._films: dict[tuple[str, str], float] = {}

    def of_work(self, task: Task) -> str:
        """The cause of the hands-on time of a task."""
        self._kinds[key_of(task)] = None
        return f"{PACE}: {key_of(task)}"

    def of_film(self, made: Made, room: str, material: Material) -> str:
        """The cause of the dry times of a material in a room."""
        if room not in self._rooms:
            readings = tuple(sorted(reading for _, reading in made.ground.learned.readings.get(room, ())))
            laid = {task.film.material for task in made.ground.graph.tasks if task.film and task.film.room == room}
            known = (made.ground.trade.material(name) for name in sorted(laid))
            spreads = tuple((each.id, spread_of(each)) for each in known if each is not None)
            self._rooms[room] = films_of_room(readings, spreads).beliefs
        self._films[room, material.id] = spread_of(material)
        return f"dries: {room}, {material.id}"

    @property
    def names(self) -> tuple[str, ...]:
        """Every cause that something hangs on."""
        return tuple(name for name, _ in self._all)

    @cached_property
    def _all(self) -> list[tuple[str, tuple[str, ...]]]:
        """The causes, each after the one that it hangs on, and what each is about; asked once all are known."""
        found: list[tuple[str, tuple[str, ...]]] = [(PACE, ())] if self._kinds else []
        found += [(f"{PACE}: {kind}", (kind,)) for kind in sorted(self._kinds)]
        found += [(f"room: {room}", (room,)) for room in sorted({room for room, _ in self._films})]
        found += [(f"dries: {room}, {material}", (room, material)) for room, material in sorted(self._films)]
        return found

    def __call__(self, shares: tuple[float, ...]) -> Mapping[str, float]:
        """The log factors where each cause has the value below which that share of all lies."""
        found: dict[str, float] = {}
        pace = usual = 0.0
        rooms: dict[str, float] = {}
        for (name, about), share in zip(self._all, shares, strict=True):
            if name == PACE:
                pace, usual = self._pace.draw_parent(share), self._usual.draw_parent(share)
            elif len(about) == 2:
                room, material = about
                found[name] = self._rooms[room].draw(material, self._films[room, material], rooms[room], share)
            elif name.startswith(PACE):
                fixed = about[0] in self._fixed
                known, above = (self._usual, usual) if fixed else (self._pace, pace)
                found[name] = known.draw(about[0], priors.KIND, above, share)
            else:
                rooms[about[0]] = self._rooms[about[0]].draw_parent(share)
        return found


def has_begun(made: Made, task: str) -> bool:
    """Whether the task has begun or is done: what it needed was there."""
    return task in made.ground.facts.done or task in made.ground.facts.begun


def _tagged(films: Mapping[str, FilmClocks], tags: Mapping[FilmKey, DryClock]) -> dict[str, FilmClocks]:
    """The films with a clock for each dry time, in place of one for each law."""
    return {
        task: replace(
            clocks,
            stages={
                stage: replace(
                    at,
                    clock=tags[task, stage],
                    after=tuple((name, replace(before, clock=tags[task, name])) for name, before in at.after),
                )
                for stage, at in clocks.stages.items()
            },
        )
        for task, clocks in films.items()
    }


def _minutes(
    lowered: Lowered, options: tuple[int, ...], made: Made, causes: _Causes
) -> Iterator[tuple[int, tuple[str, Drawn]]]:
    """The hands-on time of each task that has not begun, with what the order of colours adds to it, as it is reckoned
    before anything is learned."""
    reckoned = made.ground.reckoned or made.ground.graph
    chosen = {choice.id: taken for choice, taken in zip(lowered.choices, options, strict=True)}
    chosen |= {choice.id: taken for choice, taken in lowered.settled}
    extra: dict[str, Estimate] = {}
    for choice in reckoned.choices:
        for task_id, work in choice.options[chosen[choice.id]].extra:
            extra[task_id] = extra.get(task_id, Estimate.sure(0)).plus(work)
    works = {task.id: task for task in reckoned.tasks}
    for i, task in enumerate(lowered.tasks):
        work = works[task.id].work.plus(extra.get(task.id, Estimate.sure(0)))
        if not work.planned or has_begun(made, task.id):
            continue
        if task.kind and task.remedy_of is None:
            middle, _ = centre(work.low, work.likely, work.high)
            sigma = spread(work.low, work.likely, work.high)
            yield i, (f"work: {task.id}", LogNormal(middle, sigma, causes.of_work(task)))
        elif work.low < work.high:
            yield i, (f"work: {task.id}", Pert(work.low, work.likely, work.high))


def _as_drawn(made: Made) -> dict[str, FilmClocks]:
    """The films of the plan. What is still to come of one that was felt runs on the clock of the table again."""
    ground = made.ground
    found = dict(ground.films)
    for task, clocks in ground.films.items():
        table = ground.table.get(task, clocks).stages
        done = ground.facts.done.get(task)
        if done is None or all(at.clock is table[stage].clock for stage, at in clocks.stages.items()):
            continue
        stages = {}
        for stage, at in clocks.stages.items():
            ready, base = at.ready(done[-1].end), table[stage]
            amount = base.clock.at(ready) - base.clock.at(done[-1].end)
            is_open = at.clock is not base.clock and ready > ground.facts.now and amount > 0
            stages[stage] = replace(base, amount=amount) if is_open else at
        found[task] = replace(clocks, stages=stages)
    return found


def _factor(made: Made, causes: _Causes, films: Mapping[str, FilmClocks], name: str, stage: str) -> Drawn:
    """How many times as long as in the plan a stage of a film may take; nothing is in doubt of what has been reached.

    A film that was felt to be not there yet is there later than that.
    """
    ground = made.ground
    task = ground.graph.task(name)
    material = ground.trade.material(task.film.material) if task.film is not None else None
    planned, table = films[name].stages[stage], ground.table.get(name, films[name]).stages[stage]
    if task.film is None or material is None or stage == WINDOW_END or min(planned.amount, table.amount) <= 0:
        return AS_IT_IS
    if _is_watched(films[name], stage):
        return AS_IT_IS
    after = -inf
    if name in ground.facts.done:
        end = ground.facts.done[name][-1].end
        if planned.ready(end) <= ground.facts.now:
            return AS_IT_IS
        looks = [look for look in ground.facts.looks if (look.step, look.stage, look.reached) == (name, stage, False)]
        run = [table.clock.at(look.minute) - table.clock.at(end) for look in looks]
        after = max([-inf, *(log(each / table.amount) for each in run if each > 0)])
    cause = causes.of_film(made, task.film.room, material)
    # The cause is about the table; what the plan reckons with is what a draw is a multiple of.
    off = log(table.amount / planned.amount)
    return LogNormal(exp(off), hypot(priors.FILM, priors.READING), cause, least=after)


def _is_watched(film: FilmClocks, stage: str) -> bool:
    """Whether somebody stays with a film until that stage: as long as it takes, whatever the hours say."""
    return bool(film.watched) and stage == film.hold_until


def _staying(problem: Problem, lowered: Lowered, films: Mapping[str, FilmClocks]) -> Problem:
    """The same where somebody who has laid a film in time stays with it past the hours, if it all takes longer."""
    names = zip(lowered.names, problem.activities, strict=True)
    activities = (
        replace(activity, hold=Lag()) if name in films and films[name].watched else activity
        for name, activity in names
    )
    return replace(problem, activities=tuple(activities))


def _in_time(film: FilmClocks, work: int) -> tuple[Span, ...]:
    """Of the spans fit for a film with which somebody stays, those in which it can be done as planned."""
    held = film.stages[film.hold_until] if film.hold_until is not None else None
    return tuple(
        span
        for span in film.fit or ()
        if (span.start + work if held is None else held.ready(span.start + work)) <= span.end
    )


def _arrivals(made: Made) -> Iterator[tuple[str, Arrival]]:
    """Items that are on the way and may come on more than one day."""
    zone = ZoneInfo(made.ground.job.zone)
    shops = Counter(item.shop for item in made.ground.job.items if item.arrived is None)
    shared = {shop for shop, count in shops.items() if shop and count > 1}
    for item in made.ground.job.items:
        if item.arrived is not None or item.expected is None:
            continue
        early, likely, late = _days(item, made)
        count = (late - early).days + 1
        if count > 1:
            there = tuple(at_local(early + timedelta(days=day), 0, zone) for day in range(count))
            day = Pert(0, (likely - early).days, count - 1)
            yield item.id, Arrival(there=there, day=day, cause=f"shop: {item.shop}" if item.shop in shared else "")


def _days(item: Item, made: Made) -> tuple[date, date, date]:
    """The earliest, the promised and the latest day, none of them over: what has not come is still to come."""
    assert item.expected is not None
    today = local_date(made.ground.facts.now, ZoneInfo(made.ground.job.zone))
    early = max(today, min(item.early or item.expected, item.expected))
    likely = max(early, item.expected)
    return early, likely, max(likely, item.late or likely)


class _Settings:
    """Clocks and fit spans in the air of a draw, each air once."""

    def __init__(self, made: Made, lowered: Lowered, order: list[FilmKey], films: Mapping[str, FilmClocks]) -> None:
        self._made = made
        self._planned = films
        self._tasks = lowered.names
        self._order = order
        ahead = span_ahead(made.ground.job, made.ground.facts, made.weeks)
        self._span = Span(ahead.start, ahead.end + CURING)
        self._known: dict[tuple[int, int], Setting] = {}

    def __call__(self, shares: tuple[float, ...]) -> Setting:
        warmth, dampness = shares
        level = min(WARMTHS - 1, int(warmth * WARMTHS)), min(DAMPNESSES - 1, int(dampness * DAMPNESSES))
        if level not in self._known:
            self._known[level] = self._setting(
                Pert(-TEMP_BAND, 0, TEMP_BAND).at((level[0] + 0.5) / WARMTHS),
                Pert(-HUMIDITY_BAND, 0, HUMIDITY_BAND).at((level[1] + 0.5) / DAMPNESSES),
            )
        return self._known[level]

    def _setting(self, warmer: float, damper: float) -> Setting:
        ground = self._made.ground
        rooms = tuple(in_other_air(room, warmer, damper) for room in ground.job.rooms)
        zone = ZoneInfo(ground.job.zone)
        films = film_clocks(ground.graph, rooms, ground.trade, zone, self._span, metric=ground.job.metric)
        return Setting(
            clocks=tuple(self._clock(films, task, stage) for task, stage in self._order),
            fits=tuple(self._fit(films, task) for task in self._tasks),
        )

    def _fit(self, films: Mapping[str, FilmClocks], task: str) -> tuple[Span, ...] | None:
        """Where it may be laid: what is watched where it could be as planned, for the heater is there in any air."""
        if task in self._planned and self._planned[task].watched:
            return _in_time(self._planned[task], self._made.ground.graph.task(task).work.planned)
        return films[task].fit if task in films else None

    def _clock(self, films: Mapping[str, FilmClocks], task: str, stage: str) -> DryClock:
        """That of another air; what has been reached is so in any air, and with what is watched somebody stays."""
        table = self._made.ground.table
        planned = self._planned[task].stages[stage].clock
        felt = task in table and planned is not table[task].stages[stage].clock
        return planned if felt or _is_watched(self._planned[task], stage) else films[task].stages[stage].clock


def in_other_air(room: Room, warmer: float, damper: float) -> Room:
    """The room so many °C warmer and, by a share, damper; what was measured in it stays as it was measured."""

    def shifted(period: AirPeriod) -> AirPeriod:
        night = period.night_humidity
        return replace(
            period,
            day_temp=period.day_temp + warmer,
            night_temp=period.night_temp + warmer,
            day_humidity=min(1.0, max(0.0, period.day_humidity + damper)),
            night_humidity=None if night is None else min(1.0, max(0.0, night + damper)),
        )

    return replace(room, air=tuple(shifted(period) for period in room.air))
