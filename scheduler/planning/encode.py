"""From the task graph to a Problem: words of the trade go in, whole minutes and numbers come out.

Resources are numbered: people, leave to make noise, the shared things of the job, then leave to work in a room that
not all hours are for. Leave to make noise is there in plenty outside of quiet hours and not at all inside them, leave
to work in a room in the hours that are for it.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from zoneinfo import ZoneInfo

from scheduler.model.answer import GivenUp
from scheduler.model.basics import POT_LIFE, Estimate, Span
from scheduler.model.byhand import HandMove
from scheduler.model.clock import DryClock, FilmClocks
from scheduler.model.facts import Facts
from scheduler.model.graph import Choice, ColourOrder, Link, Task, TaskGraph, Visit
from scheduler.model.hours import Window
from scheduler.model.job import Item, Job, SharedThing
from scheduler.model.promise import Promised, promises_of
from scheduler.model.spans import clip, union
from scheduler.planning.past_facts import Past, owed
from scheduler.solver import problem as ask
from scheduler.solver.concessions import Concession, given_up
from scheduler.wallclock import DAY, NEVER, at_local

PEOPLE, NOISE, THINGS = 0, 1, 2


@dataclass(frozen=True, slots=True, kw_only=True)
class Lowered:
    """A Problem and the way back: activity i is task `tasks[i]`, and after these come the appointments `visits`;
    choice i of the Problem is `choices[i]`.

    `settled` are the choices that facts have settled already, with the option that holds. `owed` are the links that
    hold because something was passed over (those that hang on an open choice stand in its options). `pinned` are the
    tasks that are held to where a person moved their session. Thing i of the Problem is the shared thing `kept[i]`:
    those are things that somebody keeps for longer than the work, all others are resources. `given` are the rules
    that were given up. Promise i of the Problem is `promised[i]`. `shut` are the rooms that not all hours are for:
    leave to work in them are the last resources.
    """

    problem: ask.Problem
    tasks: tuple[Task, ...]
    choices: tuple[Choice, ...]
    settled: tuple[tuple[Choice, int], ...]
    owed: tuple[Link, ...] = ()
    pinned: frozenset[str] = frozenset()
    kept: tuple[SharedThing, ...] = ()
    given: tuple[Concession, ...] = ()
    visits: tuple[Visit, ...] = ()
    promised: tuple[Promised, ...] = ()
    shut: tuple[str, ...] = ()

    @property
    def names(self) -> tuple[str, ...]:
        """The id of each activity: of a task, or of an appointment."""
        return (*(task.id for task in self.tasks), *(visit.id for visit in self.visits))

    @property
    def leave(self) -> range:
        """The numbers of the resources that are leave to work in a room, in the order of `shut`."""
        resources = max((len(activity.demand) for activity in self.problem.activities), default=0)
        return range(resources - len(self.shut), resources)

    def giving_up(self, *given: Concession) -> Lowered:
        """The same without these rules."""
        if not given:
            return self
        return replace(self, problem=given_up(self.problem, *given), given=(*self.given, *given))

    @property
    def given_up(self) -> tuple[GivenUp, ...]:
        """The rules that were given up, by the names of the tasks."""
        return tuple(
            GivenUp(
                rule=each.rule,
                step=self.names[each.activity],
                other=self.names[each.activities[1]] if len(each.activities) > 1 else "",
                resource=-1 if each.other is None or len(each.activities) > 1 else each.other,
            )
            for each in self.given
        )


def numbered(given: Iterable[GivenUp], graph: TaskGraph) -> Iterator[Concession]:
    """Rules that had to give way by the numbers of the tasks of a graph, as far as it has them."""
    numbers = _numbers(graph)
    for each in given:
        activity, other = numbers.get(each.step), numbers.get(each.other)
        if activity is not None and (other is not None or not each.other):
            yield Concession(each.rule, activity, each.resource if each.resource >= 0 else other)


def _numbers(graph: TaskGraph) -> dict[str, int]:
    """The number of each task, and after them of each appointment."""
    names = (*(task.id for task in graph.tasks), *(visit.id for visit in graph.visits))
    return {name: i for i, name in enumerate(names)}


def lower(
    job: Job, graph: TaskGraph, windows: Sequence[Window], films: Mapping[str, FilmClocks], facts: Facts
) -> Lowered:
    """The Problem of a job at `facts.now`. Windows and films must reach as far as the plan may."""
    clocks = _Clocks(films)
    number = _numbers(graph)
    open_choices, settled = _settled(graph.choices, facts)
    links = (*graph.links, *(link for choice, taken in settled for link in choice.options[taken].links))
    passed = Past(graph.tasks, facts)
    owing = owed(links, passed)
    open_choices = tuple(_with_owed(choice, links, owing, passed) for choice in open_choices)
    extra: dict[str, int] = {}
    for choice, taken in settled:
        for task, work in choice.options[taken].extra:
            extra[task] = extra.get(task, 0) + work.planned
    begun = set(facts.done) | set(facts.begun)
    release = _Releases(job, facts)
    pins = _pins(job, facts)
    things = _kept(job, graph)
    minutes = {task.id: task.work.planned + extra.get(task.id, 0) for task in graph.tasks}
    kept = tuple(thing.id for thing in things)
    shut = _shut(graph, windows)
    promised = tuple(_promises(job, graph, number, kept))
    tasks = tuple(
        _activity(
            task,
            _demand(task, job, kept, shut),
            films.get(task.id),
            facts,
            release,
            clocks,
            minutes[task.id],
            pins.get(task.id),
        )
        for task in graph.tasks
    )
    problem = ask.Problem(
        activities=(
            *tasks,
            *(_visit(visit, release.begin, 2 + len(job.things) + len(shut)) for visit in graph.visits),
        ),
        waits=tuple(
            _waits(
                (
                    *(link for link in links if link.after not in begun),
                    *owing,
                    *(link for visit in graph.visits for link in links_ahead(visit, facts, begun)),
                ),
                number,
                clocks,
                begun,
                minutes,
            )
        ),
        slots=tuple(_slots(windows, job, len(graph.tasks), shut)),
        choices=tuple(
            (_option(a, number, clocks, begun, minutes), _option(b, number, clocks, begun, minutes))
            for a, b in (choice.options for choice in open_choices)
        ),
        barriers=(*_barriers(graph, number, films, clocks, facts), *_visited(graph, number)),
        soils=tuple(_soils(graph, number)),
        things=tuple(ask.Thing(thing.count) for thing in things),
        holds=tuple(_holds(graph, number, kept, clocks)),
        promises=tuple(asked for _, asked in promised),
        stay=_stay(graph, facts),
    )
    return Lowered(
        problem=replace(problem, clocks=clocks.all),  # all of them are known only now
        tasks=graph.tasks,
        choices=open_choices,
        settled=settled,
        owed=owing,
        pinned=frozenset(pins),
        kept=things,
        visits=graph.visits,
        promised=tuple(promise for promise, _ in promised),
        shut=shut,
    )


def links_ahead(visit: Visit, facts: Facts, begun: set[str]) -> Iterator[Link]:
    """The links of an appointment that still hold: what it found is a fact once it has begun, and so is what was
    begun before its end."""
    if visit.start > facts.now:
        yield from visit.after
    yield from (link for link in visit.then if link.after not in begun)


def _visit(visit: Visit, begin: int, resources: int) -> ask.Activity:
    """An appointment: it takes nobody's hands, and never moves."""
    return ask.Activity(
        minutes=0,
        smallest=None,
        demand=(0,) * resources,
        release=begin,
        fixed=(Span(visit.start, visit.end),),
        booked=True,
    )


