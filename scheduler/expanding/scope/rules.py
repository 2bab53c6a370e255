"""The trade's order between different surfaces of a room: the rules of profiles/order.yaml.

On one surface phase follows phase (`order`); these rules go further. Some take steps out of their phase (a floor is
done after all that is above it, its covers come up before), the others add what a step follows. None of them
overrules what a person said: a step that says itself what it follows is left alone, and a rule that would go round in
a circle with what is there is not held.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace

from scheduler.expanding.scope.options import Faults
from scheduler.expanding.scope.templates import MadeStep
from scheduler.model.after import After
from scheduler.model.names import meant
from scheduler.model.rule import Group, Rule
from scheduler.model.scope import Part, Scope
from scheduler.told import told


def overruled(rules: Iterable[Rule], said: Mapping[str, str]) -> tuple[Rule, ...]:
    """The rules as a job wants them: without those `left out`, and with the two sides of others changed over."""
    kept = (rule for rule in rules if said.get(rule.id) != "left out")
    return tuple(
        replace(rule, first=rule.then, then=rule.first) if said.get(rule.id) == "reversed" else rule for rule in kept
    )


def find_misruled(
    scope: Scope,
    rules: Sequence[Rule],
    rooms: Iterable[tuple[Sequence[MadeStep], Mapping[str, Part]]],
    faults: Faults,
) -> None:
    """A fault for each rule that a job overrules and that is not there, can't be turned round, or binds nothing."""
    known = {rule.id: rule for rule in rules}
    seen = [(sorted(made, key=lambda each: each.rank), parts) for made, parts in rooms]
    for name, how in scope.order:
        place, rule = scope.place("order of work", name), known.get(name)
        title = name.replace("-", " ")
        if rule is None:
            hint = meant(title, [one.replace("-", " ") for one in known])
            faults.add(place, told("no rule of the order of work is called `{title}`", title=title), hint)
        elif how == "reversed" and rule.moves is not None:
            faults.add(
                place,
                told("`{title}` can't be turned round", title=title),
                told("write `{title}: left out`", title=title),
            )
        elif not any(all(sides(rule, made, parts)) for made, parts in seen):
            faults.add(place, told("nothing here goes by `{title}`", title=title), "leave it out")


def is_in(made: MadeStep, group: Group, parts: Mapping[str, Part], beside: Sequence[MadeStep]) -> bool:
    """Whether a step is one of a group. `beside` are all steps of its room, in their order."""
    if group.phases and made.phase not in group.phases:
        return False
    if group.does and not (made.template and set(group.does) & set(made.template.does)):
        return False
    lies_on = [parts[made.part]] if is_of_room(made, parts) else [parts[name] for name in made.surfaces]
    if group.of and not any(part.kind in group.of for part in lies_on):
        return False
    if group.along and not any(_runs_along(part, group.along) for part in lies_on):
        return False
    if group.where and not any(one.phase in group.where and one.surfaces & made.surfaces for one in beside):
        return False
    return not group.last_coat or _is_last(made, beside)


def _runs_along(part: Part, lines: Iterable[str]) -> bool:
    return part.kind == "trim" and not part.around and bool(part.along) and set(part.along) <= set(lines)


def lies_whole_on(made: MadeStep, group: Group, parts: Mapping[str, Part]) -> bool:
    """Whether all surfaces of a step are of the kind that a group is about."""
    lies_on = [parts[name] for name in made.surfaces]
    of_kind = not group.of or all(part.kind in group.of for part in lies_on)
    return of_kind and (not group.along or all(_runs_along(part, group.along) for part in lies_on))


def _is_last(made: MadeStep, beside: Sequence[MadeStep]) -> bool:
    """Whether no later coat of the same method lies over a coat; a colour stands for its last one."""
    if made.template is None or made.template.cycle is None:
        return True
    later = (one for one in beside if one.part == made.part and one.template is made.template)
    return all(one.rank <= made.rank for one in later)


