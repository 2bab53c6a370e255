"""What a person named and nothing would come of: a method, a surface, a colour, an option, a quantity.

Work that vanishes without a word is not done: each of these is a fault where it stands, with what would bring it to
something. A step of a method comes to nothing where all that its labour goes by is nothing on that part. Steps that
come only of a number that is nothing by default (stains to block, boxes to take off) may stay away as long as
something else comes of the method.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

from scheduler.expanding.scope.options import MOST_ROUNDS, Faults
from scheduler.expanding.scope.quantities import LEFT_BEHIND, Quantities, UnknownQuantityError
from scheduler.expanding.scope.takeoff import gifts_of, quantities_of
from scheduler.expanding.scope.templates import LADDER, Maker
from scheduler.model.formula import Formula, parse_formula
from scheduler.model.job import Job
from scheduler.model.method import Method, MethodOption, Template
from scheduler.model.names import meant, nearest, slug
from scheduler.model.scope import Part, Said, Scope
from scheduler.told import either, told

_BY_NAME = ("walls", "ceiling", "floor", "trim", "doors")
"""Surfaces that are measured by their name alone."""
_SAYS = {
    "area": {"": {"area"}, "doors": {"leaf area"}},
    "length": {"": {"run", "edges", "cut in"}, "trim": {"mouldings"}},
    "count": {"": {"count"}, "doors": {"leaves"}},
}
"""The quantities that a person says with a key, on any surface and on one of a kind."""
_MOST_WAYS = 3
"""Ways out that one hint names."""


def find_idle_method(maker: Maker) -> None:
    """A fault where nothing comes of a method on a part, or only what a number asked for besides its own work."""
    kept = [each for each in maker.method.templates if maker.chosen.holds(each.only)]
    plain = {name: 0.0 for name, value in maker.chosen.numbers.items() if _default(maker.method, name) == 0}
    asked = quantities_of(maker.takeoff, maker.part, maker.method, maker.chosen)
    try:
        working = [each for each in kept if _units(asked, each, {}) > 0]
        own = [each for each in working if _units(asked, each, plain) > 0]
        if own:
            return
        idle = idle_templates(maker)
    except UnknownQuantityError:
        return  # a fault already, where the step was made
    if working and not idle:
        return
    said = told("`{title}` comes to nothing on `{title2}`", title=maker.method.title, title2=maker.part.title)
    maker.faults.add(maker.call.place, said, way_out(maker, idle))


def idle_templates(maker: Maker) -> list[Template]:
    """The steps of a method that no number of its options would bring to something on its part."""
    kept = (each for each in maker.method.templates if maker.chosen.holds(each.only))
    asked = quantities_of(maker.takeoff, maker.part, maker.method, maker.chosen)
    said = {name: value or 1.0 for name, value in maker.chosen.numbers.items()}
    return [each for each in kept if _units(asked, each, said) == 0]


def find_idle_members(scope: Scope, part: Part, makers: Sequence[Maker], faults: Faults) -> None:
    """A fault for a surface to which none of the methods of a part comes that puts several together."""
    for name in part.of if makers else ():
        member = makers[0].takeoff.site.part(name)
        alone = [replace(each, part=member, faults=Faults()) for each in makers]
        if all(not list(each.makes(0, 0)) for each in alone):
            said = told("nothing of `{title}` comes to `{title2}`", title=part.title, title2=member.title)
            faults.add(scope.place("scope", part.id, "of", name), said, way_out(alone[0], idle_templates(alone[0])))


def find_idle_options(part: Part, makers: Sequence[Maker], faults: Faults) -> None:
    """A fault for an option that could say anything else, and what is done would be the same."""
    whole: object = None
    for at, one in enumerate(makers):
        for said in one.call.options:
            option = next((each for each in one.method.options if slug(each.name) == slug(said.name)), None)
            if option is None or _value(one, option) == option.default:
                continue
            whole = whole or _effect(makers)
            changed = (_otherwise(part, makers, at, said, text) for text in _other_texts(one, option))
            if all(_effect(other) == whole for other in changed):
                message = told(
                    "`{name}` changes nothing in `{title}` on `{title2}`",
                    name=said.name,
                    title=one.method.title,
                    title2=part.title,
                )
                faults.add(said.named, message, _what_it_counts_with(one, option))


def find_idle_quantities(
    scope: Scope, parts: Sequence[Part], makers: Sequence[Maker], worn: Mapping[str, frozenset[str]], faults: Faults
) -> None:
    """A fault for a quantity that a person counted or measured and nothing on its part goes by.

    `worn` are the quantities that the colours on each part go by.
    """
    for part in parts:
        groups = [each for each in makers if part.id in each.part.of]
        known = {name for each in makers if each.part.id == part.id for name in asked_by(each)}
        known |= {name for each in groups for name in asked_by(each) if name in added_up(each, part)}
        known |= worn.get(part.id, frozenset())
        options = {option.name for each in makers for option in each.method.options}
        for name, _ in part.given:
            if name not in known:
                hint = meant(name, known - options) if known else "leave it out, or name the method under `do`"
                place = scope.place("scope", part.id, "measured", name)
                faults.add(
                    place,
                    told("nothing that is done to `{title}` goes by `{name}`", title=part.title, name=name),
                    hint,
                )
        for key, by_kind in _SAYS.items():
            names = by_kind[""] | by_kind.get(part.kind, set())
            pieces = key == "count" and part.kind == "panel" and part.width is not None  # of wall, such as stripes
            if getattr(part, key) is not None and not part.of and not known & names and not pieces:
                place = scope.place("scope", part.id, key)
                said = told("nothing that is done to `{title}` goes by its {key}", title=part.title, key=key)
                faults.add(place, said, "leave it out, or name the method under `do`")


def find_mistyped_things(job: Job, scope: Scope, makers: Sequence[Maker], faults: Faults) -> None:
    """A fault for a shared thing that no step takes, and whose name is much like one that methods here would take."""
    there = {thing.id for thing in job.things}
    kept = [each for maker in makers for each in maker.method.templates if maker.chosen.holds(each.only)]
    wanted = {
        name
        for each in kept
        for name in (*(taking.thing for taking in each.takes), *((LADDER,) if each.ladder is not None else ()))
    }
    takes = [*(step.takes for step in job.steps), *(colour.takes for colour in job.colours)]
    takes += [change.fields.get("takes", ()) for change in scope.changes]
    taken = {slug(name) for name in wanted} | {name for each in takes for name, _ in each}
    for thing in sorted(there - taken):
        near = nearest(thing, [name for name in wanted if slug(name) not in there])
        if near is not None:
            place = scope.place("shared things", thing)
            faults.add(place, told("no step takes `{thing}`", thing=thing), told("did you mean `{near}`?", near=near))


def way_out(maker: Maker, templates: Sequence[Template], also: str = "") -> str:
    """What would bring a method to something on a part: to its idle steps, or to any where none of them is idle."""
    near = nearest(maker.part.id, _BY_NAME) if maker.part.kind == "other" else None
    if near is not None and near != maker.part.id:
        return told("did you mean `{near}`? Else write how much there is, `{area}`", near=near, area=_area(maker))
    ways = list(
        dict.fromkeys(way for template in templates or maker.method.templates for way in _ways(maker, template))
    )
    ways = [*ways[:_MOST_WAYS], *([also] if also else [])]
    return told("write {ways}, or leave it out", ways=either(ways)) if ways else "leave it out"


def asked_by(maker: Maker) -> frozenset[str]:
    """The quantities that a method goes by on a part, those that others are worked out of among them."""
    kept = (each for each in maker.method.templates if maker.chosen.holds(each.only))
    formulas = [formula for _, formula in maker.method.gives]
    for template in kept:
        formulas += [each.per for each in template.labour]
        formulas += [taking.places for taking in template.takes]
        formulas += [each.of for each in template.uses if each.how != "lengths"]
        formulas += [each.width for each in template.uses if each.width is not None]
        formulas += [template.thickness] if template.thickness is not None else []
    batches = maker.method.batches
    formulas += [parse_formula(batches.of)] if batches is not None else []
    return frozenset(name for formula in formulas for name in _names(formula, maker.method))


def added_up(maker: Maker, member: Part) -> frozenset[str]:
    """What of a member's own numbers a part that puts it together with others takes over."""
    return frozenset((*quantities_of(maker.takeoff, member, maker.method, maker.chosen).measures, *LEFT_BEHIND))


