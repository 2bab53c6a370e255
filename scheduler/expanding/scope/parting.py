"""Work that several surfaces share, told apart where a hard rule of the trade's order asks for it.

A base that is filled, caulked and painted together with the crown would be nailed before the floor, as nothing of it
can wait for the floor alone. So the shared work is done twice: on what the rule moves, and on the rest. That is done
only where the person says nothing of that work but what is to be done: no amounts, no order, no changes.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from scheduler.expanding.scope.colours import NOTHING
from scheduler.expanding.scope.rules import is_of_room, lies_whole_on, sides
from scheduler.expanding.scope.templates import MadeStep
from scheduler.model.job import Colour, Job
from scheduler.model.names import coat_of, pull_of, slug, tape_of
from scheduler.model.rule import Rule
from scheduler.model.scope import Part, Scope


@dataclass(frozen=True, slots=True)
class Shared:
    """Groups of parts and colours that lie on surfaces that a rule moves, and on others too: `moved` are those."""

    groups: frozenset[str]
    colours: frozenset[str]
    moved: frozenset[str]


def find_shared(made: Sequence[MadeStep], parts: Mapping[str, Part], rules: Iterable[Rule]) -> Iterator[Shared]:
    """What keeps the hard rules that move the later side from taking its steps out of their phase."""
    order = sorted(made, key=lambda each: each.rank)
    for rule in rules:
        if not rule.hard or rule.moves != "then":
            continue
        firsts, thens = sides(rule, order, parts)
        moved = frozenset[str]().union(
            *(each.surfaces for each in thens if lies_whole_on(each, rule.then, parts)),
        )
        held = [each for each in order if each.surfaces & moved and not each.surfaces <= moved]
        held = [each for each in held if not is_of_room(each, parts)]
        if firsts and moved and held and all(each.colour or parts[each.part].of for each in held):
            groups = frozenset(each.part for each in held if not each.colour)
            yield Shared(groups, frozenset(each.part for each in held if each.colour), moved)


def told_apart(
    job: Job, scope: Scope, shared: Shared, made: Sequence[MadeStep], surfaces: Mapping[str, frozenset[str]]
) -> tuple[Job, Scope] | None:
    """The job and its scope with each shared group and colour in two; None where the person says more of one."""
    parts = {part.id: part for part in scope.parts}
    tasks = {each.step.id for each in made if each.part in shared.groups}
    tasks |= {name for one in job.colours if one.id in shared.colours for name in _tasks(one)}
    tasks |= shared.groups | shared.colours
    if tasks & set(_spoken_of(job, scope)):
        return None
    groups = {name: _group(parts[name], parts, shared.moved, surfaces) for name in sorted(shared.groups)}
    colours = {
        each.id: _colour(each, parts, shared.moved, surfaces) for each in job.colours if each.id in shared.colours
    }
    new = {pair[1].id for pair in (*groups.values(), *colours.values()) if pair is not None}
    if None in {*groups.values(), *colours.values()} or new & ({*parts, *(one.id for one in job.colours)} | tasks):
        return None
    second = {name: pair[1].id for name, pair in colours.items() if pair is not None}
    by_hand = [tuple(second.get(name, name) for name in pair) for pair in scope.no_border]
    return (
        replace(job, colours=tuple(one for each in job.colours for one in colours.get(each.id) or (each,))),
        replace(
            scope,
            parts=tuple(one for each in scope.parts for one in groups.get(each.id) or (each,)),
            no_border=tuple(dict.fromkeys((*scope.no_border, *((pair[0], pair[1]) for pair in by_hand)))),
        ),
    )


def _tasks(colour: Colour) -> Iterator[str]:
    yield from (tape_of(colour.id), pull_of(colour.id))
    yield from (coat_of(colour.id, coat) for coat in range(1, colour.coats + 1))


def _spoken_of(job: Job, scope: Scope) -> Iterator[str]:
    """All that the person names outside of the scope: in changes, orders, steps of their own, appointments."""
    yield from (change.step for change in scope.changes)
    yield from (name for name, _ in scope.dropped)
    yield from job.colour_order
    yield from (name for border in job.borders for name in (border.first, border.second))
    yield from (after.step for step in job.steps for after in step.after)
    yield from (after.step for colour in job.colours for after in colour.after)
    yield from (after.step for visit in job.appointments for after in visit.after)
    yield from (after.step for change in scope.changes for after in change.after or ())
    yield from (name for visit in job.appointments for name, _ in visit.before)
    yield from (step.id for step in job.steps)
    yield from (step.part for step in job.steps)
    yield from (name for part in scope.parts for name in (*part.over, *part.of))


def _group(
    part: Part, parts: Mapping[str, Part], moved: frozenset[str], surfaces: Mapping[str, frozenset[str]]
) -> tuple[Part, Part] | None:
    """A group without what is moved, and that alone; None where its measures were said for all of it."""
    lone = _apart(part.of, parts, moved, surfaces)
    if lone is None or part.given:
        return None
    rest, away = lone
    named = ", ".join(parts[name].title for name in away)
    return replace(part, of=rest), replace(
        part, id=f"{part.id}-{slug(' '.join(away))}", title=f"{part.title}, {named}", of=away
    )


def _colour(
    colour: Colour, parts: Mapping[str, Part], moved: frozenset[str], surfaces: Mapping[str, frozenset[str]]
) -> tuple[Colour, Colour] | None:
    """A colour without what is moved, and on that alone; None where its labour, paint or order was said for all."""
    lone = _apart(colour.on, parts, moved, surfaces)
    said = colour.coat != NOTHING or colour.tape_said or colour.tape != NOTHING or colour.pull != NOTHING
    if lone is None or said or colour.uses or colour.after or colour.keeps:
        return None
    rest, away = lone
    named = ", ".join(parts[name].title for name in away)
    return replace(colour, on=rest), replace(colour, id=f"{colour.id}-{slug(' '.join(away))}", lies_on=named, on=away)


def _apart(
    names: Sequence[str], parts: Mapping[str, Part], moved: frozenset[str], surfaces: Mapping[str, frozenset[str]]
) -> tuple[tuple[str, ...], tuple[str, ...]] | None:
    """Names of parts in two: those of which nothing is moved, and those that are; a group is named by its members.
    None where nothing is left on one side."""
    rest, away = list[str](), list[str]()
    for name in names:
        if surfaces[name] <= moved:
            away.append(name)
        elif not surfaces[name] & moved:
            rest.append(name)
        else:
            inner = _apart(parts[name].of, parts, moved, surfaces)
            if inner is None:
                return None
            rest += inner[0]
            away += inner[1]
    return (tuple(rest), tuple(away)) if rest and away else None
