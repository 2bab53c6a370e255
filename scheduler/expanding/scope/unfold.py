"""From what was measured and is wanted to steps, colours and borders. Read this one first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from scheduler.errors import InputError
from scheduler.expanding.colours import cycle_ids
from scheduler.expanding.scope.changes import changed, find_misnamed, followed, with_changes
from scheduler.expanding.scope.checks import find_mistakes
from scheduler.expanding.scope.colours import Painter, painting_methods
from scheduler.expanding.scope.geometry import Site
from scheduler.expanding.scope.idle import (
    find_idle_members,
    find_idle_method,
    find_idle_options,
    find_idle_quantities,
    find_mistyped_things,
)
from scheduler.expanding.scope.listing import listed
from scheduler.expanding.scope.options import Faults
from scheduler.expanding.scope.order import EARLIER, Order
from scheduler.expanding.scope.takeoff import Takeoff, take_off
from scheduler.expanding.scope.templates import Made, Maker, maker
from scheduler.model.after import After
from scheduler.model.job import Border, Colour, Job, Quantity, Step
from scheduler.model.material import Trade
from scheduler.model.method import PHASES, Method, Methods
from scheduler.model.names import APART, APART_HINT, coat_of, pull_of
from scheduler.model.scope import Measured, Scope


@dataclass(frozen=True, slots=True)
class _Begun:
    """One measured room with all steps that its methods and colours bring, before anything is changed or dropped."""

    takeoff: Takeoff
    colours: tuple[Colour, ...]
    borders: tuple[Border, ...]
    made: tuple[Made, ...]
    makers: tuple[Maker, ...]


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
    find_mistakes(scope, methods, painting_methods(job), faults)
    if faults.found:
        raise InputError(faults.found)
    return _Unfolding(job, scope, methods.loaded, trade, faults).job_of_all()


class _Unfolding:
    """One job while it is being unfolded."""

    def __init__(self, job: Job, scope: Scope, methods: Mapping[str, Method], trade: Trade, faults: Faults) -> None:
        self.job, self.scope, self.methods, self.trade, self.faults = job, scope, methods, trade, faults
        self.by_hand = {step.id: step for step in job.steps}

    def job_of_all(self) -> Job:
        """The whole job; raises InputError with the faults of all rooms.

        All rooms are worked out before anything is changed or dropped: a name may be that of a step in any of them.
        """
        used = {part.room for part in self.scope.parts}
        begun = [self._begun(room) for room in self.scope.rooms if room.room in used]
        tasks = self._colour_tasks(begun)
        self._find_clashes([each for room in begun for each in room.made])
        self._find_idle_colours(begun, tasks)
        find_mistyped_things(self.job, self.scope, [each for room in begun for each in room.makers], self.faults)
        find_misnamed(self.scope, [each for room in begun for each in room.made], tasks, self.by_hand, self.faults)
        rooms = [self._room(room) for room in begun]
        self._find_wet_followed([step for room in rooms for step in room.steps], tasks)
        if self.faults.found:
            raise InputError(self.faults.found)
        made = {step.id: step for room in rooms for step in room.steps}
        by_hand = (self._by_hand_as_wanted(step) for step in self.job.steps if step.id not in made)
        colours = {colour.id: colour for room in rooms for colour in room.colours}
        said = {frozenset((border.first, border.second)) for border in self.job.borders}
        derived = [border for room in rooms for border in room.borders]
        return replace(
            self.job,
            steps=(*by_hand, *made.values()),
            colours=tuple(colours.get(colour.id, colour) for colour in self.job.colours),
            borders=(
                *self.job.borders,
                *(border for border in derived if frozenset((border.first, border.second)) not in said),
            ),
            quantities=tuple(quantity for room in rooms for quantity in room.quantities),
            changes=self.scope.changes,
            scope=None,
        )

    def _begun(self, room: Measured) -> _Begun:
        parts = tuple(part for part in self.scope.parts if part.room == room.room)
        site = Site(room=room, parts=parts, metric=self.job.metric)
        things = frozenset(thing.id for thing in self.job.things)
        takeoff = take_off(site, self.methods, things, self.faults)
        painter = Painter(takeoff, self.trade, self.methods, self.scope, self.faults)
        mine = [colour for colour in self.job.colours if colour.on and colour.room == room.room]
        coated = [painter.coated(colour) for colour in mine]
        borders = painter.borders(coated)
        taped = [painter.taped(colour, coated, borders) for colour in coated]
        makers = self._makers(takeoff)
        find_idle_quantities(self.scope, takeoff.site.parts, makers, painter.asked(taped), self.faults)
        made = self._made(takeoff, taped, painter, makers)
        return _Begun(takeoff, tuple(taped), tuple(border for border, _ in borders), tuple(made), tuple(makers))

    def _room(self, begun: _Begun) -> _Room:
        kept = changed(begun.made, self.scope, self.by_hand)
        painted = {colour.id: colour for colour in begun.colours}

        def wanted(each: Made, ordered: tuple[After, ...]) -> tuple[After, ...]:
            colour = painted.get(each.step.id)
            if colour is not None:
                return colour.after or ordered
            return followed(each.step, ordered, self.by_hand, self.scope)

        links = Order(kept, self.trade, self._left_out(begun.takeoff, kept)).all(wanted)
        steps = tuple(replace(each.step, after=links[each.step.id]) for each in kept if each.step.id not in painted)
        return _Room(
            steps=steps,
            colours=tuple(replace(colour, after=links[colour.id]) for colour in begun.colours),
            borders=begun.borders,
            quantities=listed(begun.takeoff, self.methods),
        )

    def _makers(self, takeoff: Takeoff) -> list[Maker]:
        """The makers of all methods in a room, part by part; a fault for each that would bring nothing."""
        first = {name for name, _ in self.scope.first_time}
        makers: list[Maker] = []
        for part in takeoff.site.parts:
            methods = [(call, self.methods[call.method]) for call in part.calls]
            own = [
                maker(takeoff, self.trade, part, call, method, self.scope.pace, method.id in first, self.faults)
                for call, method in methods
            ]
            for each in own:
                find_idle_method(each)
            find_idle_members(self.scope, part, own, self.faults)
            find_idle_options(part, own, self.faults)
            makers += own
        return makers

    def _made(self, takeoff: Takeoff, colours: list[Colour], painter: Painter, makers: list[Maker]) -> list[Made]:
        """The steps of all methods, the colours as one film each, and steps by hand that name their place."""
        found: list[Made] = []
        for part_rank, part in enumerate(takeoff.site.parts):
            own = (each for each in makers if each.part.id == part.id)
            for call_rank, each in enumerate(own):
                found += each.makes(part_rank, call_rank)
        found += [painter.stand_in(colour, rank) for rank, colour in enumerate(colours)]
        found += list(self._by_hand(takeoff, found))
        return found

    def _find_wet_followed(self, made: list[Step], tasks: frozenset[str]) -> None:
        """Whoever follows a step with a film says at which stage, after which time, or at its end: it may be wet."""
        coats = {coat_of(colour.id, coat) for colour in self.job.colours for coat in range(1, colour.coats + 1)}
        films = {step.id for step in made if step.lays is not None and step.id not in self.by_hand} | coats & tasks
        afters = [after for step in self.job.steps for after in step.after]
        afters += [after for colour in self.job.colours for after in colour.after]
        afters += [after for change in self.scope.changes for after in change.after or ()]
        for after in afters:
            if after.step in films and after.stage is None and not after.wait and not after.at_end:
                hint = f"write `{after.step}: recoat` or another stage, a time, or `{after.step}: end`"
                self.faults.add(after.place, f"`{after.step}` lays a film, and nothing says how dry it must be", hint)

    def _find_idle_colours(self, rooms: list[_Begun], tasks: frozenset[str]) -> None:
        """A fault for a colour in the order that touches no other there, and for tape to pull where none is."""
        derived = (border for room in rooms for border in room.borders)
        pairs = [{border.first, border.second} for border in (*self.job.borders, *derived)]
        for name in self.job.colour_order:
            others = set(self.job.colour_order) - {name}
            if not any(name in pair and pair & others for pair in pairs):
                self.faults.add(self.scope.place("colour order", name), f"`{name}` {APART}", APART_HINT)
        for colour in self.job.colours:
            if colour.pull.high > 0 and pull_of(colour.id) not in tasks:
                place = self.scope.place("colours", colour.id, "pull tape")
                self.faults.add(place, f"nothing is taped off for `{colour.title}`", "leave `pull tape` out")

    def _by_hand_as_wanted(self, step: Step) -> Step:
        change = next((each for each in self.scope.changes if each.step == step.id), None)
        if change is None:
            return step
        after = step.after if change.after is None else change.after
        return replace(with_changes(step, change.fields), after=after)

    def _find_clashes(self, found: list[Made]) -> None:
        seen: set[str] = set()
        for each in found:
            if each.step.id in seen and each.template is not None:
                hint = "put one of the two methods on a part of its own, under another name"
                self.faults.add(each.step.place, f"two steps would be called `{each.step.id}`", hint)
            seen.add(each.step.id)

    def _by_hand(self, takeoff: Takeoff, made: list[Made]) -> Iterator[Made]:
        """Steps by hand that say on which part and in which phase they belong.

        One that takes the place of a step of a method stands where that one stood, so it says no other place.
        """
        taken = {each.step.id: (each.part, each.phase) for each in made}
        for rank, step in enumerate(self.job.steps):
            if step.phase and step.id in taken and taken[step.id] != (step.part, step.phase):
                part, phase = taken[step.id]
                said = f"`{step.id}` takes the place of the step of that name, in phase {phase} of `{part}`"
                self.faults.add(step.place, said, "leave `part` and `phase` out, or give it another name")
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

    def _colour_tasks(self, rooms: list[_Begun]) -> frozenset[str]:
        """The ids of all that the colours of the job become, in any room."""
        derived = (border for room in rooms for border in room.borders)
        measured = {colour.id: colour for room in rooms for colour in room.colours}
        whole = replace(self.job, borders=(*self.job.borders, *derived))
        colours = (measured.get(colour.id, colour) for colour in self.job.colours)
        return frozenset(name for colour in colours for name in cycle_ids(whole, colour))

    def _left_out(self, takeoff: Takeoff, kept: list[Made]) -> dict[tuple[str, str], tuple[After, ...]]:
        there = {(each.part, each.template.id) for each in kept if each.template}
        return {
            (part.id, template.id): template.after or (After(step=EARLIER),)
            for part in takeoff.site.parts
            for call in part.calls
            for template in self.methods[call.method].templates
            if (part.id, template.id) not in there
        }
