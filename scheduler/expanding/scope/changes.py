"""What the person wants otherwise: steps changed, dropped, or replaced by one written by hand under the same name."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence, Set
from dataclasses import replace

from scheduler.errors import Place
from scheduler.expanding.scope.options import Faults
from scheduler.expanding.scope.templates import MadeStep
from scheduler.model.after import After
from scheduler.model.job import Step
from scheduler.model.names import coat_of, meant
from scheduler.model.scope import Change, Scope
from scheduler.told import told

_KEPT_BY_COLOUR = ("lays", "disturbs")
"""What a task of a colour has from its colour, or not at all."""


def find_misnamed(
    scope: Scope,
    made: Sequence[MadeStep],
    otherwise: Set[str],
    tasks: Iterable[str],
    by_hand: Mapping[str, Step],
    faults: Faults,
) -> None:
    """A fault for each change of a step, and each step dropped, that is not there in any room.

    `made` are the steps of all rooms, `tasks` those that the colours become, `by_hand` those written under `steps`.
    A step that would be there `otherwise`, with an option set in another way, may be dropped as well: it is gone.
    """
    names = {each.step.id for each in made if each.template is not None}
    of_colours = set(tasks)
    there = names | of_colours | set(by_hand)
    colours = {each.step.id for each in made if each.template is None} - set(by_hand)
    dropped = {name for name, _ in scope.dropped}
    for change in scope.changes:
        if change.step in colours:
            said = told("`{step}` is a colour, no step", step=change.step)
            faults.add(
                change.place,
                said,
                told("change it under `colours`, or one of its tasks: `{coat_of}`", coat_of=coat_of(change.step, 1)),
            )
        elif change.step not in there:
            _find_unknown(change.step, change.place, there, faults)
        elif change.step in dropped:
            faults.add(
                change.place,
                told("`{step}` is dropped, so nothing in it changes", step=change.step),
                "leave one of the two out",
            )
        elif not change.fields and change.after is None:
            faults.add(
                change.place,
                told("nothing is changed in `{step}`", step=change.step),
                "write what, such as `work: 2 h`",
            )
        for key in _KEPT_BY_COLOUR if change.step in of_colours else ():
            if key in change.fields:
                said = told(
                    "`{step}` belongs to a colour, and `{key}` is the colour's own", step=change.step, key=key
                )
                faults.add(scope.place("changes", change.step, key), said, "change the colour, or leave it out")
    for name, place in scope.dropped:
        if name in of_colours:
            faults.add(
                place,
                told("`{name}` belongs to a colour", name=name),
                "change `coats` or `tape off` of the colour instead",
            )
        elif name in colours:
            faults.add(place, told("`{name}` is a colour, no step", name=name), "take it out under `colours` instead")
        elif name in by_hand and name not in names:
            faults.add(place, told("`{name}` stands under `steps`", name=name), "take it out there instead")
        elif name not in names | otherwise:
            _find_unknown(name, place, names, faults)


def _find_unknown(name: str, place: Place | None, there: set[str], faults: Faults) -> None:
    """A fault for a step that is not there, unless another fault hides whether it is."""
    if not faults.doubts.may_be(name):
        faults.add(place, told("no step is called `{name}`", name=name), meant(name, sorted(there)))


def changed(made: Sequence[MadeStep], scope: Scope, by_hand: Mapping[str, Step]) -> list[MadeStep]:
    """The steps that are left, each as it is wanted. Tasks of the colours are changed when `expand` has made them.

    A step of the same name written by hand stands in the place of the one that a method made.
    """
    dropped = {name for name, _ in scope.dropped}
    wanted = {change.step: change for change in scope.changes}
    kept = (each for each in made if each.template is None or each.step.id not in dropped)
    return [_as_wanted(each, wanted, by_hand) for each in kept]


def _as_wanted(each: MadeStep, wanted: Mapping[str, Change], by_hand: Mapping[str, Step]) -> MadeStep:
    step = each.step
    if step.id in by_hand:
        step = by_hand[step.id]
    if step.id in wanted:
        step = with_changes(step, wanted[step.id].fields)
    return replace(each, step=step)


def with_changes(step: Step, fields: Mapping[str, object]) -> Step:
    """The step with other values; its smallest piece is never longer than it is."""
    if {"people", "work"} & fields.keys():
        step = replace(step, hands=())  # who says how many are at it, or how long it takes, says it for good
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
