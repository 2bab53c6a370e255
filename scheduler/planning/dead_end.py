"""No plan: which step cannot be placed, which rule stands in the way, and what would make it possible."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from scheduler.errors import NoPlanError
from scheduler.model.clock import FilmClocks
from scheduler.model.graph import Task
from scheduler.model.job import Job
from scheduler.planning.lower import NOISE, PEOPLE, THINGS, Lowered
from scheduler.planning.placing import Stuck
from scheduler.planning.problem import Activity, Slot
from scheduler.wallclock import NEVER


def explain(
    lowered: Lowered,
    stuck: Stuck,
    job: Job,
    films: Mapping[str, FilmClocks],
    length: Callable[[int], str],
    unfit: Callable[[str], tuple[str, str] | None] = lambda _: None,
) -> NoPlanError:
    """The error for a search that found no placement within the longest horizon.

    `length` puts minutes into words; `unfit` says what keeps the air from being fit for the task of that id, and what
    would cure it, if that is known.
    """
    for i, task in enumerate(lowered.tasks):
        activity = lowered.problem.activities[i]
        if activity.optional or not activity.minutes:
            continue
        reason = _cannot_ever(lowered, activity, task, job, length)
        if reason is not None:
            return NoPlanError(f"“{task.title}”", *reason)
    task = lowered.tasks[stuck.activity]
    film = films.get(task.id)
    if stuck.rule == "fit" and film is not None:
        never = f"the air is never inside the limits of its material ({film.limits_said}) for as long as it must be"
        why, cure = unfit(task.id) or ("", f"heat or dry the {task.room} until it can, change its `air`")
        return NoPlanError(
            f"“{task.title}”",
            f"{never}: {why}" if why else never,
            f"{cure}, or take another material",
        )
    return NoPlanError(f"“{task.title}”", *_RULES[stuck.rule])


_RULES = {
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


def _cannot_ever(
    lowered: Lowered, activity: Activity, task: Task, job: Job, length: Callable[[int], str]
) -> tuple[str, str] | None:
    """(rule, remedy) of a step that no hours of this job could ever hold, whatever else is planned."""
    if activity.release >= NEVER:
        dates = {item.id: item for item in job.items}
        item = next(dates[name] for name in task.needs if dates[name].expected is None and not dates[name].arrived)
        return f"nobody knows when “{item.title}” comes", "give the item a date: `comes: 2027-02-18`"
    slots = [slot for slot in lowered.problem.slots if slot.end > activity.release]
    if not slots:
        return "no work hours are left after it could begin", "add hours that go on for longer"
    if max(slot.capacity[PEOPLE] for slot in slots) < activity.demand[PEOPLE]:
        most = max(slot.capacity[PEOPLE] for slot in slots)
        return (
            f"it takes {activity.demand[PEOPLE]} people at once, and the hours never have more than {most}",
            "ask a helper in for one session (`people:` in `hours`)",
        )
    for number, thing in enumerate(job.things):
        if activity.demand[THINGS + number] > thing.count:
            return f"it takes more of “{thing.id}” than there is", "raise the count under `shared things`"
    need = activity.minutes if activity.smallest is None else min(activity.minutes, activity.smallest)
    longest = _longest(slots, activity)
    if longest < need:
        noisy = " in which noise is allowed" if activity.demand[NOISE] else ""
        people = f" with {activity.demand[PEOPLE]} people" if activity.demand[PEOPLE] > 1 else ""
        return (
            f"the longest stretch of work hours{people}{noisy} is {length(longest)} after set-up and clear-up, "
            f"and it needs {length(need)} in one piece",
            "make one session longer" + ("" if activity.smallest is None else " or its smallest piece shorter")
            if activity.smallest is not None
            else "make one session longer, or let it pause (`pause: 30 min`)",
        )
    return None


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
