"""From a record to lessons, and from these to the task graph and the dry clocks that a plan is made of.

Ratios are always against what is reckoned before anything is learned: a plan that learned from itself would take the
same correction twice. What lies in the past stays as it is.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType

from scheduler.learning import priors
from scheduler.learning.beliefs import quantile
from scheduler.learning.felt import (
    SMALLEST,
    Dries,
    RoomFilms,
    dries,
    films_of_room,
    next_look,
    spread_of,
)
from scheduler.learning.pace import at_pace, centre, odd_ones, paces, used
from scheduler.model.basics import Estimate
from scheduler.model.clock import DryClock, FilmClocks, StageClock
from scheduler.model.facts import Facts
from scheduler.model.graph import Choice, ColourOrder, Task, TaskGraph
from scheduler.model.job import Job
from scheduler.model.learned import FilmReading, Learned, Lesson, Look, Work
from scheduler.model.material import WINDOW_END, Material, Trade
from scheduler.model.scope import ALL_WORK
from scheduler.wallclock import NEVER

NOTHING = Learned()


def key_of(task: Task) -> str:
    """What a task shares its pace with: its kind of work, apart from the same kind with minutes of the person's
    own."""
    return f"own {task.kind}" if task.by_hand and task.kind else task.kind


def key_of_lesson(lesson: Lesson) -> str:
    """The same of a lesson about pace."""
    return f"own {lesson.of}" if lesson.by_hand else lesson.of


def works_of(graph: TaskGraph, facts: Facts, extra: Mapping[str, Estimate]) -> dict[str, Work]:
    """What a person said of the minutes of steps, by step. `extra` is what the order of colours adds to some.

    A time that nobody said is the plan's own, and teaches nothing.
    """
    found = {}
    for task in graph.tasks:
        took = facts.took.get(task.id)
        work = task.work.plus(extra.get(task.id, Estimate.sure(0)))
        recorded = task.id in facts.done or task.id in facts.begun
        if took is None or not recorded or not task.kind or task.remedy_of is not None or work.low <= 0:
            continue
        most = float(took.minutes) if took.whole else math.inf
        found[task.id] = Work(key_of(task), work.low, work.likely, work.high, took.minutes, most)
    return found


def of_pace(job: Job, graph: TaskGraph, facts: Facts, extra: Mapping[str, Estimate]) -> tuple[TaskGraph, Learned]:
    """The graph at the pace that the record shows, and what was learned. Without any record the graph itself."""
    works = works_of(graph, facts, extra) if job.learn else {}
    if not works:
        return graph, NOTHING
    lessons = tuple(_paces(job, graph, facts, works))
    factors = {key_of_lesson(lesson): lesson.factor for lesson in lessons}
    return _at_paces(graph, facts, factors), Learned(lessons=lessons, works=works)


def _paces(job: Job, graph: TaskGraph, facts: Facts, works: Mapping[str, Work]) -> Iterable[Lesson]:
    """What the record says of each kind that it is about, or that is still to come."""
    known, odd = paces(tuple(sorted(works.values()))), odd_ones(works)
    ahead = {key_of(task) for task in _ahead(graph, facts)}
    for key in sorted(ahead | {work.kind for work in works.values()}):
        weights = known.of(key, priors.KIND)
        middle, low, high = (math.exp(quantile(weights, share)) for share in (0.5, 0.1, 0.9))
        by_hand, kind = key.startswith("own "), key.removeprefix("own ")
        own = sorted(step for step, work in works.items() if work.kind == key)
        fixed = not by_hand and bool({kind, ALL_WORK} & dict(job.pace_said).keys())
        yield Lesson(
            about="pace",
            of=kind,
            by_hand=by_hand,
            factor=1.0 if fixed else used(middle),
            found=middle,
            low=low,
            high=high,
            steps=tuple(own),
            seen=_seen(works[step] for step in own if step not in odd),
            odd=tuple(step for step in own if step in odd),
            fixed=fixed,
        )


def _seen(works: Iterable[Work]) -> float:
    """How many times as long as reckoned finished steps took, in the geometric mean; 1 without any."""
    found = [
        math.log(work.most / centre(work.low, work.likely, work.high)[0]) for work in works if work.most < math.inf
    ]
    return math.exp(sum(found) / len(found)) if found else 1.0


def _ahead(graph: TaskGraph, facts: Facts) -> Iterable[Task]:
    """The tasks that have not begun and whose minutes a pace changes."""
    return (
        task
        for task in graph.tasks
        if task.kind and task.work.planned and task.id not in facts.done and task.id not in facts.begun
    )


def _at_paces(graph: TaskGraph, facts: Facts, factors: Mapping[str, float]) -> TaskGraph:
    """The graph with the minutes of all that has not begun at these paces."""
    if all(factor == 1 for factor in factors.values()):
        return graph
    of_task = {task.id: factors.get(key_of(task), 1.0) for task in _ahead(graph, facts)}

    def paced(task: Task) -> Task:
        factor = of_task.get(task.id, 1.0)
        if factor == 1:
            return task
        work = at_pace(task.work, factor)
        piece = None if task.smallest_piece is None else min(task.smallest_piece, work.planned)
        hands = tuple((people, at_pace(each, factor)) for people, each in task.hands)
        return replace(task, work=work, hands=hands, smallest_piece=piece)

    kinds = {task.id: factors.get(key_of(task), 1.0) for task in graph.tasks}

    def chosen(option: ColourOrder) -> ColourOrder:
        return replace(option, extra=tuple((name, at_pace(work, kinds[name])) for name, work in option.extra))

    def asked(choice: Choice) -> Choice:
        one, other = choice.options
        return replace(choice, options=(chosen(one), chosen(other)))

    return replace(
        graph,
        tasks=tuple(paced(task) for task in graph.tasks),
        choices=tuple(asked(choice) for choice in graph.choices),
    )


# --- films ------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, kw_only=True)
class FilmLessons:
    """What looks at films taught. `of` is the factor of a material in a room; `known` what it comes from."""

    learned: Learned = NOTHING
    of: Mapping[tuple[str, str], Dries] = field(default_factory=dict)
    known: Mapping[str, RoomFilms] = field(default_factory=dict)


def of_films(job: Job, trade: Trade, graph: TaskGraph, table: Mapping[str, FilmClocks], facts: Facts) -> FilmLessons:
    """What the looks at films say, by the dry clocks of the table. Looks at what is not laid by then say nothing."""
    readings = _readings(graph, table, facts) if job.learn else {}
    if not readings:
        return FilmLessons()
    known: dict[str, RoomFilms] = {}
    factors: dict[tuple[str, str], Dries] = {}
    for room, pairs in readings.items():
        own = tuple(sorted(reading for _, reading in pairs))
        laid = sorted({task.film.material for task in graph.tasks if task.film and task.film.room == room})
        materials = [material for name in laid if (material := trade.material(name)) is not None]
        spreads = tuple((each.id, spread_of(each)) for each in materials)
        known[room] = films_of_room(own, spreads)
        factors |= {(room, each.id): dries(known[room], each, own) for each in materials}
    learned = Learned(
        lessons=tuple(_dryings(job, trade, readings, factors)),
        readings=readings,
    )
    return FilmLessons(learned=learned, of=factors, known=known)


def together(paces: Learned, films: Learned) -> Learned:
    """What was learned of the pace and of the films as one."""
    if films is NOTHING:
        return paces
    return replace(paces, lessons=(*paces.lessons, *films.lessons), readings=films.readings)


def _readings(
    graph: TaskGraph, table: Mapping[str, FilmClocks], facts: Facts
) -> dict[str, tuple[tuple[Look, FilmReading], ...]]:
    """Each look at a film that was laid by then, with what it says, by room."""
    films = {task.id: task.film for task in graph.tasks if task.film is not None}
    found: dict[str, list[tuple[Look, FilmReading]]] = {}
    for look in sorted(facts.looks, key=lambda look: (look.minute, look.step, look.stage, look.reached)):
        film, pieces = films.get(look.step), facts.done.get(look.step)
        stage = table[look.step].stages.get(look.stage) if look.step in table else None
        if film is None or not pieces or stage is None or stage.amount <= 0 or look.minute <= pieces[-1].end:
            continue
        run = stage.clock.at(look.minute) - stage.clock.at(pieces[-1].end)
        multiple = max(SMALLEST, run / stage.amount)
        reading = FilmReading(film.material, look.step, look.stage, multiple, look.reached)
        found.setdefault(film.room, []).append((look, reading))
    return {room: tuple(pairs) for room, pairs in found.items()}


def _dryings(
    job: Job,
    trade: Trade,
    readings: Mapping[str, Sequence[tuple[Look, FilmReading]]],
    factors: Mapping[tuple[str, str], Dries],
) -> Iterable[Lesson]:
    rooms = {room.id: room.title for room in job.rooms}
    told = set(_contradictions(readings))
    for (room, name), each in sorted(factors.items()):
        material = trade.material(name)
        seen = {reading.film for _, reading in readings[room] if reading.material == name}
        yield Lesson(
            about="dries",
            of=name,
            room=room,
            factor=each.factor,
            found=each.found,
            low=each.low,
            high=each.high,
            steps=tuple(sorted(seen)),
            contradicted=tuple(sorted(pair for pair in told if pair[0] in seen)),
            title=material.title if material is not None else name,
            room_title=rooms.get(room, room),
        )


def _contradictions(readings: Mapping[str, Sequence[tuple[Look, FilmReading]]]) -> Iterable[tuple[str, str]]:
    """The films that were at a stage by one look, and not yet by a later one."""
    told: dict[tuple[str, str], None] = {}
    for pairs in readings.values():
        dry: set[tuple[str, str]] = set()
        for look, _ in sorted(pairs, key=lambda pair: (pair[0].minute, not pair[0].reached)):
            key = look.step, look.stage
            if look.reached:
                dry.add(key)
            elif key in dry:
                told[key] = None
    return tuple(told)


def as_felt(
    trade: Trade, graph: TaskGraph, table: Mapping[str, FilmClocks], facts: Facts, felt: FilmLessons
) -> dict[str, FilmClocks]:
    """The dry clocks that a plan is made with: films to come by what was learned of their material in their room,
    films that are laid by what was felt of them as well."""
    if not felt.of:
        return dict(table)
    found = dict(table)
    for task in graph.tasks:
        film = task.film
        if film is None or (film.room, film.material) not in felt.of:
            continue
        material = trade.material(film.material)
        assert material is not None  # else nothing were known of it
        clocks, learned = table[task.id], felt.of[film.room, film.material]
        factors = {name: learned.of_stage(material, name) for name in clocks.stages}
        if task.id in facts.done:
            stages = _laid(task, clocks, material, facts, felt, factors)
        elif any(factor != 1 for factor in factors.values()):
            stages = {name: _scaled(name, stage, factors) for name, stage in clocks.stages.items()}
        else:
            continue
        found[task.id] = replace(clocks, stages=MappingProxyType(stages))
    return found


def as_it_was(
    graph: TaskGraph, table: Mapping[str, FilmClocks], facts: Facts, felt: FilmLessons
) -> dict[str, FilmClocks]:
    """The dry clocks by which the past is judged: those of the table, but for what a finger said of a film itself.

    What was learned later puts nobody in the wrong.
    """
    found = dict(table)
    for task in graph.tasks:
        looks = _looks_at(task.id, felt)
        if not looks or task.id not in facts.done:
            continue
        end = facts.done[task.id][-1].end
        stages = dict(table[task.id].stages)
        for name, stage in table[task.id].stages.items():
            after, by = _last_words(looks.get(name, ()))
            ready = stage.ready(end)
            if by is not None:
                ready = min(ready, by)
            if after is not None and ready <= after:
                ready = after + 1
            stages[name] = _ready_at(stage, end, ready)
        found[task.id] = replace(table[task.id], stages=MappingProxyType(stages))
    return found


def _looks_at(step: str, felt: FilmLessons) -> dict[str, list[Look]]:
    """The looks at the film of a step by stage, in the order of time."""
    found: dict[str, list[Look]] = {}
    for pairs in felt.learned.readings.values():
        for look, reading in pairs:
            if reading.film == step:
                found.setdefault(look.stage, []).append(look)
    return found


def _last_words(looks: Sequence[Look]) -> tuple[int | None, int | None]:
    """The minute of the last `not yet`, and that of the first `reached` after it. At one minute `not yet` counts."""
    after = max((look.minute for look in looks if not look.reached), default=None)
    later = (look.minute for look in looks if look.reached and (after is None or look.minute > after))
    return after, min(later, default=None)


def _laid(
    task: Task,
    clocks: FilmClocks,
    material: Material,
    facts: Facts,
    felt: FilmLessons,
    factors: Mapping[str, float],
) -> dict[str, StageClock]:
    """The stages of a film that is laid. What the table had reached by the last look in the room stays, but for what
    was felt of this film itself; and stages keep their order around what was felt."""
    assert task.film is not None
    end = facts.done[task.id][-1].end
    room = task.film.room
    newest = max(look.minute for look, _ in felt.learned.readings[room])
    looks = _looks_at(task.id, felt)
    usual = {name: stage.ready(end) for name, stage in clocks.stages.items()}
    ready: dict[str, int] = {}
    said: dict[str, tuple[int | None, int | None]] = {}
    for name, stage in clocks.stages.items():
        after, by = said[name] = _last_words(looks.get(name, ()))
        at = usual[name]
        if at > newest or after is not None or by is not None:
            at = _scaled(name, stage, factors).ready(end)
        if by is not None and material.can_be_felt(name):
            at = min(at, by)
        if after is not None and at <= after:
            at = (
                by if by is not None else _after_not_yet(felt.known[room], material, task.id, name, stage, end, after)
            )
        ready[name] = at
    _in_order(ready, usual, said, material)
    return {name: _ready_at(stage, end, ready[name]) for name, stage in clocks.stages.items()}


def _scaled(name: str, stage: StageClock, factors: Mapping[str, float]) -> StageClock:
    """A stage that takes so many times as long, held by stages that do so too."""
    after = tuple((held, replace(before, amount=before.amount * factors[held])) for held, before in stage.after)
    return replace(stage, amount=stage.amount * factors[name], after=after)


def _after_not_yet(
    room: RoomFilms, material: Material, film: str, name: str, stage: StageClock, end: int, after: int
) -> int:
    """When a film that was not yet at a stage is likely to be there."""
    run = stage.clock.at(after) - stage.clock.at(end)
    multiple = max(SMALLEST, run / stage.amount)
    amount = stage.amount * next_look(room, material, film, name, math.log(multiple))
    return max(stage.clock.ready(end, amount), after + 1)


def _in_order(
    ready: dict[str, int],
    usual: Mapping[str, int],
    said: Mapping[str, tuple[int | None, int | None]],
    material: Material,
) -> None:
    """Who felt that a film was at a stage felt as well that it was past all that come before it; and what was not yet
    there holds up all that come after it. The end of a window is no stage of this order."""
    order = sorted((name for name in ready if name != WINDOW_END), key=lambda name: usual[name])
    latest = NEVER
    for name in reversed(order):
        by = said[name][1]
        if by is not None and material.can_be_felt(name):
            latest = min(latest, by)
        if latest < ready[name] and material.can_be_felt(name):
            ready[name] = latest
    soonest = 0
    for name in order:
        after, by = said[name]
        if after is not None:
            soonest = max(soonest, ready[name] if ready[name] > after else after + 1)
        ready[name] = max(ready[name], soonest)


def _ready_at(stage: StageClock, end: int, ready: int) -> StageClock:
    """A stage of a film laid by `end` that is reached at a minute."""
    if ready >= NEVER or ready == stage.ready(end):
        return stage
    if ready <= end:
        return replace(stage, amount=0.0, after=())
    return replace(stage, clock=DryClock((end, ready), (0.0, 1.0)), amount=1.0, after=())