def _units(asked: Quantities, template: Template, numbers: dict[str, float]) -> float:
    """All that the labour of a template goes by, with some numbers of its options otherwise."""
    asked = replace(asked, options={**asked.options, **numbers}, used={})
    return sum(max(0.0, each.per.value(asked)) for each in template.labour)


def _default(method: Method, name: str) -> object:
    option = method.option(name)
    return None if option is None else option.default


def _ways(maker: Maker, template: Template) -> Iterator[str]:
    """What a person could write, one thing at a time, so that the labour of a template is no longer nothing."""
    if not maker.chosen.holds(template.only):
        yield from (f"`{name}: {values[0]}`" for name, values in template.only if values)
        return
    asked = quantities_of(maker.takeoff, maker.part, maker.method, maker.chosen)
    metric = maker.takeoff.site.metric
    for labour in template.labour:
        for name in _names(labour.per, maker.method):
            try:
                missing = asked(name) == 0
            except UnknownQuantityError:
                missing = True
            if missing and name not in dict(maker.method.quantities):
                yield from _how_to_say(maker, name, "4 m" if metric else "12 ft")


def _how_to_say(maker: Maker, name: str, length: str) -> Iterator[str]:
    option = maker.method.option(name)
    kind = maker.part.kind
    if option is not None:
        yield f"`{name}: {length if option.kind == 'length' else 3}`"
    elif name in ("area", "leaf area"):
        yield f"`{_area(maker)}`"
    elif name in ("run", "edges", "cut in", "top", "around"):
        yield f"`length: {length}`"
    elif name in ("mouldings", "casings", "doors", "windows", "leaves"):
        if kind in ("trim", "doors"):
            around = "`around:` and a door" if name in ("doors", "leaves") else "`around:` and an opening"
            yield f"`length: {length}`" if name == "mouldings" else around
    elif name not in ("walls", "openings", "height", "inside edges", "fine joints"):
        yield f"`measured: {{{name}: {length if name == 'joints' else 30}}}`"


