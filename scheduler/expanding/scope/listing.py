"""The table of quantities: what was measured, laid out and counted for every part, for a person to look over."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from scheduler.expanding.scope.geometry import MeasuredRoom
from scheduler.expanding.scope.options import Faults, Settings, settings
from scheduler.expanding.scope.quantities import Quantities, UnknownQuantityError, measured
from scheduler.expanding.scope.takeoff import Takeoff, quantities_of
from scheduler.model.formula import Formula
from scheduler.model.job import Quantity
from scheduler.model.method import Method
from scheduler.model.scope import Part

_AREAS = ("area", "floor area", "leaf area")
_LENGTHS = (
    *("run", "top", "around", "edges", "cut in", "height", "room height", "perimeter", "mouldings", "casings"),
    *("batten run", "seam run", "joints", "inside edges"),
)


def listed(takeoff: Takeoff, methods: Mapping[str, Method]) -> tuple[Quantity, ...]:
    """Every quantity that a method asked for, part by part, each once; and those that the person gave."""
    return tuple(quantity for part in takeoff.site.parts for quantity in _of_part(takeoff, part, methods))


def measures_of(site: MeasuredRoom) -> tuple[Quantity, ...]:
    """All that the parts of a room measure, part by part, but for what is nothing or a count that nobody gave."""
    return tuple(
        Quantity(part=part.id, title=part.title, name=name, value=value, unit=_unit(name))
        for part in site.parts
        for name, value in measured(site, part).items()
        if value > 0 and (name != "count" or part.count is not None)
    )


def _of_part(takeoff: Takeoff, part: Part, methods: Mapping[str, Method]) -> Iterator[Quantity]:
    found: dict[str, tuple[float, str]] = {name: (value, "") for name, value in part.given}
    for call in part.calls:
        method = methods[call.method]
        chosen = settings(part, call, method, Faults())
        asked = quantities_of(takeoff, part, method, chosen)
        _ask(asked, method, chosen)
        units = dict(method.units)
        for name, value in asked.used.items():
            if name not in chosen.numbers:
                found[name] = (value, units.get(name, ""))
    given = {name for name, _ in part.given}
    for name, (value, unit) in found.items():
        if value > 0:
            yield Quantity(
                part=part.id,
                title=part.title,
                name=name,
                value=value,
                unit=unit or _unit(name),
                given=name in given,
            )


def _ask(asked: Quantities, method: Method, chosen: Settings) -> None:
    """Ask for everything that the templates ask for; what is missing has been faulted where the step was made."""
    formulas: list[Formula] = []
    for template in method.templates:
        if not chosen.holds(template.only):
            continue
        formulas += [labour.per for labour in template.labour]
        formulas += [amount.of for amount in template.uses if amount.how != "lengths"]
    for formula in formulas:
        try:
            formula.value(asked)
        except UnknownQuantityError:
            continue


def _unit(name: str) -> str:
    return "m2" if name in _AREAS else "m" if name in _LENGTHS else "piece"
