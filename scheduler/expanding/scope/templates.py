"""Step templates on a measured part -> steps with their labour and all that they use up."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from math import ceil

from scheduler.errors import Place
from scheduler.expanding.scope.options import Faults, Settings, settings
from scheduler.expanding.scope.quantities import Quantities, UnknownQuantityError, measured_on, reach
from scheduler.expanding.scope.takeoff import Takeoff, quantities_of, quantities_on
from scheduler.expanding.scope.units import largest_unit
from scheduler.model.basics import Estimate
from scheduler.model.job import Lay, Step
from scheduler.model.keep import Keep
from scheduler.model.material import Material, Trade
from scheduler.model.method import HERE, PHASES, PIECES, Amount, Batches, Method, Taking, Template
from scheduler.model.names import slug
from scheduler.model.rule import DOES
from scheduler.model.scope import ALL_WORK, Call, Part
from scheduler.model.supply import Use
from scheduler.told import told

COUNTED = ("doors", "leaves", "count")
"""Options and quantities that count leaves and pieces."""
ROUNDED = 5
"""Minutes; labour out of rates is rounded up to this."""
LADDER = "step ladder"
"""The shared thing that a step takes which is done from a ladder."""
SWEPT = ", and vacuum the room"
SOME_OF = "{first} to {last}"
"""Of pieces that are done in batches, those of one."""
BEADS = {"round": math.pi / 4, "joint": 1.0, "fillet": 0.5}
"""Section of a bead of width d as a share of d²: round, a square joint, a flat fillet with legs d (geometry)."""
_WET = {"covers": 1.0, "bead": 1.0, "volume": 1000.0}
"""Amounts in litres; a volume is worked out in cubic metres."""

_DEEDS = frozenset(map(slug, DOES))
"""What a step of another method may do, and give back by that."""


@dataclass(frozen=True, slots=True, kw_only=True)
class MadeStep:
    """A step made of a template, with what its place in the order depends on.

    `surfaces` are what it works on, `rests` the walls that it is fixed to, `over` what it lies over; `rank` sorts
    steps on one surface. `share` is the one wall or batch that it is done on, of a step that is split by them: what
    is done on another one does not wait for it. `colour`: it stands for a whole colour. A step written by hand has no
    template.
    """

    step: Step
    template: Template | None
    part: str
    phase: str
    surfaces: frozenset[str]
    rank: tuple[int, int, int, int]
    rests: frozenset[str] = frozenset()
    over: frozenset[str] = frozenset()
    share: str = ""
    colour: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Share:
    """The wall or the batch that a step is done on: `name` tells it apart (none: all of the part), `said` is what the
    plan says of it, `asked` its own quantities."""

    name: str
    said: str
    asked: Quantities


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

    def makes(self, part_rank: int, call_rank: int) -> Iterator[MadeStep]:
        """The steps of the call in the method's order. A template with nothing to do makes none."""
        asked = quantities_of(self.takeoff, self.part, self.method, self.chosen)
        made: list[MadeStep] = []
        for rank, (template, number) in enumerate(_rounds(self.method.templates, self.chosen)):
            for share in self._shares(template, asked):
                step = self._step(template, number, share)
                if step is not None:
                    made.append(
                        MadeStep(
                            step=step,
                            template=template,
                            part=self.part.id,
                            phase=template.phase,
                            surfaces=self.takeoff.surfaces[self.part.id],
                            rank=(PHASES.index(template.phase), self._rank(template, part_rank), call_rank, rank),
                            rests=self.takeoff.rests.get(self.part.id, frozenset()),
                            over=self.takeoff.over(self.part),
                            share=share.name,
                        )
                    )
        made = [replace(each, step=self._giving_back(each, made)) for each in made]
        yield from self._waiting(made)

    def _waiting(self, made: Sequence[MadeStep]) -> Sequence[MadeStep]:
        """The steps, of which some wait for what the call needs: where the method does not say which, all that lay or
        use something, or all of them."""
        if not self.call.needs or any(each.step.needs for each in made):
            return made
        using = [each for each in made if each.step.lays is not None or each.step.uses] or made
        return [
            replace(each, step=replace(each.step, needs=self.call.needs)) if each in using else each for each in made
        ]

    def _giving_back(self, each: MadeStep, made: Sequence[MadeStep]) -> Step:
        """The step with the ids of those that give back what it keeps: the next one of that name, of its own batch or
        wall."""
        keeps = []
        for keep in each.step.keeps:
            if keep.step in _DEEDS:
                keeps.append(keep)
                continue
            later = (one for one in made if one.rank > each.rank and one.template and one.template.id == keep.step)
            giver = next((one for one in later if not (one.share and each.share) or one.share == each.share), None)
            if keep.step is not None and giver is None:
                _never_given_back(each.step, keep, self.faults)
                continue
            keeps.append(replace(keep, step=giver.step.id if giver is not None else None))
        return replace(each.step, keeps=tuple(keeps))

    def _rank(self, template: Template, part_rank: int) -> int:
        """Within a phase parts come in the order of the file. The room as a whole begins, and is wiped down and
        cleared last: the dust of what is wiped above lies on its floor."""
        if self.part.kind != "room":
            return part_rank
        return len(self.takeoff.site.parts) if template.phase in ("wipe", "put back", "clean") else -1

    def _shares(self, template: Template, asked: Quantities) -> Iterator[Share]:
        """The whole part, or for a template `each: wall` each wall of it with its own measures, and for one `each:
        batch` each batch with its own number of pieces."""
        if template.each == "batch" and self.method.batches is not None:
            yield from self._batches(self.method.batches, asked)
            return
        walls = self.takeoff.walls_of(self.part) if template.each == "wall" else []
        if len(walls) < 2:
            yield Share(name="", said="", asked=asked)
            return
        others = self.takeoff.off_walls(self.part)
        places = [*walls, None] if others else walls
        areas = {place: measured_on(self.takeoff.site, self.part, place)["area"] for place in places}
        total = sum(areas.values())
        for place, area in areas.items():
            title = self.takeoff.wall_title(place) if place is not None else ", ".join(one.title for one in others)
            local = quantities_on(self.takeoff, self.part, place, asked, area / total if total else 0.0)
            yield Share(name=place or "-".join(one.id for one in others), said=title, asked=local)

    def _batches(self, batches: Batches, asked: Quantities) -> Iterator[Share]:
        """The pieces in batches of one size, the last of what is left; all at once if they fit."""
        whole = ceil(max(0.0, asked(batches.of)) - 1e-9)
        size = self._batch(batches) or whole
        for number, first in enumerate(range(0, whole, size) if size else (), start=1):
            pieces = min(size, whole - first)
            alone = pieces == whole
            several = self.trade.words(SOME_OF).format(first=first + 1, last=first + pieces)
            said = several if pieces > 1 else f"{first + 1}"
            yield Share(
                name="" if alone else f"batch {number}",
                said="" if alone else said,
                asked=self._of_batch(batches, asked, pieces, pieces / whole),
            )

    def _batch(self, batches: Batches) -> int:
        """How many pieces are one batch: as the job says, or as many as the rack has places; 0: all of them."""
        places = self.takeoff.things.get(slug(batches.rack), 0)
        size = int(self.chosen.numbers.get(batches.size, 0))
        if places and size > places:
            said = told(
                "a batch of {size} is more than the {places} places of `{rack}`",
                size=size,
                places=places,
                rack=batches.rack,
            )
            hint = told(
                "write `{size}: {places}`, or more places under `shared things`", size=batches.size, places=places
            )
            self.faults.add(self._written(batches.size), said, hint)
            return places
        return size or places

    def _of_batch(self, batches: Batches, asked: Quantities, pieces: int, share: float) -> Quantities:
        """The quantities of so many pieces: they are what is counted, and have their share of all else."""
        part = self.part
        narrowed = replace(
            part,
            count=pieces if part.count is not None else None,
            area=part.area * share if part.area is not None else None,
            length=part.length * share if part.length is not None else None,
        )
        local = quantities_of(self.takeoff, narrowed, self.method, self.chosen)
        own = {key: value * share for key, value in asked.own.items()}
        shared = {key: value * share for key, value in local.shared.items()}
        return replace(local, own={**own, batches.of: float(pieces), PIECES: float(pieces)}, shared=shared, used={})

    def _step(self, template: Template, number: int, share: Share) -> Step | None:
        asked = share.asked
        try:
            work = self._work(template, asked)
            if work.high == 0:
                return None
            lays = self._lay(template, number, share)
            taken = tuple(self._taken(template, asked))
            uses = tuple(use for amount in template.uses if (use := self._use(amount, asked)) is not None)
        except UnknownQuantityError as unknown:
            if self.part.id in self.faults.doubts.parts:
                return None
            said = told(
                "`{title}` needs the quantity `{name}` of `{title2}`",
                title=self.method.title,
                name=unknown.name,
                title2=self.part.title,
            )
            self.faults.add(self.call.place, said, unknown.hint)
            return None
        tail = (f"-{number}" if template.cycle else "") + (f"-{slug(share.name)}" if share.name else "")
        high = template.ladder is not None and reach(asked.site, asked.part) > template.ladder
        takes = [(slug(taking.thing), places) for taking, places in taken]
        takes += [(slug(LADDER), 1)] if high and slug(LADDER) in self.takeoff.things else []
        saw = self.takeoff.site.room.saw_room if template.saw else None
        swept = template.saw and saw is None  # who saws in the room itself vacuums it at once
        title = self.chosen.said(template.title).replace("{part}", self.part.title).replace("{n}", str(number))
        return Step(
            id=f"{self.part.id}-{template.id}{tail}",
            part=self.part.id,
            phase=template.phase,
            title=title + (f" ({share.said})" if share.said else "") + (self.trade.words(SWEPT) if swept else ""),
            room=saw or self._room(template),
            work=work,
            people=template.people,
            hands=self._hands(template, work, asked),
            smallest_piece=self._piece(template, work.planned, asked)
            if template.each != "wall" or not share.name
            else _paused(template, work.planned),
            dusty=template.dusty,
            noisy=template.noisy,
            wet=template.wet,
            wipes=template.wipes or swept,
            lays=lays,
            takes=tuple(takes),
            keeps=tuple(
                Keep(
                    thing=slug(taking.thing),
                    count=places,
                    stage=taking.stage,
                    step=taking.step,
                    at_start=taking.at_start,
                    minutes=taking.minutes,
                    place=self.call.place,
                )
                for taking, places in taken
                if taking.stage or taking.step or taking.minutes
            ),
            after=(),
            needs=self.call.needs if template.delivered else (),
            cautions=template.cautions,
            uses=uses,
            doing=template.phase,
            dangers=(*template.dangers, *(("ladder",) if high else ())),
            disturbs=template.disturbs,
            place=self.call.place,
        )

    def _taken(self, template: Template, asked: Quantities) -> Iterator[tuple[Taking, int]]:
        """What a step takes of the shared things of the job, and how many; a fault for more than there are."""
        for taking in template.takes:
            there = self.takeoff.things.get(slug(taking.thing))
            places = ceil(max(0.0, taking.places.value(asked)) - 1e-9)
            if there is None or places == 0:
                continue
            if places > there:
                said = told(
                    "`{title}` takes {places} of `{thing}`, and there are {there}",
                    title=self.method.title,
                    places=places,
                    thing=taking.thing,
                    there=there,
                )
                self.faults.add(self.call.place, said, "add to `shared things`")
            yield taking, min(places, there)

    def _room(self, template: Template) -> str:
        """Where a step is done: the room that an option names, or that of the surface."""
        named = self.chosen.words.get(template.room, HERE) if template.room is not None else HERE
        return self.part.room if named == HERE else named

    def _piece(self, template: Template, minutes: int, asked: Quantities) -> int | None:
        """The smallest piece of a step of so many minutes; of one that is done unit by unit the largest unit.

        What is counted (a leaf painted along with the trim) is a unit of its own.
        """
        if not template.units:
            return _paused(template, minutes)
        counted = (each for each in template.labour if each.per.text in COUNTED and each.per.value(asked) > 0)
        one = max((each.likely / self._pace(template) * self.slower for each in counted), default=0.0)
        largest = max(one, minutes * largest_unit(self.takeoff.site, asked.part))
        piece = ceil(largest / ROUNDED - 1e-9) * ROUNDED
        return piece if piece < minutes else None

    def _hands(self, template: Template, work: Estimate, asked: Quantities) -> tuple[tuple[int, Estimate], ...]:
        """The work with each number of people by which it may be done; none where more of them save nothing."""
        found = [(template.people, work)]
        for people in range(template.people + 1, template.most_people + 1):
            more = self._work(template, asked, people)
            if more.planned < found[-1][1].planned:
                found.append((people, more))
        return tuple(found) if len(found) > 1 else ()

    def _work(self, template: Template, asked: Quantities, people: int = 0) -> Estimate:
        """The work of as many people as there are at least, or of so many."""
        sums = [0.0, 0.0, 0.0]
        for each in template.labour:
            units = max(0.0, each.per.value(asked))
            more = {number: rates for number, *rates in each.more}
            for number, rate in enumerate(more.get(people, (each.low, each.likely, each.high))):
                sums[number] += units * rate
        pace = self._pace(template) / self.slower
        return Estimate(*(ceil(minutes / pace / ROUNDED - 1e-9) * ROUNDED for minutes in sums))

    def _pace(self, template: Template) -> float:
        """The person's own pace in the kind of work that a step is, and how fast its material is laid."""
        material = self.trade.material(slug(self.chosen.said(template.material))) if template.material else None
        speed = material.speed if material is not None else 1.0
        if not self.pace:
            return speed
        marks = {"dusty": template.dusty, "noisy": template.noisy, "wipes": template.wipes}
        group = material.group if material is not None else ""
        kind = self.trade.kind_of(group, template.phase, frozenset(mark for mark, is_so in marks.items() if is_so))
        return speed * self.pace.get(kind, self.pace.get(ALL_WORK, 1.0))

    def _lay(self, template: Template, number: int, share: Share) -> Lay | None:
        if template.material is None:
            return None
        thickness = template.thickness.value(share.asked) if template.thickness else None
        batch = f" ({share.said})" if share.said and template.each == "batch" else ""
        side = f", {template.side}" if template.side else ""
        material = slug(self.chosen.said(template.material))
        return Lay(
            material=material,
            coat=number if template.cycle else template.coat,
            thickness=thickness,
            surfaces=(self.part.title + batch + side,) if batch or side else (),
            place=self._said(template.material),
        )

    def _said(self, braced: str) -> Place | None:
        """Where the option that names a material was written, else where the method was."""
        return self._written(braced.strip("{}"))

    def _written(self, option: str) -> Place | None:
        """Where an option was written, else where the method was."""
        written = (said.place for said in self.call.options if slug(said.name) == slug(option))
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


def given_back(each: MadeStep, made: Sequence[MadeStep], faults: Faults) -> MadeStep:
    """The same with the id of the step that gives back what it keeps until something is done: of all on the part the
    next one that does so, whatever its method."""
    if not any(keep.step in _DEEDS for keep in each.step.keeps):
        return each
    keeps, takes = [], dict(each.step.takes)
    for keep in each.step.keeps:
        later = (one for one in made if one.rank > each.rank and one.part == each.part)
        if keep.step not in _DEEDS:
            keeps.append(keep)
            continue
        giver = next((one for one in later if one.template and keep.step in {*map(slug, one.template.does)}), None)
        if giver is not None:
            keeps.append(replace(keep, step=giver.step.id))
        else:
            _never_given_back(each.step, keep, faults)
            del takes[keep.thing]
    return replace(each, step=replace(each.step, keeps=tuple(keeps), takes=tuple(takes.items())))


def _never_given_back(step: Step, keep: Keep, faults: Faults) -> None:
    said = told(
        "`{id}` keeps `{thing}` until `{step}`, which comes to nothing", id=step.id, thing=keep.thing, step=keep.step
    )
    faults.add(step.place, said, "leave the thing out of `shared things`, or say what brings that step")
