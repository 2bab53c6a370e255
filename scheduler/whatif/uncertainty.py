"""From a plan and its job to an uncertain problem: which values are not sure, between which bounds, under which name.

| what              | low, likely, high                                   | one draw for             |
| ----------------- | --------------------------------------------------- | ------------------------ |
| hands-on time     | as the job file gives it; a single value is sure    | each step                |
| dry times         | the range of the profile's source                   | each family of material  |
| air               | the job's values give or take a band                | the whole job            |
| deliveries        | `between`, around the day promised                  | each item                |

A slow tin of paint is slow at every coat and every stage, so all stages of a family share one draw; so do all rooms
of a house and all its days with a warmer or colder winter than was thought.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from zoneinfo import ZoneInfo

from scheduler.drying.clocks import film_clocks
from scheduler.model.basics import Estimate, Span
from scheduler.model.clock import DryClock, FilmClocks
from scheduler.model.graph import TaskGraph
from scheduler.model.job import AirPeriod, Item, Room
from scheduler.pipeline import CURING, Made, span_ahead
from scheduler.planning.encode import Lowered, lower, numbered
from scheduler.solver.draws import Arrival, Scaled, Setting, Uncertain, settled
from scheduler.solver.pert import Pert
from scheduler.solver.problem import Placement
from scheduler.wallclock import at_local, local_date

TEMP_BAND = 2.0
"""°C by which the air may be warmer or colder than the job says (common practice, no source)."""

HUMIDITY_BAND = 0.10
"""Share by which the relative humidity may be higher or lower than the job says (common practice, no source)."""

WARMTHS, DAMPNESSES = 5, 3
"""Steps in which the air is drawn, equally likely ones: each needs clocks of its own."""

WARMTH, DAMPNESS = "air: temperature", "air: humidity"
FilmKey = tuple[str, str, str]
"""Room, family of material, stage: what has a dry time of its own."""


@dataclass(frozen=True, kw_only=True)
class Doubts:
    """The uncertain problem, and the task that each of its activities is."""

    uncertain: Uncertain
    lowered: Lowered


def doubts(made: Made) -> Doubts:
    """What is not sure about a plan."""
    ground = made.ground
    keys = _film_keys(ground.graph, ground.films)
    tags: dict[FilmKey, DryClock] = {}
    for task, stage, key in keys:
        base = ground.films[task].stages[stage].clock
        tags.setdefault(key, Scaled(base.knots, base.progress))
    arrivals = dict(_arrivals(made))
    # The planner counts clocks by identity: with a clock of its own each dry time can be drawn by itself.
    early = tuple(
        replace(item, expected=_days(item, made)[0]) if item.id in arrivals else item for item in ground.job.items
    )
    lowered = lower(
        replace(ground.job, items=early),
        ground.graph,
        ground.windows,
        _tagged(ground.graph, ground.films, tags),
        replace(ground.facts, before={}),
    ).giving_up(*numbered(ground.given, ground.graph))
    numbers = {id(clock): key for key, clock in tags.items()}
    order = [numbers[id(clock)] for clock in lowered.problem.clocks]
    options = tuple(
        [option.name for option in choice.options].index(made.answer.options[choice.id]) for choice in lowered.choices
    )
    pieces = tuple(made.answer.pieces.get(task.id, ()) for task in lowered.tasks)
    has_films = bool(order)
    uncertain = Uncertain(
        problem=settled(lowered.problem, options),
        planned=Placement(pieces=pieces, options=()),
        minutes=dict(_minutes(lowered, options, made)),
        factors=tuple((f"dry: {key[1]}", _factor(made, key)) for key in order),
        arrivals={f"comes: {name}": arrival for name, arrival in arrivals.items()},
        needs={
            i: names
            for i, task in enumerate(lowered.tasks)
            if (names := tuple(f"comes: {item}" for item in task.needs if item in arrivals))
            and not has_begun(made, task.id)
        },
        circumstances=(WARMTH, DAMPNESS) if has_films else (),
        setting=_Settings(made, lowered, order, keys) if has_films else None,
    )
    return Doubts(uncertain=uncertain, lowered=lowered)


def has_begun(made: Made, task: str) -> bool:
    """Whether the task has begun or is done: what it needed was there."""
    return task in made.ground.facts.done or task in made.ground.facts.begun


def _film_keys(graph: TaskGraph, films: Mapping[str, FilmClocks]) -> list[tuple[str, str, FilmKey]]:
    """Task and stage of every film, with what that dry time is drawn for."""
    return [
        (task.id, stage, (task.film.room, task.film.material, stage))
        for task in graph.tasks
        if task.film is not None
        for stage in films[task.id].stages
    ]


def _tagged(
    graph: TaskGraph, films: Mapping[str, FilmClocks], tags: Mapping[FilmKey, DryClock]
) -> dict[str, FilmClocks]:
    """The films with a clock for each dry time, in place of one for each law."""
    found: dict[str, FilmClocks] = {}
    for task in graph.tasks:
        film = task.film
        if film is None:
            continue
        stages = {
            stage: replace(
                at,
                clock=tags[film.room, film.material, stage],
                after=tuple(
                    (name, replace(before, clock=tags[film.room, film.material, name])) for name, before in at.after
                ),
            )
            for stage, at in films[task.id].stages.items()
        }
        found[task.id] = replace(films[task.id], stages=stages)
    return found


def _minutes(lowered: Lowered, options: tuple[int, ...], made: Made) -> Iterator[tuple[int, tuple[str, Pert]]]:
    """The hands-on time of each task that has not begun, with what the order of colours adds to it."""
    chosen = [choice.options[taken] for choice, taken in zip(lowered.choices, options, strict=True)]
    chosen += [choice.options[taken] for choice, taken in lowered.settled]
    extra: dict[str, Estimate] = {}
    for option in chosen:
        for task_id, work in option.extra:
            extra[task_id] = extra.get(task_id, Estimate.sure(0)).plus(work)
    for i, task in enumerate(lowered.tasks):
        work = task.work.plus(extra.get(task.id, Estimate.sure(0)))
        if work.low < work.high and not has_begun(made, task.id):
            yield i, (f"work: {task.id}", Pert(work.low, work.likely, work.high))


def _factor(made: Made, key: FilmKey) -> Pert:
    """How many times longer than typical that stage may take, by the range of the profile's source."""
    material = made.ground.trade.material(key[1])
    stage = material.stage(key[2]) if material is not None else None
    if stage is None or not stage.typical:
        return Pert(1, 1, 1)
    return Pert(stage.low / stage.typical, 1, stage.high / stage.typical)


