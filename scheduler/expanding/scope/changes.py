"""What the person wants otherwise: steps changed, dropped, or replaced by one written by hand under the same name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace

from scheduler.expanding.scope.options import Faults
from scheduler.expanding.scope.templates import Made
from scheduler.model.after import After
from scheduler.model.job import Step
from scheduler.model.names import meant
from scheduler.model.scope import Change, Scope


def changed(
    made: Sequence[Made], scope: Scope, by_hand: Mapping[str, Step], tasks: Iterable[str], faults: Faults
) -> list[Made]:
    """The steps that are left, each as it is wanted. `tasks` are those of the colours, which `expand` will change.

    A step of the same name written by hand stands in the place of the one that a method made.
    """
    names = {each.step.id for each in made}
    later = set(tasks)
    for change in scope.changes:
        if change.step not in names | later:
            faults.add(change.place, f"no step is called `{change.step}`", meant(change.step, sorted(names | later)))
    for name, place in scope.dropped:
        if name in later:
            faults.add(place, f"`{name}` belongs to a colour", "change `coats` or `tape off` of the colour instead")
        elif name not in names:
            faults.add(place, f"no step is called `{name}`", meant(name, sorted(names)))
    dropped = {name for name, _ in scope.dropped}
    wanted = {change.step: change for change in scope.changes}
    return [_as_wanted(each, wanted, by_hand) for each in made if each.step.id not in dropped]


def _as_wanted(each: Made, wanted: Mapping[str, Change], by_hand: Mapping[str, Step]) -> Made:
    step = each.step
    if step.id in by_hand:
        step = by_hand[step.id]
    if step.id in wanted:
        step = with_changes(step, wanted[step.id].fields)
    return replace(each, step=step)


def with_changes(step: Step, fields: Mapping[str, object]) -> Step:
    """The step with other values; its smallest piece is never longer than it is."""
    step = replace(step, **fields)  # type: ignore[arg-type]
    if step.smallest_piece is not None and step.smallest_piece > step.work.planned:
        step = replace(step, smallest_piece=step.work.planned)
    return step


def followed(step: Step, ordered: tuple[After, ...], by_hand: Mapping[str, Step], scope: Scope) -> tuple[After, ...]:
    """What a step follows in the end: as changed, else as written by hand, else by the order of the trade."""
    for change in scope.changes:
        if change.step == step.id and change.after is not None:
            return change.after
    return step.after if step.id in by_hand and step.after else ordered