def _area(maker: Maker) -> str:
    return f"area: {'4 m²' if maker.takeoff.site.metric else '40 ft²'}"


def _names(formula: Formula, method: Method) -> Iterator[str]:
    """The quantities of a formula in the order of their names, and those that they are worked out of."""
    local = dict(method.quantities)
    for name in sorted(formula.names):
        yield name
        if name in local:
            yield from _names(local[name], method)


def _value(maker: Maker, option: MethodOption) -> str | float | None:
    return maker.chosen.words.get(option.name, maker.chosen.numbers.get(option.name))


def _other_texts(maker: Maker, option: MethodOption) -> Iterator[str]:
    """What else an option might say, each far enough from what it says to show."""
    value = _value(maker, option)
    if option.kind == "choice":
        yield from (choice for choice in option.choices if choice != value)
    elif maker.method.batches is not None and maker.method.batches.size == option.name:
        yield "2" if value == 1 else "1"
    elif isinstance(value, str):
        yield f"other {value}"
    elif option.kind == "length":
        yield from (f"{(value or 0.0) * factor + more:.6f} m" for factor, more in ((2, 0.01), (0.4, 0), (5, 1)))
    elif any(template.cycle == option.name for template in maker.method.templates):
        yield str(int(value or 0) % MOST_ROUNDS + 1)
    else:
        yield from (f"{(value or 0.0) * factor + 1:.3f}" for factor in (1, 4, 30))


def _otherwise(part: Part, makers: Sequence[Maker], at: int, said: Said, text: str) -> list[Maker]:
    """The makers of a part if one option of one of them said something else."""
    call = makers[at].call
    options = tuple(replace(each, text=text) if each is said else each for each in call.options)
    calls = [each.call for each in makers]
    calls[at] = replace(call, options=options)
    changed = replace(part, calls=tuple(calls))
    return [each.with_part(changed, call) for each, call in zip(makers, calls, strict=True)]


def _effect(makers: Sequence[Maker]) -> object:
    """All that comes of the methods of a part: steps, what they wait for, and what they leave for others."""
    found: list[object] = []
    for each in makers:
        scratch = replace(each, faults=Faults())
        found += [(made.step, made.template and made.template.after) for made in scratch.makes(0, 0)]
        found.append(gifts_of(scratch.takeoff, scratch.part, scratch.call, scratch.method, scratch.chosen))
        found += scratch.faults.found
    return found


def _what_it_counts_with(maker: Maker, option: MethodOption) -> str:
    """What must be there for an option to matter: a choice, or a quantity of the step that it is for."""
    concerned = [each for each in maker.method.templates if _concerns(each, option, maker.method)]
    return way_out(maker, concerned)


def _concerns(template: Template, option: MethodOption, method: Method) -> bool:
    words = (template.title, template.material or "", *(each.what for each in template.uses))
    if template.cycle == option.name or any(f"{{{option.name}}}" in text for text in words):
        return True
    formulas = [each.per for each in template.labour] + [each.of for each in template.uses]
    formulas += [template.thickness] if template.thickness is not None else []
    return any(option.name in _names(formula, method) for formula in formulas)
