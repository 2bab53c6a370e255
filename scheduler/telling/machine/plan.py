"""The plan for other programs: JSON in a form that stays, with its schema in the package."""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from importlib.resources import files
from zoneinfo import ZoneInfo

from scheduler.model.basics import STAGES
from scheduler.model.broken import Broken
from scheduler.model.diary import EVENTS
from scheduler.model.hours import Window
from scheduler.model.learned import Lesson
from scheduler.model.plan import (
    Plan,
    PlannedFilm,
    PlannedItem,
    PlannedPromise,
    PlannedStep,
    PlannedThing,
    PlannedVisit,
)
from scheduler.telling.machine.json_text import json_text, moment, moment_or_none
from scheduler.telling.views.agreed import what
from scheduler.telling.views.attended import attended
from scheduler.telling.views.index import Book
from scheduler.wallclock import NEVER, local_date

FORMAT = 1
"""The form that schemas/plan.json describes."""


def plan_json(plan: Plan, seconds: float = 0.0, more: Mapping[str, object] | None = None) -> str:
    """The whole plan as JSON text, and what `more` was asked for. `seconds`: how long planning took; 0 keeps the
    bytes the same from run to run."""
    return json_text({**plan_object(plan, seconds), **(more or {})})


def schema_text(name: str) -> str:
    """The JSON Schema (draft 2020-12) of an output: "plan", "moves" or "dry". Raises KeyError for another name.

    A schema that builds on that of the plan carries it along, so that it can be used by itself.
    """
    folder = files("scheduler.telling").joinpath("schemas")
    found = folder.joinpath(f"{name}.json")
    if not name.isidentifier() or not found.is_file():
        raise KeyError(name)
    text = found.read_text(encoding="utf-8")
    schema = json.loads(text)
    if name == "diary":
        schema["items"]["properties"]["what"]["enum"] = list(EVENTS)
    if name != "plan" and "urn:tackfree:plan:" in text:
        plan = json.loads(folder.joinpath("plan.json").read_text(encoding="utf-8"))
        schema.setdefault("$defs", {})["plan"] = plan
    return json_text(schema)


def plan_object(plan: Plan, seconds: float = 0.0) -> dict[str, object]:
    """The plan in plain dictionaries and lists, in the order in which they are written."""
    zone, book = ZoneInfo(plan.zone), Book(plan)
    return {
        "format": FORMAT,
        "job": plan.job,
        "zone": plan.zone,
        "as_of": moment(plan.as_of, zone),
        "seed": plan.seed,
        "finish": moment(plan.finish, zone),
        "usable": moment_or_none(plan.usable, zone),
        "cured": moment_or_none(plan.cured, zone),
        "bound": {
            "finish_not_before": moment(plan.bound.finish_not_before, zone),
            "proven": plan.bound.proven,
            "stopped": plan.bound.stopped,
        },
        "effort": {"placements_tried": plan.placements_tried, "seconds": seconds},
        "windows": [
            {
                **_span(window.start, window.end, zone),
                "people": window.people,
                "quiet": window.quiet,
                "rooms": list(window.rooms),
            }
            for window in _used_windows(plan, zone)
        ],
        "sessions": [
            {
                "number": session.number,
                **_span(session.start, session.end, zone),
                "people": session.people,
                "steps": list(session.steps),
            }
            for session in plan.sessions
        ],
        "attended": [
            {"person": each.person, "minutes": each.minutes, "hands_on_minutes": each.hands_on}
            for each in attended(plan)
        ],
        "steps": [_step(step, zone, book) for step in plan.steps],
        "items": [_item(item, zone) for item in plan.items],
        "holds": [_thing(thing, zone) for thing in plan.things],
        "stays": [
            {"step": stay.step, "room": stay.room, "thing": stay.thing or None, **_span(stay.start, stay.until, zone)}
            for stay in plan.stays
        ],
        "appointments": [_visit(visit, zone) for visit in plan.visits],
        "promises": [_promise(promise, zone, book) for promise in plan.promises],
        "broken": broken_object(plan.broken, book),
        "former": [
            {
                "step": former.name,
                "title": former.title,
                "state": "under way" if former.left else "done",
                "pieces": [_span(*piece, zone) for piece in former.pieces],
            }
            for former in plan.former
        ],
        "learned": learned_object(plan.learned),
        "warnings": [book.words.say(each) for each in plan.warnings],
    }