def _visited(graph: TaskGraph, number: Mapping[str, int]) -> Iterable[ask.Barrier]:
    """Nobody of ours works in the rooms of an appointment while it lasts."""
    for visit in graph.visits:
        bars = frozenset(number[task.id] for task in graph.tasks if task.room in visit.rooms)
        if bars:
            yield ask.Barrier(by=number[visit.id], until=ask.Lag(), bars=bars)


def _promises(
    job: Job, graph: TaskGraph, number: Mapping[str, int], kept: tuple[str, ...]
) -> Iterable[tuple[Promised, ask.Promise]]:
    """What is promised: the day by which the job, a room or a step is done, and how long a thing is out of use.

    The day of the whole job alone is kept best by the earliest finish, which is sought in any case.
    """
    zone, promised = ZoneInfo(job.zone), tuple(promises_of(job))
    for promise in promised if any(not each.whole for each in promised) else ():
        if promise.thing is None:
            ends = tuple((number[task.id], ask.Lag()) for task in graph.tasks if promise.is_about(task))
            if ends and promise.day is not None:
                yield promise, ask.Promise(ends=ends, by=at_local(promise.day, DAY, zone))
        elif promise.thing in kept:
            holds = tuple(_holds_of(graph, number, kept, kept.index(promise.thing)))
            yield promise, ask.Promise(holds=holds, at_most=promise.minutes, in_all=promise.in_all)


