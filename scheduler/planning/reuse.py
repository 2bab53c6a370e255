"""An answer found before, for the same question asked again: nothing has changed, so nothing moves.

The answer of yesterday is the answer of today if job, trade, facts and hours are what they were and nothing that it
has still ahead lies in the past by now: what time takes away can only make a plan later, so its bound still holds.
"""

from __future__ import annotations

import hashlib
from collections.abc import Mapping, Sequence, Set
from dataclasses import fields, is_dataclass
from functools import cache
from typing import Any

from scheduler.model.answer import Answer
from scheduler.model.basics import Span
from scheduler.model.facts import Facts
from scheduler.model.graph import TaskGraph
from scheduler.model.job import Job
from scheduler.model.material import Trade
from scheduler.planning.encode import Lowered
from scheduler.solver.problem import Placement, Result
from scheduler.wallclock import NEVER


def question_mark(
    job: Job, trade: Trade, graph: TaskGraph, facts: Facts, busy: tuple[Span, ...], effort: int, seed: int
) -> str:
    """The same for the same question, whenever it is asked and whatever was planned before; else another.

    Where things stand in the person's files, and how they are laid out there, plays no part in it.
    """
    laid = sorted({task.film.material for task in graph.tasks if task.film})
    materials = [trade.material(name) for name in laid]
    whole = (job, materials, trade.tape, graph, facts.done, facts.begun, facts.looks, sorted(busy), effort, seed)
    return mark_of(whole)


def mark_of(records: object) -> str:
    """A mark of records and all that they hold: the same for the same, wherever it stands in the person's files."""
    words: list[str] = []
    _spell(records, words)
    return hashlib.sha256("\n".join(words).encode("utf-8", "surrogatepass")).hexdigest()


def answer_of(
    lowered: Lowered,
    result: Result,
    question: str,
    as_of: int,
    past_hours: int = 0,
    comes: Mapping[str, int] | None = None,
) -> Answer:
    """What is worth remembering of a result; `comes` says when it has appointments that could not be kept."""
    placement = result.placement
    return Answer(
        question=question,
        as_of=as_of,
        pieces={task.id: spans for task, spans in zip(lowered.tasks, placement.pieces, strict=False) if spans},
        options={
            choice.id: choice.options[taken].name
            for choice, taken in zip(lowered.choices, placement.options, strict=True)
        },
        finish_not_before=result.finish_not_before,
        placements_tried=result.placements_tried,
        given=lowered.given_up,
        comes=comes or {},
        hands={task.id: task.people for task in lowered.tasks if task.hands},
        late_at_least=result.late_at_least,
        past_hours=past_hours,
    )


def again(lowered: Lowered, answer: Answer, facts: Facts) -> Result | None:
    """The result that an answer stands for; to the same question it is the answer, to another it may be none.

    None if it was found as of a later moment, if part of it has passed without having begun or begins before it may
    now, or if it reaches beyond the hours of the problem.
    """
    ends = [spans[-1].end for spans in answer.pieces.values()]
    if facts.now < answer.as_of or max(ends, default=0) > max(
        (slot.end for slot in lowered.problem.slots), default=0
    ):
        return None
    begun = facts.done.keys() | facts.begun.keys()
    ahead = [spans[0].start for name, spans in answer.pieces.items() if name not in begun]
    ahead += [
        span.start
        for name, (so_far, _) in facts.begun.items()
        for span in answer.pieces.get(name, ())
        if span not in so_far
    ]
    early = any(
        not activity.fixed and answer.pieces.get(task.id, ((NEVER,),))[0][0] < activity.release
        for task, activity in zip(lowered.tasks, lowered.problem.activities, strict=False)
    )
    if early or min(ahead, default=facts.now) < facts.now:
        return None
    taken = []
    for choice in lowered.choices:
        names = [option.name for option in choice.options]
        if answer.options.get(choice.id) not in names:
            return None
        taken.append(names.index(answer.options[choice.id]))
    return Result(
        placement=Placement(
            pieces=(
                *(facts.done.get(task.id, answer.pieces.get(task.id, ())) for task in lowered.tasks),
                *((Span(visit.start, visit.end),) for visit in lowered.visits),
            ),
            options=tuple(taken),
            visits=lowered.problem.visits,
        ),
        finish_not_before=answer.finish_not_before,
        schedules=0,
        placements_tried=answer.placements_tried,
        late_at_least=answer.late_at_least,
    )


def _spell(value: object, into: list[str]) -> None:
    """Spells a value out, field by field, in an order that does not depend on how it was put together."""
    kind: Any = type(value)
    names = _names(kind)
    if names is not None:
        into.append("<")  # its fields tell what it is: how the class is called in here is nobody's question
        for name in names:
            into.append(name)
            _spell(getattr(value, name), into)
    elif isinstance(value, str | int | float | None):
        into.append(repr(value))
    elif isinstance(value, Mapping):
        into.append("{")
        for key in sorted(value):
            into.append(repr(key))
            _spell(value[key], into)
        into.append("}")
    elif isinstance(value, Set):
        into += ("(", *sorted(repr(member) for member in value), ")")
    elif isinstance(value, Sequence):
        into.append("[")
        for member in value:
            _spell(member, into)
        into.append("]")
    else:
        into.append(repr(value))


@cache
def _names(kind: Any) -> tuple[str, ...] | None:
    """The fields of a record that count; None for what is no record. What is only shown does not."""
    return (
        tuple(each.name for each in fields(kind) if not each.name.endswith(("place", "places", "surfaces")))
        if is_dataclass(kind)
        else None
    )
