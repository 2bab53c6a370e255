"""The trade's order: on one surface phase follows phase, each from the stage at which the film below lets it.

A step follows the last ones before it on any of its surfaces, and, if it covers what lies below, every film that
nothing has covered since. What is fixed over a wall (a casing) follows what was built on that wall.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import replace

from scheduler.expanding.scope.templates import MadeStep
from scheduler.model.after import After
from scheduler.model.material import Trade
from scheduler.model.method import COATS, PHASES, STAGES_FOR
from scheduler.model.names import slug

EARLIER = "earlier"
UP_TO = "phase-"
LAST = "put back"
"""What is fixed over a wall in this phase, such as a shoe bought finished, follows all that is done to the wall."""
_BUILT = PHASES.index("boxes")

Wanted = Callable[[MadeStep, tuple[After, ...]], tuple[After, ...]]
"""What a step follows in the end, from what the trade puts before it: the person may want it otherwise."""


class StepOrder:
    """The links between made steps, which stand in their order.

    `left_out` are templates that made no step, by part, with what they follow; `kinds` the kind of each surface.
    """

    def __init__(
        self,
        made: Sequence[MadeStep],
        trade: Trade,
        left_out: Mapping[tuple[str, str], tuple[After, ...]],
        kinds: Mapping[str, str],
    ) -> None:
        self.made = made
        self.trade = trade
        self.left_out = left_out
        self.kinds = kinds
        self.before: dict[str, set[str]] = {}
        """All that comes before a step, directly or not."""
        self.lying: dict[str, list[int]] = defaultdict(list)
        """The numbers of the steps on each surface."""
        self.parts: dict[str, list[MadeStep]] = defaultdict(list)
        for number, each in enumerate(self.made):
            self.parts[each.part].append(each)
            for surface in each.surfaces:
                self.lying[surface].append(number)

    def all(self, wanted: Wanted) -> dict[str, tuple[After, ...]]:
        """What each step follows, by its id, in the trade's order as far as the person wants no other.

        A step stands for what comes before it only while it follows that: where the person took it out of the order,
        the next one follows what it had followed. Nor does it stand for a film of which it asks no more than that it
        is laid.
        """
        films = {each.step.id for each in self.made if each.step.lays is not None}
        found: dict[str, tuple[After, ...]] = {}
        for each in self.made:
            afters = wanted(each, tuple(dict.fromkeys(self._afters(each))))
            found[each.step.id] = afters
            direct = {after.step for after in afters}
            asked = {after.step for after in afters if not (after.at_end and after.step in films)}
            self.before[each.step.id] = asked.union(*(self.before.get(name, set()) for name in direct))
        return found

    def _afters(self, each: MadeStep) -> Iterator[After]:
        own = each.template.after if each.template else None
        if own is None:
            yield from self._earlier(each)
            return
        for after in own:
            yield from self._within(each, after, set())

    def _within(self, each: MadeStep, after: After, seen: set[str]) -> Iterator[After]:
        """What an entry of a template asks for; in place of a step that was left out, what that one followed."""
        if after.step == EARLIER or after.step.startswith(UP_TO):
            films = {one.step.id for one in self.made if one.step.lays is not None and after.within is not None}
            for found in self._earlier(each, after.stage, after.step.removeprefix(UP_TO), after.on):
                timed = found.step in films
                yield replace(found, within=after.within, remedy=after.remedy) if timed else found
            return
        if after.first and not self._is_first(each):
            return
        named = [one for one in self.parts[each.part] if one.template and one.template.id == after.step]
        last = [one for one in named if one.rank < each.rank and one.step.id != each.step.id]
        same = [one for one in last if _is_same_piece(one, each)] or last
        for one in (one for one in same if not any(_is_round_before(one, other) for other in same)):
            stage = after.stage or self._stage(one, each)
            stage = None if stage == "end" else stage
            yield replace(
                after, step=one.step.id, stage=stage, first=False, windowless=self._is_windowless(one, each)
            )
        if not named and after.step not in seen:
            for instead in self.left_out.get((each.part, after.step), (After(step=EARLIER),)):
                yield from self._within(each, instead, seen | {after.step})

    def _earlier(
        self, each: MadeStep, stage: str | None = None, last: str = EARLIER, on: Sequence[str] = ()
    ) -> Iterator[After]:
        """The last ones before a step on its surfaces, only those up to a phase or on some kinds if named."""
        phases = [slug(phase) for phase in PHASES]
        bound = phases.index(last) if last in phases else len(phases)
        around = {name for name in each.surfaces | each.over | each.rests if not on or self.kinds.get(name) in on}
        near = (self.made[at] for at in sorted({at for surface in around for at in self.lying.get(surface, ())}))
        ahead = (one for one in near if one.rank < each.rank and PHASES.index(one.phase) <= bound)
        below = [one for one in ahead if self._touch(one, each) and not (on and self.kinds.get(one.part) == "room")]
        covered = {name for one in below for name in self.before.get(one.step.id, ())}
        for one in below:
            bare = each.phase in COATS or each.phase == LAST
            film = one.step.lays is not None and bare and not self._is_covered(one, each, below)
            if one.step.id not in covered or film:
                stage_of = self._stage(one, each, stage)
                loose = self._is_windowless(one, each)
                yield After(step=one.step.id, stage=stage_of, windowless=loose, at_end=stage == "end")
                if one.colour:
                    yield After(step=one.step.id)  # its tape is off as well

    def _touch(self, one: MadeStep, each: MadeStep) -> bool:
        if one.share and each.share and one.share != each.share:
            return False
        built = PHASES.index(one.phase) < _BUILT <= PHASES.index(each.phase) or each.phase == LAST
        return bool(one.surfaces & (each.surfaces | each.over)) or (built and bool(one.surfaces & each.rests))

    def _is_covered(self, film: MadeStep, each: MadeStep, below: Sequence[MadeStep]) -> bool:
        """Whether later coats lie over all of a film that the step would touch."""
        shared = film.surfaces & (each.surfaces | each.over)
        coats = (one.surfaces for one in below if one.rank > film.rank and _lies_over(one))
        return shared <= frozenset[str]().union(*coats)

    def _is_windowless(self, film: MadeStep, each: MadeStep) -> bool:
        """Whether all of a film that a step coats again is rubbed down or buried before, or it coats none of it."""
        shared = film.surfaces & each.surfaces
        between = (one for one in self.made if film.rank < one.rank < each.rank)
        gone = (one.surfaces for one in between if one.template and (one.template.abrades or one.template.buries))
        return film.step.lays is not None and shared <= frozenset[str]().union(*gone)

    def _is_first(self, each: MadeStep) -> bool:
        """Whether no step of the same template on the same part comes before one."""
        same = (one for one in self.parts[each.part] if one.template is each.template)
        return all(one.rank >= each.rank for one in same)

    def _stage(self, film: MadeStep, each: MadeStep, wanted: str | None = None) -> str | None:
        """The stage of the film below from which the step may begin; its end, if it lays none that matters."""
        said = dict(film.template.ready).get(each.phase) if film.template else None
        if said is not None and film.step.lays is not None:
            return None if said == "end" else said
        return stage_between(self.trade, film, each, wanted)


def stage_between(trade: Trade, film: MadeStep, each: MadeStep, wanted: str | None) -> str | None:
    """The stage `wanted` of a film from which a step may begin, or the one that its phase asks for; None: its end."""
    material = trade.material(film.step.lays.material) if film.step.lays is not None else None
    if material is None or wanted == "end":
        return None
    if wanted is not None and material.stage(wanted) is not None:
        return wanted
    return stage_for(material.stage, each.phase, sanding=each.step.dusty)


def stage_for(stage: object, phase: str, *, sanding: bool = False) -> str | None:
    """The first stage that a family has among those that a phase asks for. `stage` finds one by name."""
    names = STAGES_FOR.get("sand" if sanding else phase, ("use", "handle"))
    return next((name for name in names if callable(stage) and stage(name) is not None), None)


def _lies_over(one: MadeStep) -> bool:
    """Whether a step lays a film over all of what is below: a coat, or plaster; a patch doesn't."""
    return one.step.lays is not None and (one.phase in COATS or bool(one.template and one.template.buries))


def _is_same_piece(one: MadeStep, each: MadeStep) -> bool:
    """Whether two steps are of the same wall or batch or, where one of them is of none, of the same round."""
    return one.share == each.share if one.share and each.share else _tail(one) == _tail(each)


def _is_round_before(one: MadeStep, other: MadeStep) -> bool:
    """Whether a step comes again in a later round: whoever follows all rounds follows the last one."""
    return one.template is other.template and one.share == other.share and one.rank < other.rank


def _tail(each: MadeStep) -> str:
    """What tells the steps of one template apart: wall, batch or number at the end of the id."""
    return each.step.id.removeprefix(f"{each.part}-{each.template.id}") if each.template else ""
