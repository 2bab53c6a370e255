"""Colours on surfaces: the labour of a coat, what is taped, the borders where the surfaces of two colours meet."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from itertools import combinations

from scheduler.errors import Place
from scheduler.expanding.scope.geometry import lies_on, meeting
from scheduler.expanding.scope.idle import asked_by, way_out
from scheduler.expanding.scope.options import Faults
from scheduler.expanding.scope.quantities import measured
from scheduler.expanding.scope.takeoff import Takeoff
from scheduler.expanding.scope.templates import MadeStep, Maker, maker
from scheduler.model.basics import Estimate
from scheduler.model.job import Border, Colour, Job, Lay, Step
from scheduler.model.material import Trade
from scheduler.model.method import PHASES, Method
from scheduler.model.scope import Call, Part, Said, Scope
from scheduler.model.supply import Use
from scheduler.told import told

NOTHING = Estimate.sure(0)
TAPING = "mask"
"""The method whose first step says how long taping takes along a metre of edge."""


def painting(kind: str) -> str:
    """The id of the method that paints a kind of surface."""
    return f"paint-{kind}"


def painting_methods(job: Job) -> frozenset[str]:
    """The methods by which the colours of a job are laid on its parts and taped off."""
    parts = {part.id: part for part in job.scope.parts} if job.scope else {}
    worn = [parts[name] for colour in job.colours for name in colour.on if name in parts]
    kinds = {one.kind for part in worn for one in (part, *(parts[name] for name in part.of if name in parts))}
    return frozenset({TAPING, *map(painting, kinds)}) if worn else frozenset()


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
        """The colour with the labour and the paint of one coat, where the file does not say them itself.

        A surface to which nothing of it would come is a fault; so is one whose paint is missing in the sum of the
        others, where the file says how long a coat takes but not how much it uses up.
        """
        self._find_named_twice(colour)
        found = [(part, self._coat(colour, part)) for part in self.surfaces(colour)]
        steps = [step for _, step in found if step is not None]
        for part, step in found:
            if part.id in self.faults.doubts.parts:
                continue  # how much of it there is is not known
            if step is None and colour.coat == NOTHING:
                self.faults.add(self._where_on(colour, part), *self._unmeasured(colour, part))
            elif step is None and steps and not colour.uses:
                said = told(
                    "how much of `{title}` goes on `{title2}` can't be measured",
                    title=colour.title,
                    title2=part.title,
                )
                unit = "2 L" if self.takeoff.site.metric else "2 qt"
                hint = told(
                    "write `uses: {{{material}: {unit}}}`, what one coat takes altogether",
                    material=colour.material,
                    unit=unit,
                )
                self.faults.add(self._where_on(colour, part), said, hint)
        coat, piece = colour.coat, None
        if coat == NOTHING:
            coat = _total([step.work for step in steps])
            largest = max((step.smallest_piece or step.work.planned for step in steps), default=0)
            piece = largest if largest < coat.planned else None
        takes = {name: count for step in steps for name, count in step.takes} | dict(colour.takes)
        return replace(
            colour,
            coat=coat,
            piece=piece,
            by_rates=colour.coat == NOTHING,
            takes=tuple(sorted(takes.items())),
            uses=colour.uses or tuple(use for step in steps for use in step.uses),
            dangers=tuple(dict.fromkeys(name for step in steps for name in step.dangers)),
        )

    def _find_named_twice(self, colour: Colour) -> None:
        """A fault for a part that is among those that the other names of a colour stand for."""
        surfaces = self.takeoff.surfaces
        for name in colour.on:
            wider = next((one for one in colour.on if one != name and surfaces[name] < surfaces[one]), None)
            if wider is not None:
                place = self.scope.place("colours", colour.id, "on", name)
                self.faults.add(
                    place,
                    told("`{name}` is one of `{wider}` already", name=name, wider=wider),
                    "leave one of the two out",
                )

    def _coat(self, colour: Colour, part: Part) -> Step | None:
        """The step of one coat on a surface; None where the trade has no method for it, or nothing to measure."""
        painted = self._painted(colour, part)
        made = painted.makes(0, 0) if painted is not None else ()
        return next((each.step for each in made if each.step.lays is not None), None)

    def _painted(self, colour: Colour, part: Part) -> Maker | None:
        method = self.methods.get(painting(part.kind))
        if method is None:
            return None
        option = next(option.name for option in method.options if option.kind == "material")
        paint = Said(name=option, text=colour.material, place=colour.place)
        call = Call(method=method.id, options=(paint,), place=colour.place)
        first = method.id in self.first
        return maker(self.takeoff, self.trade, part, call, method, self.scope.pace, first, self.faults)

    def asked(self, colours: list[Colour]) -> dict[str, frozenset[str]]:
        """The quantities that labour, paint and tape of the colours go by, for each surface."""
        found: dict[str, frozenset[str]] = {}
        for colour in colours:
            for part in self.surfaces(colour):
                painted = self._painted(colour, part)
                found[part.id] = frozenset({"edges"}) | (asked_by(painted) if painted is not None else frozenset())
        return found

    def _unmeasured(self, colour: Colour, part: Part) -> tuple[str, str]:
        """What is wrong where nothing of a colour comes to a surface, and what would be right."""
        said = told("`{title}` can't be measured on `{part}`", title=colour.title, part=part.title)
        painted = self._painted(colour, part)
        otherwise = "how long `one coat` takes"
        return said, told("write {otherwise}", otherwise=otherwise) if painted is None else way_out(
            painted, painted.method.templates, otherwise
        )

    def _where_on(self, colour: Colour, part: Part) -> Place | None:
        """Where a colour names a surface, itself or together with others."""
        name = next(name for name in colour.on if part.id in self.takeoff.surfaces[name])
        return self.scope.place("colours", colour.id, "on", name)

    def taped(self, colour: Colour, colours: list[Colour], borders: list[tuple[Border, float]]) -> Colour:
        """The colour with the taping of what is no neighbouring colour: floor line, openings, both sides of a trim.

        The line between two walls, or wall and ceiling, is no edge of its own: it is cut in by brush. Nor is the edge
        of a ceiling above walls that get a colour: they come after it, and are taped off against it.
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
        taken = [other for other in others if part.kind == "ceiling" or "trim" in (part.kind, other.kind)]
        return max(0.0, edges - sum(meeting(self.takeoff.site, part, other) for other in taken))

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
                above = next((each.id for each in (one, other) if self._lies_on(each, (one, other))), "")
                border = Border(
                    first=one.id, second=other.id, tape=self.taping(length), above=above, place=other.place
                )
                found.append((border, length))
        return found

    def _lies_on(self, colour: Colour, pair: tuple[Colour, Colour]) -> bool:
        """Whether a colour of two is painted on the other."""
        (other,) = (each for each in pair if each is not colour)
        return any(
            lies_on(self.takeoff.site, mine, theirs)
            for mine in self.surfaces(colour)
            for theirs in self.surfaces(other)
        )

    def stand_in(self, colour: Colour, rank: int) -> MadeStep:
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
        return MadeStep(
            step=step, template=None, part=colour.id, phase="paint", surfaces=surfaces, rank=place, colour=True
        )


def _tape(length: float) -> tuple[Use, ...]:
    return (Use(what="masking tape", amount=length, unit="m"),) if length > 0 else ()


def _total(works: list[Estimate]) -> Estimate:
    total = NOTHING
    for work in works:
        total = total.plus(work)
    return total
