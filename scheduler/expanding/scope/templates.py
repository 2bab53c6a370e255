"""Step templates on a measured part -> steps with their labour and all that they use up."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from math import ceil

from scheduler.errors import Place
from scheduler.expanding.scope.options import Faults, Settings, settings
from scheduler.expanding.scope.quantities import Quantities, UnknownQuantityError, reach
from scheduler.expanding.scope.takeoff import Takeoff, quantities_of
from scheduler.expanding.scope.units import largest_unit
from scheduler.model.basics import Estimate
from scheduler.model.job import Lay, Step
from scheduler.model.material import Material, Trade
from scheduler.model.method import PHASES, Amount, Method, Template
from scheduler.model.names import slug
from scheduler.model.scope import ALL_WORK, Call, Part
from scheduler.model.supply import Use

COUNTED = ("doors", "leaves", "count")
"""Options and quantities that count leaves and pieces."""
ROUNDED = 5
"""Minutes; labour out of rates is rounded up to this."""
LADDER = "step ladder"
"""The shared thing that a step takes which is done from a ladder."""
SWEPT = ", and vacuum the room"
BEADS = {"round": math.pi / 4, "joint": 1.0, "fillet": 0.5}
"""Section of a bead of width d as a share of d²: round, a square joint, a flat fillet with legs d (geometry)."""
_WET = {"covers": 1.0, "bead": 1.0, "volume": 1000.0}
"""Amounts in litres; a volume is worked out in cubic metres."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A step made of a template, with what its place in the order depends on.

    `surfaces` are what it works on, `rests` the walls that it is fixed to, `over` what it lies over; `rank` sorts
    steps on one surface. `wall` is the one wall that it is done on, of a step that is split by walls: what is done on
    another one does not wait for it. `colour`: it stands for a whole colour. A step written by hand has no template.
    """

    step: Step
    template: Template | None
    part: str
    phase: str
    surfaces: frozenset[str]
    rank: tuple[int, int, int, int]
    rests: frozenset[str] = frozenset()
    over: frozenset[str] = frozenset()
    wall: str = ""
    colour: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Maker:
    """Makes the steps of one call. `pace`, by kind of work, makes its labour longer or shorter, and `slower`
    longer."""

    takeoff: Takeoff
    trade: Trade
    part: Part
    call: Call
    method: Method
    chosen: Settings
    pace: Mapping[str, float]
    slower: float
    faults: Faults

    def with_part(self, part: Part, call: Call) -> Maker:
        """The maker of the same method for another part, or for one that says something else."""
        return replace(self, part=part, call=call, chosen=settings(part, call, self.method, Faults()))

    def makes(self, part_rank: int, call_rank: int) -> Iterator[Made]:
        """The steps of the call in the method's order. A template with nothing to do makes none."""
        asked = quantities_of(self.takeoff, self.part, self.method, self.chosen)
        for rank, (template, number) in enumerate(_rounds(self.method.templates, self.chosen)):
            for wall, local in self._splits(template, asked):
                step = self._step(template, number, wall, local)
                if step is not None:
                    yield Made(
                        step=step,
                        template=template,
                        part=self.part.id,
                        phase=template.phase,
                        surfaces=self.takeoff.surfaces[self.part.id],
                        rank=(PHASES.index(template.phase), self._rank(template, part_rank), call_rank, rank),
                        rests=self.takeoff.rests.get(self.part.id, frozenset()),
                        over=self.takeoff.over(self.part),
                        wall=wall,
                    )

    def _rank(self, template: Template, part_rank: int) -> int:
        """Within a phase parts come in the order of the file; the room as a whole begins, and is cleared last."""
        if self.part.kind != "room":
            return part_rank
        return len(self.takeoff.site.parts) if template.phase in ("put back", "clean") else -1

    def _splits(self, template: Template, asked: Quantities) -> Iterator[tuple[str, Quantities]]:
        """The whole part, or for a template `each: wall` each wall of it with its own measures."""
        walls = self.takeoff.walls_of(self.part) if template.each == "wall" else []
        if len(walls) < 2:
            yield "", asked
            return
        for name in walls:
            narrowed = self.takeoff.on_wall(self.part, name)
            local = quantities_of(self.takeoff, narrowed, self.method, self.chosen)
            total = sum(self.takeoff.on_wall_area(self.part, each) for each in walls)
            share = self.takeoff.on_wall_area(self.part, name) / total if total else 0.0
            given = {key: value * share for key, value in asked.own.items()}
            yield name, replace(local, own=given, used={})

    def _step(self, template: Template, number: int, wall: str, asked: Quantities) -> Step | None:
        try:
            work = self._work(template, asked)
            if work.high == 0:
                return None
            lays = self._lay(template, number, asked)
            uses = tuple(use for amount in template.uses if (use := self._use(amount, asked)) is not None)
        except UnknownQuantityError as unknown:
            if self.part.id in self.faults.doubts.parts:
                return None
            said = f"`{self.method.title}` needs the quantity `{unknown.name}` of `{self.part.title}`"
            self.faults.add(self.call.place, said, unknown.hint)
            return None
        tail = (f"-{number}" if template.cycle else "") + (f"-{slug(wall)}" if wall else "")
        high = template.ladder is not None and reach(asked.site, asked.part) > template.ladder
        takes = (*template.takes, *((LADDER,) if high else ()))
        saw = self.takeoff.site.room.saw_room if template.saw else None
        swept = template.saw and saw is None  # who saws in the room itself vacuums it at once
        title = self.chosen.said(template.title).replace("{part}", self.part.title).replace("{n}", str(number))
        return Step(
            id=f"{self.part.id}-{template.id}{tail}",
            part=self.part.id,
            phase=template.phase,
            title=title + (f" ({self.takeoff.wall_title(wall)})" if wall else "") + (SWEPT if swept else ""),
            room=saw or self.part.room,
            work=work,
            people=template.people,
            smallest_piece=self._piece(template, work.planned, asked)
            if not wall
            else _paused(template, work.planned),
            dusty=template.dusty,
            noisy=template.noisy,
            wet=template.wet,
            wipes=template.wipes or swept,
            lays=lays,
            takes=tuple((slug(name), 1) for name in takes if slug(name) in self.takeoff.things),
            after=(),
            needs=self.call.needs if template.delivered else (),
            cautions=template.cautions,
            uses=uses,
            doing=template.phase,
            dangers=(*template.dangers, *(("ladder",) if high else ())),
            disturbs=template.disturbs,
            place=self.call.place,
        )

    def _piece(self, template: Template, minutes: int, asked: Quantities) -> int | None:
        """The smallest piece of a step of so many minutes; of one that is done unit by unit the largest unit.

        What is counted (a leaf painted along with the trim) is a unit of its own.
        """
        if not template.units:
            return _paused(template, minutes)
        counted = (each for each in template.labour if each.per.text in COUNTED and each.per.value(asked) > 0)
        one = max((each.likely / self._pace(template) * self.slower for each in counted), default=0.0)
        largest = max(one, minutes * largest_unit(self.takeoff.site, self.part))
        piece = ceil(largest / ROUNDED - 1e-9) * ROUNDED
        return piece if piece < minutes else None

    def _work(self, template: Template, asked: Quantities) -> Estimate:
        sums = [0.0, 0.0, 0.0]
        for each in template.labour:
            units = max(0.0, each.per.value(asked))
            for number, rate in enumerate((each.low, each.likely, each.high)):
                sums[number] += units * rate
        pace = self._pace(template) / self.slower
        return Estimate(*(ceil(minutes / pace / ROUNDED - 1e-9) * ROUNDED for minutes in sums))

    def _pace(self, template: Template) -> float:
        """The person's own pace in the kind of work that a step is."""
        if not self.pace:
            return 1.0
        material = self.trade.material(slug(self.chosen.said(template.material))) if template.material else None
        marks = {"dusty": template.dusty, "noisy": template.noisy, "wipes": template.wipes}
        group = material.group if material is not None else ""
        kind = self.trade.kind_of(group, template.phase, frozenset(mark for mark, is_so in marks.items() if is_so))
        return self.pace.get(kind, self.pace.get(ALL_WORK, 1.0))

    def _lay(self, template: Template, number: int, asked: Quantities) -> Lay | None:
        if template.material is None:
            return None
        thickness = template.thickness.value(asked) if template.thickness else None
        material = slug(self.chosen.said(template.material))
        return Lay(
            material=material,
            coat=number if template.cycle else template.coat,
            thickness=thickness,
            place=self._said(template.material),
        )

    def _said(self, braced: str) -> Place | None:
        """Where the option that names a material was written, else where the method was."""
        written = (said.place for said in self.call.options if f"{{{said.name}}}" == braced)
        return next(written, self.call.place)

    def _use(self, amount: Amount, asked: Quantities) -> Use | None:
        what = self.chosen.said(amount.what)
        if amount.how == "lengths":
            lengths = asked.lengths(amount.of.text)
            return Use(what=what, amount=sum(lengths), unit="m", lengths=lengths) if lengths else None
        value = max(0.0, amount.of.value(asked))
        if amount.how in _WET:
            material = self.trade.material(slug(what))
            value *= _WET[amount.how] if amount.how == "volume" else self._litres_each(amount, material, asked)
            return Use(what=slug(what), amount=value, unit="L") if value > 0 else None
        unit = {"count": "piece", "area": "m2", "run": "m", "kg": "kg"}[amount.how]
        value = float(ceil(value - 1e-6)) if unit == "piece" else value
        return Use(what=what, amount=value, unit=unit) if value > 0 else None

    def _litres_each(self, amount: Amount, material: Material | None, asked: Quantities) -> float:
        """Litres for a square metre at the material's spread (an unknown one is faulted elsewhere), or a metre."""
        if amount.how == "covers":
            return 1 / material.spread if material is not None and material.spread else 0.0
        width = amount.width.value(asked) if amount.width else 0.0
        return width**2 * BEADS[amount.shape] * _WET["volume"]