def learned_object(lessons: Sequence[Lesson]) -> list[dict[str, object]]:
    """What the record taught in plain dictionaries: the factor reckoned with, its 80 % range, from how many
    records."""
    return [
        {
            "what": f"pace: {lesson.of}{' (own times)' if lesson.by_hand else ''}"
            if lesson.about == "pace"
            else f"dries: {lesson.of} in {lesson.room}",
            "factor": lesson.factor,
            "low": round(lesson.low, 4),
            "high": round(lesson.high, 4),
            "from": len(lesson.steps),
            "steps": list(lesson.steps),
        }
        for lesson in lessons
    ]


def broken_object(broken: Sequence[Broken], book: Book) -> list[dict[str, object]]:
    """Broken rules in plain dictionaries."""
    return [{"rule": each.rule, "step": each.step, "said": book.words.say(each.said)} for each in broken]


def _used_windows(plan: Plan, zone: ZoneInfo) -> Iterator[Window]:
    days = [local_date(session.start, zone) for session in plan.sessions]
    return (window for window in plan.windows if days and min(days) <= window.day <= max(days))


def _span(start: int, end: int, zone: ZoneInfo) -> dict[str, object]:
    return {"start": moment(start, zone), "end": moment(end, zone)}


def _step(step: PlannedStep, zone: ZoneInfo, book: Book) -> dict[str, object]:
    return {
        "id": step.id,
        "title": step.title,
        "room": step.room,
        "state": step.state,
        "people": step.people,
        "labour_minutes": step.labour,
        "can_pause": step.can_pause,
        "smallest_piece_minutes": step.smallest_piece,
        "pieces": [_span(*piece, zone) for piece in step.pieces],
        "dusty": step.dusty,
        "noisy": step.noisy,
        "wet": step.wet,
        "takes": dict(step.takes),
        "after": [
            {
                "step": link.step,
                "stage": link.stage,
                "ready": moment(link.ready, zone),
                "latest": moment_or_none(link.latest, zone),
            }
            for link in step.after
        ],
        "needs": list(step.needs),
        "film": _film(step.film, zone) if step.film else None,
        "held_by": book.words.say(step.held),
        "added_because": None if step.added is None else book.words.say(step.added),
        "cautions": [caution.text for caution in step.cautions],
    }


def _film(film: PlannedFilm, zone: ZoneInfo) -> dict[str, object]:
    """Only stages that are reached, in the usual order; the factor to six places, alike on every machine."""
    whole, *parts = (
        {stage: moment(stages[stage], zone) for stage in STAGES if stages.get(stage, NEVER) < NEVER}
        for stages in (film.stages, *film.parts)
    )
    return {
        "material": film.material,
        "coat": film.coat,
        "thickness_factor": round(film.thickness_factor, 6),
        "stages": whole,
        "parts": parts,
    }


def _item(item: PlannedItem, zone: ZoneInfo) -> dict[str, object]:
    return {
        "item": item.item,
        "expected": _day(item.expected),
        "arrived": _day(item.arrived),
        "ordered": _day(item.ordered),
        "order_by": _day(item.order_by),
        "needed": moment_or_none(item.needed, zone),
        "holds": list(item.holds),
    }


def _thing(thing: PlannedThing, zone: ZoneInfo) -> dict[str, object]:
    """When a thing, or a room, is taken; `until` is null for what is not given back within the air that is known."""
    return {
        "thing": thing.thing,
        "kind": "room" if thing.room else "shared thing",
        "places": thing.places,
        "taken": [
            {
                "from": moment(taken.start, zone),
                "until": moment_or_none(taken.until, zone),
                "by": taken.by,
                "amount": taken.amount,
                "until_stage": taken.stage,
                "until_step": taken.giver,
            }
            for taken in thing.taken
        ],
    }


def _visit(visit: PlannedVisit, zone: ZoneInfo) -> dict[str, object]:
    return {
        "appointment": visit.appointment,
        "title": visit.title,
        **_span(visit.start, visit.end, zone),
        "rooms": list(visit.rooms),
        "ready": moment_or_none(visit.ready, zone),
        "kept": visit.kept,
        "held_by": visit.holder,
        "comes": None if visit.comes is None else _span(*visit.comes, zone),
    }


def _promise(promise: PlannedPromise, zone: ZoneInfo, book: Book) -> dict[str, object]:
    of_thing = promise.thing is not None
    return {
        "what": what(book, promise),
        "room": promise.room,
        "step": promise.step,
        "thing": promise.thing,
        "by": None if promise.by is None else moment(promise.by, zone),
        "at_most_minutes": promise.at_most if of_thing else None,
        "in_all": promise.in_all if of_thing else None,
        "reached": None if of_thing else moment_or_none(promise.reached, zone),
        "out_minutes": promise.reached if of_thing else None,
        "kept": not promise.late,
        "late_minutes": promise.late,
        "proven": promise.proven,
    }


def _day(day: date | None) -> str | None:
    return day.isoformat() if day else None
