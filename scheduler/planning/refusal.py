"""No plan: which step cannot be placed, which rule stands in the way, and what would make it possible."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from zoneinfo import ZoneInfo

from scheduler.errors import NoPlanError
from scheduler.model.basics import Span
from scheduler.model.graph import Task
from scheduler.model.job import Job
from scheduler.model.material import HEATING
from scheduler.model.region import regions_of
from scheduler.planning.decode import Ground
from scheduler.planning.encode import NOISE, PEOPLE, THINGS, Lowered, there_from
from scheduler.planning.entries import Restricting, until_said, what_helps
from scheduler.solver.conflicts import Deadlock, Stuck
from scheduler.solver.infeasible_subset import Conflict, Entry, conflicts
from scheduler.solver.problem import Activity, Slot
from scheduler.units import format_duration
from scheduler.wallclock import DAY, NEVER, local_date

FURTHEST = 5 * 52 * 7 * DAY
"""Minutes that a plan reaches ahead at most: so far hours are made out of the rules of the job file."""


def explain(
    lowered: Lowered,
    stuck: Stuck,
    ground: Ground,
    busy: tuple[Span, ...],
    hours: Callable[[Job, tuple[Span, ...]], tuple[Slot, ...]],
    unfit: Callable[[str], tuple[str, str] | None] = lambda _: None,
) -> NoPlanError:
    """The error for a job of which it is proven that it has no placement within the longest horizon.

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
            return NoPlanError(f"“{task.title}”", *reason, entries=(asked.faults(each.entries) for each in found))
    found = conflicts(lowered.problem, asked.entries(), stuck.activity, slots)
    task = lowered.tasks[stuck.activity]
    if stuck.deadlock is not None and (not found or not found[0].entries):
        return _locked(lowered, stuck.deadlock)
    if not found or not found[0].entries:
        return _as_stuck(task, stuck, ground, unfit)
    named = tuple(entry for each in found for entry in each.entries)
    sets = tuple(asked.faults(each.entries) for each in found)
    if stuck.rule == "fit" and Entry("air", stuck.activity) in named:  # what the air lacks says more
        told = _as_stuck(task, stuck, ground, unfit)
        return NoPlanError(told.step, told.rule, told.remedy, entries=sets, cautions=told.cautions)
    said = "; ".join(str(fault) for each in sets for fault in each)
    heats = _heating(ground) if any(entry.kind == "air" for entry in named) else ()
    return NoPlanError("", f"these cannot hold together: {said}", _cure(found, named), entries=sets, cautions=heats)


def _heating(ground: Ground) -> tuple[str, ...]:
    """What must be said to whoever is told to heat a room or to dry its air."""
    said = ground.trade.cautions_for(HEATING, regions_of(ground.job.country), ground.job.built)
    return tuple(caution.text for caution in said)


def _cure(found: tuple[Conflict, ...], named: tuple[Entry, ...]) -> str:
    """What to do about sets of entries that cannot hold together."""
    each = " each time" if len(found) > 1 else ""
    more = "" if found[0].enough or len(found) > 1 else "; more may stand in the way then"
    unsure = "" if all(one.certain for one in found) else "; not every one of them may be in the way"
    return f"leave out or change one of them{each}: {what_helps(named)}{more}{unsure}"


def in_question(
    lowered: Lowered,
    ground: Ground,
    busy: tuple[Span, ...],
    hours: Callable[[Job, tuple[Span, ...]], tuple[Slot, ...]],
) -> tuple[Restricting, Callable[[frozenset[Entry]], tuple[Slot, ...]]]:
    """All that restricts, and the hours there would be without some of it."""

    def slots(out: frozenset[Entry]) -> tuple[Slot, ...]:
        return hours(*_with_hours(ground.job, busy, out))

    return Restricting(ground.job, lowered, ground.graph.links, bool(busy), ground.films), slots


def _with_hours(job: Job, busy: tuple[Span, ...], out: frozenset[Entry]) -> tuple[Job, tuple[Span, ...]]:
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
    unfit: Callable[[str], tuple[str, str] | None],
) -> NoPlanError:
    """The error where no entries could be named: the rule that a schedule stopped at."""
    film = ground.films.get(task.id)
    if stuck.rule == "fit" and film is not None:
        never = f"the air is never inside the limits of its material ({film.limits_said}) for as long as it must be"
        why, cure = unfit(task.id) or ("", f"heat or dry the {task.room} until it can, change its `air`")
        return NoPlanError(
            f"“{task.title}”",
            f"{never}: {why}" if why else never,
            f"{cure}, or take another material",
            cautions=_heating(ground),
        )
    return NoPlanError(f"“{task.title}”", *_RULES[stuck.rule])


