"""Colours on surfaces: the labour of a coat, what is taped, the borders where the surfaces of two colours meet."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import combinations

from scheduler.expanding.scope.geometry import meeting
from scheduler.expanding.scope.options import Faults
from scheduler.expanding.scope.order import COLOUR
from scheduler.expanding.scope.quantities import measured
from scheduler.expanding.scope.takeoff import Takeoff
from scheduler.expanding.scope.templates import Made, maker
from scheduler.model.basics import Estimate
from scheduler.model.job import Border, Colour, Lay, Step
from scheduler.model.material import Trade
from scheduler.model.method import PHASES, Method
from scheduler.model.scope import Call, Part, Said, Scope
from scheduler.model.supply import Use

NOTHING = Estimate.sure(0)
TAPING = "mask"
"""The method whose first step says how long taping takes along a metre of edge."""


def painting(kind: str) -> str:
    """The id of the method that paints a kind of surface."""
    return f"paint-{kind}"


class Painter:
    """Works out colours in one room."""

    def __init__(
        self, takeoff: Takeoff, trade: Trade, methods: Mapping[str, Method], scope: Scope, faults: Faults
    ) -> None:
        self.takeoff, self.trade, self.methods, self.scope, self.faults = takeoff, trade, methods, scope, faults
        self.first = {name for name, _ in scope.first_time}

    def surfaces(self, colour: Colour) -> list[Part]:
        """The single surfaces that carry a colour, each once."""
        names = sorted({name for on in colour.on for name in self.takeoff.surfaces[on]})
        return [self.takeoff.site.part(name) for name in names]

    def coated(self, colour: Colour) -> Colour:
        """The colour with the labour and the paint of one coat, where the file does not say them itself."""
        steps = [step for part in self.surfaces(colour) for step in self._coat(colour, part)]
        coat = colour.coat
        if coat == NOTHING:
            coat = _total([step.work for step in steps])
        takes = {name: count for step in steps for name, count in step.takes} | dict(colour.takes)
        return replace(
            colour,
            coat=coat,
            takes=tuple(sorted(takes.items())),
            uses=colour.uses or tuple(use for step in steps for use in step.uses),
            dangers=tuple(dict.fromkeys(name for step in steps for name in step.dangers)),
        )

    def _coat(self, colour: Colour, part: Part) -> Iterator[Step]:
        method = self.methods.get(painting(part.kind))
        if method is None:
            said = f"`{colour.title}` can't be measured on `{part.title}`"
            self.faults.add(colour.place, said, "write how long `one coat` takes")
            return
        option = next(option.name for option in method.options if option.kind == "material")
        paint = Said(name=option, text=colour.material, place=colour.place)
        call = Call(method=method.id, options=(paint,), place=colour.place)
        made = maker(
            self.takeoff, self.trade, part, call, method, self.scope.pace, method.id in self.first, self.faults
        ).makes(0, 0)
        step = next((each.step for each in made if each.step.lays is not None), None)
        if step is not None:
            yield step

    def taped(self, colour: Colour, colours: list[Colour], borders: list[tuple[Border, float]]) -> Colour:
        """The colour with the taping of what is no neighbouring colour: floor line, openings, both sides of a trim.

        The line between two walls, or wall and ceiling, is no edge of its own: it is cut in by brush.
        """
        shared = sum(length for border, length in borders if border.second == colour.id)  # once for the two of them
        if colour.tape != NOTHING or colour.tape_said:
            return replace(colour, tape_uses=_tape(shared))
        others = [part for other in colours if other.id != colour.id for part in self.surfaces(other)]
        length = sum(self._open_edges(part, others) for part in self.surfaces(colour))
        return replace(colour, tape=self.taping(length), tape_uses=_tape(length + shared))

    def _open_edges(self, part: Part, others: list[Part]) -> float:
        """Metres of the edges of a surface that no other colour takes over."""
        edges = measured(self.takeoff.site, part)["edges"]
        trims = [other for other in others if "trim" in (part.kind, other.kind)]
        return max(0.0, edges - sum(meeting(self.takeoff.site, part, other) for other in trims))

    def taping(self, length: float) -> Estimate:
        """How long it takes to tape along so many metres."""
        method = self.methods.get(TAPING)
        if method is None or length <= 0:
            return NOTHING
        part = Part(id=TAPING, title=TAPING, room="", kind="other", length=length)
        asked = replace(self.takeoff, surfaces={**self.takeoff.surfaces, TAPING: frozenset()}, shared={})
        call = Call(method=method.id)
        first = method.id in self.first
        made = maker(asked, self.trade, part, call, method, self.scope.pace, first, self.faults).makes(0, 0)
        return next((each.step.work for each in made), NOTHING)

    def borders(self, colours: list[Colour]) -> list[tuple[Border, float]]:
        """Where the surfaces of two colours meet, and how long, metres. What the person took out is not there."""
        found: list[tuple[Border, float]] = []
        none = {frozenset(pair) for pair in self.scope.no_border}
        for one, other in combinations(sorted(colours, key=lambda colour: colour.id), 2):
            if frozenset((one.id, other.id)) in none:
                continue
            length = sum(
                meeting(self.takeoff.site, mine, theirs)
                for mine in self.surfaces(one)
                for theirs in self.surfaces(other)
            )
            if length > 0:
                border = Border(first=one.id, second=other.id, tape=self.taping(length), place=other.place)
                found.append((border, length))
        return found

    def stand_in(self, colour: Colour, rank: int) -> Made:
        """The colour as it stands in the order of the trade: the film of its last coat."""
        step = Step(
            id=colour.id,
            title=colour.title,
            room=colour.room,
            work=colour.coat,
            lays=Lay(material=colour.material, coat=colour.coats),
        )
        surfaces = frozenset(part.id for part in self.surfaces(colour))
        place = (PHASES.index("paint"), rank, 0, 0)
        return Made(
            step=step, template=None, part=colour.id, phase="paint", surfaces=surfaces, rank=place, sibling=COLOUR
        )


def _tape(length: float) -> tuple[Use, ...]:
    return (Use(what="masking tape", amount=length, unit="m"),) if length > 0 else ()


def _total(works: list[Estimate]) -> Estimate:
    total = NOTHING
    for work in works:
        total = total.plus(work)
    return total