def _arrivals(made: Made) -> Iterator[tuple[str, Arrival]]:
    """Items that are on the way and may come on more than one day."""
    zone = ZoneInfo(made.ground.job.zone)
    for item in made.ground.job.items:
        if item.arrived is not None or item.expected is None:
            continue
        early, likely, late = _days(item, made)
        count = (late - early).days + 1
        if count > 1:
            there = tuple(at_local(early + timedelta(days=day), 0, zone) for day in range(count))
            yield item.id, Arrival(there=there, day=Pert(0, (likely - early).days, count - 1))


def _days(item: Item, made: Made) -> tuple[date, date, date]:
    """The earliest, the promised and the latest day, none of them over: what has not come is still to come."""
    assert item.expected is not None
    today = local_date(made.ground.facts.now, ZoneInfo(made.ground.job.zone))
    early = max(today, min(item.early or item.expected, item.expected))
    likely = max(early, item.expected)
    return early, likely, max(likely, item.late or likely)


class _Settings:
    """Clocks and fit spans in the air of a draw, each air once."""

    def __init__(
        self, made: Made, lowered: Lowered, order: list[FilmKey], keys: list[tuple[str, str, FilmKey]]
    ) -> None:
        self._made = made
        self._tasks = [task.id for task in lowered.tasks]
        films = {key: (task, stage) for task, stage, key in keys}
        self._order = [films[key] for key in order]
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
            clocks=tuple(films[task].stages[stage].clock for task, stage in self._order),
            fits=tuple(films[task].fit if task in films else None for task in self._tasks),
        )


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
