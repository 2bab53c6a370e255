"""The take-off of one room: what every part measures, what its methods leave for one another, what lies on what."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from scheduler.expanding.scope.geometry import MeasuredRoom, meeting, surfaces_of
from scheduler.expanding.scope.options import Faults, Settings, settings
from scheduler.expanding.scope.quantities import (
    LEFT_BEHIND,
    Quantities,
    UnknownQuantityError,
    measured,
    measured_on,
    off_walls,
    strips_below,
)
from scheduler.model.method import Method
from scheduler.model.scope import Call, Part
from scheduler.told import told


@dataclass(frozen=True, slots=True, kw_only=True)
class Takeoff:
    """`shared` holds, by part, what its methods leave for all on its surfaces (holes, joints).

    `things` are the shared tools that there are, and how many; `surfaces` says which surfaces a part stands for,
    `rests` on which walls, and which ceiling, a trim is fixed.
    """

    site: MeasuredRoom
    surfaces: Mapping[str, frozenset[str]]
    rests: Mapping[str, frozenset[str]]
    shared: Mapping[str, Mapping[str, float]]
    things: Mapping[str, int]

    def over(self, part: Part) -> frozenset[str]:
        """The surfaces that a part lies over or joins, all in the same room."""
        there = [name for name in part.over if name in self.surfaces]
        return frozenset[str]().union(*(self.surfaces[name] for name in there))

    def walls_of(self, part: Part) -> list[str]:
        """The walls that a part has a band of, each once, in their order around the room."""
        return list(dict.fromkeys(strip.wall.id for strip in strips_below(self.site, part)))

    def off_walls(self, part: Part) -> list[Part]:
        """What a part stands for that is on no wall, such as a ceiling."""
        return off_walls(self.site, part)

    def wall_title(self, wall: str) -> str:
        """What the plan calls a wall."""
        return next(each.title for each in self.site.room.walls if each.id == wall)

    def given(self, part: Part) -> dict[str, float]:
        """What the methods on the surfaces of a part leave for it, added up."""
        total: dict[str, float] = {}
        for giver, gifts in self.shared.items():
            if self.surfaces[giver] <= self.surfaces[part.id]:
                for name, value in gifts.items():
                    total[name] = total.get(name, 0.0) + value
        for member in part.of:
            for name, value in self.site.part(member).given:
                if name in LEFT_BEHIND:  # counted by the person, instead of what its own methods leave
                    total[name] = total.get(name, 0.0) - self.shared.get(member, {}).get(name, 0.0) + value
        return total


def quantities_on(takeoff: Takeoff, part: Part, wall: str | None, asked: Quantities, share: float) -> Quantities:
    """What the formulas may ask for on one wall of a part (None: on what of it is on none), which is such a share of
    what is `asked` of the whole."""
    narrowed = part if wall is None else replace(part, on=(wall,))
    own = {name: value * share for name, value in asked.own.items()}
    return replace(
        asked,
        part=narrowed,
        own=own,
        shared=takeoff.given(narrowed),
        measures=measured_on(takeoff.site, part, wall),
        used={},
        _open=[],
    )


def quantities_of(takeoff: Takeoff, part: Part, method: Method, chosen: Settings) -> Quantities:
    """What the formulas of a method may ask for on a part: what is chosen counts as one, the rest as nothing."""
    choices = {
        value: float(chosen.words.get(option.name) == value) for option in method.options for value in option.choices
    }
    return Quantities(
        site=takeoff.site,
        part=part,
        own=dict(part.given),
        options={**choices, **chosen.numbers},
        local=dict(method.quantities),
        shared=takeoff.given(part),
        measures=measured(takeoff.site, part),
    )


def take_off(site: MeasuredRoom, methods: Mapping[str, Method], things: Mapping[str, int], faults: Faults) -> Takeoff:
    """Measure all parts of a room, and gather what their methods give."""
    surfaces = {part.id: surfaces_of(site, part) for part in site.parts}
    rests = {
        part.id: frozenset(
            other.id
            for other in site.parts
            if (other.kind in ("walls", "panel") and meeting(site, other, part) > 0)
            or (other.kind == "ceiling" and "ceiling" in part.along)
        )
        for part in site.parts
        if part.kind == "trim"
    }
    empty = Takeoff(site=site, surfaces=surfaces, rests=rests, shared={}, things=things)
    shared: dict[str, dict[str, float]] = {}
    for part in site.parts:
        for call in part.calls:
            method = methods.get(call.method)
            if method is None or not method.gives:
                continue
            chosen = settings(part, call, method, faults)
            gifts = gifts_of(empty, part, call, method, chosen, faults)
            into = shared.setdefault(part.id, {})
            into |= {name: into.get(name, 0.0) + value for name, value in gifts.items()}
    return replace(empty, shared=shared)


def gifts_of(
    takeoff: Takeoff, part: Part, call: Call, method: Method, chosen: Settings, faults: Faults | None = None
) -> dict[str, float]:
    """What one method leaves on a part for all on its surfaces, such as holes to fill."""
    asked = quantities_of(takeoff, part, method, chosen)
    found: dict[str, float] = {}
    for name, formula in method.gives:
        try:
            found[name] = max(0.0, formula.value(asked))
        except UnknownQuantityError as unknown:
            if faults is not None and part.id in faults.doubts.parts:
                continue
            said = told(
                "`{method}` needs the quantity `{name}` of `{title}`",
                method=call.method,
                name=unknown.name,
                title=part.title,
            )
            if faults is not None:
                faults.add(call.place, said, unknown.hint)
    return found