def _locked(lowered: Lowered, deadlock: Deadlock) -> NoPlanError:
    """The error where what is taken is never given back, in whatever order: who has what, and who waits for it."""
    held = []
    for number in deadlock.holds:
        hold = lowered.problem.holds[number]
        task, thing = lowered.tasks[hold.taker], lowered.kept[hold.thing]
        until = until_said(task, thing.id, lowered)
        held.append(f"“{task.title}” takes {hold.places} of “{thing.title or thing.id}”{until}")
    titles = [thing.title or thing.id for thing in lowered.kept]
    waits = [f"“{lowered.tasks[i].title}” waits for “{titles[thing]}”" for i, thing in deadlock.waiting]
    rule = f"in whatever order, what is taken is not given back: {'; '.join((*held, *waits))}"
    return NoPlanError(
        f"“{lowered.tasks[deadlock.waiting[0][0]].title}”", rule, "raise the count, or give it back sooner"
    )


_RULES = {
    "taken": (
        "what it takes is never free for it: others keep it, or would not get what they need to give it back",
        "raise the count under `shared things`, or give it back sooner",
    ),
    "room": (
        "there is no stretch of work hours for it within five years",
        "add hours, or bring forward what it waits for",
    ),
    "fit": ("the air is never fit for it", "change the air or the material"),
    "clean": (
        "the room is dusty before it and nothing wipes the room down in time",
        "add a step of kind `wipes` between the dusty step and this one",
    ),
    "window": (
        "it cannot start in time after what it follows: the longest wait allowed is shorter than any possible",
        "allow more time in `within`, or add hours in between",
    ),
    "circle": (
        "it would have to come both before and after another step",
        "take one `follows` away, or fix the order of the colours the other way round",
    ),
}


def _cannot_ever(lowered: Lowered, activity: Activity, task: Task, job: Job) -> tuple[str, str] | None:
    """(rule, remedy) of a step that no hours of this job could ever hold, whatever else is planned."""
    if activity.release >= NEVER:
        dates = {item.id: item for item in job.items}
        item = next(dates[name] for name in task.needs if dates[name].expected is None and not dates[name].arrived)
        return f"nobody knows when “{item.title}” comes", "give the item a date: `comes: 2027-02-18`"
    slots = [slot for slot in lowered.problem.slots if slot.end > activity.release]
    if not slots:
        return _too_late(lowered, activity, task, job)
    if max(slot.capacity[PEOPLE] for slot in slots) < activity.demand[PEOPLE]:
        most = max(slot.capacity[PEOPLE] for slot in slots)
        return (
            f"it takes {activity.demand[PEOPLE]} people at once, and the hours never have more than {most}",
            "ask a helper in for one session (`people:` in `hours`)",
        )
    for number, thing in enumerate(job.things):
        if activity.demand[THINGS + number] > thing.count:
            said = f"it takes {activity.demand[THINGS + number]} of “{thing.id}”, and there {_are(thing.count)}"
            return said, "raise the count under `shared things`"
    return _too_long(lowered, activity, task, slots)


def _too_long(lowered: Lowered, activity: Activity, task: Task, slots: list[Slot]) -> tuple[str, str] | None:
    """(rule, remedy) of a step for which no stretch of hours is long enough, or none is for its room."""
    for number, room in zip(lowered.leave, lowered.shut, strict=True):
        if activity.demand[number] and not any(slot.capacity[number] for slot in slots):
            return f"no work hours are for the room {room}", f"add hours without `in`, or with `in: {room}`"
    need = activity.minutes if activity.smallest is None else min(activity.minutes, activity.smallest)
    longest = _longest(slots, activity)
    if longest < need:
        noisy = " in which noise is allowed" if activity.demand[NOISE] else ""
        people = f" with {activity.demand[PEOPLE]} people" if activity.demand[PEOPLE] > 1 else ""
        return (
            f"the longest stretch of work hours{people}{noisy} is {format_duration(longest)} after set-up and "
            f"clear-up, and it needs {format_duration(need)} in one piece",
            "make one session longer" + ("" if activity.smallest is None else " or its smallest piece shorter")
            if activity.smallest is not None
            else "make one session longer" + ("" if task.film else ", or let it pause (`pause: 30 min`)"),
        )
    return None


def _are(count: int) -> str:
    return "is 1" if count == 1 else f"are {count}"


def _too_late(lowered: Lowered, activity: Activity, task: Task, job: Job) -> tuple[str, str]:
    """(rule, remedy) of a step that can begin only after the last work hours."""
    if not lowered.problem.slots:
        return "no work hours are left from now on", "add hours that go on for longer"
    zone = ZoneInfo(job.zone)
    last = max(slot.end for slot in lowered.problem.slots)
    limit = min(slot.start for slot in lowered.problem.slots) + FURTHEST
    waits = f"it can't begin before {local_date(activity.release, zone)}"
    for item in job.items:
        if item.id in task.needs and there_from(item, zone) == activity.release:
            waits = f"it needs “{item.title}”, which comes on {item.expected}"
            check = f"check the date: `comes:` of “{item.title}” in the job file, or `tackfree late`"
            break
    else:
        check = "check the dates"
    if activity.release > limit:
        return f"{waits}, and a plan reaches five years ahead at most, to {local_date(limit, zone)}", check
    return (
        f"{waits}, and the last work hours end on {local_date(last, zone)}",
        f"add hours that go on for longer, or {check}",
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
