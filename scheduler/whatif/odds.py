"""The odds of each day of finish: many draws of one plan, and what they say together."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from zoneinfo import ZoneInfo

from scheduler.model.foresight import Odds, Risk
from scheduler.pipeline import Made, further
from scheduler.planning.visits import moved_from
from scheduler.solver.draws import Draw, Draws
from scheduler.telling.views.index import Book
from scheduler.telling.words import Words
from scheduler.wallclock import local_date
from scheduler.whatif.spread import spread
from scheduler.whatif.statistics import held_between, held_by, spread_from
from scheduler.whatif.uncertainty import (
    DAMPNESS,
    HUMIDITY_BAND,
    PACE,
    TEMP_BAND,
    WARMTH,
    UncertainProblem,
    doubts,
)

SHARES = (50, 80, 95)
"""Percent of the draws for which a date is told."""

LEAST, MOST, AT_ONCE = 400, 2000, 200
"""Draws at least and at most where nobody says how many, and how many between two looks at the error."""

SMALL = 10_000
"""Steps times draws that are made before other processes begin: a small job needs none."""

NEVER_DONE = 1 << 60


@dataclass(frozen=True, slots=True, kw_only=True)
class Sampling:
    """How to draw: so many times (None: until the 80 % date is sure to a day), with which seed."""

    draws: int | None = None
    seed: int = 0


def odds(
    made: Made,
    asked: Sampling,
    tell: Callable[[float, int | None], None] | None = None,
    processes: int | None = None,
) -> Odds:
    """The odds of a plan. `tell` hears the share of the draws that are over, and by when four of five of them are
    done; they are spread over `processes` (as many as there are cores).

    Hours are made for some weeks ahead. Where a date lies after them, it is drawn again with the hours of more weeks.
    """
    unsure, zone = doubts(made), ZoneInfo(made.plan.zone)
    if not unsure.uncertain.names:
        return _summed(made, unsure, [], {}, asked.seed, zone)
    draws = Draws(unsure.uncertain, asked.seed)
    outcomes: list[Draw] = []
    here = -(-SMALL // max(len(made.plan.steps), 1))
    while not outcomes or not _enough(outcomes, asked, zone):
        ahead = range(len(outcomes), asked.draws or len(outcomes) + (AT_ONCE if outcomes else LEAST))
        for outcome in spread(draws.outcome, ahead, here, processes):
            outcomes.append(outcome)
            if tell is not None and not len(outcomes) % 20:
                by = held_by(_ordered(outcomes), 0.80)
                tell(min(0.99, len(outcomes) / (asked.draws or MOST)), by if by < NEVER_DONE else None)
    # What ends within the hours that are known ends so with more of them: only the others are drawn further.
    while held_by(_ordered(outcomes), max(SHARES) / 100) >= NEVER_DONE and (wider := further(made)) is not None:
        made, unsure = wider, doubts(wider)
        draws = Draws(unsure.uncertain, asked.seed)
        open_ended = [draw for draw, outcome in enumerate(outcomes) if outcome.finish is None]
        for draw, outcome in zip(open_ended, spread(draws.outcome, open_ended, here, processes), strict=True):
            outcomes[draw] = outcome
    if tell is not None:
        tell(1.0, None)
    rows = {name: [draws.numbers.of(name, draw) for draw in range(len(outcomes))] for name in unsure.uncertain.names}
    return _summed(made, unsure, outcomes, rows, asked.seed, zone)


def _enough(outcomes: list[Draw], asked: Sampling, zone: ZoneInfo) -> bool:
    """Whether there are as many draws as were asked for, or enough for the 80 % date."""
    size = len(outcomes)
    if asked.draws is not None:
        return size >= asked.draws
    if size < LEAST or size % AT_ONCE:
        return size >= MOST
    between = _between(_ordered(outcomes), zone)
    return size >= MOST or (between is not None and _error(between) < 1)


def _ordered(outcomes: list[Draw]) -> list[int]:
    return sorted(NEVER_DONE if outcome.finish is None else outcome.finish for outcome in outcomes)


def _between(finishes: list[int], zone: ZoneInfo) -> tuple[date, date] | None:
    """Where the 80 % date of other draws would lie; None if that may be never."""
    low, high = held_between(finishes, 0.80)
    return None if high >= NEVER_DONE else (local_date(low, zone), local_date(high, zone))


def _error(between: tuple[date, date]) -> float:
    return (between[1] - between[0]).days / 2


def _summed(
    made: Made,
    unsure: UncertainProblem,
    outcomes: list[Draw],
    rows: Mapping[str, list[float]],
    seed: int,
    zone: ZoneInfo,
) -> Odds:
    plan = made.plan
    finishes = _ordered(outcomes) or [plan.finish]
    size = len(finishes)
    days = Counter(local_date(finish, zone) for finish in finishes if finish < NEVER_DONE)
    dates = []
    for percent in SHARES:
        finish = held_by(finishes, percent / 100)
        dates.append((percent, None if finish >= NEVER_DONE else local_date(finish, zone)))
    between = _between(finishes, zone)
    done_by = made.ground.job.done_by
    in_time = None if done_by is None else sum(count for day, count in days.items() if day <= done_by) / size
    return Odds(
        job=plan.job,
        zone=plan.zone,
        clock24=plan.clock24,
        language=plan.language,
        as_of=plan.as_of,
        seed=seed,
        draws=len(outcomes),
        planned=plan.finish,
        dates=tuple(dates),
        between=between,
        error=None if between is None else _error(between),
        days=tuple((day, count / size) for day, count in sorted(days.items())),
        lost=sum(finish >= NEVER_DONE for finish in finishes) / size,
        spread=_spread(made, unsure, outcomes, rows),
        risks=tuple(_risks(unsure, outcomes, Book(made.plan).words)),
        done_by=done_by,
        in_time=in_time,
        promises=tuple(_kept(made, unsure, outcomes)),
        assumed=tuple(_assumed(made, unsure, Book(made.plan).words)),
    )


def _kept(made: Made, unsure: UncertainProblem, outcomes: list[Draw]) -> Iterator[tuple[str, float]]:
    """Each promise and each appointment ahead, as it is called, with the share of the draws that keeps it; a draw
    without an end keeps none, and none keeps an appointment that the plan itself has put off."""
    job, plan = made.ground.job, Book(made.plan)
    rooms = {room.id: room.title for room in job.rooms}
    things = {thing.id: thing.title or thing.id for thing in job.things}
    names: list[str | None] = [
        things.get(each.thing, each.thing)
        if each.thing is not None
        else plan.title(each.step)
        if each.step is not None
        else rooms[each.room]
        if each.room is not None
        else None
        for each in unsure.lowered.promised
    ]
    ahead = [visit for visit in unsure.lowered.visits if visit.start > made.ground.facts.now]
    names += [visit.title for visit in ahead]
    moved = moved_from(job, made.ground.graph)
    off = {len(names) - len(ahead) + number for number, visit in enumerate(ahead) if visit.id in moved}
    for number, name in enumerate(names):
        if name is None:  # of the whole job `in_time` tells
            continue
        kept = sum(1 for outcome in outcomes if outcome.late and not outcome.late[number])
        yield name, 0.0 if number in off else kept / len(outcomes) if outcomes else 1.0


def _spread(
    made: Made, unsure: UncertainProblem, outcomes: list[Draw], rows: Mapping[str, list[float]]
) -> tuple[tuple[str, float], ...]:
    finishes = [NEVER_DONE if outcome.finish is None else outcome.finish for outcome in outcomes]
    shares: dict[str, float] = {}
    words = Book(made.plan).words
    for name, share in spread_from(finishes, rows):
        said = _said(name, made, unsure, words)
        shares[said] = shares.get(said, 0.0) + share
    return tuple(sorted(shares.items(), key=lambda entry: (-entry[1], entry[0])))


def _said(name: str, made: Made, unsure: UncertainProblem, words: Words) -> str:
    """The words for what has random numbers under that name."""
    kind, _, which = name.partition(": ")
    ground = made.ground
    titles = {task.id: task.title for task in unsure.lowered.tasks}
    rooms = {room.id: room.title for room in ground.job.rooms}
    if kind == "work":
        said = titles[which]
    elif kind == "coat":
        said = words.tell("spread.coat", step=titles[which])
    elif name == PACE:
        said = words.tell("spread.pace")
    elif kind == PACE:
        said = words.tell("spread.pace at", work=words.kind_of_work(which.removeprefix("own ").replace("-", " ")))
    elif kind == "room":
        said = words.tell("spread.room", room=rooms[which])
    elif kind == "dries":
        room, _, family = which.partition(", ")
        material = ground.trade.material(family)
        said = words.tell("spread.dries", room=rooms[room], material=material.title if material else family)
    elif kind == "shop":
        said = words.tell("spread.shop", shop=which)
    elif kind == "comes":
        item = next(item.title for item in ground.job.items if item.id == which)
        said = words.tell("spread.comes", item=item)
    else:
        said = words.tell("spread.air")
    return said


def _risks(unsure: UncertainProblem, outcomes: list[Draw], words: Words) -> Iterator[Risk]:
    """Windows that close, air that is not fit, sessions that are too short; the likeliest first."""
    tasks = unsure.lowered.tasks
    titles = {task.id: task.title for task in tasks}
    size = max(1, len(outcomes))
    found = []
    for i, count in Counter(i for outcome in outcomes for i in outcome.called).items():
        task = tasks[i]
        _, after = task.remedy_of or ("", "")
        planned = words.tell("risk.planned") if unsure.uncertain.planned.pieces[i] else ""
        why = words.tell("risk.window closes") if task.added is None else words.say(task.added)
        said = words.tell("risk.window", why=why, remedy=task.title, planned=planned)
        found.append(Risk(kind="window", step=after, title=titles.get(after, after), share=count / size, said=said))
    for kind, hit in (
        ("air", Counter(i for outcome in outcomes for i in outcome.unfit)),
        ("long", Counter(i for outcome in outcomes for i in outcome.long)),
    ):
        for i, count in hit.items():
            task = tasks[i]
            said = words.of("risk", kind).format(step=words.quoted(task.title))
            found.append(Risk(kind=kind, step=task.id, title=task.title, share=count / size, said=said))
    yield from sorted(found, key=lambda risk: (-risk.share, risk.kind, risk.step))


def _assumed(made: Made, unsure: UncertainProblem, words: Words) -> Iterator[str]:
    """What was drawn, and how."""
    ground, uncertain = made.ground, unsure.uncertain
    if uncertain.minutes:
        yield words.tell("drawn.work")
    if any(not drawn.sure for _, drawn in uncertain.factors):
        yield words.tell("drawn.dries")
    if ground.learned.lessons:
        yield words.tell("drawn.learned")
    if WARMTH in uncertain.circumstances and DAMPNESS in uncertain.circumstances:
        warmth = f"{TEMP_BAND:g} °C" if ground.job.metric else f"{TEMP_BAND * 1.8:.1f} °F"
        yield words.tell("drawn.air", warmth=words.figures(warmth), points=round(HUMIDITY_BAND * 100))
    if uncertain.arrivals:
        shops = any(arrival.cause for arrival in uncertain.arrivals.values())
        yield words.tell("drawn.comes", together=words.tell("drawn.together") if shops else "")
    sure = [
        item.title
        for item in ground.job.items
        if item.arrived is None and item.expected is not None and f"comes: {item.id}" not in uncertain.arrivals
    ]
    if sure:
        yield words.tell("drawn.sure", items=", ".join(sure))
    yield words.tell("drawn.order")
