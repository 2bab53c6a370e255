"""What comes of a job before it is planned: what was measured and counted, and the steps; for a person, and for other
programs."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from itertools import groupby
from math import ceil

from scheduler.errors import Fault
from scheduler.model.graph import Task, TaskGraph
from scheduler.model.job import Job, Quantity
from scheduler.telling.machine.json_text import json_text
from scheduler.telling.text.sheet import Line, Sheet
from scheduler.telling.wording import one_line
from scheduler.telling.words import Words
from scheduler.units import format_area, format_length, format_volume

_LONGEST_ID = 34
"""Columns for the ids of steps; the title of a step with a longer one begins on the next line."""


def quantities_text(quantities: Iterable[Quantity], words: Words, *, metric: bool) -> str:
    """The table, part by part, with what it is for; what the person gave is marked. Empty if there is none."""
    return _table("check.quantities", quantities, words, metric=metric)


def measures_text(measures: Iterable[Quantity], words: Words, *, metric: bool) -> str:
    """All that the parts measure, whether a method asks for it or not."""
    return _table("check.measures", measures, words, metric=metric)


def steps_text(
    graph: TaskGraph, rooms: Mapping[str, str], words: Words, *, width: int = 80, plain: bool = False
) -> str:
    """The steps in an order in which they can be done, room by room if there are several: id and title."""
    sheet = Sheet(width, plain)
    sheet.add(Line(words.tell("check.steps")))
    steps = _steps(graph)
    wide = max((len(step.id) for step in steps if len(step.id) <= _LONGEST_ID), default=0)
    indent = " " * (wide + 4)
    for room, title in rooms.items():
        inside = [step for step in steps if step.room == room]
        if inside and len(rooms) > 1:
            sheet.add(Line(one_line(title)))
        for step in inside:
            first = f"  {step.id:<{wide}}  "
            if len(step.id) > wide:
                sheet.add(Line(step.id, first="  "))
                first = indent
            sheet.add(Line(one_line(step.title), first=first, rest=indent))
    return sheet.text(colour=False).rstrip("\n")


def found_line(graph: TaskGraph, words: Words) -> str:
    """How much there is of it, in one line."""
    steps, materials = len(_steps(graph)), len(_materials(graph))
    return words.tell(
        "check.found", steps=words.counted("step", steps), materials=words.counted("material", materials)
    )


def needed_by_none(job: Job, graph: TaskGraph, words: Words, width: int, plain: bool) -> str:
    """A sentence for each thing on order that no step waits for."""
    needed = {name for task in graph.tasks for name in task.needs}
    needed |= {name for visit in graph.visits for name in visit.needs}
    sheet = Sheet(width, plain)
    for item in job.items:
        if item.id not in needed:
            title = words.quoted(one_line(item.title))
            sheet.add(Line(words.tell("check.needed by none", item=title, id=item.id)))
    return sheet.text(colour=False)


def _steps(graph: TaskGraph) -> list[Task]:
    """All that is to be done; remedies are not, unless a window is missed."""
    return [task for task in graph.tasks if task.remedy_of is None]


def _materials(graph: TaskGraph) -> list[str]:
    return sorted({task.film.material for task in graph.tasks if task.film})


def _table(heading: str, quantities: Iterable[Quantity], words: Words, *, metric: bool) -> str:
    lines: list[str] = []
    for title, group in groupby(quantities, key=lambda quantity: quantity.title):
        rows = [(each.name, words.figures(amount(each, metric=metric)), each.given) for each in group]
        mark = words.tell("check.given")
        wide = max(len(name) for name, _, _ in rows)
        lines.append(title)
        lines += [f"  {name:<{wide}}  {said}{mark if given else ''}" for name, said, given in rows]
    return "\n".join([words.tell(heading), *lines]) if lines else ""


def check_json(
    faults: Sequence[Fault], graph: TaskGraph | None, quantities: Iterable[Quantity], measures: Iterable[Quantity]
) -> str:
    """What a look over a job found, as the schema `check` in the package has it; with faults there is no graph."""
    steps = [step.id for step in _steps(graph)] if graph else []
    whole = {
        "ok": not faults,
        "faults": [
            {
                "file": fault.place.file,
                "line": fault.place.line,
                "column": fault.place.column,
                "message": fault.message,
                "hint": fault.hint,
            }
            for fault in faults
        ],
        "steps": len(steps),
        "step_ids": steps,
        "materials": _materials(graph) if graph else [],
        "quantities": _quantities(quantities),
        "measures": _quantities(measures),
    }
    return json_text(whole)


def _quantities(quantities: Iterable[Quantity]) -> list[dict[str, object]]:
    """Metres, square and cubic metres, and pieces, as they were worked out."""
    return [
        {
            "part": each.part,
            "quantity": each.name,
            "value": round(each.value, 4),
            "unit": each.unit,
            "given": each.given,
        }
        for each in quantities
    ]


def amount(quantity: Quantity, *, metric: bool) -> str:
    """The value in the person's own measures."""
    if quantity.unit == "m2":
        return format_area(quantity.value, metric=metric)
    if quantity.unit == "m3":
        return format_volume(quantity.value * 1000, metric=metric)
    if quantity.unit == "m":
        return format_length(quantity.value, metric=metric)
    return str(ceil(quantity.value - 1e-6))
