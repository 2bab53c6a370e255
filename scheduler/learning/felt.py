"""How films felt -> how fast a material dries in a room, and when each film that is laid is ready.

For a look at film f of material m in room r let x be the logarithm of what its stage's clock has run since the end of
the coat, over the typical amount, without anything learned. The stage was reached by then if the film's own log
factor is below x:

    ln θ_f = b_r + c_rm + e_f    b_r ~ N(0, ROOM²)    c_rm ~ N(0, spread of the material²)    e_f ~ N(0, FILM²)

Looks at one stage of one film are put together first: it lies between the last `not yet` and the first `reached`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from statistics import median

from scheduler.learning import priors
from scheduler.learning.beliefs import POINTS, Beliefs, Weights, fit, product, quantile, share_below, smoothed
from scheduler.model.learned import FilmReading
from scheduler.model.material import Material

SMALLEST = 1e-3
"""Of the typical amount: who looks when nothing has run yet looks at this."""

AT_LEAST_MORE = 0.1
"""In the logarithm: who says `not yet` need not look again before a tenth more has run (common practice, no
source)."""


@lru_cache(256)
def spread_of(material: Material) -> float:
    """Log standard deviation of a material in a room, by the ranges of its profile: the median of its stages."""
    found = [
        math.log(stage.high / stage.low) / priors.SPAN_OF_RANGE
        for stage in material.stages
        if 0 < stage.low < stage.high
    ]
    return min(priors.MATERIAL_MOST, max(priors.MATERIAL_LEAST, median(found))) if found else priors.MATERIAL_LEAST


def between(looks: Iterable[tuple[float, bool]]) -> tuple[float, float]:
    """The last (multiple, not yet) and the first (multiple, reached) as logarithms; −∞ and ∞ without any."""
    seen = list(looks)
    after = max((math.log(multiple) for multiple, reached in seen if not reached), default=-math.inf)
    by = min((math.log(multiple) for multiple, reached in seen if reached), default=math.inf)
    return after, by


def likelihood(after: float, by: float, log: float) -> float:
    """How well a log factor of the film fits the looks at one stage. A contradiction counts as both by themselves."""
    if after < by:
        return sum(fit(after - log, by - log, priors.READING, priors.SLIP, 0.0))
    tacky = fit(after - log, math.inf, priors.READING, priors.SLIP, 0.0)
    dry = fit(-math.inf, by - log, priors.READING, priors.SLIP, 0.0)
    return sum(tacky) * sum(dry)


@lru_cache(4096)
def _stage_row(after: float, by: float) -> Weights:
    return tuple(likelihood(after, by, x) for x in POINTS)


@dataclass(frozen=True)
class RoomFilms:
    """What is known of the films of one room. `coats` are the likelihoods of the looks at each film, by material."""

    beliefs: Beliefs
    coats: Mapping[str, Mapping[str, Mapping[str, Weights]]]

    def material(self, name: str, spread: float) -> Weights:
        """What is known of a material in the room."""
        return self.beliefs.of(name, spread)

    def stage(self, material: str, spread: float, film: str, stage: str) -> Weights:
        """What is known of one stage of one film by everything but the looks at that stage itself."""
        coats = self.coats.get(material, {})
        others = [_coat_row(rows) for name, rows in coats.items() if name != film]
        above = self.beliefs.expected(material, spread, product(others) if others else None)
        own = [row for name, row in coats.get(film, {}).items() if name != stage]
        return smoothed(product([smoothed(above, priors.FILM), *own]), priors.READING)


def _coat_row(stages: Mapping[str, Weights]) -> Weights:
    """What the looks at the stages of one film say of its material in the room."""
    return smoothed(product(list(stages.values())), priors.FILM)


@lru_cache(256)
def films_of_room(readings: tuple[FilmReading, ...], spreads: tuple[tuple[str, float], ...]) -> RoomFilms:
    """What readings in one room, in any order, say of its materials. `spreads`: log deviation of each material."""
    seen: dict[str, dict[str, dict[str, list[tuple[float, bool]]]]] = {}
    for each in sorted(readings):
        stages = seen.setdefault(each.material, {}).setdefault(each.film, {})
        stages.setdefault(each.stage, []).append((each.multiple, each.reached))
    coats = {
        material: {
            film: {stage: _stage_row(*between(looks)) for stage, looks in stages.items()}
            for film, stages in films.items()
        }
        for material, films in seen.items()
    }
    rows = {name: product([_coat_row(stages) for stages in films.values()]) for name, films in coats.items()}
    return RoomFilms(Beliefs(priors.ROOM, dict(spreads), rows), coats)


@dataclass(frozen=True, slots=True)
class Dries:
    """How many times as long a material takes to dry in a room: median and 80 % range. `watched`: a `not yet` of it
    was among the looks."""

    found: float
    low: float
    high: float
    watched: bool

    @property
    def factor(self) -> float:
        """What the plan reckons with where nothing speaks against it.

        Who writes down only what is dry makes every film look quick (by a fifth, in a simulation): quicker than the
        table only where the whole 80 % range is, and a `not yet` was written, too.
        """
        rounded = round(round(self.found / priors.ROUNDED) * priors.ROUNDED, 2)
        if rounded > 1:
            return rounded
        return max(rounded, priors.ROUNDED) if self.high < 1 and self.watched else 1.0

    def of_stage(self, material: Material, name: str) -> float:
        """What a stage of a film to come is reckoned with: slower up to the longest time of the table, and past it
        only where the whole 80 % range is."""
        stage = material.stage(name)
        if stage is None or not stage.typical:
            return 1.0
        longest = max(1.0, stage.high / stage.typical, self.low)
        return material.in_keeping(name, min(self.factor, longest))


def dries(room: RoomFilms, material: Material, readings: Sequence[FilmReading]) -> Dries:
    """How fast a material dries in a room by what is known of it."""
    weights = room.material(material.id, spread_of(material))
    found, low, high = (math.exp(quantile(weights, share)) for share in (0.5, 0.1, 0.9))
    watched = any(each.material == material.id and not each.reached for each in readings)
    return Dries(found, low, high, watched)


def next_look(room: RoomFilms, material: Material, film: str, stage: str, after: float) -> float:
    """The multiple of the typical amount at which a film that was not yet at a stage is likely to be there.

    `after`: the logarithm of the multiple at the last look. The median of all that lies beyond it.
    """
    weights = room.stage(material.id, spread_of(material), film, stage)
    passed = share_below(weights, after)
    beyond = quantile(weights, passed + (1 - passed) / 2) if passed < 1 - 1e-6 else after
    return math.exp(max(beyond, after + AT_LEAST_MORE))