def in_turn(made: Iterable[MadeStep], rules: Iterable[Rule], parts: Mapping[str, Part]) -> list[MadeStep]:
    """The steps of a room in the order in which they are worked out, those moved that leave their phase for a rule.

    The rank of each is its place then. A side of a rule is moved only as a whole: where a surface of it shares a step
    (or a colour) with other surfaces, all stays in its phase.
    """
    order = sorted(made, key=lambda each: each.rank)
    moving = [rule for rule in rules if rule.moves is not None]
    behind: dict[str, set[str]] = defaultdict(set)  # by step, those that a rule has put before it
    for _ in moving:  # what one rule moves may have to be followed by what another put behind it
        was = order
        for rule in moving:
            order = _moved(order, rule, parts, behind)
        if order == was:
            break
    return [replace(each, rank=(place, 0, 0, 0)) for place, each in enumerate(order)]


def _moved(
    order: list[MadeStep], rule: Rule, parts: Mapping[str, Part], behind: dict[str, set[str]]
) -> list[MadeStep]:
    """The same order with the steps of one side taken out of their phase, if they can be taken out."""
    firsts, thens = sides(rule, order, parts)
    if rule.moves == "first":
        theirs = frozenset[str]().union(*(each.surfaces for each in thens))
        whole = [each for each in firsts if each.surfaces <= theirs or is_of_room(each, parts)]
        return _put(order, whole, before=thens) if whole and thens else order
    thens = [one for one in thens if lies_whole_on(one, rule.then, parts)]
    ahead = {one.step.id for one in thens}
    firsts = [one for one in firsts if not behind[one.step.id] & ahead]
    if not (firsts and thens and _is_apart(thens, order, parts)):
        return order
    for one in thens:
        behind[one.step.id] |= {first.step.id for first in firsts}
    return _put(order, thens, after=firsts)


def sides(rule: Rule, order: Sequence[MadeStep], parts: Mapping[str, Part]) -> tuple[list[MadeStep], list[MadeStep]]:
    """The steps on each side of a rule; one that is on both is on neither."""
    firsts = [each for each in order if is_in(each, rule.first, parts, order)]
    thens = [each for each in order if is_in(each, rule.then, parts, order)]
    both = {id(each) for each in firsts} & {id(each) for each in thens}
    return [each for each in firsts if id(each) not in both], [each for each in thens if id(each) not in both]


def _is_apart(moved: Sequence[MadeStep], order: Sequence[MadeStep], parts: Mapping[str, Part]) -> bool:
    """Whether nothing but the room as a whole lies on surfaces of these steps and on others too."""
    theirs = frozenset[str]().union(*(each.surfaces for each in moved))
    return all(each.surfaces <= theirs or is_of_room(each, parts) for each in order if each.surfaces & theirs)


def is_of_room(made: MadeStep, parts: Mapping[str, Part]) -> bool:
    """Whether a step is done to the room as a whole, all its surfaces among them."""
    return made.part in parts and parts[made.part].kind == "room"


def _put(
    order: list[MadeStep],
    moved: Sequence[MadeStep],
    *,
    after: Sequence[MadeStep] = (),
    before: Sequence[MadeStep] = (),
) -> list[MadeStep]:
    """The same order with some steps taken out and put in together, straight after or before others."""
    going = {id(each) for each in moved}
    stay = [each for each in order if id(each) not in going]
    anchors = [place for place, each in enumerate(stay) if any(each is one for one in (*after, *before))]
    if not anchors:
        return order
    at = anchors[-1] + 1 if after else anchors[0]
    if after and all(order.index(each) > order.index(stay[at - 1]) for each in moved):
        return order  # they come later as it is
    if before and all(order.index(each) < order.index(stay[at]) for each in moved):
        return order
    return [*stay[:at], *(each for each in order if id(each) in going), *stay[at:]]


@dataclass
class ScopeLinks:
    """What every step and colour of a job follows, by their ids; `needs` is what each waits for that is on order."""

    before: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))
    needs: dict[str, set[str]] = field(default_factory=lambda: defaultdict(set))

    def all_before(self, name: str) -> set[str]:
        """All that comes before one, at once or before others."""
        found, ahead = set[str](), [name]
        while ahead:
            further = self.before.get(ahead.pop(), set()) - found
            found |= further
            ahead += further
        return found

    def waits_for(self, name: str) -> set[str]:
        """What on order a step waits for, itself or by what it follows."""
        return set[str]().union(*(self.needs.get(one, set()) for one in {name, *self.all_before(name)}))


