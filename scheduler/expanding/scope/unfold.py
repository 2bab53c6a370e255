"""From what was measured and is wanted to steps, colours and borders. Read this one first."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from scheduler.errors import Fault, InputError
from scheduler.expanding.colours import cycle_ids
from scheduler.expanding.scope.changes import changed, find_misnamed, followed, with_changes
from scheduler.expanding.scope.checks import find_mistaken_paces, find_mistakes, find_unknown_rooms
from scheduler.expanding.scope.colours import Painter, painting, painting_methods
from scheduler.expanding.scope.geometry import MeasuredRoom
from scheduler.expanding.scope.idle import (
    find_idle_members,
    find_idle_method,
    find_idle_options,
    find_idle_quantities,
    find_mistyped_things,
)
from scheduler.expanding.scope.listing import listed, measures_of
from scheduler.expanding.scope.options import Faults
from scheduler.expanding.scope.order import EARLIER, StepOrder, stage_between
from scheduler.expanding.scope.parting import find_shared, told_apart
from scheduler.expanding.scope.rules import ScopeLinks, as_afters, find_misruled, in_turn, overruled, ruled
from scheduler.expanding.scope.takeoff import Takeoff, take_off
from scheduler.expanding.scope.templates import MadeStep, Maker, given_back, maker
from scheduler.model.after import After
from scheduler.model.doubts import NO_DOUBTS, Doubts
from scheduler.model.job import Border, Colour, Job, Lay, Quantity, Step
from scheduler.model.material import Trade
from scheduler.model.method import PHASES, Method, Methods
from scheduler.model.names import APART, APART_HINT, coat_of, pull_of
from scheduler.model.region import regions_of
from scheduler.model.scope import FLOOR_ALONE, Call, Measured, Part, Scope
from scheduler.told import told


@dataclass(frozen=True, slots=True)
class _Begun:
    """One measured room with all steps that its methods and colours bring, before anything is changed or dropped."""

    takeoff: Takeoff
    colours: tuple[Colour, ...]
    borders: tuple[Border, ...]
    made: tuple[MadeStep, ...]
    makers: tuple[Maker, ...]


@dataclass(frozen=True, slots=True)
class _Room:
    """What one measured room brings to the job."""

    steps: tuple[Step, ...]
    colours: tuple[Colour, ...]
    borders: tuple[Border, ...]
    quantities: tuple[Quantity, ...]
    made: tuple[MadeStep, ...]
    parts: Mapping[str, Part]


def unfold(job: Job, methods: Methods, trade: Trade) -> Job:
    """The job with all steps, colours and borders that its scope stands for; a job without one is as it was.

    `methods` are those that `methods_named` of `reading` finds. Raises InputError with every fault: unknown methods
    and options, quantities that nobody gives, names that clash.
    """
    found = unfold_as_far(job, methods, trade)
    if found.faults:
        raise InputError(found.faults)
    return found.job


@dataclass(frozen=True, slots=True, kw_only=True)
class Unfolded:
    """The job with all that its scope stands for, as far as its faults let that be known, and what they leave open.

    `measures` is all that the parts measure, whether a method asks for it or not.
    """

    job: Job
    faults: tuple[Fault, ...] = ()
    doubts: Doubts = NO_DOUBTS
    measures: tuple[Quantity, ...] = ()


def unfold_as_far(job: Job, methods: Methods, trade: Trade, doubts: Doubts = NO_DOUBTS) -> Unfolded:
    """The job with what its scope stands for, and every fault that does not come of one before: where `doubts` lie,
    or a method is unknown, nothing further is asked."""
    scope = job.scope
    if scope is None:
        return Unfolded(job=job, doubts=doubts)
    faults = Faults(fallback=job.place or Faults().fallback, doubts=_with_unread(job, scope, methods, doubts))
    find_mistakes(scope, methods, painting_methods(job), faults)
    find_unknown_rooms(scope, methods, {room.id: room.title for room in job.rooms}, faults)
    find_mistaken_paces(scope, trade, faults)
    sound = _sound(scope, methods, faults)
    unfolding = _Unfolding(job, sound, methods.loaded, trade, faults)
    unfolding.doubt(
        part.id for part, other in zip(scope.parts, sound.parts, strict=True) if part.calls != other.calls
    )
    whole = unfolding.job_of_all()
    measures = (
        quantity
        for room in scope.rooms
        for quantity in measures_of(MeasuredRoom(room=room, parts=_parts_in(sound, room, job), metric=job.metric))
    )
    return Unfolded(job=whole, faults=tuple(faults.found), doubts=faults.doubts, measures=tuple(measures))


def _parts_in(scope: Scope, room: Measured, job: Job) -> tuple[Part, ...]:
    """The parts of a room, each with its circumstances and with what is done to the room as a whole."""
    inside = [part for part in scope.parts if part.room == room.room]
    floors = {part.id for part in inside if part.kind == "floor"}
    rest = [part for part in inside if part.kind not in ("room", "floor") and not floors & {*part.over}]
    circumstances = (*regions_of(job.country), *((FLOOR_ALONE,) if floors and not rest else ()))
    parts = [replace(part, circumstances=circumstances) for part in inside]
    whole = tuple(call.method for part in parts if part.kind == "room" for call in part.calls)
    return tuple(part if part.kind == "room" else replace(part, in_room=whole) for part in parts)


def _with_unread(job: Job, scope: Scope, methods: Methods, doubts: Doubts) -> Doubts:
    """The doubts, and those about parts whose painting is described in a file that has faults of its own."""
    unread = painting_methods(job) & {*methods.known} - {*methods.loaded}
    return doubts.more(parts=(part.id for part in scope.parts if painting(part.kind) in unread))


def _sound(scope: Scope, methods: Methods, faults: Faults) -> Scope:
    """The scope without calls of methods that are not there, not read, or have a fault where they are called."""
    at_fault = {fault.place for fault in faults.found}

    def is_sound(call: Call) -> bool:
        return call.method in methods.loaded and call.place not in at_fault

    parts = (replace(part, calls=tuple(filter(is_sound, part.calls))) for part in scope.parts)
    return replace(scope, parts=tuple(parts))


def _on(lay: Lay | None, surfaces: tuple[str, ...]) -> Lay | None:
    """The film with the titles of the surfaces that it lies on, if it does not say them itself."""
    return None if lay is None else replace(lay, surfaces=lay.surfaces or surfaces)


def _paints(over: MadeStep, film: MadeStep) -> bool:
    """Whether a step primes or paints a surface on which a film lies."""
    return over.phase in ("prime", "paint") and over.step.lays is not None and bool(over.surfaces & film.surfaces)


def _and(afters: tuple[After, ...], more: Iterable[After]) -> tuple[After, ...]:
    return tuple(dict.fromkeys((*afters, *more)))


class _Unfolding:
    """One job while it is being unfolded."""

    def __init__(self, job: Job, scope: Scope, methods: Mapping[str, Method], trade: Trade, faults: Faults) -> None:
        self.job, self.scope, self.methods, self.trade, self.faults = job, scope, methods, trade, faults
        self.rules = overruled(trade.order, dict(scope.order))
        self.by_hand = {step.id: step for step in job.steps}

    def doubt(self, parts: Iterable[str]) -> None:
        """Some of the steps of these parts are not known."""
        self.faults.doubts = self.faults.doubts.more(entries=parts)

    def job_of_all(self) -> Job:
        """The whole job; the faults of all rooms are gathered.

        All rooms are worked out before anything is changed or dropped: a name may be that of a step in any of them.
        """
        begun = self._told_apart(self._begun_all())
        tasks = self._colour_tasks(begun)
        self._find_clashes([each for room in begun for each in room.made])
        self.doubt(self._with_faults())
        if self._is_sure():
            self._find_idle_colours(begun, tasks)
            find_mistyped_things(self.job, self.scope, [each for room in begun for each in room.makers], self.faults)
        made_at_first = [each for room in begun for each in room.made]
        find_misnamed(self.scope, made_at_first, self._chosen_otherwise(), tasks, self.by_hand, self.faults)
        if self._is_sure():
            seen = [(room.made, {part.id: part for part in room.takeoff.site.parts}) for room in begun]
            find_misruled(self.scope, self.trade.order, seen, self.faults)
        rooms = self._ruled([self._room(room) for room in begun])
        self._find_wet_followed([step for room in rooms for step in room.steps], tasks)
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

    def _begun_all(self) -> list[_Begun]:
        used = {part.room for part in self.scope.parts}
        return [self._begun(room) for room in self.scope.rooms if room.room in used]

    def _told_apart(self, begun: list[_Begun]) -> list[_Begun]:
        """The rooms with work in two that a hard rule asks for in two places, where that brings no fault with it."""
        for number in range(len(begun) if self._is_sure() else 0):
            room = begun[number]
            parts = {part.id: part for part in room.takeoff.site.parts}
            for shared in list(find_shared(room.made, parts, self.rules)):
                found = told_apart(self.job, self.scope, shared, room.made, room.takeoff.surfaces)
                if found is None:
                    continue
                trial = _Unfolding(*found, self.methods, self.trade, Faults(fallback=self.faults.fallback))
                apart = trial._begun_all()
                if not trial.faults.found:
                    self.job, self.scope, begun = trial.job, trial.scope, apart
        return begun

    def _begun(self, room: Measured) -> _Begun:
        parts = _parts_in(self.scope, room, self.job)
        site = MeasuredRoom(room=room, parts=parts, metric=self.job.metric)
        things = {thing.id: thing.count for thing in self.job.things}
        takeoff = take_off(site, self.methods, things, self.faults)
        painter = Painter(takeoff, self.trade, self.methods, self.scope, self.faults)
        mine = [colour for colour in self.job.colours if colour.on and colour.room == room.room]
        coated = [painter.coated(colour) for colour in mine]
        borders = painter.borders(coated)
        taped = [painter.taped(colour, coated, borders) for colour in coated]
        makers = self._makers(takeoff)
        if self._is_sure():
            find_idle_quantities(self.scope, takeoff.site.parts, makers, painter.asked(taped), self.faults)
        made = self._made(takeoff, taped, painter, makers)
        return _Begun(takeoff, tuple(taped), tuple(border for border, _ in borders), tuple(made), tuple(makers))

    def _room(self, begun: _Begun) -> _Room:
        kept = changed(begun.made, self.scope, self.by_hand)
        painted = {colour.id: colour for colour in begun.colours}

        def wanted(each: MadeStep, ordered: tuple[After, ...]) -> tuple[After, ...]:
            colour = painted.get(each.step.id)
            if colour is not None:
                return colour.after or ordered
            return followed(each.step, ordered, self.by_hand, self.scope)

        parts = {part.id: part for part in begun.takeoff.site.parts}
        made = in_turn(kept, self.rules, parts)
        self._find_unpaintable(made)
        kinds = {name: part.kind for name, part in parts.items()}
        links = StepOrder(made, self.trade, self._left_out(begun.takeoff, kept), kinds).all(wanted)
        lies_on = {
            each.step.id: tuple(part.title for name, part in parts.items() if name in each.surfaces) for each in kept
        }
        steps = tuple(
            replace(each.step, after=links[each.step.id], lays=_on(each.step.lays, lies_on[each.step.id]))
            for each in kept
            if each.step.id not in painted
        )
        return _Room(
            steps=steps,
            colours=tuple(
                replace(colour, after=links[colour.id], surfaces=lies_on.get(colour.id, ()))
                for colour in begun.colours
            ),
            borders=begun.borders,
            quantities=listed(begun.takeoff, self.methods),
            made=tuple(made),
            parts=parts,
        )

    def _find_unpaintable(self, made: list[MadeStep]) -> None:
        """A fault for a film that takes no paint, where one of primer or paint comes over it later."""
        for each in made:
            material = self.trade.material(each.step.lays.material) if each.step.lays is not None else None
            if each.step.lays is None or material is None or material.takes_paint:
                continue
            over = next((one for one in made if one.rank > each.rank and _paints(one, each)), None)
            if over is not None:
                said = told(
                    "`{id}` takes no paint, and “{title}” comes over it", id=material.id, title=over.step.title
                )
                hint = "write one that does, such as `acrylic-latex-caulk`, or seal after the paint, with `seal`"
                self.faults.add(each.step.lays.place or each.step.place, said, hint)

    def _ruled(self, rooms: list[_Room]) -> list[_Room]:
        """The rooms with what the rules of the trade put between surfaces, as far as the person says nothing else."""
        network = self._network(rooms)
        said = {change.step for change in self.scope.changes if change.after is not None}
        said |= {step.id for step in self.job.steps if step.after}
        said |= {colour.id for colour in self.job.colours if colour.after}
        return [self._ruled_room(room, network, frozenset(said)) for room in rooms]

    def _ruled_room(self, room: _Room, network: ScopeLinks, settled: frozenset[str]) -> _Room:
        taped = frozenset(
            frozenset((border.first, border.second)) for border in (*self.job.borders, *room.borders) if border.taped
        )
        more: dict[str, list[After]] = defaultdict(list)
        for rule, first, then in ruled(room.made, self.rules, room.parts, network, settled, taped):
            more[then.step.id] += as_afters(rule, first, stage_between(self.trade, first, then, rule.stage))
        return replace(
            room,
            steps=tuple(replace(step, after=_and(step.after, more.get(step.id, ()))) for step in room.steps),
            colours=tuple(replace(one, after=_and(one.after, more.get(one.id, ()))) for one in room.colours),
        )

    def _network(self, rooms: list[_Room]) -> ScopeLinks:
        """What every step and colour of the job follows without the rules."""
        network = ScopeLinks()
        colours = {colour.id: colour for room in rooms for colour in room.colours}
        whole = replace(self.job, borders=(*self.job.borders, *(one for room in rooms for one in room.borders)))
        owner = {name: one.id for one in self.job.colours for name in cycle_ids(whole, colours.get(one.id, one))}
        made = {step.id: step for room in rooms for step in room.steps}
        ends = {step.id: step for step in self.job.steps} | made
        all_of_it: list[Step | Colour] = [*ends.values(), *(colours.get(one.id, one) for one in self.job.colours)]
        for each in all_of_it:
            network.before[each.id] |= {owner.get(after.step, after.step) for after in each.after}
            network.needs[each.id] |= set(each.needs)
        for change in self.scope.changes:
            name = owner.get(change.step, change.step)
            network.before[name] |= {owner.get(after.step, after.step) for after in change.after or ()} - {name}
        touching = {frozenset((border.first, border.second)) for border in whole.borders}
        for at, one in enumerate(self.job.colour_order):
            for other in self.job.colour_order[at + 1 :]:
                if frozenset((one, other)) in touching:
                    network.before[other].add(one)
        return network

    def _with_faults(self) -> Iterator[str]:
        """The parts in whose methods or options a fault has been found."""
        at_fault = {fault.place for fault in self.faults.found}
        for part in self.scope.parts:
            places = {call.place for call in part.calls}
            places |= {place for call in part.calls for said in call.options for place in (said.place, said.named)}
            if places & at_fault:
                yield part.id

    def _is_sure(self) -> bool:
        """Whether all is known, so that it can be asked what of it comes to nothing."""
        return not self.faults.found and self.faults.doubts == NO_DOUBTS

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
            makers += own
            if part.id in {*self.faults.doubts.parts, *self.faults.doubts.entries, *self._with_faults()}:
                continue  # what comes of it is not known
            for each in own:
                find_idle_method(each)
            find_idle_members(self.scope, part, own, self.faults)
            find_idle_options(part, own, self.faults)
        return makers

    def _made(self, takeoff: Takeoff, colours: list[Colour], painter: Painter, makers: list[Maker]) -> list[MadeStep]:
        """The steps of all methods, the colours as one film each, and steps by hand that name their place."""
        found: list[MadeStep] = []
        for part_rank, part in enumerate(takeoff.site.parts):
            own = (each for each in makers if each.part.id == part.id)
            for call_rank, each in enumerate(own):
                found += each.makes(part_rank, call_rank)
        found += [painter.stand_in(colour, rank) for rank, colour in enumerate(colours)]
        found += list(self._by_hand(takeoff, found))
        return [given_back(each, found, self.faults) for each in found]

    def _find_wet_followed(self, made: list[Step], tasks: frozenset[str]) -> None:
        """Whoever follows a step with a film says at which stage, after which time, or at its end: it may be wet."""
        coats = {coat_of(colour.id, coat) for colour in self.job.colours for coat in range(1, colour.coats + 1)}
        films = {step.id for step in made if step.lays is not None and step.id not in self.by_hand} | coats & tasks
        afters = [after for step in self.job.steps for after in step.after]
        afters += [after for colour in self.job.colours for after in colour.after]
        afters += [after for change in self.scope.changes for after in change.after or ()]
        for after in afters:
            if after.step in films and after.stage is None and not after.wait and not after.at_end:
                hint = told("write `{step}: recoat` or another stage, a time, or `{step}: end`", step=after.step)
                self.faults.add(
                    after.place,
                    told("`{step}` lays a film, and nothing says how dry it must be", step=after.step),
                    hint,
                )

    def _find_idle_colours(self, rooms: list[_Begun], tasks: frozenset[str]) -> None:
        """A fault for a colour in the order that touches no other there, and for tape to pull where none is."""
        derived = (border for room in rooms for border in room.borders)
        pairs = [{border.first, border.second} for border in (*self.job.borders, *derived)]
        for name in self.job.colour_order:
            others = set(self.job.colour_order) - {name}
            if not any(name in pair and pair & others for pair in pairs):
                self.faults.add(
                    self.scope.place("colour order", name),
                    told("`{name}` {apart}", name=name, apart=APART),
                    APART_HINT,
                )
        for colour in self.job.colours:
            if colour.pull.high > 0 and pull_of(colour.id) not in tasks:
                place = self.scope.place("colours", colour.id, "pull tape")
                self.faults.add(
                    place, told("nothing is taped off for `{title}`", title=colour.title), "leave `pull tape` out"
                )

    def _chosen_otherwise(self) -> set[str]:
        """The ids of all steps that a method may bring to a part, however its options are set."""
        return {
            f"{part.id}-{template.id}"
            for part in self.scope.parts
            for call in part.calls
            if call.method in self.methods
            for template in self.methods[call.method].templates
        }

    def _by_hand_as_wanted(self, step: Step) -> Step:
        change = next((each for each in self.scope.changes if each.step == step.id), None)
        if change is None:
            return step
        after = step.after if change.after is None else change.after
        return replace(with_changes(step, change.fields), after=after)

    def _find_clashes(self, found: list[MadeStep]) -> None:
        seen: set[str] = set()
        for each in found:
            if each.step.id in seen and each.template is not None:
                hint = "put one of the two methods on a part of its own, under another name"
                self.faults.add(each.step.place, told("two steps would be called `{id}`", id=each.step.id), hint)
            seen.add(each.step.id)

    def _by_hand(self, takeoff: Takeoff, made: list[MadeStep]) -> Iterator[MadeStep]:
        """Steps by hand that say on which part and in which phase they belong.

        One that takes the place of a step of a method stands where that one stood, so it says no other place.
        """
        taken = {each.step.id: (each.part, each.phase) for each in made}
        for rank, step in enumerate(self.job.steps):
            if step.phase and step.id in taken and taken[step.id] != (step.part, step.phase):
                part, phase = taken[step.id]
                said = told(
                    "`{id}` takes the place of the step of that name, in phase {phase} of `{part}`",
                    id=step.id,
                    phase=phase,
                    part=part,
                )
                self.faults.add(step.place, said, "leave `part` and `phase` out, or give it another name")
            if step.phase and step.part in takeoff.surfaces and step.id not in taken:
                yield MadeStep(
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

    def _left_out(self, takeoff: Takeoff, kept: list[MadeStep]) -> dict[tuple[str, str], tuple[After, ...]]:
        there = {(each.part, each.template.id) for each in kept if each.template}
        return {
            (part.id, template.id): template.after or (After(step=EARLIER),)
            for part in takeoff.site.parts
            for call in part.calls
            for template in self.methods[call.method].templates
            if (part.id, template.id) not in there
        }
