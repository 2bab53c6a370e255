"""From what was measured and is wanted to steps, colours and borders. Read this one first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from scheduler.errors import InputError
from scheduler.expanding.colours import cycle_ids
from scheduler.expanding.scope.changes import changed, followed
from scheduler.expanding.scope.checks import find_mistakes
from scheduler.expanding.scope.colours import Painter
from scheduler.expanding.scope.geometry import Site
from scheduler.expanding.scope.listing import listed
from scheduler.expanding.scope.options import Faults
from scheduler.expanding.scope.order import EARLIER, Order
from scheduler.expanding.scope.takeoff import Takeoff, take_off
from scheduler.expanding.scope.templates import Made, maker
from scheduler.model.after import After
from scheduler.model.job import Border, Colour, Job, Quantity, Step
from scheduler.model.material import Trade
from scheduler.model.method import PHASES, Method, Methods
from scheduler.model.scope import Measured, Scope


@dataclass(frozen=True, slots=True)
class _Room:
    """What one measured room brings to the job."""

    steps: tuple[Step, ...]
    colours: tuple[Colour, ...]
    borders: tuple[Border, ...]
    quantities: tuple[Quantity, ...]


def unfold(job: Job, methods: Methods, trade: Trade) -> Job:
    """The job with all steps, colours and borders that its scope stands for; a job without one is as it was.

    `methods` are those that `methods_named` of `reading` finds. Raises InputError with every fault: unknown methods
    and options, quantities that nobody gives, names that clash.
    """
    scope = job.scope
    if scope is None:
        return job
    faults = Faults(fallback=job.place or Faults().fallback)
    find_mistakes(scope, methods, faults)
    if faults.found:
        raise InputError(faults.found)
    return _Unfolding(job, scope, methods.loaded, trade, faults).job_of_all()


class _Unfolding:
    """One job while it is being unfolded."""

    def __init__(self, job: Job, scope: Scope, methods: Mapping[str, Method], trade: Trade, faults: Faults) -> None:
        self.job, self.scope, self.methods, self.trade, self.faults = job, scope, methods, trade, faults
        self.by_hand = {step.id: step for step in job.steps}
        self.placed: set[str] = set()

    def job_of_all(self) -> Job:
        """The whole job; raises InputError with the faults of all rooms."""
        used = {part.room for part in self.scope.parts}
        rooms = [self._room(room) for room in self.scope.rooms if room.room in used]
        self._find_wet_followed([step for room in rooms for step in room.steps])
        if self.faults.found:
            raise InputError(self.faults.found)
        made = {step.id: step for room in rooms for step in room.steps}
        colours = {colour.id: colour for room in rooms for colour in room.colours}
        said = {frozenset((border.first, border.second)) for border in self.job.borders}
        derived = [border for room in rooms for border in room.borders]
        return replace(
            self.job,
            steps=(*(step for step in self.job.steps if step.id not in made), *made.values()),
            colours=tuple(colours.get(colour.id, colour) for colour in self.job.colours),
            borders=(
                *self.job.borders,
                *(border for border in derived if frozenset((border.first, border.second)) not in said),
            ),
            quantities=tuple(quantity for room in rooms for quantity in room.quantities),
            changes=self.scope.changes,
            scope=None,
        )

    def _room(self, room: Measured) -> _Room:
        parts = tuple(part for part in self.scope.parts if part.room == room.room)
        site = Site(room=room, parts=parts, metric=self.job.metric)
        things = frozenset(thing.id for thing in self.job.things)
        takeoff = take_off(site, self.methods, things, self.faults)
        painter = Painter(takeoff, self.trade, self.methods, self.scope, self.faults)
        mine = [colour for colour in self.job.colours if colour.on and colour.room == room.room]
        coated = [painter.coated(colour) for colour in mine]
        borders = painter.borders(coated)
        taped = [painter.taped(colour, coated, borders) for colour in coated]
        made = self._made(takeoff, taped, painter)
        kept = changed(made, self.scope, self.by_hand, self._colour_tasks(taped, borders), self.faults)
        painted = {colour.id: colour for colour in taped}

        def wanted(each: Made, ordered: tuple[After, ...]) -> tuple[After, ...]:
            colour = painted.get(each.step.id)
            if colour is not None:
                return colour.after or ordered
            return followed(each.step, ordered, self.by_hand, self.scope)

        links = Order(kept, self.trade, self._left_out(takeoff, kept)).all(wanted)
        steps = tuple(replace(each.step, after=links[each.step.id]) for each in kept if each.step.id not in painted)
        return _Room(
            steps=steps,
            colours=tuple(replace(colour, after=links[colour.id]) for colour in taped),
            borders=tuple(border for border, _ in borders),
            quantities=listed(takeoff, self.methods),
        )

    def _made(self, takeoff: Takeoff, colours: list[Colour], painter: Painter) -> list[Made]:
        """The steps of all methods, the colours as one film each, and steps by hand that name their place."""
        found: list[Made] = []
        first = {name for name, _ in self.scope.first_time}
        for part_rank, part in enumerate(takeoff.site.parts):
            for call_rank, call in enumerate(part.calls):
                method = self.methods[call.method]
                pace, new = self.scope.pace, method.id in first
                steps = maker(takeoff, self.trade, part, call, method, pace, new, self.faults)
                found += steps.makes(part_rank, call_rank)
        self._find_clashes(found)
        found += [painter.stand_in(colour, rank) for rank, colour in enumerate(colours)]
        found += list(self._by_hand(takeoff, {each.step.id for each in found}))
        return found

    def _find_wet_followed(self, made: list[Step]) -> None:
        """Whoever follows a step with a film says at which stage, after which time, or at its end: it may be wet."""
        films = {step.id for step in made if step.lays is not None and step.id not in self.by_hand}
        afters = [after for step in self.job.steps for after in step.after]
        afters += [after for colour in self.job.colours for after in colour.after]
        afters += [after for change in self.scope.changes for after in change.after or ()]
        for after in afters:
            if after.step in films and after.stage is None and not after.wait and not after.at_end:
                hint = f"write `{after.step}: recoat` or another stage, a time, or `{after.step}: end`"
                self.faults.add(after.place, f"`{after.step}` lays a film, and nothing says how dry it must be", hint)

    def _find_clashes(self, found: list[Made]) -> None:
        seen: set[str] = set()
        for each in found:
            if each.step.id in seen:
                hint = "put one of the two methods on a part of its own, under another name"
                self.faults.add(each.step.place, f"two steps would be called `{each.step.id}`", hint)
            seen.add(each.step.id)

    def _by_hand(self, takeoff: Takeoff, taken: set[str]) -> Iterator[Made]:
        """Steps by hand that say on which part and in which phase they belong."""
        for rank, step in enumerate(self.job.steps):
            if step.phase and step.part in takeoff.surfaces and step.id not in taken:
                yield Made(
                    step=step,
                    template=None,
                    part=step.part,
                    phase=step.phase,
                    surfaces=takeoff.surfaces[step.part],
                    rank=(PHASES.index(step.phase), len(takeoff.site.parts), 0, rank),
                    rests=takeoff.rests.get(step.part, frozenset()),
                    over=takeoff.over(takeoff.site.part(step.part)),
                )

    def _colour_tasks(self, colours: list[Colour], borders: list[tuple[Border, float]]) -> frozenset[str]:
        with_borders = replace(self.job, borders=(*self.job.borders, *(border for border, _ in borders)))
        return frozenset(name for colour in self.job.colours for name in cycle_ids(with_borders, colour)) | frozenset(
            name for colour in colours for name in cycle_ids(with_borders, colour)
        )

    def _left_out(self, takeoff: Takeoff, kept: list[Made]) -> dict[tuple[str, str], tuple[After, ...]]:
        there = {(each.part, each.template.id) for each in kept if each.template}
        return {
            (part.id, template.id): template.after or (After(step=EARLIER),)
            for part in takeoff.site.parts
            for call in part.calls
            for template in self.methods[call.method].templates
            if (part.id, template.id) not in there
        }