def ruled(
    made: Sequence[MadeStep],
    rules: Iterable[Rule],
    parts: Mapping[str, Part],
    network: ScopeLinks,
    settled: frozenset[str],
    taped: frozenset[frozenset[str]],
) -> Iterator[tuple[Rule, MadeStep, MadeStep]]:
    """The pairs of steps of a room, earlier and later, that the rules bind; each is put into the network.

    `settled` are steps and colours of which the person said what they follow, `taped` pairs of colours that are taped
    off against each other. Of each side only the last and the first ones count, all others follow of themselves; but
    of the last one that lays a film a stage may be asked that whoever polishes or wipes after it did not wait for.
    """
    for rule in rules:
        firsts, thens = sides(rule, made, parts)
        open_thens = [one for one in thens if one.step.id not in settled]
        for then in _outermost(open_thens, network, first=True):
            bound = [one for one in firsts if _is_bound(rule, one, then, network, taped, parts)]
            last = _outermost(bound, network, first=False)
            for first in (*last, *(one for one in _last_films(bound, rule, parts) if one not in last)):
                if then.step.id not in network.all_before(first.step.id):
                    network.before[then.step.id].add(first.step.id)
                    yield rule, first, then


def _is_bound(
    rule: Rule,
    first: MadeStep,
    then: MadeStep,
    network: ScopeLinks,
    taped: frozenset[frozenset[str]],
    parts: Mapping[str, Part],
) -> bool:
    if first.surfaces & then.surfaces and not (rule.first.does and rule.then.does):
        return False  # the order on that surface holds already
    if rule.same_opening and not _at_one_opening(first, then, parts):
        return False
    if rule.moves is not None and first.rank > then.rank:
        return False  # what was to move could not be taken out of the work that it shares
    if rule.free_where_taped and frozenset((first.step.id, then.step.id)) in taped:
        return False
    if then.step.id in network.all_before(first.step.id):
        return False
    return rule.hard or network.waits_for(first.step.id) <= network.waits_for(then.step.id)


def _at_one_opening(one: MadeStep, other: MadeStep, parts: Mapping[str, Part]) -> bool:
    """Whether two steps are done at the same door or window; where one names none, nothing tells them apart."""
    mine, theirs = ({each for name in step.surfaces for each in parts[name].around} for step in (one, other))
    return not mine or not theirs or bool(mine & theirs)


def _last_films(steps: Sequence[MadeStep], rule: Rule, parts: Mapping[str, Part]) -> Iterator[MadeStep]:
    """Those that lay a film over which no later one of them lies, if the rule asks for a stage of it."""
    if rule.stage in (None, "end"):
        return
    over = set[str]()
    for each in sorted(steps, key=lambda each: each.rank, reverse=True):
        mine = {name for name in each.surfaces if not rule.first.of or parts[name].kind in rule.first.of}
        if (each.step.lays is not None or each.colour) and not mine <= over:
            over |= mine
            if not each.colour:
                yield each


def _outermost(steps: Sequence[MadeStep], network: ScopeLinks, *, first: bool) -> list[MadeStep]:
    """Those that none of the others comes before (`first`), or after."""
    ids = {each.step.id for each in steps}
    over = {name: network.all_before(name) & ids - {name} for name in ids}
    if first:
        return [each for each in steps if not over[each.step.id]]
    passed = set[str]().union(*over.values())
    return [each for each in steps if each.step.id not in passed]


def as_afters(rule: Rule, first: MadeStep, stage: str | None) -> Iterator[After]:
    """What the later step of a bound pair follows; where a colour comes first, its tape is off as well.

    The later one only meets the other's film at an edge: no window of that film is its affair, which its own coats
    cover.
    """
    yield After(step=first.step.id, stage=stage, windowless=True)
    if first.colour and stage is not None:
        yield After(step=first.step.id)