def _holds_of(graph: TaskGraph, number: Mapping[str, int], kept: tuple[str, ...], thing: int) -> Iterator[int]:
    """The numbers of the holds of one thing, in the order in which `_holds` makes them."""
    for place, hold in enumerate(_holds(graph, number, kept, None)):
        if hold.thing == thing:
            yield place


class _Clocks:
    """All dry clocks of a job, each once, by number."""

    def __init__(self, films: Mapping[str, FilmClocks]) -> None:
        self._films = films
        self._numbers: dict[int, int] = {}
        self._all: list[DryClock] = []

    @property
    def all(self) -> tuple[DryClock, ...]:
        return tuple(self._all)

    def lag(self, task: str, stage: str | None, minutes: int = 0) -> ask.Lag:
        """The lag until `task`'s film is at `stage` and so many minutes more; without a stage, after its end."""
        if stage is None:
            return ask.Lag(minutes)
        at = self._films[task].stages[stage]
        also = tuple((before.amount, self._number(before.clock)) for _, before in at.after)
        return ask.Lag(at.amount, self._number(at.clock), minutes, also)

    def _number(self, clock: DryClock) -> int:
        key = id(clock)
        if key not in self._numbers:
            self._numbers[key] = len(self._all)
            self._all.append(clock)
        return self._numbers[key]


class _Releases:
    """When a task may begin at the earliest for reasons that no other task has a hand in."""

    def __init__(self, job: Job, facts: Facts) -> None:
        self.begin = max(job.start, facts.now)
        zone = ZoneInfo(job.zone)
        self.items = {item.id: there_from(item, zone) for item in job.items}
        self.moved = {step: move.now.start for move in _ahead(job, facts) for step in (*move.steps, *move.loose)}

    def __call__(self, task: Task) -> int:
        moved = self.moved.get(task.id, self.begin)
        return max([self.begin, moved, *(self.items[item] for item in task.needs)])


def there_from(item: Item, zone: ZoneInfo) -> int:
    """The minute from which an ordered item is there; NEVER if nobody knows when it comes."""
    day = item.arrived or item.expected
    return NEVER if day is None else at_local(day, 0, zone)


def _ahead(job: Job, facts: Facts) -> Iterable[HandMove]:
    """The sessions moved by hand that are not over yet."""
    return (move for move in job.moves if move.now.end > facts.now)


def _pins(job: Job, facts: Facts) -> Mapping[str, Span]:
    """The tasks that are to be done whole in a session moved by hand; what has begun goes on as it can."""
    pins = {step: move.now for move in _ahead(job, facts) for step in move.steps}
    return {step: span for step, span in pins.items() if step not in facts.done and step not in facts.begun}


def _activity(
    task: Task,
    demand: tuple[int, ...],
    film: FilmClocks | None,
    facts: Facts,
    release: _Releases,
    clocks: _Clocks,
    minutes: int,
    pin: Span | None,
) -> ask.Activity:
    fixed: tuple[Span, ...] = ()
    if task.id in facts.done:
        fixed, minutes = facts.done[task.id], 0
    elif task.id in facts.begun:
        fixed, minutes = facts.begun[task.id]
    return ask.Activity(
        minutes=minutes,
        smallest=task.smallest_piece,
        demand=demand,
        release=release(task) if not fixed else release.begin,
        fit=_fit(film, pin),
        hold=clocks.lag(task.id, film.hold_until) if film is not None else ask.Lag(),
        fixed=fixed,
        optional=task.remedy_of is not None,
    )


def _demand(task: Task, job: Job, kept: tuple[str, ...], shut: tuple[str, ...]) -> tuple[int, ...]:
    """What a task takes of each resource; of what somebody keeps for longer, nothing: that is a thing of its own."""
    takes = {thing: count for thing, count in task.takes if thing not in kept}
    things = (takes.get(thing.id, 0) for thing in job.things)
    return (task.people, int(task.noisy), *things, *(int(task.room == room) for room in shut))