def _paused(template: Template, minutes: int) -> int | None:
    return None if template.pause is None else min(template.pause, minutes)


def _rounds(templates: tuple[Template, ...], chosen: Settings) -> Iterator[tuple[Template, int]]:
    """Templates in their order; neighbours with the same cycle come round after round, as often as it says."""
    at = 0
    kept = [template for template in templates if chosen.holds(template.only)]
    while at < len(kept):
        cycle = kept[at].cycle
        end = at + 1
        while cycle and end < len(kept) and kept[end].cycle == cycle:
            end += 1
        rounds = max(1, int(chosen.numbers.get(cycle, 1))) if cycle else 1
        for number in range(1, rounds + 1):
            for template in kept[at:end]:
                if not (template.between and number == rounds):
                    yield template, number
        at = end


def maker(
    takeoff: Takeoff,
    trade: Trade,
    part: Part,
    call: Call,
    method: Method,
    pace: Mapping[str, float],
    first: bool,
    faults: Faults,
) -> Maker:
    """The maker for one call; whoever does it for the first time is slower by the method's learning."""
    return Maker(
        takeoff=takeoff,
        trade=trade,
        part=part,
        call=call,
        method=method,
        chosen=settings(part, call, method, faults),
        pace=pace,
        slower=method.learning if first else 1.0,
        faults=faults,
    )
