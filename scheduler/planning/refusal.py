"""No plan: which step cannot be placed, which rule stands in the way, and what would make it possible."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from zoneinfo import ZoneInfo

from scheduler.model.basics import Span
from scheduler.model.graph import Task
from scheduler.model.job import Job
from scheduler.model.material import HEATING
from scheduler.model.message import Message, Value, message
from scheduler.model.refusal import Refusal
from scheduler.model.region import regions_of
from scheduler.planning.encode import NOISE, PEOPLE, THINGS, Lowered, there_from
from scheduler.planning.entries import Restricting, film_air, unknown_when, until_told, what_helps
from scheduler.planning.ground import Ground
from scheduler.solver.conflicts import Deadlock, Stuck
from scheduler.solver.infeasible_subset import Conflict, Restriction, conflicts
from scheduler.solver.problem import Activity, Slot
from scheduler.wallclock import DAY, NEVER, local_date

FURTHEST = 5 * 52 * 7 * DAY
"""Minutes that a plan reaches ahead at most: so far hours are made out of the rules of the job file."""


def explain(
    lowered: Lowered,
    stuck: Stuck,
    ground: Ground,
    busy: tuple[Span, ...],
    hours: Callable[[Job, tuple[Span, ...]], tuple[Slot, ...]],
    unfit: Callable[[str], tuple[Message, Message] | None] = lambda _: None,
) -> Refusal:
    """The refusal of a job of which it is proven that it has no placement within the longest horizon.

    `hours` says when there would be work with a job's hours and those spans taken; `unfit`
    says what keeps the air from being fit for the task of that id, and what would cure it, if that is known. Whoever
    is told to heat is told of the cautions of that.
    """
    job = ground.job
    asked, slots = in_question(lowered, ground, busy, hours)
    for i, task in enumerate(lowered.tasks):
        activity = lowered.problem.activities[i]
        if activity.optional or not activity.minutes:
            continue
        reason = _cannot_ever(lowered, activity, task, job)
        if reason is not None:
            found = conflicts(lowered.problem, asked.entries(), i, slots)
            return Refusal(task.title, *reason, sets=tuple(asked.asked(each.entries) for each in found))
    found = conflicts(lowered.problem, asked.entries(), stuck.activity, slots)
    task = lowered.tasks[stuck.activity]
    if stuck.deadlock is not None and (not found or not found[0].entries):
        return _locked(lowered, stuck.deadlock)
    if not found or not found[0].entries:
        return _as_stuck(task, stuck, ground, unfit)
    named = tuple(entry for each in found for entry in each.entries)
    sets = tuple(asked.asked(each.entries) for each in found)
    if stuck.rule == "fit" and Restriction("air", stuck.activity) in named:  # what the air lacks says more
        return replace(_as_stuck(task, stuck, ground, unfit), sets=sets)
    told = tuple(message("refused.entry", place=str(each.place), said=each.said) for one in sets for each in one)
    heats = _heating(ground) if any(entry.kind == "air" for entry in named) else ()
    return Refusal("", message("refused.together", entries=told), _cure(found, named), sets, heats)


def _heating(ground: Ground) -> tuple[str, ...]:
    """What must be said to whoever is told to heat a room or to dry its air."""
    said = ground.trade.cautions_for(HEATING, regions_of(ground.job.country), ground.job.built)
    return tuple(caution.text for caution in said)


def _cure(found: tuple[Conflict, ...], named: tuple[Restriction, ...]) -> Message:
    """What to do about sets of entries that cannot hold together."""
    return message(
        "refused.cure many" if len(found) > 1 else "refused.cure",
        ways=tuple(what_helps(named)),
        more=None if found[0].enough or len(found) > 1 else message("refused.more"),
        unsure=None if all(one.certain for one in found) else message("refused.unsure"),
    )


def in_question(
    lowered: Lowered,
    ground: Ground,
    busy: tuple[Span, ...],
    hours: Callable[[Job, tuple[Span, ...]], tuple[Slot, ...]],
) -> tuple[Restricting, Callable[[frozenset[Restriction]], tuple[Slot, ...]]]:
    """All that restricts, and the hours there would be without some of it."""

    def slots(out: frozenset[Restriction]) -> tuple[Slot, ...]:
        return hours(*_with_hours(ground.job, busy, out))

    return Restricting(ground.job, lowered, ground.graph.links, bool(busy), ground.films), slots


def _with_hours(job: Job, busy: tuple[Span, ...], out: frozenset[Restriction]) -> tuple[Job, tuple[Span, ...]]:
    """The job without some of the entries that take hours away, and the spans that are taken all the same."""
    ended = {entry.other for entry in out if entry.kind == "until"}
    away = {entry.other for entry in out if entry.kind == "away"}
    fuller = replace(
        job,
        hours=tuple(replace(rule, last=None) if n in ended else rule for n, rule in enumerate(job.hours)),
        away=tuple(each for n, each in enumerate(job.away) if n not in away),
    )
    return fuller, () if any(entry.kind == "lost" for entry in out) else busy


def _as_stuck(
    task: Task,
    stuck: Stuck,
    ground: Ground,
    unfit: Callable[[str], tuple[Message, Message] | None],
) -> Refusal:
    """The refusal where no entries could be named: the rule that a schedule stopped at."""
    film = ground.films.get(task.id)
    if stuck.rule == "fit" and film is not None:
        why, cure = unfit(task.id) or (None, message("refused.cure.air", room=task.room))
        return Refusal(
            task.title,
            message("refused.air", limits=film_air(film), why=why and message("refused.why", why=why)),
            message("refused.or material", cure=cure),
            cautions=_heating(ground),
        )
    return Refusal(task.title, message(f"refused.rule.{stuck.rule}"), message(f"refused.mend.{stuck.rule}"))


def _locked(lowered: Lowered, deadlock: Deadlock) -> Refusal:
    """The refusal where what is taken is never given back, in whatever order: who has what, and who waits for it."""
    held = []
    for number in deadlock.holds:
        hold = lowered.problem.holds[number]
        task, thing = lowered.tasks[hold.taker], lowered.kept[hold.thing]
        until = until_told(task, thing.id, lowered)
        more: dict[str, Value | None] = {"count": hold.places, "thing": thing.title or thing.id, "until": until}
        held.append(message("asked.step.keep", task=task.title, **more))
    titles = [thing.title or thing.id for thing in lowered.kept]
    waits = [
        message("refused.waits", task=lowered.tasks[i].title, thing=titles[thing]) for i, thing in deadlock.waiting
    ]
    return Refusal(
        lowered.tasks[deadlock.waiting[0][0]].title,
        message("refused.locked", held=(*held, *waits)),
        message("refused.cure.locked"),
    )


def _cannot_ever(lowered: Lowered, activity: Activity, task: Task, job: Job) -> tuple[Message, Message] | None:
    """(rule, remedy) of a step that no hours of this job could ever hold, whatever else is planned."""
    if activity.release >= NEVER:
        dates = {item.id: item for item in job.items}
        item = next(dates[name] for name in task.needs if dates[name].expected is None and not dates[name].arrived)
        return unknown_when(item.title), message("refused.cure.date")
    slots = [slot for slot in lowered.problem.slots if slot.end > activity.release]
    if not slots:
        return _too_late(lowered, activity, task, job)
    most = max(slot.capacity[PEOPLE] for slot in slots)
    if most < activity.demand[PEOPLE]:
        wanted = message("refused.people", people=activity.demand[PEOPLE], most=most)
        return wanted, message("helps.people")
    for number, thing in enumerate(job.things):
        if activity.demand[THINGS + number] > thing.count:
            taken = message(
                "refused.thing", count=activity.demand[THINGS + number], thing=thing.id, there=_there(thing.count)
            )
            return taken, message("helps.thing")
    return _too_long(lowered, activity, task, slots)


def _too_long(lowered: Lowered, activity: Activity, task: Task, slots: list[Slot]) -> tuple[Message, Message] | None:
    """(rule, remedy) of a step for which no stretch of hours is long enough, or none is for its room."""
    for number, room in zip(lowered.leave, lowered.shut, strict=True):
        if activity.demand[number] and not any(slot.capacity[number] for slot in slots):
            return message("refused.no room", room=room), message("refused.cure.no room", room=room)
    need = activity.minutes if activity.smallest is None else min(activity.minutes, activity.smallest)
    longest = _longest(slots, activity)
    if longest >= need:
        return None
    cure = "helps.work" if task.film else "refused.cure.pause"
    if activity.smallest is not None:
        cure = "refused.cure.piece"
    return (
        message(
            "refused.too long",
            people=message("refused.with people", people=activity.demand[PEOPLE])
            if activity.demand[PEOPLE] > 1
            else None,
            noisy=message("refused.noisy") if activity.demand[NOISE] else None,
            longest=longest,
            need=need,
        ),
        message(cure),
    )


def _there(count: int) -> Message:
    return message("refused.there one" if count == 1 else "refused.there", count=count)


def _too_late(lowered: Lowered, activity: Activity, task: Task, job: Job) -> tuple[Message, Message]:
    """(rule, remedy) of a step that can begin only after the last work hours."""
    if not lowered.problem.slots:
        return message("refused.no hours"), message("helps.until")
    zone = ZoneInfo(job.zone)
    last = max(slot.end for slot in lowered.problem.slots)
    limit = min(slot.start for slot in lowered.problem.slots) + FURTHEST
    waits = message("refused.not before", day=str(local_date(activity.release, zone)))
    check = message("refused.check dates")
    for item in job.items:
        if item.id in task.needs and there_from(item, zone) == activity.release:
            waits = message("refused.needs", item=item.title, day=str(item.expected))
            check = message("refused.check date", item=item.title)
            break
    if activity.release > limit:
        return message("refused.too far", waits=waits, limit=str(local_date(limit, zone))), check
    return (
        message("refused.after all", waits=waits, last=str(local_date(last, zone))),
        message("refused.cure.after all", check=check),
    )


def _longest(slots: list[Slot], activity: Activity) -> int:
    """The longest unbroken stretch, in minutes, that has all the activity takes."""
    best = begin = until = 0
    for slot in slots:
        if any(have < want for have, want in zip(slot.capacity, activity.demand, strict=True)):
            continue
        if slot.start != until:
            begin = slot.start
        until = slot.end
        best = max(best, until - begin)
    return best