def _shut(graph: TaskGraph, windows: Sequence[Window]) -> tuple[str, ...]:
    """The rooms with work in them that not all hours are for."""
    ways = {window.rooms for window in windows if window.rooms}
    return tuple(sorted({task.room for task in graph.tasks if any(task.room not in rooms for rooms in ways)}))


def _kept(job: Job, graph: TaskGraph) -> tuple[SharedThing, ...]:
    """The shared things that some task keeps for longer than it works, or of which it is promised that they are not
    out of use for too long, in the order of the job."""
    kept = {keep.thing for task in graph.tasks for keep in task.keeps} | {each.thing for each in job.at_most}
    return tuple(thing for thing in job.things if thing.id in kept)


def _holds(
    graph: TaskGraph, number: Mapping[str, int], kept: tuple[str, ...], clocks: _Clocks | None
) -> Iterable[ask.Hold]:
    """What each task takes of the things that somebody keeps, and until when; without a word, while it works. Without
    clocks stages are left out."""
    for task in graph.tasks:
        keeps = {keep.thing: keep for keep in task.keeps}
        for thing, count in task.takes:
            if thing not in kept:
                continue
            taken = ask.Hold(thing=kept.index(thing), places=count, taker=number[task.id], at_work=thing not in keeps)
            keep = keeps.get(thing)
            if keep is None:
                yield taken
            elif keep.step is not None:
                yield replace(taken, giver=number[keep.step], at_start=keep.at_start)
            elif keep.stage is not None:
                yield replace(taken, lag=ask.Lag() if clocks is None else clocks.lag(task.id, keep.stage))
            else:
                yield replace(taken, at_start=True, lag=ask.Lag(keep.minutes))


def _fit(film: FilmClocks | None, pin: Span | None) -> tuple[Span, ...] | None:
    """Where a task may run: where the air is fit for its film, and inside the span it is pinned to.

    What must hold until some while after the end holds until so long after the end of that span at the latest.
    """
    fit = film.fit if film is not None else None
    if pin is None:
        return fit
    stage = film.stages[film.hold_until] if film is not None and film.hold_until is not None else None
    bounds = Span(pin.start, pin.end if stage is None else stage.ready(pin.end))
    return union(clip(span, bounds) for span in fit) if fit is not None else (bounds,)


def _waits(
    links: Iterable[Link], number: Mapping[str, int], clocks: _Clocks, begun: set[str], work: Mapping[str, int]
) -> Iterable[ask.Wait]:
    """Each link as a wait; a remedy waits for the same, and until the window that it mends is over.

    `work`: the minutes of each task. What lays a batch begins so early that all of it is laid in the pot life.

    In the cold a window that is said in hours may end before the film is far enough for anything.
    """
    for link in links:
        lag = clocks.lag(link.before, link.stage, link.wait)
        until = None
        if link.until is not None:
            until = clocks.lag(link.closing, link.until, -work[link.after] if link.until == POT_LIFE else 0)
        elif link.within is not None:
            until = ask.Lag(link.within)
        before, after = number[link.before], number[link.after]
        mends = link.remedy if not (link.strict or link.firm) or link.before in begun else None
        remedy = number[mends] if mends is not None else None
        yield ask.Wait(before=before, after=after, lag=lag, until=until, remedy=remedy)
        if remedy is not None and mends not in begun:  # one that was begun too soon goes on as it can
            yield from (ask.Wait(before=before, after=remedy, lag=each) for each in (lag, until) if each is not None)


def _option(
    option: ColourOrder, number: Mapping[str, int], clocks: _Clocks, begun: set[str], work: Mapping[str, int]
) -> ask.Option:
    return ask.Option(
        leader=number[option.leader],
        waits=tuple(_waits(option.links, number, clocks, begun, work)),
        extra=tuple((number[task], work.planned) for task, work in option.extra if task not in begun),
    )


def settled_extra(graph: TaskGraph, facts: Facts) -> dict[str, Estimate]:
    """What the choices that facts have settled add to the minutes of tasks."""
    found: dict[str, Estimate] = {}
    for choice, taken in _settled(graph.choices, facts)[1]:
        for task, work in choice.options[taken].extra:
            found[task] = found.get(task, Estimate.sure(0)).plus(work)
    return found


