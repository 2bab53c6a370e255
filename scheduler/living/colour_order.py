"""Which colours have changed places since the plan handed out before."""

from __future__ import annotations

from collections.abc import Mapping

from scheduler.model.answer import Answer
from scheduler.model.basics import Span
from scheduler.pipeline import Made


def changed_places(made: Made, before: Answer) -> list[tuple[str, str]]:
    """The ids of two colours that touch, for each pair of which the other one came first `before`: that one, then the
    one that comes first now."""
    first, found = first_coats(made, before.pieces), []
    for choice in made.ground.graph.choices:
        pair = sorted((name for name in choice.id.split("|") if name in first), key=first.__getitem__)
        was, now = before.options.get(choice.id), made.answer.options.get(choice.id)
        if len(pair) == len(choice.options) and None not in (was, now) and was != now:
            found.append((pair[0], pair[1]))
    return found


def first_coats(made: Made, pieces: Mapping[str, tuple[Span, ...]]) -> dict[str, int]:
    """When the first coat of each colour was to begin, by its id."""
    found: dict[str, int] = {}
    for task in made.ground.graph.tasks:
        if task.colour is not None and task.id in pieces:
            start = pieces[task.id][0].start
            found[task.colour] = min(start, found.get(task.colour, start))
    return found