def _settled(choices: Sequence[Choice], facts: Facts) -> tuple[tuple[Choice, ...], tuple[tuple[Choice, int], ...]]:
    """Which choices are still open, and which have been settled by work that has begun.

    The colour whose first coat was begun first comes first; and what should wait for a colour (the tape over it)
    but has begun without it shows that the other one came first.
    """
    first = {task: pieces[0].start for task, pieces in facts.done.items() if pieces}
    first |= {task: pieces[0].start for task, (pieces, _) in facts.begun.items() if pieces}
    open_choices, settled = [], []
    for choice in choices:
        starts = [first.get(option.leader, NEVER) for option in choice.options]
        refuted = [_is_refuted(option, first, facts) for option in choice.options]
        if min(starts) < NEVER:
            settled.append((choice, int(starts[1] < starts[0])))
        elif any(refuted):
            settled.append((choice, int(refuted[0])))
        else:
            open_choices.append(choice)
    return tuple(open_choices), tuple(settled)


def _with_owed(choice: Choice, links: tuple[Link, ...], owing: tuple[Link, ...], passed: Past) -> Choice:
    """The same choice; with each option holds as well what is owed along the links of that option."""

    def complete(option: ColourOrder) -> ColourOrder:
        more = (link for link in owed((*links, *option.links), passed) if link not in owing)
        return replace(option, links=(*option.links, *more))

    one, other = choice.options
    return replace(choice, options=(complete(one), complete(other)))


def _is_refuted(option: ColourOrder, first: Mapping[str, int], facts: Facts) -> bool:
    return any(link.after in first and link.before not in facts.done for link in option.links)


def _slots(windows: Sequence[Window], job: Job, tasks: int, shut: tuple[str, ...]) -> Iterable[ask.Slot]:
    """Windows less set-up and clear-up, with what there is of each resource."""
    things = tuple(thing.count for thing in job.things)
    for window in windows:
        start, end = max(window.start, window.work_start), min(window.end, window.work_end)
        if start < end:
            noise = 0 if window.quiet else tasks
            rooms = (tasks if not window.rooms or room in window.rooms else 0 for room in shut)
            yield ask.Slot(start, end, (window.people, noise, *things, *rooms), window.day.toordinal())


def _barriers(
    graph: TaskGraph, number: Mapping[str, int], films: Mapping[str, FilmClocks], clocks: _Clocks, facts: Facts
) -> Iterable[ask.Barrier]:
    """No dust over a wet film, nor while somebody wipes it up; nobody in a room that a film has closed.

    A wipe-down that was begun before the dust was all made is begun: what is left of both goes on.
    """
    inside: dict[str, set[int]] = {}
    dusty: dict[str, set[int]] = {}
    for task in graph.tasks:
        inside.setdefault(task.room, set()).add(number[task.id])
        dusty.setdefault(task.room, set()).update([number[task.id]] if task.dusty else ())
    for task in graph.tasks:
        film, by = films.get(task.id), number[task.id]
        if task.wet:
            stage = "dust_free" if film is not None and "dust_free" in film.stages else None
            bars = frozenset(dusty[task.room] - {by})
            if bars:
                yield ask.Barrier(by=by, until=clocks.lag(task.id, stage), bars=bars)
        elif task.wipes and not task.dusty and dusty[task.room] and task.id not in facts.begun:
            yield ask.Barrier(by=by, until=ask.Lag(), bars=frozenset(dusty[task.room]))
        if task.id in graph.closed:
            bars = frozenset(inside[task.room] - {by})
            yield ask.Barrier(by=by, until=clocks.lag(task.id, graph.closed[task.id]), bars=bars)


def _soils(graph: TaskGraph, number: Mapping[str, int]) -> Iterable[ask.Soil]:
    """After dust the wipe-down comes before any wet step, room by room; one that wipes begins with just that."""
    for room in sorted({task.room for task in graph.tasks}):
        inside = [task for task in graph.tasks if task.room == room]
        soils = frozenset(number[task.id] for task in inside if task.dusty)
        wants = frozenset(number[task.id] for task in inside if task.wet and not task.wipes)
        if soils and wants:
            cleans = frozenset(number[task.id] for task in inside if task.wipes)
            yield ask.Soil(soils=soils, cleans=cleans, wants_clean=wants)


def _stay(graph: TaskGraph, facts: Facts) -> tuple[tuple[Span, ...] | None, ...] | None:
    if not facts.before:
        return None
    visits = ((Span(visit.start, visit.end),) for visit in graph.visits)
    return (*(facts.before.get(task.id) for task in graph.tasks), *visits)
